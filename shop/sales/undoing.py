"""Taking a sale back: voiding the whole receipt, or refunding some of it. Entries of their own."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.db.models import Sum

from provenance.pieces import custody
from provenance.pieces.models import Custody, Piece
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe
from shop.sales import deposits, paying
from shop.sales.models import (
    Holding,
    Line,
    Payment,
    PaymentKind,
    Receipt,
    Refund,
    RefundLine,
    Void,
)
from shop.sales.reckoning import given_back

#: Where a piece is when somebody else has it for good.
GONE = (Custody.Kind.BUYER, Custody.Kind.GIVEN)


class CannotBeVoided(RecordError):
    """The receipt is void already, or some of it was refunded."""


class CannotBeRefunded(RecordError):
    """Nothing of it is left to give back, or more was asked for than is left on `line`."""

    def __init__(self, sentence: str, line: Line | None = None) -> None:
        super().__init__(sentence)
        self.line = line


@dataclass(frozen=True)
class Wish:
    """What to give back on a line: so much (tax in it), and whether its piece comes back."""

    line: Line
    amount_minor: int
    is_returned: bool = False


@transaction.atomic
def void(receipt: Receipt, reason: str, scribe: Scribe, *, on: date | None = None) -> Void:
    """Take a whole receipt back: money the way it came, pieces to where they were before.

    It counts on the day it is made, not on that of the sale. Raises `CannotBeVoided`.
    """
    day = _day(on, receipt, scribe)
    receipt = paying.locked(receipt)
    if receipt.is_void:
        raise CannotBeVoided(f"Receipt {receipt} is void already.")
    if receipt.refunds.exists():
        raise CannotBeVoided(
            f"Some of receipt {receipt} was refunded: refund the rest of it instead."
        )
    _check_payments(receipt, day)
    made = Void.objects.create(
        receipt=receipt, reason=reason, on=day, written_at=scribe.at, by=scribe.user
    )
    # Pieces before money, as a sale locks them: two that wait for each other would both wait.
    lines = list(receipt.lines.select_related("custody"))
    _bring_back(lines, f"Receipt {receipt} is void: {reason}", scribe, on=day)
    stands = receipt.payments.filter(corrects=None, correction=None)
    for payment in list(stands.select_related("account", "kind")):
        if payment.account_id:
            deposits.put_back(payment, scribe, on=day, void=made)
        else:
            _reverse(payment, made, scribe)
    paying.note_owed(receipt)
    return made


def _reverse(payment: Payment, made: Void, scribe: Scribe) -> None:
    Payment.objects.create(
        receipt=payment.receipt,
        kind=payment.kind,
        amount_minor=-payment.amount_minor,
        fee_minor=-payment.fee_minor,
        on=made.on,
        written_at=scribe.at,
        by=scribe.user,
        void=made,
    )


@transaction.atomic
def refund(
    receipt: Receipt,
    wishes: Sequence[Wish],
    reason: str,
    scribe: Scribe,
    *,
    kind: PaymentKind | None = None,
    on: date | None = None,
) -> Refund:
    """Give some or all of a receipt back; pieces that come back are in the shop again.

    Tax and share go back in proportion. What is still owed shrinks first; only what was paid
    beyond it is paid back, by `kind`. Raises `CannotBeRefunded`, `paying.WrongAmount`.
    """
    day = _day(on, receipt, scribe)
    receipt = paying.locked(receipt)
    if receipt.is_void:
        raise CannotBeRefunded(f"Receipt {receipt} is void: all of it was taken back.")
    wishes = [wish for wish in wishes if wish.amount_minor or wish.is_returned]
    if not wishes:
        raise CannotBeRefunded("Say what is given back, or which piece comes back.")
    _check_payments(receipt, day)
    made = Refund.objects.create(
        receipt=receipt, reason=reason, on=day, written_at=scribe.at, by=scribe.user
    )
    for wish in wishes:
        _write_line(made, wish, receipt)
    returned = [wish.line for wish in wishes if wish.is_returned]
    _bring_back(returned, f"Came back, receipt {receipt}: {reason}", scribe, on=day, to_shop=True)
    paying.pay_back(receipt, made, kind, scribe)
    return made


def left_on(line: Line) -> int:
    """Return what of a line's amount has not been given back yet. One query."""
    return line.paid_minor - _given(line)


def _given(line: Line) -> int:
    return int(line.refund_lines.aggregate(sum=Sum("amount_minor"))["sum"] or 0)


def _write_line(made: Refund, wish: Wish, receipt: Receipt) -> RefundLine:
    line, before = wish.line, _given(wish.line)
    left = line.paid_minor - before
    if line.receipt_id != receipt.pk:
        raise CannotBeRefunded(f"“{line.words}” is not on receipt {receipt}: look at it again.")
    if not 0 <= wish.amount_minor <= left:
        raise CannotBeRefunded(
            f"Of “{line.words}” {format_money(left, receipt.currency)} is left to give back: "
            "enter that much at most.",
            line,
        )
    if wish.is_returned and not line.piece_id:
        raise CannotBeRefunded(
            f"“{line.words}” is no piece of the book: enter what is given back for it."
        )
    if wish.is_returned and not _is_out(line):
        raise CannotBeRefunded(f"“{line.words}” has come back already.")
    tax = share = 0
    if wish.amount_minor:
        back = given_back(
            wish.amount_minor,
            paid_minor=line.paid_minor,
            tax_minor=line.tax_minor,
            share_minor=line.share_minor,
            before_minor=before,
        )
        tax, share = back.tax_minor, back.share_minor
    return RefundLine.objects.create(
        refund=made,
        line=line,
        amount_minor=wish.amount_minor,
        tax_minor=tax,
        share_minor=share,
        due_minor=wish.amount_minor - share - (tax if receipt.is_tax_theirs else 0),
        is_returned=wish.is_returned,
    )


def _is_out(line: Line) -> bool:
    """Return whether the line's piece has not come back. The caller has the receipt's lock."""
    return not line.refund_lines.filter(is_returned=True).exists()


def _bring_back(
    lines: Sequence[Line], why: str, scribe: Scribe, *, on: date, to_shop: bool = False
) -> None:
    """Let the lines' pieces be sold again, and bring them back from their buyers.

    They go where they were before the sale, or to the shop; a piece that had its owner before it
    had its receipt stays there, and one in for repair stays for that.
    """
    keys = [line.piece_id for line in lines if line.piece_id]
    pieces = {piece.pk: piece for piece in Piece.objects.locked(Piece.objects.filter(pk__in=keys))}
    Holding.objects.filter(line__in=lines).delete()
    for line in lines:
        piece = pieces.get(line.piece_id or 0)
        if piece is None or piece.custody is None or piece.custody.kind not in GONE:
            continue
        before = Custody(kind=Custody.Kind.SHOP) if to_shop else hands_before(line, piece)
        if before:
            custody.hand_over(
                [piece],
                before.kind,
                scribe,
                holder=before.holder,
                since=on,
                why=why[:200],
                reason="It was there before." if before.kind in custody.PARTING else "",
                move=custody.SALE,
            )


def hands_before(line: Line, piece: Piece) -> Custody | None:
    """Return who had the piece before it was sold; None where it has not moved since.

    The sale moved nothing where the piece had its owner already; and it may be back with whoever
    had it before, as when one owner sold it on to another.
    """
    if line.custody is None:
        return None
    hands = piece.custodies.select_related("holder")
    before = hands.get(position=line.custody.position - 1)
    now = piece.custody
    is_there = now and now.kind == before.kind and now.holder_id == before.holder_id
    return None if is_there else before


def _check_payments(receipt: Receipt, day: date) -> None:
    """Raise unless all that was paid had been paid by that day: nothing goes back before it."""
    if receipt.payments.filter(on__gt=day).exists():
        raise RecordError(
            f"Receipt {receipt} has a payment of a later day: enter that day or one after it."
        )


def _day(on: date | None, receipt: Receipt, scribe: Scribe) -> date:
    day = on or scribe.today
    if day > scribe.today:
        raise RecordError("That day is still to come: enter the day on which it happened.")
    if day < receipt.sold_on:
        raise RecordError("That is before the sale: enter the day on which it was taken back.")
    return day
