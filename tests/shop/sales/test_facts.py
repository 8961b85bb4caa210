"""What stands on a receipt's paper."""

from datetime import date
from decimal import Decimal

import pytest

from provenance.maker.models import Shop
from shop.sales import deposits, paying, undoing
from shop.sales.checkout import Sold
from shop.sales.facts import paper_of
from shop.sales.models import Channel, Receipt, TaxRate, Terms
from shop.sales.paying import Paid
from shop.sales.reckoning import Off
from shop.sales.undoing import Wish
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def rate(shop: Shop) -> TaxRate:
    return TaxRate.objects.create(
        name="Wrenshire sales tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1)
    )


def paper(receipt: Receipt):
    read = Receipt.objects.for_page().get(pk=receipt.pk)
    return paper_of(read, Shop.current(), Terms.current())


def wax(**facts) -> Sold:
    return Sold(1_200, words="Tin of wax", **facts)


def test_one_plain_line_needs_no_sums(shop):
    told = paper(factories.a_receipt(wax()))
    assert [(line.words, line.amount) for line in told.lines] == [("Tin of wax", "$12.00")]
    assert (told.sums, told.total) == ((), ("Total", "$12.00"))
    assert told.below == (("Cash", "$12.00"),)
    assert told.day == "15 June 2026"


def test_a_piece_stands_there_with_its_number(shop):
    piece = factories.a_piece()
    assert paper(factories.a_receipt(piece)).lines[0].number == str(piece.number)


def test_discounts_and_added_tax_lead_to_the_total(rate):
    sold = [wax(quantity=2, off=Off(minor=200)), Sold(2_000, words="Spoon")]
    receipt = factories.a_receipt(
        *sold, tax=rate, off=Off(pct=Decimal(10)), off_words="market friend", payments=[]
    )
    told = paper(receipt)
    line = told.lines[0]
    assert (line.quantity, line.unit, line.discount, line.amount) == (
        2, "$12.00", "−$2.00", "$22.00",
    )  # fmt: skip
    assert told.sums == (
        ("Together", "$42.00"),
        ("Discount: market friend", "−$4.20"),
        ("Wrenshire sales tax 6.25 %", "$2.36"),
    )
    assert told.total == ("Total", "$40.16")
    assert told.below == (("Still owed", "$40.16"),)


def test_contained_tax_stands_under_the_total(rate):
    told = paper(factories.a_receipt(Sold(10_625, words="Bowl"), tax=rate, prices_include_tax=True))
    assert told.sums == ()
    assert told.below[0] == ("of which Wrenshire sales tax 6.25 %", "$6.25")


def test_a_line_without_tax_says_so_where_others_have_it(rate):
    told = paper(factories.a_receipt(wax(), wax(is_taxed=False), tax=rate))
    assert [line.words for line in told.lines] == ["Tin of wax", "Tin of wax (no tax on it)"]


def test_change_deposits_and_later_payments_are_told(shop):
    scribe, ada = factories.a_scribe(), factories.a_person()
    account = deposits.open_account(ada, "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 2_000), scribe)
    cash = Paid(factories.a_kind(), 3_000, 5_000)
    receipt = factories.a_receipt(
        sold_on=date(2026, 6, 15), account=account, buyer=ada, payments=[cash]
    )
    later = factories.a_scribe(at=factories.NOW.replace(month=7))
    paying.pay(receipt, Paid(factories.a_kind("transfer"), 4_000), later)
    told = paper(receipt)
    assert told.buyer == "Ada Quill"
    assert told.below == (
        ("Deposit taken off", "$20.00"),
        ("Cash given", "$50.00"),
        ("Change", "−$20.00"),
        ("Bank transfer, 15 July 2026", "$40.00"),
        ("Still owed", "$10.00"),
    )


def test_what_a_gallery_owes_the_shop_is_not_on_the_buyers_paper(rate):
    weir = factories.a_person(name="Weir Gallery")
    receipt = factories.a_receipt(
        channel=Channel.GALLERY, gallery=weir, share_pct=Decimal(40), tax=rate,
        is_tax_theirs=True, payments=[],
    )  # fmt: skip
    told = paper(receipt)
    assert told.place == "sold by Weir Gallery"
    assert told.sums == (("Wrenshire sales tax 6.25 %, collected by Weir Gallery", "$6.25"),)
    assert (told.total, told.below) == (("Total", "$106.25"), ())


@pytest.mark.parametrize(
    ("channel", "who"), [(Channel.ONLINE, "the site"), (Channel.GALLERY, "the gallery")]
)
def test_who_collects_the_tax_has_a_word_without_a_name(rate, channel, who):
    receipt = factories.a_receipt(channel=channel, tax=rate, is_tax_theirs=True, payments=[])
    assert paper(receipt).sums[0][0].endswith(f"collected by {who}")


def test_refunds_are_remarked_with_their_tax_and_without_their_reason(rate):
    receipt = factories.a_receipt(Sold(10_000, words="Bowl"), tax=rate)
    undoing.refund(
        receipt, [Wish(receipt.lines.get(), 10_625)], "It split.", factories.a_scribe(),
        kind=factories.a_kind(),
    )  # fmt: skip
    told = paper(receipt)
    assert told.remarks == ("Refunded on 15 June 2026: $106.25, of which tax $6.25.",)
    assert told.below[-1] == ("Paid back: Cash", "−$106.25")
    assert "split" not in str(told)


def test_a_piece_that_came_back_for_nothing_is_remarked(shop):
    receipt = factories.a_receipt()
    undoing.refund(receipt, [Wish(receipt.lines.get(), 0, True)], "Loan", factories.a_scribe())
    assert paper(receipt).remarks == ("Came back on 15 June 2026.",)


def test_a_void_receipt_says_so_and_what_went_back(shop):
    scribe, ada = factories.a_scribe(), factories.a_person()
    account = deposits.open_account(ada, "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 2_000), scribe)
    receipt = factories.a_receipt(account=account)
    undoing.void(receipt, "Rung up twice.", scribe)
    told = paper(receipt)
    assert told.is_void
    assert told.remarks == ("Void since 15 June 2026.",)
    assert told.below[2:] == (("Deposit held again", "−$20.00"), ("Paid back: Cash", "−$80.00"))
    assert "twice" not in str(told)


def test_the_shop_says_who_it_is(shop):
    Shop.objects.update(public_contact="saltmarsh@example.org")
    Terms(tax_registration="Permit 0101", receipt_words="Thank you.").save()
    told = paper(factories.a_receipt(place="Quay Market"))
    assert (told.shop_name, told.shop_place) == ("Saltmarsh Lane Turnery", "Hollin Ferry")
    assert (told.shop_contact, told.tax_registration) == ("saltmarsh@example.org", "Permit 0101")
    assert (told.place, told.closing) == ("Quay Market", "Thank you.")


def test_a_receipt_keeps_its_currency_when_the_shop_changes_to_another(shop):
    receipt = factories.a_receipt()
    Shop.objects.update(currency="EUR")
    assert paper(receipt).total == ("Total", "$100.00")
    assert paper(factories.a_receipt()).total == ("Total", "€100.00")
