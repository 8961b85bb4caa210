"""What counts in which month, and under what: each definition at its edge."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from provenance.maker.models import Shop
from provenance.pieces.models import Form
from shop.books import figures as parts
from shop.books import monthly
from shop.books.figures import Figures
from shop.books.months import Month
from shop.books.sums import figures_by_month
from shop.sales import deposits, paying
from shop.sales.checkout import Sold
from shop.sales.models import Channel
from shop.sales.reckoning import Off
from tests import factories
from tests.shop.books.selling import (
    DEC_1,
    LATE,
    NOV_30,
    NOVEMBER,
    OCTOBER,
    a_piece_of,
    a_rate,
    card,
    entries_of,
    in_card,
    refund,
    sell,
    void,
    wax,
    wood,
)

pytestmark = pytest.mark.django_db
DECEMBER = NOVEMBER.after
#: Receipts, voids, refunds, payments, deposits taken off, lines, trees, stock.
QUERIES = 8


def come_to(month: Month, currency: str = "USD") -> Figures:
    """The month's figures, which the entries and the sums of the ledgers must agree on."""
    total = parts.total(entries_of(month, currency))
    assert figures_by_month([month], currency) == {month: total}
    return total


def labels(by: str, month: Month = NOVEMBER) -> dict[str, Figures]:
    """A breakdown, by the words of its rows in order."""
    return {part.name.label: part.figures for part in parts.parted(entries_of(month), by)}


# What counts when


def test_a_sale_counts_in_the_month_of_its_day() -> None:
    sell(NOV_30, wax(1_100))
    sell(DEC_1, wax(700))
    assert come_to(NOVEMBER) == Figures(gross=1_100)
    assert come_to(DECEMBER) == Figures(gross=700)
    assert come_to(OCTOBER) == Figures()


def test_a_void_counts_in_the_month_it_is_made_and_leaves_the_sales_month_alone() -> None:
    receipt = sell(NOV_30, wax(1_000, off=Off(minor=100)), tax=a_rate())
    void(receipt, DEC_1)
    assert come_to(NOVEMBER) == Figures(gross=1_000, discount=100, tax=90)
    assert come_to(DECEMBER) == Figures(gross=-1_000, discount=-100, tax=-90)
    assert [entry.what for entry in entries_of(DECEMBER)] == ["void"]


def test_a_sale_and_its_void_in_one_month_come_to_nothing_and_both_show() -> None:
    void(sell(NOV_30, wax(1_000)), NOV_30)
    assert come_to(NOVEMBER) == Figures()
    assert [entry.what for entry in entries_of(NOVEMBER)] == ["sale", "void"]


def test_a_refund_in_parts_counts_in_the_month_of_each_without_its_tax() -> None:
    receipt = sell(NOV_30, wax(1_000), tax=a_rate())
    refund(receipt, NOV_30, 550)
    refund(receipt, DEC_1, 550)
    assert come_to(NOVEMBER) == Figures(gross=1_000, refund=500, tax=50)
    assert come_to(DECEMBER) == Figures(refund=500, tax=-50)
    assert come_to(NOVEMBER).net + come_to(DECEMBER).net == 0


def test_tax_contained_in_the_price_is_no_part_of_the_gross() -> None:
    sell(NOV_30, wax(1_100, off=Off(minor=110)), tax=a_rate(), prices_include_tax=True)
    total = come_to(NOVEMBER)
    assert total == Figures(gross=1_010, discount=110, tax=90)
    assert total.net == 900


def test_a_gallerys_share_is_taken_off_and_its_tax_stands_apart() -> None:
    weir = factories.a_person(name="Weir Gallery")
    receipt = sell(
        NOV_30, wax(10_000), tax=a_rate(), channel=Channel.GALLERY, gallery=weir,
        share_pct=Decimal(40), is_tax_theirs=True, payments=[],
    )  # fmt: skip
    total = come_to(NOVEMBER)
    assert total == Figures(gross=10_000, share=4_000, tax_theirs=1_000)
    assert total.net == 6_000 == receipt.due_minor
    refund(receipt, DEC_1, 5_500)
    given_back = come_to(DECEMBER)
    assert given_back == Figures(refund=5_000, share=-2_000, tax_theirs=-500)
    assert given_back.net == -3_000


# Fees


def test_a_fee_counts_on_the_day_of_the_payment_shared_over_what_was_paid() -> None:
    card("3")
    sell(NOV_30, wax(1_000), wax(2_000), wax(0), payments=in_card())
    fees = [entry for entry in entries_of(NOVEMBER) if entry.what == "fee"]
    assert [(entry.position, entry.figures) for entry in fees] == [
        (1, Figures(fee=30)), (2, Figures(fee=60)),
    ]  # fmt: skip
    assert come_to(NOVEMBER).net == 2_910


def test_a_later_payments_fee_counts_in_the_later_month() -> None:
    card("3")
    receipt = sell(NOV_30, wax(1_000), payments=[])
    paying.pay(receipt, in_card()[0], LATE, on=DEC_1)
    assert come_to(NOVEMBER) == Figures(gross=1_000)
    assert come_to(DECEMBER) == Figures(fee=30)


def test_a_voids_fee_comes_back_line_by_line_just_as_it_was_taken() -> None:
    card("0", fixed_minor=100)
    receipt = sell(NOV_30, wax(700), wax(700), wax(700), payments=in_card())
    void(receipt, DEC_1)
    taken = [e.figures.fee for e in entries_of(NOVEMBER) if e.what == "fee"]
    back = [e.figures.fee for e in entries_of(DECEMBER) if e.what == "fee"]
    assert (taken, back) == ([34, 33, 33], [-34, -33, -33])
    assert come_to(NOVEMBER).net + come_to(DECEMBER).net == 0


@pytest.mark.parametrize(
    ("fee", "weights", "shares"),
    [(5, [0, 0], [3, 2]), (-5, [0, 0], [-3, -2]), (1, [1, 99], [0, 1]), (0, [0], [0])],
)
def test_a_fee_is_shared_evenly_where_nothing_was_paid(
    fee: int, weights: list[int], shares: list[int]
) -> None:
    assert monthly.shared(fee, weights) == shares


def test_the_fee_on_a_deposit_is_a_row_of_its_own_until_the_receipt_is_written() -> None:
    card("3")
    ada = factories.a_person()
    account = deposits.open_account(ada, "A walnut urn", LATE)
    deposits.take(account, in_card(5_000)[0], LATE, on=NOV_30)
    for by in parts.WAYS:
        assert labels(by) == {"deposits, not sold yet": Figures(fee=150)}
    [entry] = entries_of(NOVEMBER)
    assert (entry.receipt, entry.words, entry.giver) == ("", "A walnut urn", "Ada Quill")

    urn = a_piece_of(wood(), form="urn")
    receipt = sell(DEC_1, urn, wax(10_000), buyer=ada, account=account)
    assert labels("form") == {"Tin of wax": Figures(fee=75), "urn": Figures(fee=75)}
    assert {entry.receipt for entry in entries_of(NOVEMBER)} == {receipt.code}
    assert come_to(NOVEMBER) == Figures(fee=150)

    void(receipt, DEC_1)
    assert list(labels("form")) == ["deposits, not sold yet"]
    assert come_to(NOVEMBER) == Figures(fee=150)


def test_the_fee_on_a_deposit_for_two_receipts_follows_what_each_took() -> None:
    card("3")
    account = deposits.open_account(factories.a_person(), "Two tins", LATE)
    deposits.take(account, in_card(4_000)[0], LATE, on=NOV_30)
    first = sell(DEC_1, wax(1_000), account=account)
    second = sell(DEC_1, wax(9_000), account=account)
    fees = {entry.receipt: entry.figures.fee for entry in entries_of(NOVEMBER)}
    assert fees == {first.code: 30, second.code: 90}


# Under what


def test_a_piece_of_two_woods_is_counted_once_under_both_names() -> None:
    ash, walnut = wood("white-ash"), wood("black-walnut")
    sell(NOV_30, a_piece_of(ash, walnut), a_piece_of(walnut, ash))
    assert labels("species") == {"mixed: black walnut and white ash": Figures(gross=20_000)}
    numbers = f"{ash.tree.number} and {walnut.tree.number}"
    assert labels("tree") == {f"mixed: {numbers}": Figures(gross=20_000)}


def test_a_piece_of_three_woods_names_all_three() -> None:
    stock = factories.some_stock(LATE)
    ash, walnut = wood("white-ash"), wood("black-walnut")
    sell(NOV_30, a_piece_of(ash, walnut, stock))
    assert list(labels("species")) == ["mixed: black walnut, cocobolo and white ash"]
    [label] = labels("tree")
    assert label == f"mixed: {ash.tree.number}, {walnut.tree.number} and bought stock"


def test_two_trees_of_one_wood_are_one_wood() -> None:
    sell(NOV_30, a_piece_of(wood(), wood()))
    assert list(labels("species")) == ["white ash"]
    assert next(iter(labels("tree"))).startswith("mixed: T")


def test_wood_is_named_as_the_record_words_it() -> None:
    guess = wood("white-ash", certainty="guess")
    sell(
        NOV_30,
        Sold(500, piece=a_piece_of(guess)),
        Sold(400, piece=a_piece_of(None, wood_words="something dark")),
        Sold(300, piece=a_piece_of(None)),
        Sold(200, piece=a_piece_of(factories.some_stock(LATE))),
        wax(9_000),
    )
    assert labels("species") == {
        "white ash, perhaps": Figures(gross=500),
        "something dark": Figures(gross=400),
        "cocobolo": Figures(gross=200),
        "not a piece": Figures(gross=9_000),
        "not known": Figures(gross=300),
    }
    assert labels("tree") == {
        str(guess.tree): Figures(gross=500),
        "not a piece": Figures(gross=9_000),
        "not known": Figures(gross=700),
        "bought stock": Figures(gross=200),
    }


def test_what_is_no_piece_goes_by_its_own_name_or_as_something_else() -> None:
    sell(NOV_30, wax(100), Sold(300, words="Sharpening a gouge"), Sold(200, words="A chuck key"))
    assert labels("form") == {
        "Tin of wax": Figures(gross=100),
        "something else": Figures(gross=500),
    }
    assert [entry.words for entry in entries_of(NOVEMBER)] == [
        "Tin of wax", "Sharpening a gouge", "A chuck key",
    ]  # fmt: skip


def test_a_corrected_record_corrects_the_breakdown_and_no_sum() -> None:
    ash = wood("white-ash")
    bowl = a_piece_of(ash)
    sell(NOV_30, bowl)
    before = come_to(NOVEMBER)
    bowl.form = Form.objects.get(slug="platter")
    bowl.save(update_fields=["form"])
    ash.tree.species_slug = "black-walnut"
    ash.tree.save(update_fields=["species_slug"])
    assert list(labels("form")) == ["platter"]
    assert list(labels("species")) == ["black walnut"]
    assert come_to(NOVEMBER) == before


def test_each_way_of_selling_is_a_row_with_the_largest_net_first() -> None:
    sell(NOV_30, wax(100), channel=Channel.DIRECT)
    sell(NOV_30, wax(300), channel=Channel.BOOTH, place="Quay Market")
    sell(NOV_30, wax(200), channel=Channel.ONLINE)
    assert list(labels("channel")) == ["booth", "online", "direct"]
    assert [entry.place for entry in entries_of(NOVEMBER)] == ["", "Quay Market", ""]


# Money


def test_receipts_and_deposits_in_other_money_are_left_out_and_counted() -> None:
    card("3")
    shop = factories.a_shop(currency="USD")
    used, waiting = (
        deposits.open_account(factories.a_person(), words, LATE) for words in ("A bowl", "An urn")
    )
    for account in (used, waiting):
        deposits.take(account, in_card(500)[0], LATE, on=NOV_30)
    sell(NOV_30, wax(1_000), account=used, payments=in_card())
    void(sell(OCTOBER.last, wax(900)), NOV_30)
    refund(sell(OCTOBER.last, wax(800)), NOV_30, 100)
    Shop.objects.filter(pk=shop.pk).update(currency="EUR")
    sell(NOV_30, wax(70))
    assert come_to(NOVEMBER, "EUR") == Figures(gross=70)
    assert come_to(OCTOBER, "EUR") == Figures()
    in_euros = monthly.entries(NOVEMBER.first, NOVEMBER.last, "EUR")
    assert (in_euros.receipts_left_out, in_euros.accounts_left_out) == (3, {waiting.pk})
    in_dollars = monthly.entries(NOVEMBER.first, NOVEMBER.last, "USD")
    assert (in_dollars.receipts_left_out, in_dollars.accounts_left_out) == (1, set())
    assert come_to(NOVEMBER, "USD") == Figures(gross=100, refund=100, fee=45)


def test_the_queries_are_as_many_for_three_receipts_as_for_one() -> None:
    card("3")

    def one(on: date) -> None:
        account = deposits.open_account(factories.a_person(), "A bowl", LATE)
        deposits.take(account, in_card(500)[0], LATE, on=on)
        bowl = a_piece_of(wood(), factories.some_stock(LATE))
        refund(sell(on, bowl, wax(), account=account, payments=in_card()), on, 100)
        void(sell(on, wax(), payments=in_card()), on)

    def asked(month: Month) -> int:
        with CaptureQueriesContext(connection) as queries:
            entries_of(month)
        return len(queries)

    one(date(2026, 11, 3))
    assert asked(NOVEMBER) == QUERIES
    for day in (1, 5, 9):
        one(date(2026, 12, day))
    assert asked(DECEMBER) == QUERIES
