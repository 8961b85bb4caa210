"""Payments of a receipt: parts, what is still owed, change, fees, and what goes back."""

from datetime import timedelta
from decimal import Decimal

import pytest

from provenance.record.errors import RecordError
from shop.sales import paying, undoing
from shop.sales.checkout import Sold
from shop.sales.models import Owing, Payment, PaymentKind, Receipt
from shop.sales.paying import Paid, WrongAmount
from shop.sales.undoing import Wish
from tests import factories

pytestmark = pytest.mark.django_db

TODAY = factories.NOW.date()


def a_ticket(minor: int = 5_000, *, scribe=None, **facts: object) -> Receipt:
    """A receipt for a lesson at $50, of which nothing is paid yet."""
    given = {"payments": (), **facts}
    return factories.a_receipt(Sold(minor, words="Lesson"), scribe=scribe, **given)


def pay(receipt: Receipt, *how: object, kind: str = "cash", **when: object) -> Payment | None:
    paid = Paid(factories.a_kind(kind), *how)  # type: ignore[arg-type]
    return paying.pay(receipt, paid, factories.a_scribe(), **when)  # type: ignore[arg-type]


def owed(receipt: Receipt) -> int:
    """What the row says is owed, after asking whether the rows of the receipt say the same."""
    fresh = Receipt.objects.get(pk=receipt.pk)
    assert max(paying.owed_on(fresh), 0) == fresh.owed_minor
    assert Owing.objects.filter(receipt=receipt).exists() == (fresh.owed_minor > 0)
    return fresh.owed_minor


def test_a_receipt_is_paid_in_parts() -> None:
    receipt = a_ticket()
    assert owed(receipt) == 5_000
    first = pay(receipt, 2_000, kind="card")
    assert first is not None
    assert (first.amount_minor, first.on, first.kind) == (2_000, TODAY, factories.a_kind("card"))
    assert owed(receipt) == 3_000
    rest = pay(receipt)
    assert rest is not None
    assert (rest.amount_minor, owed(receipt)) == (3_000, 0)
    assert paying.paid_on(receipt) == 5_000


def test_where_nothing_is_owed_nothing_is_written() -> None:
    receipt = a_ticket()
    pay(receipt)
    assert pay(receipt) is None
    assert pay(receipt, 0) is None
    assert receipt.payments.count() == 1


def test_a_sale_is_paid_in_two_ways_at_once() -> None:
    ways = [Paid(factories.a_kind("card"), 1_500, words="Slip 12"), Paid(factories.a_kind())]
    receipt = a_ticket(payments=ways)
    assert list(receipt.payments.values_list("kind__slug", "amount_minor", "words")) == [
        ("card", 1_500, "Slip 12"),
        ("cash", 3_500, ""),
    ]
    assert owed(receipt) == 0


def test_change_is_what_was_given_beyond_the_amount() -> None:
    receipt = a_ticket()
    part = pay(receipt, 2_000, 2_000)
    rest = pay(receipt, None, 10_000)
    assert part is not None
    assert rest is not None
    assert (part.change_minor, rest.change_minor) == (0, 7_000)


def test_only_cash_has_change() -> None:
    payment = pay(a_ticket(), None, 10_000, kind="card")
    assert payment is not None
    assert (payment.given_minor, payment.change_minor) == (None, 0)


def test_a_way_of_paying_may_cost_a_part_and_so_much_a_time() -> None:
    PaymentKind.objects.filter(slug="card").update(fee_pct=Decimal("2.9"), fee_fixed_minor=30)
    receipt = a_ticket()
    payment = pay(receipt, 3_500, kind="card")
    assert payment is not None
    assert payment.fee_minor == 132  # 101.5 ¢, up to $1.02, and 30 ¢


def test_a_fee_may_be_more_than_what_was_paid() -> None:
    PaymentKind.objects.filter(slug="card").update(fee_fixed_minor=30)
    receipt = a_ticket(20)
    payment = pay(receipt, kind="card")
    assert payment is not None
    assert (payment.amount_minor, payment.fee_minor, owed(receipt)) == (20, 30, 0)
    undoing.void(receipt, "Not taken", factories.a_scribe())
    assert [p.fee_minor for p in receipt.payments.all()] == [30, -30]


@pytest.mark.parametrize(
    ("how", "sentence"),
    [
        (
            (5_001,),
            "That pays $50.01, and $50 is due: for cash, enter what was handed to you as cash "
            "given.",
        ),
        ((-1,), "A payment comes in: enter it without a minus."),
        (
            (None, 4_999),
            "$49.99 is less than the $50 to be paid in cash: enter the smaller amount as the "
            "payment, the rest is owed.",
        ),
        (
            (3_000, 2_000),
            "$20 is less than the $30 to be paid in cash: enter the smaller amount as the "
            "payment, the rest is owed.",
        ),
    ],
)
def test_a_payment_that_does_not_fit_is_refused(how: tuple[int, ...], sentence: str) -> None:
    receipt = a_ticket()
    with pytest.raises(WrongAmount) as caught:
        pay(receipt, *how)
    assert str(caught.value) == sentence
    assert (owed(receipt), receipt.payments.count()) == (5_000, 0)


def test_nothing_is_paid_on_a_void_receipt() -> None:
    receipt = a_ticket()
    undoing.void(receipt, "Written twice", factories.a_scribe())
    with pytest.raises(WrongAmount, match="Receipt R26-001 is void: nothing is owed on it"):
        pay(receipt)
    assert owed(receipt) == 0


def test_a_payment_is_not_of_tomorrow() -> None:
    with pytest.raises(RecordError, match="still to come: enter the day of the payment"):
        pay(a_ticket(), on=TODAY + timedelta(days=1))


def test_a_payment_is_not_of_a_day_before_the_sale(shop):
    receipt = a_ticket()
    with pytest.raises(RecordError, match="before the sale"):
        pay(receipt, on=TODAY - timedelta(days=1))
    assert Owing.objects.get().amount_minor == 5_000


def test_a_payment_has_its_own_day() -> None:
    receipt = a_ticket()
    later = factories.a_scribe(at=factories.NOW + timedelta(days=40))
    paid = paying.pay(receipt, Paid(factories.a_kind()), later, on=TODAY + timedelta(days=31))
    assert paid is not None
    assert (paid.on, paid.written_at) == (TODAY + timedelta(days=31), later.at)


@pytest.mark.parametrize(("currency", "words"), [("JPY", "¥5,000"), ("KWD", "KWD5")])
def test_sentences_name_the_receipts_own_money(shop, currency: str, words: str) -> None:
    shop.currency = currency
    shop.save()
    receipt = a_ticket()
    shop.currency = "USD"
    shop.save()
    with pytest.raises(WrongAmount, match=f"and {words} is due"):
        pay(receipt, 6_000)


def test_a_refund_takes_from_what_is_owed_before_money_goes_back() -> None:
    receipt = a_ticket()
    pay(receipt, 3_000)
    line = receipt.lines.get()
    scribe = factories.a_scribe()
    undoing.refund(receipt, [Wish(line, 1_500)], "Shorter", scribe)
    assert (owed(receipt), paying.paid_on(receipt)) == (500, 3_000)
    with pytest.raises(WrongAmount, match=r"Say how the \$5 is paid back"):
        undoing.refund(receipt, [Wish(line, 1_000)], "Shorter still", scribe)
    card = factories.a_kind("card")
    made = undoing.refund(receipt, [Wish(line, 1_000)], "Shorter still", scribe, kind=card)
    back = made.payments.get()
    assert (back.amount_minor, back.kind, back.fee_minor, back.on) == (-500, card, 0, TODAY)
    assert (owed(receipt), paying.paid_on(receipt)) == (0, 2_500)
