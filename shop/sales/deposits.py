"""Deposits: money held for somebody until the thing they wait for is handed over."""

from datetime import date

from django.db import transaction

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from shop.sales import paying
from shop.sales.models import Account, Payment, Receipt
from shop.sales.paying import Paid


class NotHeld(RecordError):
    """So much, or money of that currency, is not held, or was not on that day."""


def open_account(person: Person, words: str, scribe: Scribe) -> Account:
    """Open an account for somebody's deposits; `words` say what for."""
    return Account.objects.create(
        person=person,
        words=words[:200],
        opened_at=scribe.at,
        currency=Shop.current().currency,
    )


@transaction.atomic
def take(account: Account, paid: Paid, scribe: Scribe, *, on: date | None = None) -> Payment:
    """Write down a deposit: money owed to its giver until hand-over."""
    row = locked(account)
    amount = paid.amount_minor or 0
    if amount <= 0:
        raise paying.WrongAmount("Enter the deposit that was paid.")
    if paid.kind.is_cash and paid.given_minor is not None and paid.given_minor < amount:
        raise paying.TooLittleCash("The cash given is less than the deposit: check the amounts.")
    return _move(
        row,
        account,
        amount,
        scribe,
        on=_day(on, scribe),
        kind=paid.kind,
        given_minor=paid.given_minor if paid.kind.is_cash else None,
        fee_minor=paid.kind.fee_minor(amount),
        words=paid.words,
    )


@transaction.atomic
def give_back(account: Account, paid: Paid, scribe: Scribe, *, on: date | None = None) -> Payment:
    """Return money from an account to its giver. Raises `NotHeld` when less is held."""
    row = locked(account)
    amount = row.held_minor if paid.amount_minor is None else paid.amount_minor
    if not 0 < amount <= row.held_minor:
        raise NotHeld(f"{_held(row)} is held for {row.person}: give back that much at most.")
    day = _day(on, scribe)
    _check_later(row, day)
    return _move(row, account, -amount, scribe, on=day, kind=paid.kind, words=paid.words)


def take_off(account: Account, receipt: Receipt, scribe: Scribe, *, on: date) -> Payment | None:
    """Take what is held off a receipt, as much as is due; None where nothing is held or due.

    Raises `NotHeld` where it was taken in another currency than the receipt's.
    """
    row = locked(account)
    amount = min(row.held_minor, paying.owed_on(receipt))
    if amount <= 0:
        return None
    if row.currency != receipt.currency:
        raise NotHeld(
            f"{_held(row)} is held for {row.person}, and this receipt is in {receipt.currency}: "
            "give the deposit back, then take it as a payment."
        )
    _check_later(row, on)
    return _move(row, account, amount, scribe, on=on, receipt=receipt)


def put_right(payment: Payment, reason: str, scribe: Scribe) -> Payment:
    """Take a deposit, or its return, out of its account again: it was never made so."""
    account = payment.account
    assert account is not None  # noqa: S101 (the caller asks for deposits only)
    return _move(
        locked(account),
        account,
        -payment.amount_minor,
        scribe,
        on=scribe.today,
        kind=payment.kind,
        fee_minor=-payment.fee_minor,
        words=reason,
        corrects=payment,
    )


def put_back(payment: Payment, scribe: Scribe, *, on: date, **facts: object) -> Payment:
    """Hold a deposit again that was taken off a receipt. For voids."""
    account = payment.account
    assert account is not None  # noqa: S101 (the caller asks for deposits only)
    row = locked(account)
    return _move(
        row, account, -payment.amount_minor, scribe, on=on, receipt=payment.receipt, **facts
    )


def locked(account: Account) -> Account:
    """Return the account read again under a lock."""
    return Account.objects.select_for_update().get(pk=account.pk)


def _held(row: Account) -> str:
    return format_money(row.held_minor, row.currency)


def _check_later(row: Account, day: date) -> None:
    """Raise unless all that moved on the account had moved by that day.

    Otherwise money would leave it before it came, and less than nothing be held in between.
    """
    later = row.payments.filter(on__gt=day).order_by("-on").first()
    if later:
        raise NotHeld(
            f"The deposit of {row.person} last moved on {PartialDate.of(later.on).spoken()}: "
            "enter that day or one after it."
        )


def _day(on: date | None, scribe: Scribe) -> date:
    if on and on > scribe.today:
        raise RecordError("That day is still to come: enter the day of the payment.")
    return on or scribe.today


def _move(
    row: Account,
    account: Account,
    amount: int,
    scribe: Scribe,
    *,
    on: date,
    receipt: Receipt | None = None,
    **facts: object,
) -> Payment:
    """Write the payment and what is held after it. Taken off a receipt, it leaves the account."""
    payment = Payment.objects.create(
        receipt=receipt,
        account=row,
        amount_minor=amount,
        on=on,
        written_at=scribe.at,
        by=scribe.user,
        **facts,
    )
    row.held_minor += -amount if receipt else amount
    row.save(update_fields=["held_minor"])
    account.held_minor = row.held_minor
    return payment
