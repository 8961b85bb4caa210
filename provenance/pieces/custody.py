"""Who has a piece. A chain that is only added to, with the present link pointed to."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction
from django.db.models import Max

from provenance.people.models import Person
from provenance.pieces import promises
from provenance.pieces.models import Custody, Piece, Stage
from provenance.pieces.order import check_order
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

#: Custodies that take promised wood out of reach.
PARTING = (
    Custody.Kind.GALLERY,
    Custody.Kind.LENT,
    Custody.Kind.BUYER,
    Custody.Kind.GIVEN,
    Custody.Kind.LOST,
    Custody.Kind.SCRAPPED,
)


class SameHands(RecordError):
    """The piece is already there."""


#: What the journal notes of a change of hands that belongs to a receipt: it is taken back there.
SALE = "sale"


class NoSuchHands(RecordError):
    """A change of hands that the record has another way for."""


def append(
    piece: Piece,
    entry: JournalEntry,
    *,
    kind: str,
    holder: Person | None = None,
    since: date | None = None,
    why: str = "",
) -> Custody:
    """Add the next link and point the piece to it. The caller locks and saves the piece."""
    last = piece.custodies.aggregate(last=Max("position"))["last"] or 0
    piece.custody = Custody.objects.create(
        piece=piece,
        position=last + 1,
        kind=kind,
        holder=holder,
        entry=entry,
        since=since,
        why=why,
    )
    return piece.custody


@transaction.atomic
def hand_over(
    pieces: Sequence[Piece],
    kind: str,
    scribe: Scribe,
    *,
    holder: Person | None = None,
    since: PartialDate | date | None = None,
    is_date_known: bool = True,
    why: str = "",
    reason: str = "",
    move: str = "",
) -> list[Custody]:
    """Move all `pieces` into custody of `kind`, or none of them.

    `since` defaults to today; `is_date_known=False` records that nobody knows; `move` is `SALE`
    where a receipt is written with it, which alone can take it back. Raises `SameHands` when one
    is there already, `NoSuchHands` for a lost piece or for scrapping one (that is
    `workflow.lose`), `order.TooEarly` when the day is before its last step, `promises.WouldBreak`
    when wood promised to somebody else would leave and no `reason` is given.
    """
    if isinstance(since, date):
        since = PartialDate.of(since)
    when = (since or PartialDate.of(scribe.today)) if is_date_known else None
    return [
        _hand_over_one(piece, kind, scribe, holder, when, why, reason, move)
        for piece in Piece.objects.locked(pieces)
    ]


def _hand_over_one(
    piece: Piece,
    kind: str,
    scribe: Scribe,
    holder: Person | None,
    when: PartialDate | None,
    why: str,
    reason: str,
    move: str,
) -> Custody:
    _check_hands(piece, kind, holder)
    if kind in PARTING:
        promises.ask(piece, reason, to=holder)
    check_order(piece, when)
    label = Custody.Kind(kind).label
    said = f"Now {label}{f', {holder}' if holder else ''}."
    entry = journal.write(
        piece.journal,
        JournalEntry.Kind.CUSTODY,
        scribe,
        happened=when,
        words=" ".join(filter(None, [said, why, reason])),
        move=move,
    )
    day = when.earliest if when else None
    link = append(piece, entry, kind=kind, holder=holder, since=day, why=why)
    piece.save(update_fields=["custody"])
    return link


def _check_hands(piece: Piece, kind: str, holder: Person | None) -> None:
    now = piece.custody
    is_with_them = holder.is_same_as(now.holder) if now and holder else not (now and now.holder)
    if now and now.kind == kind and is_with_them:
        raise SameHands(f"{piece.number} is already {now}.")
    if piece.stage == Stage.LOST:
        raise NoSuchHands(f"{piece.number} is recorded as lost: take the loss back first.")
    if kind == Custody.Kind.SCRAPPED:
        raise NoSuchHands("Record a scrapped piece as lost, with its cause.")
