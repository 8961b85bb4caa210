"""Giving a piece its public page, and taking it back."""

from collections.abc import Sequence

from django.db import transaction

from provenance.pieces.models import Piece
from provenance.record import journal
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe


@transaction.atomic
def publish(pieces: Sequence[Piece], scribe: Scribe, *, words: str = "") -> list[Piece]:
    """Publish those of `pieces` that are not yet; return the newly published."""
    return _set(pieces, scribe, words or "Public page opened.", is_public=True)


@transaction.atomic
def withdraw(pieces: Sequence[Piece], scribe: Scribe, *, words: str = "") -> list[Piece]:
    """Take the public pages of `pieces` back; printed codes then lead to nothing."""
    return _set(pieces, scribe, words or "Public page closed.", is_public=False)


def _set(pieces: Sequence[Piece], scribe: Scribe, words: str, *, is_public: bool) -> list[Piece]:
    rows = Piece.objects.select_for_update().filter(pk__in=[piece.pk for piece in pieces])
    changed = list(rows.filter(published_at__isnull=is_public).order_by("pk"))
    for piece in changed:
        piece.published_at = scribe.at if is_public else None
        piece.save(update_fields=["published_at"])
        journal.write(
            piece.journal,
            JournalEntry.Kind.PUBLIC,
            scribe,
            happened=PartialDate.of(scribe.today),
            words=words,
        )
    return changed
