"""Deposits: taken, given back, taken off a receipt, and held again when that is void."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Sum

from provenance.record.errors import RecordError
from shop.sales import deposits, paying, undoing
from shop.sales.checkout import Sold
from shop.sales.deposits import NotHeld
from shop.sales.models import Account, Payment, PaymentKind, Receipt
from shop.sales.paying import Paid, WrongAmount
from tests import factories

pytestmark = pytest.mark.django_db

TODAY = factories.NOW.date()


@pytest.fixture
def account(db: None) -> Account:
    scribe = factories.a_scribe()
    return deposits.open_account(factories.a_person(), "A bowl from her ash", scribe)


def take(account: Account, *how: object, kind: str = "cash", **when: object) -> Payment:
    paid = Paid(factories.a_kind(kind), *how)  # type: ignore[arg-type]
    return deposits.take(account, paid, factories.a_scribe(), **when)  # type: ignore[arg-type]


def give_back(account: Account, *how: object, **when: object) -> Payment:
    paid = Paid(factories.a_kind(), *how)  # type: ignore[arg-type]
    return deposits.give_back(account, paid, factories.a_scribe(), **when)  # type: ignore[arg-type]


def a_receipt(minor: int, account: Account, **facts: Any) -> Receipt:
    return factories.a_receipt(Sold(minor, words="Bowl to order"), account=account, **facts)


def held(account: Account) -> int:
    """What the account says is held, after asking whether its payments say the same."""
    row = Account.objects.get(pk=account.pk)

    def sums(**which: Any) -> int:
        found = Payment.objects.filter(account=account, **which)
        return found.aggregate(sum=Sum("amount_minor"))["sum"] or 0

    assert row.held_minor == sums(receipt=None) - sums(receipt__isnull=False)
    return row.held_minor


def test_a_deposit_is_held_until_it_is_given_back(account: Account) -> None:
    PaymentKind.objects.filter(slug="card").update(fee_pct=Decimal(2))
    first = take(account, 3_000, kind="card")
    second = take(account, 2_000, 5_000)
    assert (first.fee_minor, first.receipt, first.kind.slug) == (60, None, "card")
    assert (second.change_minor, account.held_minor, held(account)) == (3_000, 5_000, 5_000)
    assert give_back(account, 1_000).amount_minor == -1_000
    assert held(account) == 4_000
    assert give_back(account).amount_minor == -4_000
    assert held(account) == 0


def test_a_deposit_is_taken_off_as_far_as_it_goes(account: Account) -> None:
    take(account, 3_000)
    receipt = a_receipt(10_000, account)
    assert list(receipt.payments.values_list("amount_minor", "account", "kind__slug")) == [
        (3_000, account.pk, None),
        (7_000, None, "cash"),
    ]
    assert (held(account), paying.owed_on(receipt)) == (0, 0)


def test_what_a_deposit_has_beyond_the_receipt_stays_held(account: Account) -> None:
    take(account, 3_000)
    receipt = a_receipt(1_000, account)
    assert receipt.payments.get().amount_minor == 1_000  # nothing was left for cash to pay
    assert held(account) == 2_000


def test_where_nothing_is_held_nothing_is_taken_off(account: Account) -> None:
    receipt = a_receipt(1_000, account, payments=())
    assert not receipt.payments.exists()
    assert receipt.owed_minor == 1_000


def test_a_void_holds_the_deposit_again(account: Account) -> None:
    take(account, 3_000)
    receipt = a_receipt(10_000, account)
    made = undoing.void(receipt, "The other bowl", factories.a_scribe())
    assert held(account) == 3_000
    back = made.payments.get(account=account)
    assert (back.amount_minor, back.receipt, back.kind) == (-3_000, receipt, None)
    assert paying.paid_on(receipt) == 0
    a_receipt(2_500, account)
    assert held(account) == 500


def test_a_refund_gives_money_and_leaves_the_deposit_spent(account: Account) -> None:
    take(account, 3_000)
    receipt = a_receipt(3_000, account)
    wishes = [undoing.Wish(receipt.lines.get(), 3_000)]
    undoing.refund(receipt, wishes, "Split", factories.a_scribe(), kind=factories.a_kind())
    assert held(account) == 0
    assert paying.paid_on(receipt) == 0


@pytest.mark.parametrize(
    ("work", "error", "sentence"),
    [
        (lambda a: take(a), WrongAmount, "Enter the deposit that was paid."),
        (lambda a: take(a, 0), WrongAmount, "Enter the deposit that was paid."),
        (lambda a: take(a, -5), WrongAmount, "Enter the deposit that was paid."),
        (
            lambda a: take(a, 500, 499),
            WrongAmount,
            "The cash given is less than the deposit: check the amounts.",
        ),
        (
            lambda a: take(a, 500, on=TODAY + timedelta(days=1)),
            RecordError,
            "That day is still to come: enter the day of the payment.",
        ),
        (
            lambda a: give_back(a, 3_001),
            NotHeld,
            "$30 is held for Ada Quill: give back that much at most.",
        ),
        (
            lambda a: give_back(a, -1),
            NotHeld,
            "$30 is held for Ada Quill: give back that much at most.",
        ),
        (
            lambda a: give_back(a, 1, on=TODAY + timedelta(days=1)),
            RecordError,
            "That day is still to come: enter the day of the payment.",
        ),
    ],
)
def test_what_does_not_fit_is_refused(
    account: Account, work: Callable[[Account], object], error: type[RecordError], sentence: str
) -> None:
    take(account, 3_000)
    with pytest.raises(error) as caught:
        work(account)
    assert str(caught.value) == sentence
    assert (held(account), account.payments.count()) == (3_000, 1)


@pytest.mark.parametrize("way", ["given back", "taken off"])
def test_no_deposit_goes_out_before_it_came_in(account: Account, way: str) -> None:
    take(account, 3_000, on=TODAY)
    day_before = {"on": TODAY - timedelta(days=1)}
    with pytest.raises(NotHeld, match=r"last moved on 15 June 2026: enter that day or one after"):
        if way == "given back":
            give_back(account, 3_000, **day_before)
        else:
            a_receipt(3_000, account, sold_on=day_before["on"])
    assert (held(account), account.payments.count()) == (3_000, 1)


def test_from_an_empty_account_nothing_is_given_back(account: Account) -> None:
    with pytest.raises(NotHeld, match=r"\$0 is held for Ada Quill"):
        give_back(account)


def test_an_account_keeps_the_currency_it_was_opened_in(shop, account: Account) -> None:
    shop.currency = "JPY"
    shop.save()
    take(account, 3_000)
    with pytest.raises(NotHeld, match=r"\$30 is held"):
        give_back(account, 4_000)
