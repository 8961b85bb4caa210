"""What happened later is dated later."""

from provenance.pieces.models import Piece
from provenance.record.date_words import when_words
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.trees.models import Tree

Kind = JournalEntry.Kind

#: Entries that follow each other in a piece's making and whereabouts.
IN_ORDER = (Kind.BEGUN, Kind.MOVED, Kind.LOST, Kind.CUSTODY)


class TooEarly(RecordError):
    """A step dated before the one it follows."""


def check_order(piece: Piece, when: PartialDate | None, *, after: str = "") -> None:
    """Raise `TooEarly` when `when` ends before the last dated step that stands. One query.

    `after` names the one move that counts, by its slug; otherwise every step does. An unknown day
    fits anywhere, and a step without a day between two that have one hides neither.
    """
    if when is None:
        return
    steps = JournalEntry.objects.filter(journal=piece.journal_id, correction=None)
    steps = steps.filter(move=after) if after else steps.filter(kind__in=IN_ORDER)
    last = steps.exclude(happened_from=None).order_by("-happened_from", "-pk").first()
    if last and last.happened and last.happened_from and when.latest < last.happened_from:
        raise TooEarly(
            f"{piece.number} has a step dated {last.happened.spoken()} already: enter that day or "
            "a later one, or take that step back first."
        )
    check_wood(piece, when)


def check_wood(piece: Piece, when: PartialDate | None) -> None:
    """Raise `TooEarly` when `when` ends before a tree of the piece surely came down. One query."""
    if when is None:
        return
    # Asked at every step of every piece: no more is read than what is looked at.
    for tree in Tree.objects.filter(pieces=piece.pk).exclude(felled=None).only("code", "felled"):
        felled = tree.felled
        if felled and not (felled.is_about or felled.is_unsure) and when.latest < felled.earliest:
            raise TooEarly(
                f"{tree.number} came down {when_words(felled)}: its wood was not worked before "
                "that. Check the day here, or the tree's."
            )
