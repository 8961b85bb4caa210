"""The wood of a commission: what is kept for it by its promise, and the pieces made for it."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.db import transaction
from django.db.models import Q

from provenance.pieces import promises
from provenance.pieces.models import Piece, PieceQuerySet, Promise, Stage
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe
from provenance.trees.models import Section
from shop.commissions.entries import promise_of, standing, the_day, write
from shop.commissions.models import Commission
from shop.sales.checkout import SELLABLE
from shop.sales.models import Holding

#: How many finished pieces of the form are offered besides those from wood kept for it.
OFFERED = 12


class NotForThis(RecordError):
    """A piece that can't be kept or made for this commission. `piece` says which."""

    def __init__(self, piece: Piece, sentence: str) -> None:
        super().__init__(sentence)
        self.piece = piece


@transaction.atomic
def keep_wood(
    commission: Commission, scribe: Scribe, *, sections: list[Section], pieces: list[Piece]
) -> Commission:
    """Keep exactly these sections and pieces for it, and what is made for it anyway.

    Until it is handed over or called off, who parts with one of them is asked first. Raises
    `NotForThis` for a piece that is not the shop's to promise.
    """
    row = standing(commission, scribe)
    promise = promise_of(row, scribe)
    known = set(promise.pieces.values_list("pk", flat=True))
    for piece in Piece.objects.locked(pieces):
        if piece.pk not in known:
            _check_free(piece, row)
    _reserve(promise, row, scribe, sections=sections, pieces=pieces)
    return row


@transaction.atomic
def make_for_it(
    commission: Commission, pieces: Iterable[Piece], scribe: Scribe, *, on: date | None = None
) -> Commission:
    """Let exactly these be the pieces made for it; they are kept for it from then on.

    Raises `NotForThis` for one that is lost, sold, made for somebody else or promised to them.
    """
    row, day = standing(commission, scribe), the_day(on, scribe)
    promise = promise_of(row, scribe)
    before = {piece.pk: piece for piece in row.pieces.all()}
    wanted = {piece.pk: piece for piece in Piece.objects.locked(pieces)}
    added = [piece for key, piece in wanted.items() if key not in before]
    taken = [piece for key, piece in before.items() if key not in wanted]
    if not added and not taken:
        return row
    for piece in added:
        _check_free(piece, row)
    row.pieces.set(wanted.values())
    others = [piece for piece in promise.pieces.all() if piece not in taken]
    _reserve(promise, row, scribe, sections=list(promise.sections.all()), pieces=others)
    said = [f"Made for it: {_numbers(added)}."] if added else []
    said += [f"No longer for it: {_numbers(taken)}."] if taken else []
    write(row, scribe, day, *said)
    return row


def likely(commission: Commission) -> PieceQuerySet:
    """Return the pieces that may be made for it, read for a list, the newest first.

    Those that are already; those promised to them or cut from what is; and the newest finished
    ones of its form that are nobody's yet. Five queries before the list's own.
    """
    theirs = Promise.objects.standing().filter(to__in=commission.person.keys())
    promised = Q(promises__in=theirs) | Q(parts__section__promises__in=theirs)
    at_hand = Piece.objects.filter(custody__kind__in=SELLABLE, holding=None)
    at_hand = at_hand.exclude(stage=Stage.LOST).exclude(
        commissions__in=Commission.objects.standing().exclude(pk=commission.pk)
    )
    finished = at_hand.for_sale().filter(form=commission.form_id or 0)
    free = finished.exclude(promises__in=Promise.objects.standing()).order_by("-pk")
    found = [commission.pieces.all(), at_hand.filter(promised).distinct(), free[:OFFERED]]
    keys = {key for pieces in found for key in pieces.values_list("pk", flat=True)}
    return Piece.objects.for_lists().filter(pk__in=keys).order_by("-pk")


def _reserve(
    promise: Promise,
    row: Commission,
    scribe: Scribe,
    *,
    sections: list[Section],
    pieces: Sequence[Piece],
) -> None:
    kept = list(dict.fromkeys([*pieces, *row.pieces.all()]))
    promises.reserve(promise, scribe, sections=sections, pieces=kept)


def _check_free(piece: Piece, row: Commission) -> None:
    """Raise `NotForThis` unless the piece, read under its lock, is the shop's to promise."""
    sentence = _in_the_way(piece, row)
    if sentence:
        raise NotForThis(piece, sentence)


def _in_the_way(piece: Piece, row: Commission) -> str:
    if piece.stage == Stage.LOST:
        return f"{piece.number} is recorded as lost: choose another piece."
    holding = Holding.objects.select_related("line__receipt").filter(piece=piece).first()
    if holding:
        return f"{piece.number} is sold, on receipt {holding.line.receipt}: choose another piece."
    if piece.custody is None or piece.custody.kind not in SELLABLE:
        return f"{piece.number} is {piece.custody or 'nowhere'}: choose another piece."
    others = Commission.objects.standing().filter(pieces=piece).exclude(pk=row.pk)
    other = others.select_related("person").first()
    if other:
        return f"{piece.number} is made for {other.person}: choose another piece."
    broken = promises.broken_by(piece, to=row.person)
    if broken:
        return (
            f"{piece.number} is kept for another promise, “{broken[0].words[:80]}”: let it go "
            "there first, or choose another piece."
        )
    return ""


def _numbers(pieces: Sequence[Piece]) -> str:
    return ", ".join(str(piece.number) for piece in pieces)
