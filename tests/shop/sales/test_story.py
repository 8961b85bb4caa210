"""What happened to a receipt, entry by entry."""

import pytest

from shop.sales import deposits, paying, undoing
from shop.sales.checkout import Sold
from shop.sales.models import Receipt
from shop.sales.paying import Paid
from shop.sales.story import events_of
from shop.sales.undoing import Wish
from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def told(receipt: Receipt) -> list[tuple[str, tuple[str, ...]]]:
    events = events_of(Receipt.objects.for_page().get(pk=receipt.pk))
    return [(event.what, event.words) for event in events]


def test_payments_are_told_with_change_fee_and_words_newest_first():
    card = factories.a_kind("card")
    card.fee_fixed_minor = 30
    card.save()
    receipt = factories.a_receipt(payments=[Paid(factories.a_kind(), 6_000, 10_000)])
    paying.pay(receipt, Paid(card, words="on the phone"), factories.a_scribe())
    assert told(receipt) == [
        ("Paid: $40, card", ("Fee $0.30", "on the phone")),
        ("Paid: $60, cash", ("$100 given, $40 change",)),
    ]


def test_a_void_is_told_with_its_reason_and_the_money_that_went_back():
    scribe, ada = factories.a_scribe(), factories.a_person()
    account = deposits.open_account(ada, "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 2_000), scribe)
    receipt = factories.a_receipt(account=account)
    undoing.void(receipt, "Rung up twice.", scribe)
    assert told(receipt)[0] == (
        "Void",
        ("Rung up twice.", "$20 is held as a deposit again", "$80 went back: Cash"),
    )
    assert told(receipt)[-1] == ("Deposit taken off: $20", ())


def test_a_refund_is_told_line_by_line_with_the_money_that_went_back():
    receipt = factories.a_receipt(factories.a_piece(), Sold(1_000, words="Wax"))
    bowl, wax = receipt.lines.all()
    undoing.refund(
        receipt, [Wish(bowl, 4_000, True), Wish(wax, 500)], "A check.", factories.a_scribe(),
        kind=factories.a_kind("check"),
    )  # fmt: skip
    assert told(receipt)[0] == (
        "Refund of $45",
        ("A check.", f"{bowl.words}: $40, came back", "Wax: $5", "$45 went back: Check"),
    )


def test_a_piece_that_came_back_for_nothing_has_words():
    scribe = factories.a_scribe()
    receipt = factories.a_receipt()
    undoing.refund(receipt, [Wish(receipt.lines.get(), 0, True)], "Loan", scribe)
    [(what, words), _] = told(receipt)
    assert what == "Came back"
    assert words == ("Loan", f"{receipt.lines.get().words}: came back")
