"""Writing in a journal: entries, and changes of a thing's details."""

from datetime import date
from decimal import Decimal
from typing import Any, Protocol

from django.db import models, transaction

from provenance.record.errors import RecordError
from provenance.record.models import Journal, JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

Kind = JournalEntry.Kind


class HasJournal(Protocol):
    """A thing of the record: it has a journal of its own."""

    journal: Journal


def write(
    journal: Journal,
    kind: str,
    scribe: Scribe,
    *,
    happened: PartialDate | None = None,
    words: str = "",
    minutes: int | None = None,
    move: str = "",
    changes: dict[str, list[Any]] | None = None,
    corrects: JournalEntry | None = None,
) -> JournalEntry:
    """Append one entry and return it. `happened` None means that the day is not known."""
    if happened is not None and happened.earliest > scribe.today:
        raise RecordError("That date is still to come. Enter the day on which it happened.")
    return JournalEntry.objects.create(
        journal=journal,
        kind=kind,
        move=move,
        happened=happened,
        happened_from=happened.earliest if happened else None,
        written_at=scribe.at,
        by=scribe.user,
        minutes=minutes,
        words=words.strip(),
        changes=changes or {},
        corrects=corrects,
    )


def plain(value: Any) -> Any:
    """Return `value` as JSON holds it: rows by key, dates (ISO, EDTF) and decimals as text."""
    if isinstance(value, models.Model):
        return value.pk
    if isinstance(value, date | PartialDate | Decimal):
        return str(value)
    return value


def differences(thing: models.Model, values: dict[str, Any]) -> dict[str, list[Any]]:
    """Return {field: [before, after]} for each value that differs from what `thing` holds."""
    return {
        name: [plain(getattr(thing, name)), plain(value)]
        for name, value in values.items()
        if plain(getattr(thing, name)) != plain(value)
    }


@transaction.atomic
def amend(
    thing: Any,
    values: dict[str, Any],
    scribe: Scribe,
    *,
    kind: str = Kind.DETAILS,
    words: str = "",
) -> JournalEntry | None:
    """Set `values` on a tree, section, stock or piece and journal what changed.

    Returns the entry, or None when nothing differs. The row is read again under a lock, so the
    entry's "before" is what the book really held.
    """
    held = type(thing)._default_manager.select_for_update().get(pk=thing.pk)
    changes = differences(held, values)
    if not changes:
        return None
    for name in changes:
        setattr(thing, name, values[name])
    thing.save(update_fields=list(changes))
    return write(
        thing.journal,
        kind,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=words,
        changes=changes,
    )
