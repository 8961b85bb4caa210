"""A weigh round: which piece is next, which one a few typed digits mean, and keeping a mass."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from provenance.drying import weighing
from provenance.drying.models import AT_HAND, Scale, Weighing, WeighRound
from provenance.maker.models import Shop
from provenance.pieces.models import Piece, PieceQuerySet
from provenance.record.errors import RecordError
from provenance.record.numbers import NotANumber, Number, near_misses
from provenance.record.scribe import Scribe
from provenance.record.text import quote
from provenance.record.units import format_mass

#: So many numbers are named where a few digits mean several, and on each side of a piece it is
#: asked whether one of them was on the scale.
_NAMED, _BESIDE = 4, 2
_MISREAD = str.maketrans("OIL", "011")


class NoSuchPiece(RecordError):
    """What was typed means no piece, or several."""


class RoundEnded(RecordError):
    """The round has ended: nothing is weighed in it any more."""


def open_rounds() -> list[WeighRound]:
    """Return the rounds that were not ended, the newest first. One query."""
    return list(WeighRound.objects.filter(ended_at=None).select_related("scale"))


@transaction.atomic
def start(store: str, scribe: Scribe) -> WeighRound:
    """Begin a round of one store, or of all for '', with the scale of the last one.

    A round of that store that is open since today is gone on with.
    """
    store = " ".join(store.split())[:120]
    today = WeighRound.objects.filter(ended_at=None, store__iexact=store)
    known = today.filter(started_on=scribe.today).first()
    if known is not None:
        return known
    last = WeighRound.objects.exclude(scale=None).select_related("scale").first()
    return WeighRound.objects.create(
        store=store,
        started_on=scribe.today,
        started_at=scribe.at,
        scale=last.scale if last else None,
    )


def end(weigh_round: WeighRound, scribe: Scribe) -> bool:
    """End a round; False where it had ended already."""
    still_open = WeighRound.objects.filter(pk=weigh_round.pk, ended_at=None)
    return bool(still_open.update(ended_at=scribe.at, at_piece=None))


def turn_to(weigh_round: WeighRound, piece: Piece) -> None:
    """Let the round stand at this piece, if it has not ended."""
    WeighRound.objects.filter(pk=weigh_round.pk, ended_at=None).update(at_piece=piece)


@transaction.atomic
def weigh_in(
    weigh_round: WeighRound, piece: Piece, mass_g: Decimal, scribe: Scribe, scale: Scale | None
) -> Weighing:
    """Keep a mass in grams, dated today, and let the round stand at the next piece.

    Raises `RoundEnded`, and as `weighing.weigh`.
    """
    kept = weighing.weigh(piece, mass_g, scribe, on=scribe.today, scale=scale)
    following = after(piece, list(weigh_round.unweighed()))
    still_open = WeighRound.objects.filter(pk=weigh_round.pk, ended_at=None)
    if not still_open.update(at_piece=following, scale=scale):
        raise RoundEnded("This round has ended, and nothing was kept. Start another one.")
    return kept


def after(piece: Piece, waiting: Sequence[Piece]) -> Piece | None:
    """Return the piece after this one in number order, the first after the last; None for none."""
    others = [each for each in waiting if each.pk != piece.pk]
    return next((each for each in others if each.pk > piece.pk), others[0] if others else None)


def meant(text: str, pieces: PieceQuerySet) -> Piece:
    """Return the piece that was typed or scanned: any by its number or the address of its card,
    one of `pieces` by its sequence, by year and sequence, or by how it ends.

    Raises `NoSuchPiece`, whose sentence names what may have been meant. At most four queries.
    """
    try:
        number = Number.parse(text)
    except NotANumber as error:
        return _by_few_digits(text, pieces, str(error))
    if number.kind == "tree":
        raise NoSuchPiece(f"{number} is a tree: type the number of a piece.")
    found = _pieces().filter(code=number.code).first()
    if found is None:
        raise NoSuchPiece(f"There is no piece {number} in the book.{_likely(text)}")
    return found


def _by_few_digits(text: str, pieces: PieceQuerySet, otherwise: str) -> Piece:
    digits = re.sub(r"[^0-9A-Z]", "", text.upper().translate(_MISREAD))
    if not re.fullmatch(r"[0-9]{1,8}|[0-9]{1,7}X", digits):
        raise NoSuchPiece(otherwise)
    codes = list(pieces.order_by("pk").values_list("code", flat=True))
    found = [code for code in codes if _names(digits, code)]
    found = found or [code for code in codes if len(digits) > 1 and code.endswith(digits)]
    if not found:
        raise NoSuchPiece(
            f"No piece of this round is {quote(text)}: type its whole number.{_likely(text)}"
        )
    if len(found) > 1:
        numbers = [str(Number.from_code(code)) for code in found[:_NAMED]]
        more = " or another" if len(found) > _NAMED else ""
        raise NoSuchPiece(
            f"{quote(text)} can be {' or '.join(numbers)}{more}: type more of its number."
        )
    return _pieces().get(code=found[0])


def _pieces() -> PieceQuerySet:
    return Piece.objects.for_lists().select_related("outlook")


def _names(digits: str, code: str) -> bool:
    """Whether the digits are the code's sequence, or year and sequence without the check."""
    number = Number.from_code(code)
    return digits.lstrip("0") == str(number.sequence) or digits == code[:-1]


def _likely(text: str) -> str:
    """Name the numbers one slip away that exist; '' for none."""
    near = [number.code for number in near_misses(text) if number.kind == "piece"]
    known = Piece.objects.filter(code__in=near).values_list("code", flat=True)
    numbers = [str(Number.from_code(code)) for code in known[:_NAMED]]
    return f" Did you mean {' or '.join(numbers)}?" if numbers else ""


def questions(
    weigh_round: WeighRound, piece: Piece, mass_g: Decimal, on: date, shop: Shop
) -> list[str]:
    """Return what is asked before a mass is kept: as `weighing.questions`, and if it is a second
    weighing of the same round."""
    beside = _beside(weigh_round, piece)
    asked = weighing.questions(piece, mass_g, on, shop=shop, neighbours=beside)
    known = weigh_round.weighings().filter(piece=piece).last()
    if known is not None:
        then = format_mass(known.mass_g, shop.mass_unit)
        said = f"{piece.number} was weighed in this round already: {then}. Weigh it once more?"
        asked.insert(0, said)
    return asked


def _beside(weigh_round: WeighRound, piece: Piece) -> list[Piece]:
    """The pieces of the round whose numbers come just before and just after. Two queries."""
    pieces = weigh_round.pieces()
    before = pieces.filter(pk__lt=piece.pk).order_by("-pk")[:_BESIDE]
    return [*before, *pieces.filter(pk__gt=piece.pk).order_by("pk")[:_BESIDE]]


@dataclass(frozen=True)
class Place:
    """Where a round stands: what still waits, how many were weighed, and the piece that is next."""

    waiting: list[Piece]
    weighed: int
    at: Piece | None

    @property
    def total(self) -> int:
        return self.weighed + len(self.waiting)

    @property
    def following(self) -> Piece | None:
        """The piece that skipping leads to; None where no other waits."""
        return after(self.at, self.waiting) if self.at else None


def place_of(weigh_round: WeighRound) -> Place:
    """Return where the round stands. Pieces that left the shelf meanwhile count no more.

    A piece that was turned to is offered even if it was weighed already. At most seven queries.
    """
    waiting = list(weigh_round.unweighed().for_lists().select_related("outlook"))
    total = weigh_round.pieces().count()
    at = next((piece for piece in waiting if piece.pk == weigh_round.at_piece_id), None)
    if at is None and weigh_round.at_piece_id:
        at = _turned_to(weigh_round.at_piece_id)
    return Place(waiting, max(total - len(waiting), 0), at or (waiting[0] if waiting else None))


def _turned_to(key: int) -> Piece | None:
    """The piece of that key, if it can be weighed."""
    can_be = Q(stage__in=weighing.WEIGHED, custody__kind__in=AT_HAND)
    return _pieces().filter(can_be, pk=key).first()


@dataclass(frozen=True)
class Outcome:
    """What a round came to: how many pieces were weighed, those of them dry now, the rest."""

    weighed: int
    dry: list[Piece]
    unweighed: int


def outcome_of(weigh_round: WeighRound) -> Outcome:
    """Return what an ended round came to, by the weighings written down while it was open.

    Five queries.
    """
    found = weigh_round.weighings()
    if weigh_round.store:
        found = found.filter(piece__stored__iexact=weigh_round.store)
    keys = set(found.values_list("piece", flat=True))
    dry = Piece.objects.for_lists().filter(pk__in=keys, outlook__is_dry=True).order_by("pk")
    return Outcome(len(keys), list(dry), weigh_round.unweighed().count())
