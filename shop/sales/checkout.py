"""Selling: one function writes the receipt, its lines and payments, and hands the pieces over."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db import transaction

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces import custody, promises
from provenance.pieces.models import Custody, Piece, Stage
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.numbering import next_in_sequence
from provenance.record.scribe import Scribe
from shop.sales import deposits, paying
from shop.sales.models import (
    Account,
    Channel,
    Extra,
    Holding,
    Line,
    Receipt,
    Rounding,
    TaxRate,
)
from shop.sales.paying import Paid
from shop.sales.reckoning import Basis, Item, Off, OutOfBounds, Reckoning, reckon

MOST_LINES = 200

#: Where a piece may be when it is sold. One with an owner may get its receipt later.
SELLABLE = (*Custody.HELD, Custody.Kind.REPAIR, Custody.Kind.BUYER)


class NothingSold(RecordError):
    """The draft has no line."""


class CannotBeSold(RecordError):
    """A piece is lost, given away, or on a receipt already. `piece` says which."""

    def __init__(self, piece: Piece, sentence: str) -> None:
        super().__init__(sentence)
        self.piece = piece


class AgreedElsewhere(promises.WouldBreak):
    """The buyer waits for this piece, or has money lying here: it may be their commission."""


@dataclass(frozen=True)
class Sold:
    """A line to be: a piece, an extra, or the owner's own words. `unit_minor` is the list price."""

    unit_minor: int
    words: str = ""
    quantity: int = 1
    piece: Piece | None = None
    extra: Extra | None = None
    off: Off = field(default_factory=Off)
    is_taxed: bool = True

    @property
    def said(self) -> str:
        """What stands on the receipt: the words, or what piece or extra are called."""
        named = self.piece.what if self.piece else str(self.extra or "")
        return (self.words or named)[:200]


@dataclass(frozen=True)
class Draft:
    """A sale before it is written. `account` is where a deposit for it is held."""

    lines: Sequence[Sold]
    sold_on: date
    channel: str = Channel.DIRECT
    place: str = ""
    gallery: Person | None = None
    share_pct: Decimal = Decimal(0)
    is_tax_theirs: bool = False
    buyer: Person | None = None
    off: Off = field(default_factory=Off)
    off_words: str = ""
    tax: TaxRate | None = None
    prices_include_tax: bool = False
    rounding: str = Rounding.RECEIPT
    payments: Sequence[Paid] = ()
    account: Account | None = None
    words: str = ""
    #: Why promised wood goes all the same.
    reason: str = ""
    #: Whether it is handed over where it was agreed on, as a commission.
    is_agreed: bool = False

    def reckoned(self) -> Reckoning:
        """Return what it comes to. Raises `reckoning.TooMuchOff` and `OutOfBounds`."""
        basis = Basis(
            rate_pct=self.tax.rate_pct if self.tax else Decimal(0),
            prices_include_tax=self.prices_include_tax,
            rounding=self.rounding,
            share_pct=self.share_pct,
            is_tax_theirs=self.is_tax_theirs,
        )
        items = [Item(s.unit_minor, s.quantity, s.off, s.is_taxed) for s in self.lines]
        return reckon(items, basis, self.off)


@transaction.atomic
def sell(draft: Draft, scribe: Scribe) -> Receipt:
    """Write the receipt of a sale and hand its pieces to their buyer; return it.

    Raises `NothingSold`, `CannotBeSold`, `reckoning.TooMuchOff` and `OutOfBounds`,
    `paying.WrongAmount`, `deposits.NotHeld`, `order.TooEarly` and `promises.WouldBreak`; then
    nothing is written.
    """
    if not draft.lines:
        raise NothingSold("Nothing is on the receipt yet: add a piece or another line.")
    if len(draft.lines) > MOST_LINES:
        raise OutOfBounds(f"A receipt has {MOST_LINES} lines at most: write a second one.")
    if draft.sold_on > scribe.today:
        raise RecordError("That day is still to come: enter the day of the sale.")
    pieces = _locked(draft)
    _ask(draft, list(pieces.values()))
    reckoning = draft.reckoned()
    receipt = _write(draft, reckoning, scribe)
    for position, (sold, sums) in enumerate(zip(draft.lines, reckoning.lines, strict=True), 1):
        piece = pieces.get(sold.piece.pk) if sold.piece else None
        link = _hand_over(piece, draft, scribe, receipt) if piece else None
        line = Line.objects.create(
            receipt=receipt,
            position=position,
            piece=piece,
            extra=sold.extra,
            custody=link,
            words=sold.said,
            quantity=sold.quantity,
            unit_minor=sold.unit_minor,
            is_taxed=sold.is_taxed,
            **vars(sums),
        )
        if piece:
            Holding.objects.create(piece=piece, line=line)
    if draft.account:
        deposits.take_off(draft.account, receipt, scribe, on=draft.sold_on)
    paying.take_payments(receipt, draft.payments, scribe, on=draft.sold_on)
    return receipt


def _locked(draft: Draft) -> dict[int, Piece]:
    """Return the draft's pieces by key, under a lock and fit to be sold."""
    wanted = [sold.piece for sold in draft.lines if sold.piece]
    if any(sold.piece and sold.quantity != 1 for sold in draft.lines):
        raise OutOfBounds("There is one of each piece: take its number of pieces back to 1.")
    pieces = {piece.pk: piece for piece in Piece.objects.locked(wanted)}
    for piece in wanted:
        if sum(other.pk == piece.pk for other in wanted) > 1:
            raise CannotBeSold(piece, f"{piece.number} stands here twice: take one line away.")
        _check(pieces[piece.pk])
    return pieces


def _ask(draft: Draft, pieces: list[Piece]) -> None:
    """Raise `AgreedElsewhere` where a plain sale would pass by what the buyer agreed on before.

    Wood promised to others is asked about when it is handed over. Two queries a piece, and one.
    """
    if draft.buyer is None or draft.is_agreed or draft.account or draft.reason.strip():
        return
    theirs = "If it is a commission, hand it over there, so that its price and deposit count; else"
    for piece in pieces:
        for promise in promises.broken_by(piece):
            if promise.to and promise.to.is_same_as(draft.buyer):
                raise AgreedElsewhere(
                    f"{piece.number} is kept for a promise to {promise.to}: “{promise.words}”. "
                    f"{theirs} say that this keeps the promise."
                )
    held = Account.objects.filter(person__in=draft.buyer.keys(), held_minor__gt=0).first()
    if held:
        amount = format_money(held.held_minor, held.currency)
        raise AgreedElsewhere(
            f"A deposit of {amount} is held for {draft.buyer}: “{held.words}”. {theirs} say why "
            "this is a sale of its own."
        )


def _check(piece: Piece) -> None:
    """Raise `CannotBeSold` with a sentence unless the piece, read under its lock, may be sold."""
    holding = Holding.objects.select_related("line__receipt").filter(piece=piece).first()
    if holding:
        receipt = holding.line.receipt
        raise CannotBeSold(
            piece,
            f"{piece.number} is sold already, on receipt {receipt}: void or refund it there first.",
        )
    if piece.stage == Stage.LOST:
        raise CannotBeSold(piece, f"{piece.number} is recorded as lost: take the loss back first.")
    if piece.custody is None or piece.custody.kind not in SELLABLE:
        raise CannotBeSold(
            piece, f"{piece.number} is {piece.custody or 'nowhere'}: bring it to the shop first."
        )


def _write(draft: Draft, reckoning: Reckoning, scribe: Scribe) -> Receipt:
    year = scribe.today.year % 100
    [sequence] = next_in_sequence("receipt", year)
    return Receipt.objects.create(
        code=f"R{year:02}-{sequence:03}",
        sold_on=draft.sold_on,
        written_at=scribe.at,
        by=scribe.user,
        channel=draft.channel,
        place=draft.place,
        gallery=draft.gallery,
        buyer=draft.buyer,
        words=draft.words,
        currency=Shop.current().currency,
        prices_include_tax=draft.prices_include_tax,
        rounding=draft.rounding,
        tax_name=draft.tax.name if draft.tax else "",
        tax_rate_pct=draft.tax.rate_pct if draft.tax else Decimal(0),
        is_tax_theirs=draft.is_tax_theirs,
        share_pct=draft.share_pct,
        discount_words=draft.off_words,
        gross_minor=reckoning.gross_minor,
        discount_minor=reckoning.discount_minor,
        tax_minor=reckoning.tax_minor,
        total_minor=reckoning.total_minor,
        share_minor=reckoning.share_minor,
        due_minor=reckoning.due_minor,
    )


def _hand_over(piece: Piece, draft: Draft, scribe: Scribe, receipt: Receipt) -> Custody | None:
    """Give the piece to its buyer; None where it has its owner already."""
    now = piece.custody
    is_theirs = now and (draft.buyer is None or draft.buyer.is_same_as(now.holder))
    if now and now.kind == Custody.Kind.BUYER and is_theirs:
        return None
    [link] = custody.hand_over(
        [piece],
        Custody.Kind.BUYER,
        scribe,
        holder=draft.buyer,
        since=draft.sold_on,
        why=f"Receipt {receipt.code}",
        reason=draft.reason,
        move=custody.SALE,
    )
    return link
