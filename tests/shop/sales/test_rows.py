"""Receipts as rows, and the sales of a piece."""

from datetime import date
from decimal import Decimal

import pytest

from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Channel, Receipt, TaxRate
from shop.sales.paying import Paid
from shop.sales.rows import in_turn, row_of, sales_of
from shop.sales.undoing import Wish
from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def row(receipt: Receipt):
    [read] = in_turn([receipt.pk])
    return row_of(read)


def some(words: str) -> Sold:
    return Sold(1_500, words=words)


def test_a_row_says_what_was_sold_to_whom_and_how():
    ada = factories.a_person()
    receipt = factories.a_receipt(
        some("Spoon"), some("Wax"), some("Dish"),
        channel=Channel.BOOTH, place="Quay Market", buyer=ada,
    )  # fmt: skip
    told = row(receipt)
    assert (told.what, told.who, told.how) == (
        "Spoon and 2 more",
        "Ada Quill",
        "Booth, Quay Market",
    )
    assert (told.figure, told.state) == ("$45", "")


def test_one_line_stands_alone_and_a_gallery_is_named():
    weir = factories.a_person(name="Weir Gallery")
    receipt = factories.a_receipt(some("Spoon"), channel=Channel.GALLERY, gallery=weir)
    assert (row(receipt).what, row(receipt).how) == ("Spoon", "Through Weir Gallery")
    wax = factories.a_receipt(Sold(1_200, words="Tin of wax", quantity=3))
    assert row(wax).what == "3 × Tin of wax"


def test_what_is_owed_or_void_stands_by_the_figure():
    receipt = factories.a_receipt(some("Spoon"), payments=[])
    assert row(receipt).state == "owed $15"
    undoing.void(receipt, "Wrong price", factories.a_scribe())
    assert row(receipt).state == "void"


def test_what_was_given_back_stands_by_the_figure_and_what_is_owed_still():
    cash, scribe = factories.a_kind(), factories.a_scribe()
    receipt = factories.a_receipt(some("Spoon"), some("Dish"), payments=[Paid(cash, 2_500)])
    spoon, dish = receipt.lines.all()
    undoing.refund(receipt, [Wish(spoon, 200)], "Scratch", scribe)
    assert row(receipt).state == "$2 of it refunded, owed $3"
    undoing.refund(receipt, [Wish(spoon, 1_300)], "Split", scribe, kind=cash)
    assert row(receipt).state == "$15 of it refunded"
    undoing.refund(receipt, [Wish(dish, 1_500)], "Split", scribe, kind=cash)
    assert row(receipt).state == "refunded"


def test_a_piece_that_came_back_for_nothing_is_told_too():
    receipt = factories.a_receipt(factories.a_piece(), factories.a_piece())
    for line, state in zip(receipt.lines.all(), ("some of it came back", "came back"), strict=True):
        undoing.refund(receipt, [Wish(line, 0, True)], "Loan", factories.a_scribe())
        assert row(receipt).state == state


def test_receipts_come_in_the_order_of_their_keys():
    first, second = factories.a_receipt(some("a")), factories.a_receipt(some("b"))
    assert in_turn([second.pk, first.pk]) == [second, first]


def test_a_piece_knows_its_sales_newest_first_and_which_are_over():
    scribe, piece = factories.a_scribe(), factories.a_piece("finished")
    void = factories.a_receipt(piece)
    undoing.void(void, "Wrong price", scribe)
    back = factories.a_receipt(piece)
    undoing.refund(
        back, [Wish(back.lines.get(), 10_000, True)], "Split", scribe, kind=factories.a_kind()
    )
    standing = factories.a_receipt(piece)
    undoing.refund(
        standing, [Wish(standing.lines.get(), 500)], "Scratch", scribe, kind=factories.a_kind()
    )
    told = [(sale.receipt, sale.is_over, sale.state) for sale in sales_of(piece)]
    assert told == [
        (standing, False, "$5 of it refunded"),
        (back, True, "refunded"),
        (void, True, "void"),
    ]


def test_the_price_of_a_sale_is_what_was_charged_as_prices_are_written():
    rate = TaxRate.objects.create(name="Tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1))
    added, inside = factories.a_piece(), factories.a_piece()
    factories.a_receipt(added, tax=rate)
    factories.a_receipt(inside, tax=rate, prices_include_tax=True)
    assert [sales_of(piece)[0].figure for piece in (added, inside)] == ["$100", "$100"]


class TestSearch:
    def found(self, text: str) -> list[str]:
        return [receipt.code for receipt in Receipt.objects.search(text)]

    @pytest.fixture
    def receipt(self) -> Receipt:
        return factories.a_receipt(
            factories.a_piece(), some("Spalted spoon"),
            place="Quay Market", words="wants a lid", channel=Channel.GALLERY,
            buyer=factories.a_person(name="Élodie Quill"),
            gallery=factories.a_person(name="Weir Gallery"),
        )  # fmt: skip

    @pytest.mark.parametrize(
        "text", ["R26-0", "r26001", "quay", "éLODIE", "elodie", "weir", "SPALTED", "a lid", ""]
    )
    def test_words_find_it(self, receipt, text):
        assert self.found(text) == [receipt.code]
        assert self.found(f"{text or 'x'} zebrano") == []

    def test_the_number_on_the_foot_finds_it(self, receipt):
        factories.a_receipt()
        number = str(receipt.lines.first().piece.number)
        assert self.found(number) == [receipt.code] == self.found(number.replace("-", ""))

    def test_somebody_entered_twice_is_found_by_either_name(self, receipt):
        kept = factories.a_person(name="E. Thorncombe")
        buyer = receipt.buyer
        buyer.merged_into = kept
        buyer.save()
        assert self.found("thorncombe") == self.found("quill") == [receipt.code]

    def test_owed_refunded_and_void_are_lists_of_their_own(self, receipt):
        owed, back = factories.a_receipt(some("Dish"), payments=[]), factories.a_receipt(some("x"))
        for _ in range(2):
            undoing.refund(
                back, [Wish(back.lines.get(), 500)], "No", factories.a_scribe(),
                kind=factories.a_kind(),
            )  # fmt: skip
        assert list(Receipt.objects.refunded()) == [back]
        undoing.void(receipt, "Wrong", factories.a_scribe())
        assert list(Receipt.objects.owed()) == [owed]
        assert list(Receipt.objects.voided()) == [receipt]
