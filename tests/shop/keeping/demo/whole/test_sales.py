"""The demo's trade: receipts on every channel through fourteen months, and all of it adds up."""

import re
from collections import Counter
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest
from django.db.models import Q, Sum

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces.models import Custody, Piece
from shop.sales import paying
from shop.sales.models import (
    Account,
    Holding,
    Line,
    Owing,
    Payment,
    Receipt,
    Refund,
    RefundLine,
    TaxRate,
    Void,
)

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # the demo always is on SQLite

TODAY = date(2026, 6, 15)
FIRST = date(2025, 5, 1)
SHIPPED = Q(lines__extra__slug="shipping")


def receipts() -> list[Receipt]:
    """Every receipt with its lines, in the order of writing."""
    return list(Receipt.objects.for_lists().order_by("pk"))


def there(moment: datetime) -> date:
    """The day in the shop's time zone."""
    return moment.astimezone(Shop.current().zone).date()


def by_month() -> Counter[str]:
    return Counter(day.isoformat()[:7] for day in Receipt.objects.values_list("sold_on", flat=True))


# How much there is


def test_a_hundred_and_fifty_receipts_were_written_in_fourteen_months() -> None:
    assert Receipt.objects.count() >= 150
    days = set(Receipt.objects.values_list("sold_on", flat=True))
    assert min(days) >= FIRST
    assert (TODAY - max(days)).days <= 1
    months = [f"2025-{month:02}" for month in range(5, 13)]
    months += [f"2026-{month:02}" for month in range(1, 7)]
    assert sorted(by_month()) == months


def test_every_channel_has_its_part() -> None:
    channels = Counter(Receipt.objects.values_list("channel", flat=True))
    assert set(channels) == {"booth", "online", "direct", "gallery"}
    assert channels["booth"] > channels["direct"] > channels["online"] >= 15
    assert channels["gallery"] >= 12


def test_more_is_sold_in_summer_and_before_the_years_end() -> None:
    sold = by_month()
    assert sold["2025-12"] == max(sold.values())
    assert min(sold["2025-07"], sold["2025-08"]) > max(sold["2026-01"], sold["2026-02"])


def test_a_market_day_has_many_small_receipts() -> None:
    booths = Receipt.objects.filter(channel="booth")
    a_day = Counter(booths.values_list("sold_on", flat=True))
    assert max(a_day.values()) >= 6
    assert set(booths.values_list("place", flat=True)) == {
        "Ferry Quay Market",
        "Lantern Street Fair",
    }
    totals = sorted(booths.values_list("total_minor", flat=True))
    assert totals[len(totals) // 2] < 100_00


# In order


def test_receipts_are_numbered_without_a_gap_on_the_day_of_the_sale() -> None:
    for year in (25, 26):
        codes = [r.code for r in receipts() if r.code.startswith(f"R{year}")]
        assert codes == [f"R{year}-{nth:03}" for nth in range(1, len(codes) + 1)]
    assert all(there(receipt.written_at) == receipt.sold_on for receipt in receipts())


def test_nothing_is_sold_paid_or_taken_back_ahead_of_its_day() -> None:
    assert not Payment.objects.filter(on__gt=TODAY)
    assert not Void.objects.filter(on__gt=TODAY)
    assert not Refund.objects.filter(on__gt=TODAY)
    for payment in Payment.objects.exclude(receipt=None).select_related("receipt"):
        assert payment.receipt is not None
        assert payment.on >= payment.receipt.sold_on


# It adds up


def test_a_receipt_is_the_sum_of_its_lines() -> None:
    for receipt in receipts():
        lines = list(receipt.lines.all())
        assert receipt.gross_minor == sum(line.gross_minor for line in lines)
        off = sum(line.own_discount_minor + line.shared_discount_minor for line in lines)
        assert receipt.discount_minor == off
        assert receipt.tax_minor == sum(line.tax_minor for line in lines)
        assert receipt.total_minor == sum(line.paid_minor for line in lines) > 0
        assert receipt.share_minor == sum(line.share_minor for line in lines)


def test_every_receipt_is_paid_to_the_cent_or_owed() -> None:
    owing = dict(Owing.objects.values_list("receipt", "amount_minor"))
    for receipt in receipts():
        assert paying.owed_on(receipt) == owing.get(receipt.pk, 0), receipt
    assert owing


def test_what_is_still_owed_is_owed_by_galleries_and_the_site() -> None:
    owed = Owing.objects.select_related("receipt")
    assert {row.receipt.channel for row in owed} <= {"gallery", "online"}


def test_cash_is_changed_and_cards_cost_something() -> None:
    cash = Payment.objects.filter(kind__slug="cash", amount_minor__gt=0, account=None)
    assert all((row.given_minor or 0) >= row.amount_minor for row in cash)
    assert sum(row.change_minor > 0 for row in cash) >= 10
    cards = Payment.objects.filter(kind__slug="card", amount_minor__gt=0)
    assert cards.count() >= 30
    for row in cards:
        assert row.fee_minor == pytest.approx(Decimal("0.024") * row.amount_minor + 12, abs=1)


# Who has what


def test_what_is_sold_and_not_taken_back_is_with_its_owner() -> None:
    returned = RefundLine.objects.filter(is_returned=True).values("line")
    sold = Line.objects.exclude(piece=None).filter(receipt__void=None).exclude(pk__in=returned)
    held = set(Holding.objects.values_list("line", flat=True))
    assert held == set(sold.values_list("pk", flat=True))
    kinds = set(sold.values_list("piece__custody__kind", flat=True))
    assert kinds == {Custody.Kind.BUYER}


def test_since_there_are_receipts_no_piece_goes_to_a_buyer_without_one() -> None:
    handed = Custody.objects.filter(kind=Custody.Kind.BUYER, since__gte=FIRST)
    without = handed.filter(sold_line=None)
    assert [link.why for link in without] == ["Bark glued back"]
    before = Custody.objects.filter(kind=Custody.Kind.BUYER, since__lt=FIRST)
    assert before.count() >= 40
    assert not before.exclude(sold_line=None)


def test_a_piece_that_came_back_can_be_sold_again() -> None:
    piece = Piece.objects.get(title="Last But One")
    [line] = piece.sold_lines.all()
    assert line.receipt.is_void
    assert piece.custody is not None
    assert piece.custody.kind == Custody.Kind.SHOP
    assert not Holding.objects.filter(piece=piece)


# What was taken back


def test_receipts_were_voided_the_same_day_and_in_the_next_month() -> None:
    voids = list(Void.objects.select_related("receipt"))
    same_day = [void for void in voids if void.on == void.receipt.sold_on]
    assert [void.reason[:11] for void in same_day] == ["Wrong piece"]
    [later] = [void for void in voids if void.on.month == void.receipt.sold_on.month % 12 + 1]
    assert later.receipt.total_minor == -sum(row.amount_minor for row in later.payments.all()) > 0


def test_the_piece_that_was_meant_is_sold_in_its_place() -> None:
    [void] = Void.objects.filter(reason__startswith="Wrong piece")
    follower = Receipt.objects.get(pk=void.receipt_id + 1)
    assert follower.buyer == void.receipt.buyer
    assert follower.sold_on == void.on


def test_one_refund_brought_its_piece_back_and_one_gave_money_alone() -> None:
    back, money = RefundLine.objects.order_by("refund__on").select_related("line__receipt")
    assert back.is_returned
    assert back.amount_minor == back.line.paid_minor
    assert back.tax_minor == back.line.tax_minor > 0
    assert not money.is_returned
    assert money.amount_minor == 30_00 < money.line.paid_minor
    for line in (back, money):
        paid_back = line.refund.payments.aggregate(sum=Sum("amount_minor"))["sum"]
        assert paid_back == -line.amount_minor


# On what terms


def test_the_tax_went_up_with_the_new_year() -> None:
    old, new = TaxRate.objects.order_by("since")
    assert (old.until, new.since, new.until) == (date(2025, 12, 31), date(2026, 1, 1), None)
    for receipt in Receipt.objects.exclude(tax_name=""):
        rate = Decimal(6) if receipt.sold_on.year == 2025 else Decimal("6.25")
        assert receipt.tax_rate_pct == rate


def test_galleries_keep_their_share_see_to_the_tax_and_pay_at_the_months_end() -> None:
    galleries = Receipt.objects.filter(channel="gallery").select_related("gallery")
    assert {str(receipt.gallery) for receipt in galleries} == {"The Weir Room", "Tidemark Gallery"}
    for receipt in galleries:
        assert receipt.share_pct == 40
        assert receipt.due_minor == receipt.total_minor - receipt.share_minor - receipt.tax_minor
        for payment in receipt.payments.select_related("kind"):
            assert str(payment.kind) == "Bank transfer"
            assert payment.on.day >= 28 - (payment.on.month == 2)
            assert payment.on.month == receipt.sold_on.month


def test_the_makers_site_keeps_a_part_and_sends_by_parcel() -> None:
    online = Receipt.objects.filter(channel="online")
    assert online.filter(SHIPPED).distinct().count() == online.count()
    assert all(receipt.share_minor > 0 and receipt.is_tax_theirs for receipt in online)
    fridays = Payment.objects.filter(receipt__in=online).values_list("on", flat=True)
    assert {day.weekday() for day in fridays} == {4}


def test_several_small_things_go_for_a_round_price() -> None:
    deals = [receipt for receipt in receipts() if " for $" in receipt.discount_words]
    assert len(deals) >= 5
    for deal in deals:
        count, price = deal.discount_words.split(" for $")
        assert len(deal.lines.all()) == {"Two": 2, "Three": 3}[count]
        assert deal.gross_minor - deal.discount_minor == 100 * int(price)
        forms = {line.piece.form.slug for line in deal.lines.all() if line.piece}
        assert len(forms) == 1


def test_wax_lessons_and_a_repair_are_sold_besides_pieces() -> None:
    sold = Counter(Line.objects.filter(piece=None).values_list("extra__slug", flat=True))
    assert sold["wax"] >= 10
    assert sold["lesson"] >= 3
    assert Line.objects.get(words__startswith="Bark glued").is_taxed is False
    assert Line.objects.filter(extra__slug="wax", quantity=2).exists()


def test_somebody_left_the_wallet_at_home_and_paid_a_week_later() -> None:
    receipt = Receipt.objects.get(words="Wallet left at home", channel="booth")
    [payment] = receipt.payments.select_related("kind")
    assert str(payment.kind) == "Bank transfer"
    assert (payment.on - receipt.sold_on).days == 7


# To whom


def test_about_one_in_four_leaves_a_name_and_some_come_again() -> None:
    named = Counter(buyer for buyer in Receipt.objects.values_list("buyer", flat=True) if buyer)
    assert 0.2 <= named.total() / Receipt.objects.count() <= 0.36
    assert len(named) >= 20
    assert sum(count > 1 for count in named.values()) >= 8


def test_new_buyers_come_into_the_book_with_what_they_buy() -> None:
    new = Person.objects.filter(created_at__date__gte=FIRST, receipts__isnull=False).distinct()
    first_buys = 0
    for person in new:
        first = person.receipts.order_by("pk")[0]
        first_buys += there(person.created_at) == first.sold_on
    assert first_buys >= 8


def test_one_customer_stands_in_the_book_twice_under_two_spellings() -> None:
    one, other = Person.objects.filter(phone="555-0146").order_by("pk")
    assert (one.name, other.name) == ("Greta Lindgarth", "Greta Lindgard")
    assert not other.merged_into_id
    assert one.receipts.exists()
    assert other.receipts.exists()


def test_every_price_and_place_is_of_the_invented_shop() -> None:
    for receipt in receipts():
        assert receipt.currency == "USD"
        words: list[Any] = [receipt.place, receipt.words, receipt.discount_words]
        assert not re.search(r"http|@|\d{5}", " ".join(words))


def test_accounts_hold_what_their_payments_come_to() -> None:
    for account in Account.objects.all():
        rows = list(account.payments.all())
        came = sum(row.amount_minor for row in rows if row.receipt_id is None)
        went = sum(row.amount_minor for row in rows if row.receipt_id is not None)
        assert account.held_minor == came - went
