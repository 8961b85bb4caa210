"""What is measured and found on a piece that has moved: its axes, and whether it is sound.

Each is a journal entry with a row beside it, written under the piece's lock, and taken back by an
entry that corrects it. A check of soundness is the owner's own judgement of a day.
"""

from collections.abc import Sequence
from datetime import date

from django.db import transaction

from provenance.drying.models import AT_HAND, Axes, SoundnessCheck
from provenance.pieces import custody
from provenance.pieces.methods import METHODS
from provenance.pieces.models import Custody, Piece, Stage
from provenance.pieces.order import check_order
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

Kind = JournalEntry.Kind
Answer = SoundnessCheck.Answer
Then = SoundnessCheck.Then

#: What is looked for before a piece goes back on the lathe, and how.
LOOKED_FOR = {
    "cracks": ("Cracks", "Rim, end grain and the inside of the bottom, in a low side light."),
    "tap": ("The tap", "Hold it and tap: it rings. A dull or buzzing note is a hidden crack."),
    "tenon": ("The tenon", "Whole, no crack across it, and enough of it to be trued."),
    "soundness": ("The wood", "No bark inclusion, rot or loose knot that could let go."),
}
#: Stages in which a hold still means something: later nothing goes on the lathe again.
_MAY_BE_HELD = (Stage.TURNED, Stage.DRYING, Stage.DRY, Stage.TRUED)


class NoRimYet(RecordError):
    """A blank or a lost piece, at which there is nothing to measure."""


class NotSound(RecordError):
    """Called sound though something is doubtful or was not looked at."""


@transaction.atomic
def measure_axes(
    piece: Piece,
    one_mm: int,
    other_mm: int,
    scribe: Scribe,
    *,
    on: date | None = None,
    words: str = "",
) -> Axes:
    """Write down the two outside axes of a piece's rim, in whichever order, on a day (today).

    Raises `NoRimYet` for a blank or a lost piece, `order.TooEarly` before its turning.
    """
    [piece] = Piece.objects.locked([piece])
    when = PartialDate.of(on or scribe.today)
    _check_turned(piece, when)
    short_mm, long_mm = sorted((one_mm, other_mm))
    said = f"Measured: {long_mm} × {short_mm} mm across the rim."
    entry = journal.write(
        piece.journal, Kind.MEASURED, scribe, happened=when, words=f"{said} {words}"
    )
    return Axes.objects.create(
        piece=piece, entry=entry, long_mm=long_mm, short_mm=short_mm, measured_on=when.earliest
    )


@transaction.atomic
def check_soundness(
    piece: Piece,
    found: dict[str, str],
    then: str,
    scribe: Scribe,
    *,
    on: date | None = None,
    words: str = "",
) -> SoundnessCheck:
    """Write down what was found at each of `LOOKED_FOR`, and what is done with the piece.

    Sent to repair, it changes hands in the same transaction unless it is in for repair already.
    Raises `NotSound` when it would go back on the lathe though not all was found good, `NoRimYet`
    and `order.TooEarly` as `measure_axes`, and what `custody.hand_over` raises.
    """
    [piece] = Piece.objects.locked([piece])
    when = PartialDate.of(on or scribe.today)
    _check_turned(piece, when)
    if piece.custody is None or piece.custody.kind not in AT_HAND:
        raise NoRimYet(f"{piece.number} is {piece.custody}: check it once it is back in the shop.")
    doubts = [
        label.lower() for name, (label, _) in LOOKED_FOR.items() if found[name] != Answer.GOOD
    ]
    if then == Then.LATHE and doubts:
        raise NotSound(
            f"Not all was found good ({', '.join(doubts)}): look again, or choose to hold it, "
            "to repair it, or to count it as lost."
        )
    entry = journal.write(
        piece.journal, Kind.CHECKED, scribe, happened=when, words=_said(found, then, words)
    )
    check = SoundnessCheck.objects.create(
        piece=piece,
        entry=entry,
        checked_on=when.earliest,
        then=then,
        **{name: found[name] for name in LOOKED_FOR},
    )
    if then == Then.REPAIR and piece.custody.kind != Custody.Kind.REPAIR:
        custody.hand_over(
            [piece], Custody.Kind.REPAIR, scribe, since=when, why="not sound at the check"
        )
    return check


@transaction.atomic
def take_back(row: Axes | SoundnessCheck, scribe: Scribe, *, words: str = "") -> JournalEntry:
    """Take a measure or a check back by an entry that corrects its own.

    A change of hands that a check made is a step of its own, and taken back as such. Raises
    `RecordError` when it was taken back already.
    """
    [piece] = Piece.objects.locked([row.piece])
    if JournalEntry.objects.filter(corrects=row.entry_id).exists():
        raise RecordError("Nothing changed: that was taken back already. The journal has both.")
    what = "the measure" if isinstance(row, Axes) else "the check"
    return journal.write(
        piece.journal,
        Kind.CORRECTION,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=f"Taken back: {what}, {row}. {words}",
        corrects=row.entry,
    )


def last_axes(piece: Piece) -> Axes | None:
    """Return the newest measure that stands, if there is one. One query."""
    return Axes.objects.standing().filter(piece=piece).first()


def last_check(piece: Piece) -> SoundnessCheck | None:
    """Return the newest check that stands, if there is one. One query."""
    return SoundnessCheck.objects.standing().filter(piece=piece).first()


def standing_of(pieces: Sequence[Piece]) -> dict[int, SoundnessCheck]:
    """Return the newest check of each piece, by the piece's key; none for those unchecked."""
    checks = SoundnessCheck.objects.standing().filter(piece__in=[each.pk for each in pieces])
    return {check.piece_id: check for check in reversed(list(checks))}


def is_held(piece: Piece, check: SoundnessCheck | None) -> bool:
    """Return whether the newest check says that the piece stays off the lathe."""
    return check is not None and not check.is_sound and piece.stage in _MAY_BE_HELD


def _check_turned(piece: Piece, when: PartialDate) -> None:
    if piece.stage == Stage.BLANK:
        raise NoRimYet(f"{piece.number} is a blank still: it is measured once it is turned.")
    if piece.stage == Stage.LOST:
        raise NoRimYet(f"{piece.number} is recorded as lost: take the loss back first.")
    check_order(piece, when, after=METHODS[piece.method][0].slug)


def _said(found: dict[str, str], then: str, words: str) -> str:
    looks = ((label.lower(), Answer(found[name]).label) for name, (label, _) in LOOKED_FOR.items())
    parts = [f"{label} {answer}" for label, answer in looks]
    listed = "; ".join(parts)
    return f"Checked: {listed}. {Then(then).label.capitalize()}. {words}"
