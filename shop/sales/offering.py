"""What the form of a sale offers: pieces found by a few letters, and what is usual just now."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef

from provenance.people.models import Person
from provenance.pieces.models import Custody, Piece, PieceQuerySet
from provenance.record.numbers import NotANumber, Number
from provenance.record.seeking import sought as fit_to_seek
from shop.sales.checkout import SELLABLE
from shop.sales.models import Channel, Line, Receipt, TaxRate

OFFERED = 6
NO_TAX = "none"

#: What the place of a piece says about how it is sold.
BY_CUSTODY: dict[str, str] = {
    Custody.Kind.MARKET: Channel.BOOTH,
    Custody.Kind.GALLERY: Channel.GALLERY,
}


@dataclass(frozen=True)
class Found:
    """The one piece that was meant, or several to choose from, or a sentence why there is none."""

    piece: Piece | None = None
    pieces: list[Piece] = field(default_factory=list)
    sentence: str = ""


def for_sale() -> PieceQuerySet:
    """Return the finished pieces that can be sold now, those with a price first."""
    return Piece.objects.for_lists().for_sale().filter(holding=None)


def sought(text: str) -> Found:
    """Return what a number or a few words mean among what can be sold.

    A number is taken whatever its piece's stage; whether it may be sold is said at the sale.
    """
    text = fit_to_seek(text)
    if not text:
        return Found()
    try:
        number = Number.parse(text)
    except NotANumber as error:
        pieces = list(for_sale().search(text)[:OFFERED])
        if len(pieces) == 1:
            return Found(piece=pieces[0])
        looks_like_number = sum(c.isdigit() for c in text) >= 4
        why = str(error) if looks_like_number else f"Nothing for sale matches “{text}”."
        return Found(pieces=pieces, sentence="" if pieces else why)
    piece = Piece.objects.for_lists().filter(code=number.code).first()
    if piece is None:
        return Found(sentence=f"No piece of the book has the number {number}.")
    if piece.custody is None or piece.custody.kind not in SELLABLE:
        return Found(sentence=f"{number} is {piece.custody}: bring it to the shop first.")
    return Found(piece=piece)


@dataclass(frozen=True)
class Usual:
    """What a sale begins with; `no_rate` is what stands for no tax where `rate` is None."""

    channel: str = ""
    place: str = ""
    gallery: Person | None = None
    share_pct: Decimal | None = None
    is_tax_theirs: bool = False
    rate: TaxRate | None = None
    no_rate: str = ""
    kind_pk: str = ""


def usual(
    pieces: Sequence[Piece], rates: Iterable[TaxRate], today: date, *, channel: str = ""
) -> Usual:
    """Return how a sale of these pieces probably goes: where they are, else as the last one today.

    Nothing is guessed that neither says. At most five queries.
    """
    where = {(p.custody.kind, p.custody.holder_id): p.custody for p in pieces if p.custody}
    custody = next(iter(where.values())) if len(where) == 1 else None
    # A kept deposit is a receipt without a taxed line: how that went says nothing of a sale.
    taxed = Line.objects.filter(receipt=OuterRef("pk"), is_taxed=True)
    latest = Receipt.objects.standing().filter(Exists(taxed)).order_by("-pk")
    if not channel and custody:
        channel = BY_CUSTODY.get(custody.kind, "")
    if not channel:
        channel = latest.filter(sold_on=today).values_list("channel", flat=True).first() or ""
    like = latest.filter(channel=channel) if channel else latest.none()
    gallery = custody.holder if channel == Channel.GALLERY and custody else None
    if gallery:
        like = like.filter(gallery=gallery)
    last = like.select_related("gallery").first()
    place = last.place if last and last.sold_on == today else ""
    if channel == Channel.BOOTH and custody and not place:
        place = str(custody.holder or custody.why)[:120]
    rate, no_rate = _rate(list(rates), last, today)
    return Usual(
        channel=channel,
        place=place,
        gallery=gallery or (last.gallery if last and channel == Channel.ONLINE else None),
        share_pct=last.share_pct if last else None,
        is_tax_theirs=bool(last and last.is_tax_theirs),
        rate=rate,
        no_rate=no_rate,
        kind_pk=_kind(last),
    )


def _rate(
    rates: Sequence[TaxRate], last: Receipt | None, today: date
) -> tuple[TaxRate | None, str]:
    """Return the rate by which the last sale of the kind was taxed where it holds, or the only one.

    Beside it what the form holds where there is none: no tax, or nothing chosen yet. That the last
    sale went without tax says nothing of this one.
    """
    holding = [rate for rate in rates if rate.holds_on(today)]
    same = [rate for rate in holding if last and rate.name == last.tax_name]
    for likely in (same, holding):
        if len(likely) == 1:
            return likely[0], ""
    return None, "" if holding else NO_TAX


def _kind(last: Receipt | None) -> str:
    """Return the key of how the last sale of the kind was paid; '' for no sale or no payment."""
    payment = last.payments.filter(account=None).order_by("pk").first() if last else None
    return str(payment.kind_id) if payment else ""
