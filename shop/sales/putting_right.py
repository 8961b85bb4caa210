"""Putting a payment right that was written down wrongly: an entry that takes it back."""

from django.db import transaction

from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe
from shop.sales import deposits, paying
from shop.sales.models import Account, Payment, Receipt


class CannotBeTakenBack(RecordError):
    """The payment belongs to something else, or was taken back already."""


def why_not(payment: Payment) -> str:
    """Return why a payment can't be taken back by itself; '' when it can. At most two queries."""
    if payment.kind_id is None:
        return "A deposit that was taken off belongs to its receipt: void that instead."
    if payment.void_id or payment.refund_id:
        return "This belongs to a void or a refund, and stays with it."
    if payment.corrects_id:
        return "This takes another payment back: write the payment down anew instead."
    if payment.is_taken_back:
        return "This was taken back already."
    if payment.receipt and payment.receipt.is_void:
        return f"Receipt {payment.receipt} is void: all of it was taken back."
    if payment.account and payment.amount_minor > payment.account.held_minor:
        held = format_money(payment.account.held_minor, payment.account.currency)
        return f"Only {held} of it is still held: void the receipt that it was taken off first."
    return ""


@transaction.atomic
def take_back(payment: Payment, reason: str, scribe: Scribe) -> Payment:
    """Take a payment or a deposit back that was never made as it was written; return the entry.

    It counts today, its fee too; what it paid is owed again. Raises `CannotBeTakenBack`.
    """
    if payment.receipt_id:
        paying.locked(Receipt(pk=payment.receipt_id))
    else:
        deposits.locked(Account(pk=payment.account_id))
    payment = Payment.objects.select_related("account", "receipt", "kind").get(pk=payment.pk)
    if sentence := why_not(payment):
        raise CannotBeTakenBack(sentence)
    if payment.account:
        return deposits.put_right(payment, reason, scribe)
    entry = Payment.objects.create(
        receipt=payment.receipt,
        kind=payment.kind,
        amount_minor=-payment.amount_minor,
        fee_minor=-payment.fee_minor,
        on=scribe.today,
        written_at=scribe.at,
        by=scribe.user,
        words=reason,
        corrects=payment,
    )
    if payment.receipt:
        paying.note_owed(payment.receipt)
    return entry
