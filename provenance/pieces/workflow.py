"""The moves of making: which are open to a piece, and the functions that make them.

A piece goes from stage to stage by moves. Each move is a journal entry; undoing one is a
further entry that corrects it, never an erasure.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from provenance.pieces import custody, promises
from provenance.pieces.methods import DONE, LABELS
from provenance.pieces.methods import METHODS as METHODS  # the table is read through here too
from provenance.pieces.methods import Move as Move
from provenance.pieces.methods import stages_of as stages_of
from provenance.pieces.methods import step_of as step_of
from provenance.pieces.models import (
    Custody,
    Finish,
    FinishApplied,
    LossCause,
    Piece,
    Stage,
)
from provenance.pieces.order import check_order
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

Kind = JournalEntry.Kind


class NotOffered(RecordError):
    """The piece's stage does not allow this move."""


class TakenBack(RecordError):
    """The step was taken back already."""


def offered(piece: Piece) -> tuple[Move, ...]:
    """Return the moves that the piece's method and stage allow now, the onward one first."""
    if piece.custody is None or piece.custody.kind not in (Custody.Kind.SHOP, Custody.Kind.REPAIR):
        return ()
    return tuple(m for m in METHODS[piece.method] if piece.stage in m.sources)


def next_move(piece: Piece) -> Move | None:
    """Return the onward move, if the piece has one."""
    return next((m for m in offered(piece) if m.is_onward), None)


def may_be_lost(piece: Piece) -> bool:
    """Return whether a loss can be recorded: the piece is not lost and still the shop's."""
    kinds = (*Custody.HELD, Custody.Kind.REPAIR)
    return piece.stage != Stage.LOST and piece.custody is not None and piece.custody.kind in kinds


@transaction.atomic
def move(
    pieces: Sequence[Piece],
    slug: str,
    scribe: Scribe,
    *,
    happened: PartialDate | None = None,
    is_date_known: bool = True,
    minutes: int | None = None,
    words: str = "",
    facts: dict[str, Any] | None = None,
    finish: Finish | None = None,
    lot: str = "",
    coats: int | None = None,
) -> list[JournalEntry]:
    """Make one move with all `pieces`, or with none: one entry each, in number order.

    `happened` defaults to today; `is_date_known=False` records that nobody knows. `minutes` and
    `facts` (fields of `Piece` that the move asks for) hold for each piece. Raises `NotOffered`
    when the method and stage of one do not allow the move, `order.TooEarly` when it is dated
    before the last step.
    """
    when = (happened or PartialDate.of(scribe.today)) if is_date_known else None
    return [
        _move_one(piece, slug, scribe, when, minutes, words, facts or {}, finish, lot, coats)
        for piece in Piece.objects.locked(pieces)
    ]


def _move_one(
    piece: Piece,
    slug: str,
    scribe: Scribe,
    when: PartialDate | None,
    minutes: int | None,
    words: str,
    facts: dict[str, Any],
    finish: Finish | None,
    lot: str,
    coats: int | None,
) -> JournalEntry:
    step = next((m for m in offered(piece) if m.slug == slug), None)
    if step is None:
        raise NotOffered(why_not(piece, slug))
    check_order(piece, when)
    values = {
        **_reach(step.target, when),
        **{name: value for name, value in facts.items() if name in step.asks},
    }
    said = " ".join(filter(None, [f"{step.done}.", words.strip()]))
    entry = _change(piece, values, Kind.MOVED, scribe, when, said, minutes=minutes, slug=slug)
    if finish and "finish" in step.asks:
        apply_finish(piece, entry, finish, on=when, lot=lot, coats=coats)
    return entry


def _reach(stage: str, when: PartialDate | None) -> dict[str, Any]:
    """Return the fields of a piece that came to `stage` on that day."""
    day = when.earliest if when else None
    return {"stage": stage, "stage_when": when, "stage_since": day}


def apply_finish(
    piece: Piece,
    entry: JournalEntry,
    finish: Finish,
    *,
    on: PartialDate | None,
    lot: str = "",
    coats: int | None = None,
) -> FinishApplied:
    """Note a finish on the piece; usable once its cure days have passed after an exact date."""
    last_coat = on.earliest if on and on.is_exact else None
    return FinishApplied.objects.create(
        piece=piece,
        entry=entry,
        finish=finish,
        lot=lot,
        coats=coats,
        last_coat=last_coat,
        usable_from=last_coat + timedelta(days=finish.cure_days) if last_coat else None,
    )


@transaction.atomic
def add_coat(
    piece: Piece,
    scribe: Scribe,
    finish: Finish,
    *,
    on: date | None = None,
    lot: str = "",
    coats: int | None = None,
    words: str = "",
) -> FinishApplied:
    """Record a further finish or coat without a change of stage.

    Raises `NotOffered` unless the piece is in finish or finished and the shop's to work on,
    `order.TooEarly` when the day is before its first coat.
    """
    [piece] = Piece.objects.locked([piece])
    if piece.stage not in (Stage.IN_FINISH, Stage.FINISHED) or not may_be_lost(piece):
        raise NotOffered(
            f"{piece.number} is {piece.get_stage_display()}, {piece.custody}: a further coat is "
            "for pieces in finish or finished that the shop has."
        )
    when = PartialDate.of(on or scribe.today)
    check_order(piece, when, after="into-finish")
    entry = journal.write(
        piece.journal, Kind.FINISH, scribe, happened=when, words=words or f"{finish.name} applied."
    )
    return apply_finish(piece, entry, finish, on=when, lot=lot, coats=coats)


@transaction.atomic
def lose(
    pieces: Sequence[Piece],
    cause: LossCause,
    scribe: Scribe,
    *,
    happened: PartialDate | None = None,
    is_date_known: bool = True,
    words: str = "",
    minutes: int | None = None,
    reason: str = "",
) -> list[JournalEntry]:
    """Record the loss of all `pieces`: the stage becomes lost and the custody scrapped.

    Raises `NotOffered` when one is not the shop's to lose, `order.TooEarly` when the day is before
    its last step, `promises.WouldBreak` when wood is promised and no `reason` to go on is given.
    """
    when = (happened or PartialDate.of(scribe.today)) if is_date_known else None
    entries = []
    for piece in Piece.objects.locked(pieces):
        if not may_be_lost(piece):
            raise NotOffered(_why_not_lost(piece))
        promises.ask(piece, reason)
        check_order(piece, when)
        said = " ".join(filter(None, [f"{cause.name[0].upper()}{cause.name[1:]}.", words, reason]))
        values = _reach(Stage.LOST, when)
        link = Custody(kind=Custody.Kind.SCRAPPED, why=cause.name)
        entries.append(
            _change(
                piece,
                values,
                Kind.LOST,
                scribe,
                when,
                said,
                minutes=minutes,
                slug=cause.slug,
                link=link,
            )
        )
    return entries


def last_moves(pieces: Iterable[Piece]) -> dict[int, JournalEntry]:
    """Return each piece's last move, loss, coat or change of hands that stands uncorrected.

    By the piece's key; a piece that made none is missing. One query.
    """
    keys = {piece.journal_id: piece.pk for piece in pieces}
    kinds = [Kind.MOVED, Kind.LOST, Kind.CUSTODY, Kind.FINISH]
    entries = JournalEntry.objects.filter(journal__in=keys, kind__in=kinds, correction=None)
    return {keys[entry.journal_id]: entry for entry in entries.order_by("pk")}


def last_move(piece: Piece) -> JournalEntry | None:
    """Return the piece's last step, the one that `undo` takes back, if it made any. One query."""
    return last_moves([piece]).get(piece.pk)


@transaction.atomic
def undo(
    pieces: Sequence[Piece], scribe: Scribe, *, words: str = "", entry_id: int | None = None
) -> list[JournalEntry]:
    """Take back the last step of each piece by an entry that corrects it.

    Stage, custody and every fact that the step set are again as they were before it, except
    facts that were changed since. Raises `NotOffered` when there is no step, and, when `entry_id`
    names the one step that is meant, `TakenBack` if it is no longer the last.
    """
    return [_undo_one(piece, scribe, words, entry_id) for piece in Piece.objects.locked(pieces)]


def _undo_one(piece: Piece, scribe: Scribe, words: str, entry_id: int | None) -> JournalEntry:
    entry = last_move(piece)
    if entry_id is not None and (entry is None or entry.pk != entry_id):
        raise TakenBack(
            f"Nothing changed: that step of {piece.number} is no longer its last. "
            "Look at its journal first."
        )
    if entry is None:
        raise NotOffered(f"{piece.number} has made no move yet: there is nothing to take back.")
    if entry.move == custody.SALE:
        raise NotOffered(
            f"That step of {piece.number} belongs to a receipt: void, refund or sell it there."
        )
    link = piece.custodies.filter(entry=entry).first()
    values = {
        name: before
        for name, (before, after) in entry.changes.items()
        if journal.plain(getattr(piece, name)) == after
    }
    if isinstance(values.get("stage_since"), str):
        values["stage_since"] = date.fromisoformat(values["stage_since"])
    if isinstance(values.get("stage_when"), str):
        values["stage_when"] = PartialDate(values["stage_when"])
    before = piece.custodies.get(position=link.position - 1) if link else None
    said = " ".join(filter(None, [f"Taken back: {entry_title(entry)}.", words]))
    today = PartialDate.of(scribe.today)
    return _change(piece, values, Kind.CORRECTION, scribe, today, said, corrects=entry, link=before)


def _change(
    piece: Piece,
    values: dict[str, Any],
    kind: str,
    scribe: Scribe,
    when: PartialDate | None,
    words: str,
    *,
    minutes: int | None = None,
    slug: str = "",
    corrects: JournalEntry | None = None,
    link: Custody | None = None,
) -> JournalEntry:
    """Write the entry, the changed fields and, like `link`, the next custody.

    A link that a correction brings back keeps the day since which it held.
    """
    changes = journal.differences(piece, values)
    entry = journal.write(
        piece.journal, kind, scribe, happened=when, words=words, minutes=minutes, move=slug,
        changes=changes, corrects=corrects,
    )  # fmt: skip
    for name in values:
        setattr(piece, name, values[name])
    if link:
        day = link.since if corrects else when.earliest if when else None
        custody.append(piece, entry, kind=link.kind, holder=link.holder, since=day, why=link.why)
    piece.save(update_fields=[*values, *(["custody"] if link else [])])
    return entry


def entry_title(entry: JournalEntry) -> str:
    """Return the entry's heading: "Roughed out", "Lost", "Correction"."""
    if entry.kind == Kind.MOVED:
        return DONE.get(entry.move, entry.move)
    return entry.get_kind_display()


def why_not(piece: Piece, slug: str) -> str:
    """Return the sentence that says why the piece can't make this move now."""
    if slug not in LABELS:
        return "There is no such move: go back to the piece and choose one that it offers."
    if not offered(piece) and piece.stage != Stage.LOST and piece.custody:
        where = piece.custody.get_kind_display()
        return f"{piece.number} is {where}: bring it back to the shop first."
    now = f"{piece.number} is {piece.get_stage_display()}"
    return f"{now}: “{LABELS[slug]}” is not its next step. It may have been moved already."


def _why_not_lost(piece: Piece) -> str:
    if piece.stage == Stage.LOST:
        return f"{piece.number} is recorded as lost already."
    where = piece.custody.get_kind_display() if piece.custody else "nowhere"
    return f"{piece.number} is {where}: it is no longer the shop's to lose."
