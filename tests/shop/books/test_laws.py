"""Whatever happens in whatever months: every page, list, breakdown and file of them agrees."""

import csv
import io
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import parse_qs, urlsplit

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from provenance.people.models import Person
from provenance.pieces.models import Piece
from provenance.record.errors import RecordError
from provenance.record.money import format_exact as exact
from shop.books import figures as parts
from shop.books import monthly, standing
from shop.books.amounts import plain
from shop.books.csv_file import csv_file
from shop.books.figures import Entry, Figures
from shop.books.months import Month
from shop.books.opened import Asked, opened
from shop.books.page import STANDING, Cell, page_of
from shop.books.sums import figures_by_month
from shop.sales import deposits, paying, undoing
from shop.sales.checkout import Sold
from shop.sales.models import Account, Channel, Payment, Receipt, RefundLine, Rounding, TaxRate
from shop.sales.paying import Paid
from shop.sales.reckoning import Off
from tests import factories
from tests.shop.books.selling import (
    LAST_NOVEMBER,
    LATE,
    NOVEMBER,
    OCTOBER,
    a_piece_of,
    a_rate,
    card,
    entries_of,
    sell,
    void,
    wax,
    wood,
)

MONTHS = (LAST_NOVEMBER, OCTOBER, NOVEMBER)
DAYS = sorted(day for month in MONTHS for day in (month.first, month.last))
PIECES = 5

#: The file's columns and the page's figures that they add up to.
IN_FILE = {
    "gross": "gross", "discounts": "discount", "refunds": "refund", "tax": "tax",
    "tax by others": "tax_theirs", "shares": "share", "fees": "fee", "net": "net",
}  # fmt: skip

PICK = st.integers(0, 5)
SALE = st.fixed_dictionaries(
    {
        "pieces": st.sets(st.integers(0, PIECES - 1), max_size=2),
        "extra": st.one_of(st.none(), st.tuples(st.integers(0, 999), st.integers(1, 3))),
        "unit": st.integers(0, 13_000),
        "off": st.builds(Off, pct=st.sampled_from([Decimal(0), Decimal("12.5"), Decimal(100)])),
        "is_taxed": st.booleans(),
        "is_included": st.booleans(),
        "rounding": st.sampled_from(Rounding.values),
        "channel": st.sampled_from(Channel.values),
        "is_paid": st.booleans(),
        "has_deposit": st.booleans(),
    }
)
DEEDS = st.one_of(
    st.tuples(st.just("sell"), SALE),
    st.tuples(st.just("sell"), SALE),
    st.tuples(st.just("void"), PICK),
    st.tuples(st.just("refund"), st.tuples(PICK, st.integers(1, 4_000))),
    st.tuples(st.just("pay"), st.tuples(PICK, st.integers(1, 4_000))),
    st.tuples(st.just("take"), st.integers(1, 4_000)),
)
LIVES = st.lists(st.tuples(st.sampled_from(DAYS), DEEDS), min_size=1, max_size=9)


class Laws(TestCase):
    """A shop that sells five pieces and some wax in three months, by card and with a fee."""

    pieces: list[Piece]
    rate: TaxRate
    weir: Person
    account: Account

    @classmethod
    def setUpTestData(cls) -> None:
        ash, walnut, stock = wood("white-ash"), wood("black-walnut"), factories.some_stock(LATE)
        sources = ([ash], [ash, walnut], [stock, walnut], [None], [stock])
        cls.pieces = [a_piece_of(*each) for each in sources]
        cls.rate, cls.weir = a_rate("8.875"), factories.a_person(name="Weir Gallery")
        cls.account = deposits.open_account(factories.a_person(), "A bowl", LATE)
        card("2.9", fixed_minor=30)

    # What may be done

    def sell(self, on: date, how: dict[str, Any]) -> None:
        lines = [Sold(how["unit"], piece=self.pieces[nth]) for nth in sorted(how["pieces"])]
        if how["extra"] or not lines:
            unit, quantity = how["extra"] or (500, 1)
            lines.append(wax(unit, quantity=quantity))
        is_passed_on = how["channel"] == Channel.GALLERY
        sell(
            on, *lines, channel=how["channel"], off=how["off"],
            gallery=self.weir if is_passed_on else None,
            share_pct=Decimal("33.333") if is_passed_on else Decimal(0),
            is_tax_theirs=is_passed_on,
            tax=self.rate if how["is_taxed"] else None,
            prices_include_tax=how["is_included"], rounding=how["rounding"],
            account=self.account if how["has_deposit"] else None,
            payments=[Paid(factories.a_kind("card"))] if how["is_paid"] else [],
        )  # fmt: skip

    def receipt(self, pick: int) -> Receipt:
        receipts = list(Receipt.objects.order_by("pk"))
        if not receipts:
            raise RecordError("Nothing was sold yet.")
        return receipts[pick % len(receipts)]

    def void(self, on: date, pick: int) -> None:
        void(self.receipt(pick), on)

    def refund(self, on: date, how: tuple[int, int]) -> None:
        receipt = self.receipt(how[0])
        wishes = [
            undoing.Wish(line, min(how[1], undoing.left_on(line))) for line in receipt.lines.all()
        ]
        undoing.refund(receipt, wishes, "It cracked", LATE, kind=factories.a_kind(), on=on)

    def pay(self, on: date, how: tuple[int, int]) -> None:
        paying.pay(self.receipt(how[0]), Paid(factories.a_kind("card"), how[1]), LATE, on=on)

    def take(self, on: date, minor: int) -> None:
        deposits.take(self.account, Paid(factories.a_kind("card"), minor), LATE, on=on)

    @settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
    @given(LIVES)
    def test_every_way_to_look_at_a_month_agrees(self, life: list[tuple[date, Any]]) -> None:
        for on, (deed, how) in sorted(life, key=lambda step: step[0]):
            do: Callable[[date, Any], None] = getattr(self, deed)
            try:
                do(on, how)
            except RecordError:
                continue
        by_month = figures_by_month(NOVEMBER.pictured(), "USD")
        for month in MONTHS:
            entries = entries_of(month)
            total = parts.total(entries)
            assert total == by_month[month] == from_receipts(month)
            breakdowns_add_up(entries, total)
            file_adds_up(entries, total)
        pages_agree()
        links_open_what_they_say()


def from_receipts(month: Month) -> Figures:
    """The month's figures from the receipts' own sums and the refunds, without any line's part."""

    def within(day: date) -> bool:
        return month.first <= day <= month.last

    sums: Counter[str] = Counter()
    for receipt in Receipt.objects.select_related("void"):
        times = within(receipt.sold_on) - (receipt.is_void and within(receipt.void.on))
        sums["gross"] += times * receipt.gross_minor
        sums["discount"] += times * receipt.discount_minor
        sums["share"] += times * receipt.share_minor
        sums["tax_theirs" if receipt.is_tax_theirs else "tax"] += times * receipt.tax_minor
    for line in RefundLine.objects.select_related("refund__receipt"):
        if within(line.refund.on):
            theirs = line.refund.receipt.is_tax_theirs
            sums["refund"] += line.amount_minor - line.tax_minor
            sums["share"] -= line.share_minor
            sums["tax_theirs" if theirs else "tax"] -= line.tax_minor
    sums["fee"] = sum(p.fee_minor for p in Payment.objects.all() if within(p.on))
    return Figures(**sums)


def breakdowns_add_up(entries: list[Entry], total: Figures) -> None:
    for by in parts.WAYS:
        rows = parts.parted(entries, by)
        assert sum((row.figures for row in rows), Figures()) == total
        assert len({row.name.label for row in rows}) == len(rows)
        for figure in parts.LABELS:
            listed = [Asked(NOVEMBER, figure, by, row.name.key).among(entries) for row in rows]
            assert sum(len(each) for each in listed) == len(Asked(NOVEMBER, figure).among(entries))
            assert [sum(getattr(e.figures, figure) for e in each) for each in listed] == [
                getattr(row.figures, figure) for row in rows
            ]


def file_adds_up(entries: list[Entry], total: Figures) -> None:
    text = csv_file(entries, "USD").decode("utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert len(rows) == len(entries)
    for head, figure in IN_FILE.items():
        added = sum((Decimal(row[head]) for row in rows), Decimal("0.00"))
        assert f"{added}" == plain(getattr(total, figure), "USD")


def pages_agree() -> None:
    """What stands beside a month is what the other months' own pages say."""
    today = date(2027, 3, 1)
    page, *others = (page_of(m, today, "USD") for m in (NOVEMBER, OCTOBER, LAST_NOVEMBER))
    for before, other in zip(("before", "year_before"), others, strict=True):
        theirs = {row.label: row.now.words for row in (*other.first, *other.reckoning)}
        for row in (*page.first, *page.reckoning):
            cell: Cell = getattr(row, before)
            assert cell.words == theirs.get(row.label, "$0.00")
    [last] = [cell for month, cell in page.pictured if month == LAST_NOVEMBER]
    assert last.words == next(row.now.words for row in others[1].first if row.label == "Net")
    assert standing.owed([date(2027, 3, 1)], "USD") == [
        sum(paying.owed_on(receipt) for receipt in Receipt.objects.all())
    ]
    held = Account.objects.get().held_minor
    assert standing.deposits_held([date(2027, 3, 1)], "USD") == [held]


def links_open_what_they_say() -> None:
    """Every amount of November's page leads to entries that add up to it."""
    page = page_of(NOVEMBER, date(2027, 3, 1), "USD")
    entries = {month: entries_of(month) for month in NOVEMBER.pictured()}
    for cell in cells_of(page):
        if not cell.url:
            assert cell.words == "$0.00"
            continue
        query = {name: values[0] for name, values in parse_qs(urlsplit(cell.url).query).items()}
        asked = Asked(Month.parse(urlsplit(cell.url).path.split("/")[2]), **query)
        if asked.figure in STANDING:
            found = [row.amount_minor for row in opened(asked, "USD").rows]
        else:
            made_up_of = asked.among(entries[asked.month])
            found = [getattr(entry.figures, asked.figure) for entry in made_up_of]
        assert found
        assert all(found)
        assert exact(sum(found), "USD") == cell.words


def cells_of(page: Any) -> Iterator[Cell]:
    for row in (*page.first, *page.reckoning):
        yield from (row.now, row.before, row.year_before)
    for part in page.breakdowns:
        yield from (*part.total, *(cell for row in part.rows for cell in row.cells))
    yield from (cell for _, cell in page.pictured)


def test_entries_can_be_asked_for_a_longer_span(db: None) -> None:
    sell(OCTOBER.last, wax(100))
    sell(NOVEMBER.first, wax(200))
    both = monthly.entries(OCTOBER.first, NOVEMBER.last, "USD").entries
    assert parts.total(both) == Figures(gross=300)
