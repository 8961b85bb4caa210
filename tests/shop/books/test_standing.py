"""What is held and owed at the end of a day, and what makes it up."""

from datetime import date

import pytest

from provenance.maker.models import Shop
from shop.books.standing import deposits_held, held_in_other_money, held_on, owed, owed_on
from shop.sales import deposits, paying
from shop.sales.models import Account
from shop.sales.paying import Paid
from tests import factories
from tests.shop.books.selling import (
    DEC_1,
    LATE,
    NOV_30,
    NOVEMBER,
    OCTOBER,
    refund,
    sell,
    void,
    wax,
)

pytestmark = pytest.mark.django_db
JANUARY = date(2027, 1, 15)
DAYS = [OCTOBER.last, NOVEMBER.last, DEC_1, JANUARY]


def held() -> list[int]:
    """What was held on `DAYS`, which the accounts of each day must come to."""
    amounts = deposits_held(DAYS, "USD")
    assert [sum(row.amount_minor for row in held_on(day, "USD")) for day in DAYS] == amounts
    return amounts


def owing() -> list[int]:
    """What was owed on `DAYS`, which the receipts of each day must come to."""
    amounts = owed(DAYS, "USD")
    assert [sum(row.amount_minor for row in owed_on(day, "USD")) for day in DAYS] == amounts
    return amounts


def an_account(words: str = "An urn") -> Account:
    return deposits.open_account(factories.a_person(), words, LATE)


def in_cash(amount_minor: int | None = None) -> Paid:
    return Paid(factories.a_kind(), amount_minor)


def test_nothing_is_held_or_owed_in_an_empty_book() -> None:
    assert (held(), owing()) == ([0, 0, 0, 0], [0, 0, 0, 0])


def test_a_deposit_is_held_from_its_day_until_it_is_taken_off() -> None:
    account = an_account()
    deposits.take(account, in_cash(5_000), LATE, on=NOV_30)
    sell(JANUARY, wax(3_000), account=account)
    assert held() == [0, 5_000, 5_000, 2_000]


def test_a_deposit_given_back_or_put_back_by_a_void_counts_from_that_day() -> None:
    account = an_account()
    deposits.take(account, in_cash(5_000), LATE, on=OCTOBER.last)
    receipt = sell(NOV_30, wax(4_000), account=account)
    void(receipt, DEC_1)
    deposits.give_back(account, in_cash(), LATE, on=JANUARY)
    assert held() == [5_000, 1_000, 5_000, 0]


def test_accounts_say_whose_they_are_and_empty_ones_are_not_listed() -> None:
    deposits.take(an_account("An urn"), in_cash(5_000), LATE, on=NOV_30)
    empty = an_account("A bowl")
    deposits.take(empty, in_cash(700), LATE, on=NOV_30)
    deposits.give_back(empty, in_cash(), LATE, on=NOV_30)
    [row] = held_on(NOV_30, "USD")
    assert (row.account.words, row.account.person.name) == ("An urn", "Ada Quill")


def test_what_is_owed_shrinks_by_each_payment_on_its_day() -> None:
    receipt = sell(NOV_30, wax(3_000), payments=[in_cash(1_000)])
    paying.pay(receipt, in_cash(500), LATE, on=DEC_1)
    paying.pay(receipt, in_cash(), LATE, on=JANUARY)
    assert owing() == [0, 2_000, 1_500, 0]


def test_a_refund_and_a_void_lower_what_is_owed_from_their_day() -> None:
    refund(sell(NOV_30, wax(3_000), payments=[]), DEC_1, 1_000)
    void(sell(NOV_30, wax(500), payments=[in_cash(100)]), JANUARY)
    assert owing() == [0, 3_400, 2_400, 2_000]


def test_other_money_is_neither_held_nor_owed() -> None:
    shop = factories.a_shop(currency="EUR")
    account = an_account()
    deposits.take(account, in_cash(5_000), LATE, on=NOV_30)
    sell(DEC_1, wax(2_000), account=account)
    sell(NOV_30, wax(700), payments=[])
    Shop.objects.filter(pk=shop.pk).update(currency="USD")
    assert (held(), owing()) == ([0, 0, 0, 0], [0, 0, 0, 0])
    assert deposits_held([NOV_30, DEC_1], "EUR") == [5_000, 3_000]
    assert owed([NOV_30], "EUR") == [700]
    assert held_in_other_money(OCTOBER.last, "USD") == set()
    assert held_in_other_money(NOV_30, "USD") == {account.pk}
    assert held_in_other_money(NOV_30, "EUR") == set()
