"""Making pieces: their numbers, their sources, and those that were made before the book began."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction

from provenance.people.models import Person
from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Finish, Form, LossCause, Piece, Stage
from provenance.pieces.order import check_wood
from provenance.pieces.sourcing import NoSource as NoSource
from provenance.pieces.sourcing import Source as Source
from provenance.pieces.sourcing import mark_cut, pieces_given, tie
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import Journal, JournalEntry
from provenance.record.numbering import allocate
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

MOST_AT_ONCE = 200
#: What the journal of such a piece begins with; the survival figures pass it over by this.
FROM_BEFORE = "Entered from before the book."


@transaction.atomic
def make(
    scribe: Scribe,
    form: Form,
    method: str,
    sources: Sequence[Source],
    *,
    count: int = 1,
    happened: PartialDate | None = None,
    is_date_known: bool = True,
    words: str = "",
    **facts: Any,
) -> list[Piece]:
    """Make a run of `count` blanks with consecutive numbers, all from the same `sources`.

    `facts` are further fields of `Piece`. Raises `NoSource` when there is no source at all;
    an unknown one is said with `Source(None)`.
    """
    if not sources:
        raise NoSource("Say where the wood comes from, or that it is not known.")
    if not 1 <= count <= MOST_AT_ONCE:
        raise RecordError(f"Make between 1 and {MOST_AT_ONCE} pieces at once.")
    when = (happened or PartialDate.of(scribe.today)) if is_date_known else None
    facts.setdefault("use", form.use)
    numbers = allocate("piece", scribe, count)
    pieces = [_begin(number.code, scribe, form, method, when, words, facts) for number in numbers]
    Piece.objects.locked(pieces_given(sources))  # their wood may be in correction just now
    for piece in pieces:
        for source in sources:
            tie(piece, source)
    check_wood(pieces[0], when)
    mark_cut(sources, scribe)
    return pieces


def _begin(
    code: str,
    scribe: Scribe,
    form: Form,
    method: str,
    when: PartialDate | None,
    words: str,
    facts: dict[str, Any],
) -> Piece:
    piece = Piece.objects.create(
        code=code,
        journal=Journal.objects.create(),
        form=form,
        method=method,
        stage=Stage.BLANK,
        stage_when=when,
        stage_since=when.earliest if when else None,
        created_at=scribe.at,
        **facts,
    )
    entry = journal.write(
        piece.journal, JournalEntry.Kind.BEGUN, scribe, happened=when, words=words or "Blank cut."
    )
    since = when.earliest if when else None
    custody.append(piece, entry, kind=Custody.Kind.SHOP, since=since)
    piece.save(update_fields=["custody"])
    return piece


@dataclass(frozen=True)
class Past:
    """What is still known of a piece made before the book.

    Its stage, the day of each move by its slug (None, or no such key: not known), the finish, how
    it was lost, and with whom it is now.
    """

    stage: str
    dates: Mapping[str, PartialDate | None] = field(default_factory=dict)
    loss_cause: LossCause | None = None
    finish: Finish | None = None
    custody: str = Custody.Kind.SHOP
    holder: Person | None = None
    since: PartialDate | None = None
    why: str = ""


@transaction.atomic
def enter_old(
    scribe: Scribe,
    form: Form,
    method: str,
    past: Past,
    *,
    sources: Sequence[Source] = (Source(None),),
    begun: PartialDate | None = None,
    **facts: Any,
) -> Piece:
    """Enter a piece from before the book: numbered now, brought to its stage by its past moves.

    A day that is not known is journalled as unknown, never as today. Raises `RecordError` when
    the method never reaches the stage, or a lost piece has no cause.
    """
    steps = _steps_to(past, method)
    [piece] = make(
        scribe,
        form,
        method,
        sources,
        happened=begun,
        is_date_known=begun is not None,
        words=FROM_BEFORE,
        **facts,
    )
    for step in steps:
        when = past.dates.get(step.slug)
        finish = past.finish if "finish" in step.asks else None
        known = when is not None
        workflow.move([piece], step.slug, scribe, happened=when, is_date_known=known, finish=finish)
    _bring_to_today(piece, past, scribe)
    piece.refresh_from_db()
    return piece


def _steps_to(past: Past, method: str) -> list[workflow.Move]:
    """Return the moves that bring a new piece to the past one's stage."""
    if past.stage == Stage.LOST:
        if past.loss_cause is None:
            raise RecordError("Say how the piece was lost: choose “not known” if nobody knows.")
        return []
    stages = workflow.stages_of(method)
    if past.stage not in stages:
        raise RecordError("A piece of this method has no such stage: choose another of the two.")
    onward = [m for m in workflow.METHODS[method] if m.is_onward]
    return onward[: stages.index(Stage(past.stage))]


def _bring_to_today(piece: Piece, past: Past, scribe: Scribe) -> None:
    """Record the loss of the piece, or the hands it went to."""
    if past.stage == Stage.LOST and past.loss_cause:
        when = past.dates.get("lost")
        workflow.lose(
            [piece], past.loss_cause, scribe, happened=when, is_date_known=when is not None
        )
    elif past.custody != Custody.Kind.SHOP:
        custody.hand_over(
            [piece],
            past.custody,
            scribe,
            holder=past.holder,
            since=past.since,
            is_date_known=past.since is not None,
            why=past.why,
        )
