"""Changing a piece's details, and the sets that pieces belong to."""

from typing import Any

from django.db import transaction

from provenance.pieces.models import Piece, PieceSet
from provenance.record import journal
from provenance.record.models import JournalEntry
from provenance.record.scribe import Scribe
from provenance.record.seeking import exactly, sought


def set_named(name: str) -> PieceSet | None:
    """Return the set of that name, begun if there is none; None for an empty name."""
    name = sought(name)
    if not name:
        return None
    found = PieceSet.objects.filter(exactly("name", name)).first()
    return found or PieceSet.objects.get_or_create(name=name)[0]


@transaction.atomic
def change(
    piece: Piece, values: dict[str, Any], scribe: Scribe, *, set_name: str | None = None
) -> JournalEntry | None:
    """Set `values` on the piece and journal them; None when nothing differs.

    `set_name` puts it into the set of that name, '' takes it out of any, None leaves it.
    """
    if set_name is not None:
        values = {**values, "piece_set": set_named(set_name)}
    return journal.amend(piece, values, scribe)
