"""Money for receipts: what is paid, what is still owed, what goes back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.db.models import Sum

from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe
from shop.sales.models import Owing, Payment, PaymentKind, Receipt, Refund, RefundLine


class WrongAmount(RecordError):
    """A payment is more than what is owed, or more cash would be needed."""


class TooLittleCash(WrongAmount):
    """Less cash was given than is to be paid with it."""


@dataclass(frozen=True)
class Paid:
    """A payment to be; `amount_minor` None pays whatever is left, `given_minor` is cash given."""

    kind: PaymentKind
    amount_minor: int | None = None
    given_minor: int | None = None
    words: str = ""


def owed_on(receipt: Receipt) -> int:
    """Return what is still owed on a receipt, from its rows; negative where too much was paid.

    Three queries.
    """
    if receipt.is_void:
        return -paid_on(receipt)
    back = RefundLine.objects.filter(refund__receipt=receipt).aggregate(sum=Sum("due_minor"))["sum"]
    return receipt.due_minor - (back or 0) - paid_on(receipt)


def paid_on(receipt: Receipt) -> int:
    """Return what has been paid on a receipt, deposits taken off it too. One query."""
    paid = Payment.objects.filter(receipt=receipt).aggregate(sum=Sum("amount_minor"))["sum"]
    return int(paid or 0)


@transaction.atomic
def pay(receipt: Receipt, paid: Paid, scribe: Scribe, *, on: date | None = None) -> Payment | None:
    """Write down a payment for what is still owed; None where nothing was left to pay.

    Raises `WrongAmount` when it is more than is owed, or the receipt is void.
    """
    receipt = locked(receipt)
    if receipt.is_void:
        raise WrongAmount(f"Receipt {receipt} is void: nothing is owed on it.")
    payments = take_payments(receipt, [paid], scribe, on=on or scribe.today)
    return payments[0] if payments else None


def locked(receipt: Receipt) -> Receipt:
    """Return the receipt read again under a lock; later readers see what was written meanwhile."""
    return Receipt.objects.select_for_update().get(pk=receipt.pk)


def take_payments(
    receipt: Receipt, payments: Sequence[Paid], scribe: Scribe, *, on: date
) -> list[Payment]:
    """Write payments for a receipt in order and note what stays owed. The caller has the lock."""
    if on > scribe.today:
        raise RecordError("That day is still to come: enter the day of the payment.")
    if on < receipt.sold_on:
        raise RecordError("That is before the sale: enter the day of the payment.")
    owed = owed_on(receipt)
    written = []
    for paid in payments:
        amount = owed if paid.amount_minor is None else paid.amount_minor
        if amount < 0:
            raise WrongAmount("A payment comes in: enter it without a minus.")
        if amount > owed:
            raise WrongAmount(
                f"That pays {_money(amount, receipt)}, and {_money(owed, receipt)} is due: "
                "for cash, enter what was handed to you as cash given."
            )
        if amount > 0:
            written.append(_write(receipt, paid, amount, scribe, on))
            owed -= amount
    note_owed(receipt)
    return written


def _write(receipt: Receipt, paid: Paid, amount: int, scribe: Scribe, on: date) -> Payment:
    given = paid.given_minor if paid.kind.is_cash else None
    if given is not None and given < amount:
        raise TooLittleCash(
            f"{_money(given, receipt)} is less than the {_money(amount, receipt)} to be paid in "
            f"{paid.kind.name.lower()}: enter the smaller amount as the payment, the rest is owed."
        )
    return Payment.objects.create(
        receipt=receipt,
        kind=paid.kind,
        amount_minor=amount,
        given_minor=given,
        fee_minor=paid.kind.fee_minor(amount),
        on=on,
        written_at=scribe.at,
        by=scribe.user,
        words=paid.words,
    )


def pay_back(
    receipt: Receipt, refund: Refund, kind: PaymentKind | None, scribe: Scribe
) -> Payment | None:
    """Give back what was paid beyond what is due now; None where that is nothing.

    A fee that was taken when the money came in is not counted back.
    """
    too_much = -owed_on(receipt)
    payment = None
    if too_much > 0:
        if kind is None:
            raise WrongAmount(f"Say how the {_money(too_much, receipt)} is paid back.")
        payment = Payment.objects.create(
            receipt=receipt,
            kind=kind,
            amount_minor=-too_much,
            on=refund.on,
            written_at=scribe.at,
            by=scribe.user,
            refund=refund,
        )
    note_owed(receipt)
    return payment


def note_owed(receipt: Receipt) -> None:
    """Bring the row of what is still owed in line with the receipt's rows."""
    owed = owed_on(receipt)
    if owed > 0:
        Owing.objects.update_or_create(receipt=receipt, defaults={"amount_minor": owed})
    else:
        Owing.objects.filter(receipt=receipt).delete()


def _money(minor: int, receipt: Receipt) -> str:
    return format_money(minor, receipt.currency)
