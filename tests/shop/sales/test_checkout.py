"""Selling: what a sale writes, where its pieces go, and what it refuses, leaving no trace."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from provenance.pieces import custody, promises, workflow
from provenance.pieces.models import Custody, Piece
from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from provenance.record.models import Counter, JournalEntry
from shop.sales import checkout, deposits, undoing
from shop.sales.checkout import MOST_LINES, CannotBeSold, NothingSold, Sold
from shop.sales.models import (
    Channel,
    Extra,
    Holding,
    Line,
    Payment,
    Receipt,
    TaxRate,
)
from shop.sales.paying import Paid, WrongAmount
from shop.sales.reckoning import Off, OutOfBounds, TooMuchOff
from tests import factories

pytestmark = pytest.mark.django_db

TODAY = factories.NOW.date()
Kind = Custody.Kind


def a_rate(pct: str = "6.25", **facts: object) -> TaxRate:
    given = {"name": "Wrenshire sales tax", "since": date(2020, 1, 1), **facts}
    return TaxRate.objects.create(rate_pct=Decimal(pct), **given)


def a_tin(**facts: object) -> Sold:
    return Sold(**{"unit_minor": 850, "extra": Extra.objects.get(slug="wax"), **facts})  # type: ignore[arg-type]


def where(piece: Piece) -> str:
    return str(Piece.objects.get(pk=piece.pk).custody)


def refused(
    error: type[RecordError], sentence: str, work: Callable[[], object], piece: Piece | None = None
) -> None:
    """Assert that `work` is refused with a sentence, and that nothing of it was written."""
    counted = [Receipt, Line, Payment, Holding, Custody, JournalEntry]
    before = [list(model.objects.order_by("pk").values()) for model in [*counted, Piece, Counter]]  # type: ignore[attr-defined]
    with pytest.raises(error) as caught:
        work()
    assert str(caught.value) == sentence
    assert getattr(caught.value, "piece", None) == piece
    assert [
        list(model.objects.order_by("pk").values())  # type: ignore[attr-defined]
        for model in [*counted, Piece, Counter]
    ] == before


# What a sale writes


def test_a_sale_is_written_down_whole(owner) -> None:
    [bowl] = factories.some_pieces(title="Harbour bowl")
    buyer = factories.a_person()
    receipt = factories.a_receipt(
        Sold(16_500, piece=bowl, off=Off(minor=500)),
        a_tin(quantity=2, is_taxed=False),
        Sold(2_000, words="Lesson in sharpening"),
        scribe=factories.a_scribe(owner),
        buyer=buyer,
        channel=Channel.BOOTH,
        place="Quay Market",
        off=Off(pct=Decimal(10)),
        off_words="Neighbours",
        tax=a_rate(),
        words="Wants a lid later.",
    )
    receipt.refresh_from_db()
    assert (receipt.code, receipt.sold_on, receipt.written_at) == ("R26-001", TODAY, factories.NOW)
    assert (receipt.by, receipt.buyer, receipt.currency) == (owner, buyer, "USD")
    assert (receipt.tax_name, receipt.tax_rate_pct) == ("Wrenshire sales tax", Decimal("6.25"))
    assert (receipt.where, receipt.discount_words) == ("Quay Market", "Neighbours")
    # 165.00 − 5.00, 17.00 and 20.00 are 197.00; a tenth off is 177.30, of which 162.00 are taxed.
    assert [
        (line.words, line.quantity, line.unit_minor, line.own_discount_minor)
        for line in receipt.lines.all()
    ] == [
        ("Harbour bowl", 1, 16_500, 500),
        ("Tin of wax", 2, 850, 0),
        ("Lesson in sharpening", 1, 2_000, 0),
    ]
    assert [
        (line.shared_discount_minor, line.tax_minor, line.paid_minor)
        for line in receipt.lines.all()
    ] == [(1_600, 900, 15_300), (170, 0, 1_530), (200, 113, 1_913)]
    assert (receipt.gross_minor, receipt.discount_minor, receipt.tax_minor) == (
        20_200,
        2_470,
        1_013,
    )
    assert (receipt.total_minor, receipt.share_minor, receipt.due_minor) == (18_743, 0, 18_743)
    assert not receipt.is_void
    assert receipt.owed_minor == 0


def test_the_piece_is_its_buyers_from_the_day_of_the_sale() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl, buyer=factories.a_person())
    [line] = receipt.lines.all()
    link = Piece.objects.get(pk=bowl.pk).custody
    assert (line.custody, line.holding.piece) == (link, bowl)
    assert (str(link), link.since, link.why) == (
        "with its owner, Ada Quill",
        TODAY,
        "Receipt R26-001",
    )
    assert link.entry.move == custody.SALE


def test_a_piece_that_had_its_owner_already_stays_with_them() -> None:
    [bowl] = factories.some_pieces()
    ada = factories.a_person()
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=ada)
    for buyer in (None, ada):
        receipt = factories.a_receipt(bowl, buyer=buyer)
        assert receipt.lines.get().custody is None
        assert bowl.custodies.count() == 2
        undoing.void(receipt, "Wrong price", factories.a_scribe())
    assert where(bowl) == "with its owner, Ada Quill"


def test_a_piece_sold_on_by_its_owner_through_the_shop_goes_to_the_new_one() -> None:
    [bowl] = factories.some_pieces()
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=factories.a_person())
    receipt = factories.a_receipt(bowl, buyer=factories.a_person(name="Tom Reed"))
    assert where(bowl) == "with its owner, Tom Reed"
    assert receipt.lines.get().custody is not None


@pytest.mark.parametrize("kind", [Kind.SHOP, Kind.MARKET, Kind.GALLERY, Kind.LENT, Kind.REPAIR])
def test_a_piece_is_sold_from_wherever_the_shop_can_hand_it_over(kind: str) -> None:
    [bowl] = factories.some_pieces()
    if kind != Kind.SHOP:
        custody.hand_over([bowl], kind, factories.a_scribe())
    factories.a_receipt(bowl)
    assert where(bowl) == "with its owner"


def test_numbers_run_by_the_year_of_writing() -> None:
    year_on = factories.NOW + timedelta(days=365)
    codes = [
        factories.a_receipt(a_tin()).code,
        factories.a_receipt(a_tin()).code,
        factories.a_receipt(a_tin(), scribe=factories.a_scribe(at=year_on)).code,
    ]
    assert codes == ["R26-001", "R26-002", "R27-001"]


def test_a_gallery_keeps_its_share_and_the_tax_that_it_collects() -> None:
    sale = factories.a_sale(
        a_tin(unit_minor=10_000),
        channel=Channel.GALLERY,
        gallery=factories.a_person(name="Weir Gallery"),
        share_pct=Decimal(40),
        is_tax_theirs=True,
        tax=a_rate(),
        payments=(),
    )
    receipt = checkout.sell(sale, factories.a_scribe())
    assert (receipt.total_minor, receipt.share_minor, receipt.due_minor) == (10_625, 4_000, 6_000)
    assert receipt.owed_minor == 6_000
    ours = checkout.sell(replace(sale, is_tax_theirs=False), factories.a_scribe())
    assert (ours.due_minor, ours.owed_minor) == (6_625, 6_625)


@pytest.mark.parametrize(
    ("currency", "pct", "tax"),
    # Consumption tax of ten percent; a dinar of a thousand fils.
    [("JPY", "10", 124), ("KWD", "5", 62)],
)
def test_in_other_currencies_the_whole_unit_is_another(
    shop, currency: str, pct: str, tax: int
) -> None:
    shop.currency = currency
    shop.save()
    receipt = factories.a_receipt(a_tin(unit_minor=1_235), tax=a_rate(pct))
    assert (receipt.currency, receipt.tax_minor) == (currency, tax)
    assert receipt.total_minor == 1_235 + tax


def test_a_receipt_keeps_its_currency_when_the_shop_takes_another(shop) -> None:
    receipt = factories.a_receipt(a_tin())
    shop.currency = "EUR"
    shop.save()
    receipt.refresh_from_db()
    assert receipt.currency == "USD"
    assert factories.a_receipt(a_tin()).currency == "EUR"


# What it refuses


def test_nothing_is_no_sale() -> None:
    sale = replace(factories.a_sale(a_tin()), lines=[])
    sentence = "Nothing is on the receipt yet: add a piece or another line."
    refused(NothingSold, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_a_receipt_has_only_so_many_lines() -> None:
    sale = factories.a_sale(*[a_tin()] * (MOST_LINES + 1))
    sentence = "A receipt has 200 lines at most: write a second one."
    refused(OutOfBounds, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_a_sale_is_not_of_tomorrow() -> None:
    sale = factories.a_sale(a_tin(), sold_on=TODAY + timedelta(days=1))
    sentence = "That day is still to come: enter the day of the sale."
    refused(RecordError, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_a_piece_is_sold_once() -> None:
    [bowl] = factories.some_pieces()
    factories.a_receipt(bowl)
    other = factories.a_sale(a_tin(), bowl)
    sentence = f"{bowl} is sold already, on receipt R26-001: void or refund it there first."
    refused(CannotBeSold, sentence, lambda: checkout.sell(other, factories.a_scribe()), bowl)


def test_a_piece_stands_on_a_receipt_once() -> None:
    [bowl] = factories.some_pieces()
    sale = factories.a_sale(bowl, bowl)
    sentence = f"{bowl} stands here twice: take one line away."
    refused(CannotBeSold, sentence, lambda: checkout.sell(sale, factories.a_scribe()), bowl)


def test_there_is_one_of_each_piece() -> None:
    [bowl] = factories.some_pieces()
    sale = factories.a_sale(Sold(100, piece=bowl, quantity=2))
    sentence = "There is one of each piece: take its number of pieces back to 1."
    refused(OutOfBounds, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_a_lost_piece_is_not_sold() -> None:
    bowl = factories.a_piece("lost")
    sentence = f"{bowl} is recorded as lost: take the loss back first."
    sale = factories.a_sale(bowl)
    refused(CannotBeSold, sentence, lambda: checkout.sell(sale, factories.a_scribe()), bowl)


@pytest.mark.parametrize(
    ("kind", "label"), [(Kind.GIVEN, "given away"), (Kind.LOST, "gone missing")]
)
def test_what_was_given_away_or_is_missing_is_not_sold(kind: str, label: str) -> None:
    [bowl] = factories.some_pieces()
    custody.hand_over([bowl], kind, factories.a_scribe())
    sentence = f"{bowl} is {label}: bring it to the shop first."
    sale = factories.a_sale(bowl)
    refused(CannotBeSold, sentence, lambda: checkout.sell(sale, factories.a_scribe()), bowl)


def test_a_sale_is_not_before_the_last_step_of_its_piece() -> None:
    [tin, bowl] = [a_tin(), factories.some_pieces()[0]]
    sale = factories.a_sale(tin, bowl, sold_on=TODAY - timedelta(days=1))
    sentence = (
        f"{bowl} has a step dated 15 June 2026 already: enter that day or a later one, or take "
        "that step back first."
    )
    refused(TooEarly, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_a_sale_is_entered_days_later() -> None:
    [bowl] = factories.some_pieces()
    a_week_on = factories.a_scribe(at=factories.NOW + timedelta(days=7))
    receipt = factories.a_receipt(bowl, scribe=a_week_on, sold_on=TODAY + timedelta(days=3))
    assert receipt.lines.get().custody.since == TODAY + timedelta(days=3)
    assert receipt.payments.get().on == TODAY + timedelta(days=3)
    assert receipt.written_at == a_week_on.at


def test_promised_wood_is_sold_for_a_reason_only() -> None:
    ada, tom = factories.a_person(), factories.a_person(name="Tom Reed")
    bowls = factories.some_pieces(2)
    promises.make(factories.a_scribe(), "A bowl from her ash", to=ada, pieces=bowls)
    sale = factories.a_sale(bowls[0], buyer=tom)
    sentence = (
        f"{bowls[0]} is kept for a promise to Ada Quill: “A bowl from her ash”. Say why it goes "
        "all the same, or choose another piece."
    )
    refused(promises.WouldBreak, sentence, lambda: checkout.sell(sale, factories.a_scribe()))
    checkout.sell(replace(sale, reason="She said so."), factories.a_scribe())
    assert bowls[0].journal.entries.last().words.endswith("She said so.")
    hers = factories.a_sale(bowls[1], buyer=ada)
    sentence = (
        f"{bowls[1]} is kept for a promise to Ada Quill: “A bowl from her ash”. If it is a "
        "commission, hand it over there, so that its price and deposit count; else say that this "
        "keeps the promise."
    )
    refused(checkout.AgreedElsewhere, sentence, lambda: checkout.sell(hers, factories.a_scribe()))
    checkout.sell(replace(hers, reason="It is the one."), factories.a_scribe())


def test_a_buyer_whose_deposit_lies_here_is_not_sold_to_past_it() -> None:
    scribe, ada = factories.a_scribe(), factories.a_person()
    account = deposits.open_account(ada, "A bowl for bread", scribe)
    deposits.take(account, Paid(factories.a_kind(), 4_500), scribe)
    sale = factories.a_sale(buyer=ada)
    sentence = (
        "A deposit of $45 is held for Ada Quill: “A bowl for bread”. If it is a commission, hand "
        "it over there, so that its price and deposit count; else say why this is a sale of its "
        "own."
    )
    refused(checkout.AgreedElsewhere, sentence, lambda: checkout.sell(sale, scribe))
    checkout.sell(replace(sale, reason="A present for her sister."), scribe)
    factories.a_receipt(buyer=factories.a_person(name="Tom Reed"))
    taken_off = factories.a_receipt(buyer=ada, account=account)
    assert taken_off.payments.filter(account=account).get().amount_minor == 4_500
    factories.a_receipt(buyer=ada)


@pytest.mark.parametrize(
    ("facts", "error", "sentence"),
    [
        (
            {"off": Off(minor=851)},
            TooMuchOff,
            "That discount is more than the price: take less off.",
        ),
        (
            {"off": Off(minor=-1)},
            TooMuchOff,
            "A discount makes it cheaper: enter it without a minus.",
        ),
        (
            {"share_pct": Decimal(101)},
            OutOfBounds,
            "What a gallery or site keeps is between 0 and 100 %.",
        ),
    ],
)
def test_what_cannot_be_reckoned_is_not_sold(facts, error, sentence) -> None:
    sale = factories.a_sale(a_tin(), **facts)
    refused(error, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


@pytest.mark.parametrize("sold", [{"unit_minor": 10**12}, {"unit_minor": 10**40}])
def test_amounts_beyond_the_columns_are_refused_in_words(sold: dict[str, int]) -> None:
    sale = factories.a_sale(a_tin(**sold), a_tin())
    sentence = "That is more than a receipt can hold: check the prices."
    refused(OutOfBounds, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


@pytest.mark.parametrize("sold", [{"quantity": 0}, {"quantity": 10_000}, {"unit_minor": -1}])
def test_a_line_is_a_number_of_things_at_a_price(sold: dict[str, int]) -> None:
    sale = factories.a_sale(a_tin(**sold))
    sentence = "A line is 1 to 9,999 of one thing, at a price that is not below zero."
    refused(OutOfBounds, sentence, lambda: checkout.sell(sale, factories.a_scribe()))


def test_the_largest_receipt_fits_into_the_columns() -> None:
    receipt = factories.a_receipt(
        a_tin(unit_minor=10**12), tax=a_rate("999.9999"), share_pct=Decimal("99.999")
    )
    receipt.refresh_from_db()
    assert receipt.total_minor == 10**12 + 9_999_999_000_000


def test_a_payment_that_does_not_fit_leaves_no_receipt() -> None:
    [bowl] = factories.some_pieces()
    sale = factories.a_sale(bowl, payments=[Paid(factories.a_kind("card"), 10_001)])
    sentence = (
        "That pays $100.01, and $100 is due: for cash, enter what was handed to you as cash given."
    )
    refused(WrongAmount, sentence, lambda: checkout.sell(sale, factories.a_scribe()))
    assert factories.a_receipt(bowl).code == "R26-001"


def test_a_step_of_a_receipt_is_not_taken_back_by_itself() -> None:
    [bowl] = factories.some_pieces()
    factories.a_receipt(bowl)
    with pytest.raises(workflow.NotOffered, match="void, refund or sell"):
        workflow.undo([bowl], factories.a_scribe())
    assert where(bowl) == "with its owner"


def test_a_deposit_of_another_currency_is_not_taken_off(shop) -> None:
    ada = factories.a_person()
    account = deposits.open_account(ada, "A salad bowl", factories.a_scribe())
    deposits.take(account, Paid(factories.a_kind(), 3_000), factories.a_scribe())
    shop.currency = "EUR"
    shop.save()
    sale = factories.a_sale(a_tin(), account=account)
    sentence = (
        "$30 is held for Ada Quill, and this receipt is in EUR: give the deposit back, then take "
        "it as a payment."
    )
    refused(deposits.NotHeld, sentence, lambda: checkout.sell(sale, factories.a_scribe()))
