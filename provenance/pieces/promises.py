"""Promises: which wood is kept for whom, and what a parting would break."""

from datetime import date
from typing import Any

from django.db import transaction
from django.db.models import Q

from provenance.people.models import Person
from provenance.pieces.models import Part, Piece, Promise
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.journal import HasJournal
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.trees.models import Section, Tree, TreeQuerySet


class WouldBreak(RecordError):
    """The step would break a promise, and nobody said why to go on."""


class Settled(RecordError):
    """The promise is closed already."""


def broken_by(piece: Piece, *, to: Person | None = None) -> list[Promise]:
    """Return the standing promises that lose wood if this piece leaves; those to `to` are kept.

    Wood kept as a section, as the piece, or as the piece it was recut from all count. Two queries,
    and one more for each time the wood was recut.
    """
    line = _recut_from(piece)
    standing = Promise.objects.standing().select_related("to")
    reserved = standing.filter(Q(pieces__in=line) | Q(sections__parts__piece__in=line))
    return [p for p in reserved.distinct() if to is None or not to.is_same_as(p.to)]


def _recut_from(piece: Piece) -> set[int]:
    """Return the keys of the piece and of those that its wood was part of before."""
    line: set[int] = set()
    newest = {piece.pk}
    while newest:
        line |= newest
        parts = Part.objects.filter(piece__in=newest, source_piece__isnull=False)
        newest = set(parts.values_list("source_piece", flat=True)) - line
    return line


def said_at_pick_up() -> TreeQuerySet:
    """Return the trees given with words of promise that no promise in the book takes up yet."""
    return Tree.objects.counted().exclude(promised="").filter(promises=None)


def ask(piece: Piece, reason: str, *, to: Person | None = None) -> None:
    """Raise `WouldBreak` with the promise's words unless there is none, or a `reason` to go on."""
    broken = broken_by(piece, to=to)
    if broken and not reason.strip():
        first = broken[0]
        whom = f" to {first.to}" if first.to else ""
        raise WouldBreak(
            f"{piece.number} is kept for a promise{whom}: “{first.words}”. "
            "Say why it goes all the same, or choose another piece."
        )


@transaction.atomic
def make(
    scribe: Scribe,
    words: str,
    *,
    sections: list[Section] | None = None,
    pieces: list[Piece] | None = None,
    **facts: Any,
) -> Promise:
    """Write a promise down and reserve its wood. `facts` are further fields of `Promise`."""
    promise = Promise.objects.create(words=words, created_at=scribe.at, **facts)
    reserve(promise, scribe, sections=sections or [], pieces=pieces or [])
    if promise.tree:
        journal.write(
            promise.tree.journal,
            JournalEntry.Kind.PROMISE,
            scribe,
            happened=PartialDate.of(promise.made_on or scribe.today),
            words=f"Promised: {words}",
        )
    return promise


@transaction.atomic
def reserve(
    promise: Promise, scribe: Scribe, *, sections: list[Section], pieces: list[Piece]
) -> None:
    """Keep exactly these sections and pieces for the promise; each change stands in its journal.

    Raises `Settled` when the promise is closed.
    """
    _standing(promise)
    kept: set[HasJournal] = {*promise.sections.all(), *promise.pieces.all()}
    wanted: set[HasJournal] = {*sections, *pieces}
    promise.sections.set(sections)
    promise.pieces.set(pieces)
    whom = f" to {promise.to}" if promise.to else ""
    for thing in wanted - kept:
        _note(thing, scribe, f"Kept for the promise{whom}: {promise.words}")
    for thing in kept - wanted:
        _note(thing, scribe, f"No longer kept for the promise{whom}: {promise.words}")


@transaction.atomic
def settle(promise: Promise, scribe: Scribe, how: str, *, on: date | None = None) -> None:
    """Close a promise: kept, or let go; `how` says which and why. Raises `Settled` if it is."""
    row = _standing(promise)
    row.settled_on, row.settled_how = on or scribe.today, how
    row.save(update_fields=["settled_on", "settled_how"])
    kept: list[HasJournal] = [*promise.sections.all(), *promise.pieces.all()]
    for thing in [promise.tree, *kept] if promise.tree else kept:
        _note(thing, scribe, f"Promise settled: {how}", on=row.settled_on)
    promise.settled_on, promise.settled_how = row.settled_on, how


def _standing(promise: Promise) -> Promise:
    """Return the promise's row under a lock; raise `Settled` unless it still stands."""
    row = Promise.objects.select_for_update().get(pk=promise.pk)
    if row.settled_on:
        raise Settled(f"This promise was settled on {PartialDate.of(row.settled_on).spoken()}.")
    return row


def _note(thing: HasJournal, scribe: Scribe, words: str, *, on: date | None = None) -> None:
    journal.write(
        thing.journal,
        JournalEntry.Kind.PROMISE,
        scribe,
        happened=PartialDate.of(on or scribe.today),
        words=words,
    )
