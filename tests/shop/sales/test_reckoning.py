"""What a sale comes to, against published rules and the laws that all amounts keep.

Rounding: Streamlined Sales and Use Tax Agreement, section 324, as the General Laws of Rhode
Island have it in § 44-18.1-25: computed to the third decimal place, up to the next cent whenever
that is greater than four; the seller may elect an item or an invoice basis. N.D. Administrative
Code 81-04.1-01-29 adds: "four or less, round down".
Contained tax: HM Revenue & Customs, "Calculating VAT for VAT-inclusive and VAT-exclusive prices"
(hmrc.gov.uk/vat/forms-rates/rates/calculating.htm): £100 and 20 % are £120, of which £20 is VAT;
£100 and 5 % are £105.
"""

from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.sales.reckoning import (
    BY_ITEM,
    BY_RECEIPT,
    Basis,
    Item,
    Off,
    OutOfBounds,
    Reckoning,
    TooMuchOff,
    given_back,
    part_of,
    reckon,
    share_out,
    tax_on,
)

RATE = Decimal("6.25")  # Massachusetts, General Laws chapter 64I: with the same rounding, section 5
CENT = Decimal("0.01")


def tax_of(items: list[Item], rate: Decimal = RATE, **basis: Any) -> int:
    return reckon(items, Basis(rate_pct=rate, **basis)).tax_minor


# The published rules


def test_by_item_each_of_three_is_rounded_by_itself() -> None:
    # 40 ¢ × 6.25 % = 2.5 ¢, up to 3 ¢, three times.
    as_lines, as_one = [Item(40)] * 3, [Item(40, quantity=3)]
    assert tax_of(as_lines, rounding=BY_ITEM) == tax_of(as_one, rounding=BY_ITEM) == 9


def test_by_invoice_three_are_rounded_together() -> None:
    # $1.20 × 6.25 % = 7.5 ¢, up to 8 ¢.
    as_lines, as_one = [Item(40)] * 3, [Item(40, quantity=3)]
    assert tax_of(as_lines, rounding=BY_RECEIPT) == tax_of(as_one, rounding=BY_RECEIPT) == 8


@pytest.mark.parametrize(
    ("charged", "tax"),
    [
        (1099, 69),  # 68.6875 ¢
        (29412, 1838),  # $18.3825
        (40, 3),  # 2.5 ¢
        (8, 1),  # 0.5 ¢
        (7, 0),  # 0.4375 ¢
        (1192, 75),  # 74.5 ¢
    ],
)
@pytest.mark.parametrize("rounding", [BY_ITEM, BY_RECEIPT])
def test_tax_at_six_and_a_quarter_percent(charged: int, tax: int, rounding: str) -> None:
    assert tax_of([Item(charged)], rounding=rounding) == tax


@given(st.integers(0, 10**9), st.decimals(0, 30, places=4))
def test_a_third_decimal_above_four_rounds_up(charged: int, rate: Decimal) -> None:
    dollars = Decimal(charged).scaleb(-2) * rate / 100
    to_third = dollars.quantize(Decimal("0.001"), ROUND_DOWN)
    cents, third = divmod(int(to_third.scaleb(3)), 10)
    assert tax_on(charged, rate, is_included=False) == cents + (third > 4)
    assert tax_on(charged, rate, is_included=False) == int(
        dollars.quantize(CENT, ROUND_HALF_UP).scaleb(2)
    )


def test_to_round_half_to_even_or_twice_would_give_other_cents() -> None:
    half = Decimal("0.40") * RATE / 100
    assert half.quantize(CENT, ROUND_HALF_EVEN) == Decimal("0.02")
    assert tax_of([Item(40)]) == 3
    # $0.7448 rounded to the third decimal place first is $0.745, and that would be 75 ¢.
    assert tax_on(1064, Decimal(7), is_included=False) == 74


@pytest.mark.parametrize(("paid", "rate", "tax"), [(12000, 20, 2000), (10500, 5, 500)])
def test_tax_contained_in_a_price_is_the_vat_fraction_of_it(paid: int, rate: int, tax: int) -> None:
    reckoning = reckon([Item(paid)], Basis(rate_pct=Decimal(rate), prices_include_tax=True))
    [line] = reckoning.lines
    assert (line.paid_minor, line.tax_minor, line.gross_minor) == (paid, tax, paid - tax)


@given(st.integers(0, 10**9))
def test_at_twenty_percent_a_sixth_of_the_price_is_tax(paid: int) -> None:
    assert tax_on(paid, Decimal(20), is_included=True) == (2 * paid + 6) // 12


# The laws

RATES = st.decimals(0, 40, places=4)
OFFS = st.one_of(
    st.builds(Off),
    st.builds(Off, minor=st.integers(0, 3000)),
    st.builds(Off, pct=st.decimals(0, 100, places=2)),
)
ITEMS = st.builds(
    Item,
    unit_minor=st.integers(0, 60_000),
    quantity=st.integers(1, 12),
    off=OFFS,
    is_taxed=st.booleans(),
)
BASES = st.builds(
    Basis,
    rate_pct=RATES,
    prices_include_tax=st.booleans(),
    rounding=st.sampled_from([BY_ITEM, BY_RECEIPT]),
    share_pct=st.decimals(0, 100, places=3),
    is_tax_theirs=st.booleans(),
)


def reckoned(items: list[Item], basis: Basis, off: Off) -> Reckoning:
    try:
        return reckon(items, basis, off)
    except TooMuchOff:
        assume(False)
        raise


@given(st.lists(ITEMS, max_size=8), BASES, OFFS)
def test_lines_add_up_to_the_receipt_and_gross_less_discounts_plus_tax_is_paid(
    items: list[Item], basis: Basis, off: Off
) -> None:
    whole = reckoned(items, basis, off)
    for line in whole.lines:
        assert min(vars(line).values()) >= 0
        less = line.own_discount_minor + line.shared_discount_minor
        assert line.gross_minor - less + line.tax_minor == line.paid_minor
        assert line.share_minor <= line.paid_minor - line.tax_minor
    assert whole.gross_minor - whole.discount_minor + whole.tax_minor == whole.total_minor
    for name in ("gross_minor", "tax_minor", "share_minor"):
        assert getattr(whole, name) == sum(getattr(line, name) for line in whole.lines)
    assert whole.total_minor == sum(line.paid_minor for line in whole.lines)
    theirs = whole.tax_minor if basis.is_tax_theirs else 0
    assert whole.due_minor == whole.total_minor - whole.share_minor - theirs >= 0


@given(st.lists(ITEMS, min_size=1, max_size=8), BASES, OFFS)
def test_what_the_buyer_pays_is_list_price_less_discount_and_tax_where_it_is_added(
    items: list[Item], basis: Basis, off: Off
) -> None:
    whole = reckoned(items, basis, off)
    listed = sum(item.unit_minor * item.quantity for item in items)
    added = 0 if basis.prices_include_tax else whole.tax_minor
    assert whole.total_minor == listed - whole.discount_minor + added
    for item, line in zip(items, whole.lines, strict=True):
        assert item.is_taxed or line.tax_minor == 0


@given(st.lists(st.integers(0, 9999), max_size=12), st.data())
def test_shares_add_up_and_no_part_exceeds_its_weight(weights: list[int], data: st.DataObject):
    amount = data.draw(st.integers(0, sum(weights)))
    parts = share_out(amount, weights)
    assert sum(parts) == amount
    for part, weight in zip(parts, weights, strict=True):
        assert 0 <= part <= weight
        assert not weight or abs(part - Fraction(amount * weight, sum(weights))) < 1


def test_the_odd_cents_of_equal_parts_go_to_the_first() -> None:
    assert share_out(100, [1, 1, 1]) == [34, 33, 33]


def test_nothing_is_shared_by_nothing() -> None:
    assert share_out(0, []) == []
    assert share_out(0, [0, 0]) == [0, 0]
    with pytest.raises(ValueError, match="nothing to share by"):
        share_out(1, [0])


@given(st.lists(ITEMS, min_size=1, max_size=8), RATES, st.booleans())
def test_by_item_and_by_receipt_differ_by_half_a_cent_for_each_thing_at_most(
    items: list[Item], rate: Decimal, is_included: bool
) -> None:
    items = [Item(item.unit_minor, item.quantity, is_taxed=item.is_taxed) for item in items]
    by = {
        rounding: tax_of(items, rate, rounding=rounding, prices_include_tax=is_included)
        for rounding in (BY_ITEM, BY_RECEIPT)
    }
    things = sum(item.quantity for item in items)
    assert abs(by[BY_ITEM] - by[BY_RECEIPT]) <= Fraction(things, 2)
    if rate == 0:
        assert by == {BY_ITEM: 0, BY_RECEIPT: 0}


@given(st.integers(0, 10**7), RATES)
def test_tax_that_was_added_is_found_in_what_was_paid(charged: int, rate: Decimal) -> None:
    tax = tax_on(charged, rate, is_included=False)
    assert tax_on(charged + tax, rate, is_included=True) == tax


@given(st.integers(0, 10**7), st.integers(0, 10**4), RATES, st.booleans())
def test_more_never_costs_less_tax(less: int, more: int, rate: Decimal, is_included: bool) -> None:
    at = [tax_on(charged, rate, is_included=is_included) for charged in (less, less + more)]
    assert 0 <= at[0] <= at[1]
    assert part_of(less, rate) <= part_of(less + more, rate)
    if is_included:
        assert at[1] - at[0] <= more


@given(st.integers(0, 10**7), RATES, RATES, st.booleans())
def test_a_higher_rate_is_never_less_tax(
    charged: int, one: Decimal, other: Decimal, is_included: bool
) -> None:
    low, high = sorted([one, other])
    assert tax_on(charged, low, is_included=is_included) <= tax_on(
        charged, high, is_included=is_included
    )


@st.composite
def lines_given_back(draw: st.DrawFn) -> tuple[dict[str, int], list[int]]:
    """A line's amounts as a sale has them, and what is given back on it in turn, all of it."""
    paid = draw(st.integers(1, 50_000))
    tax = draw(st.integers(0, paid))
    share = draw(st.integers(0, paid - tax))
    cuts = sorted(draw(st.sets(st.integers(1, paid), max_size=8)) | {paid})
    parts = [after - before for before, after in zip([0, *cuts], cuts, strict=False)]
    return {"paid_minor": paid, "tax_minor": tax, "share_minor": share}, parts


@given(lines_given_back())
def test_in_whatever_parts_a_line_is_given_back_its_tax_and_share_come_to_the_cent(
    line_and_parts: tuple[dict[str, int], list[int]],
) -> None:
    line, parts = line_and_parts
    before = tax = share = 0
    for part in parts:
        back = given_back(part, before_minor=before, **line)
        assert back.tax_minor >= 0
        assert back.share_minor >= 0
        assert back.tax_minor + back.share_minor <= part
        before, tax, share = before + part, tax + back.tax_minor, share + back.share_minor
    assert (before, tax, share) == (line["paid_minor"], line["tax_minor"], line["share_minor"])


@pytest.mark.parametrize("amount", [0, -1, 41])
def test_no_more_is_given_back_than_is_left(amount: int) -> None:
    with pytest.raises(ValueError, match="left"):
        given_back(amount, paid_minor=100, tax_minor=6, share_minor=0, before_minor=60)


# What it refuses


@pytest.mark.parametrize("off", [Off(minor=1001), Off(pct=Decimal("100.06"))])
def test_a_discount_is_not_more_than_the_price(off: Off) -> None:
    with pytest.raises(TooMuchOff, match="take less off"):
        reckon([Item(1000, off=off)], Basis())
    with pytest.raises(TooMuchOff, match="take less off"):
        reckon([Item(1000)], Basis(), off)
    assert reckon([Item(1000, off=Off(pct=Decimal(100)))], Basis()).total_minor == 0


@pytest.mark.parametrize("off", [Off(minor=-1), Off(pct=Decimal(-1))])
def test_a_discount_makes_nothing_dearer(off: Off) -> None:
    with pytest.raises(TooMuchOff, match="without a minus"):
        reckon([Item(1000)], Basis(), off)


@pytest.mark.parametrize("item", [Item(-1), Item(100, quantity=0), Item(100, quantity=10_000)])
def test_a_line_is_a_number_of_things_at_no_less_than_nothing(item: Item) -> None:
    with pytest.raises(OutOfBounds, match="1 to 9,999 of one thing"):
        reckon([item], Basis())


def test_a_receipt_ends_before_the_columns_do() -> None:
    most = reckon([Item(10**12 - 1), Item(1)], Basis(rate_pct=Decimal("999.9999")))
    assert most.total_minor < 2**63
    with pytest.raises(OutOfBounds, match="check the prices"):
        reckon([Item(10**12), Item(1)], Basis())


@pytest.mark.parametrize(("is_included", "price"), [(True, 12_000), (False, 10_000)])
def test_a_share_is_a_part_of_the_price_before_tax(is_included: bool, price: int) -> None:
    rate, share = Decimal(20), Decimal(40)
    basis = Basis(rate_pct=rate, prices_include_tax=is_included, share_pct=share)
    whole = reckon([Item(price)], basis)
    assert (whole.total_minor, whole.share_minor, whole.due_minor) == (12_000, 4_000, 8_000)


@pytest.mark.parametrize("share", ["100.001", "-1"])
def test_a_gallery_keeps_no_more_than_the_price(share: str) -> None:
    with pytest.raises(OutOfBounds, match="between 0 and 100"):
        reckon([Item(1000)], Basis(share_pct=Decimal(share)))


def test_a_gallery_that_keeps_all_leaves_the_tax_unless_that_is_theirs_too() -> None:
    keeps_all: dict[str, Any] = {"rate_pct": RATE, "share_pct": Decimal(100)}
    assert reckon([Item(1000)], Basis(**keeps_all)).due_minor == 63
    assert reckon([Item(1000)], Basis(**keeps_all, is_tax_theirs=True)).due_minor == 0
