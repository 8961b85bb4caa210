"""A form sent twice does its work once."""

from collections.abc import Callable
from uuid import UUID

from django.db import transaction

from provenance.record.models import Operation
from provenance.record.scribe import Scribe


def once(token: UUID, scribe: Scribe, work: Callable[[], list[str]]) -> list[str]:
    """Return what `work()` returned the first time it ran under `token`.

    The token's row is written first, in the same transaction: a second sender waits for the
    first to finish and then reads its outcome.
    """
    with transaction.atomic():
        operation, is_new = Operation.objects.get_or_create(token=token, defaults={"at": scribe.at})
        if is_new:
            operation.outcome = work()
            operation.save(update_fields=["outcome"])
        return list(operation.outcome)
