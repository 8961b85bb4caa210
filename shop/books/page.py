"""A month's page in words: what is read from the ledgers, set beside other months and parted.

The same rows stand on the page and on paper. An amount leads to the entries that make it up, where
there are any.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from urllib.parse import urlencode

from django.urls import reverse

from provenance.drawing.columns import Column
from provenance.record.money import format_exact as exact
from provenance.record.partial_dates import PartialDate
from shop.books import figures as parts
from shop.books import monthly, standing, sums
from shop.books.amounts import short
from shop.books.figures import LABELS, WAYS, Entry, Figures, Part
from shop.books.months import Month

#: What stands at the month's end and is no sum of its entries.
HELD, OWED = "held", "owed"
STANDING = {HELD: "Deposits held", OWED: "Owed on receipts"}

#: What is asked first, and how the net comes about.
FIRST = ("net", "tax", "tax_theirs", HELD, OWED)
RECKONING = ("gross", "discount", "refund", "share", "fee", "net")
LESS = ("discount", "refund", "share", "fee")


@dataclass(frozen=True)
class Cell:
    """An amount in words, and the address of what makes it up; '' where nothing does."""

    words: str
    url: str = ""
    #: What it is called where no column's head says it, on a phone; '' beside its row's name.
    head: str = ""
    is_main: bool = False


@dataclass(frozen=True)
class Compared:
    """A figure of the month beside the month before and the same month of the year before."""

    label: str
    now: Cell
    before: Cell
    year_before: Cell
    words: str
    is_sum: bool = False


@dataclass(frozen=True)
class Row:
    """A row of a breakdown."""

    label: str
    cells: list[Cell]


@dataclass(frozen=True)
class Breakdown:
    """A month parted one way. Figures that nothing moved in the month have no column."""

    by: str
    title: str
    heads: list[str]
    rows: list[Row]
    total: list[Cell]


@dataclass(frozen=True)
class Page:
    """Everything that a month's page and paper say."""

    month: Month
    today: date
    currency: str
    is_empty: bool
    counted: str
    first: list[Compared]
    reckoning: list[Compared]
    columns: list[Column]
    #: The same months, the newest first.
    pictured: list[tuple[Month, Cell]]
    breakdowns: list[Breakdown]
    receipts_left_out: int
    deposits_left_out: int

    @property
    def is_running(self) -> bool:
        """Whether the month is not over yet."""
        return self.month == Month.of(self.today)

    @property
    def has_year(self) -> bool:
        """Whether any month of the picture came to anything."""
        return any(column.value for column in self.columns)

    @property
    def has_first(self) -> bool:
        """Whether there is anything to set side by side."""
        return any(c.url for row in self.first for c in (row.now, row.before, row.year_before))

    @property
    def picture_title(self) -> str:
        return f"Net by month, {self.pictured[-1][0].words} to {self.month.words}"

    @property
    def notes(self) -> list[str]:
        """What has to be said of the figures besides."""
        return list(_notes(self))


def _notes(page: Page) -> Iterator[str]:
    if page.is_running:
        today = PartialDate.of(page.today).spoken()
        yield f"The month is not over: its figures up to {today} stand beside whole months."
    receipts = _number(page.receipts_left_out, "receipt")
    deposits = _number(page.deposits_left_out, "deposit")
    if receipts or deposits:
        are = "is" if page.receipts_left_out + page.deposits_left_out == 1 else "are"
        yield (
            f"{' and '.join(filter(None, [receipts, deposits]))} {are} in another currency than "
            f"{page.currency}, the shop’s, and {are} in none of these figures."
        )


def page_of(month: Month, today: date, currency: str) -> Page:
    """Return a month's page. A fixed number of queries, whatever the month holds."""
    happened = monthly.entries(month.first, month.last, currency)
    other_money = happened.accounts_left_out | standing.held_in_other_money(month.last, currency)
    months = month.pictured()
    by_month = sums.figures_by_month(months, currency)
    compared = _Beside(month, by_month, currency, parts.moved(happened.entries))
    pictured = [(m, by_month[m].net) for m in months]
    return Page(
        month=month,
        today=today,
        currency=currency,
        is_empty=not happened.entries,
        counted=counted(happened.entries),
        first=compared.first(),
        reckoning=compared.reckoning(),
        columns=[
            Column(m.short, net, short(net, currency), is_marked=m == month) for m, net in pictured
        ],
        pictured=[(m, amount(m, "net", net, currency)) for m, net in reversed(pictured)],
        breakdowns=[breakdown(month, happened.entries, by, currency) for by in WAYS],
        receipts_left_out=happened.receipts_left_out,
        deposits_left_out=len(other_money),
    )


def address(month: Month, figure: str, by: str = "", key: str = "") -> str:
    """Return the address of the entries that make up a figure."""
    query = {"figure": figure} | ({"by": by, "key": key} if by else {})
    return f"{reverse('books:entries', args=[month])}?{urlencode(query)}"


def amount(month: Month, figure: str, minor: int, currency: str, head: str = "") -> Cell:
    """Return a figure of a whole month; nothing needs no explaining."""
    url = address(month, figure) if minor else ""
    return Cell(exact(minor, currency), url, head)


def counted(entries: Sequence[Entry]) -> str:
    """Return what happened: "4 receipts for 5 pieces and 1 other line, 1 receipt voided"."""
    sold = [entry for entry in entries if entry.what == parts.SALE]
    receipts = len({entry.receipt for entry in sold})
    pieces = sum(bool(entry.piece) for entry in sold)
    things = " and ".join(
        filter(None, [_number(pieces, "piece"), _number(len(sold) - pieces, "other line")])
    )
    voided = len({entry.receipt for entry in entries if entry.what == parts.VOID})
    refunded = len({entry.receipt for entry in entries if entry.what == parts.REFUND})
    said = [
        f"{_number(receipts, 'receipt')} for {things}" if receipts else "",
        f"{_number(voided, 'receipt')} voided" if voided else "",
        f"{_number(refunded, 'receipt')} refunded in whole or in part" if refunded else "",
    ]
    return ", ".join(filter(None, said))


def _number(count: int, what: str) -> str:
    return f"{count} {what}{'' if count == 1 else 's'}" if count else ""


# -- beside other months -------------------------------------------------------------------------


class _Beside:
    """A month's figures beside the month before's and those of the same month a year before."""

    def __init__(
        self, month: Month, by_month: dict[Month, Figures], currency: str, moved: frozenset[str]
    ) -> None:
        self.months = (month, month.before, month.year_before)
        self.currency, self.moved = currency, moved
        self._heads = ("", month.before.words, month.year_before.words)
        ends = [m.last for m in self.months]
        self._values = {
            name: [getattr(by_month[m], name) for m in self.months] for name in LABELS
        } | {
            HELD: standing.deposits_held(ends, currency),
            OWED: standing.owed(ends, currency),
        }

    def first(self) -> list[Compared]:
        """What is asked first; tax of others only where there is any."""
        return [
            self._row(name, is_sum=name == "net")
            for name in FIRST
            if name != "tax_theirs" or any(self._values[name])
        ]

    def reckoning(self) -> list[Compared]:
        """How the net comes about, from the gross."""
        return [self._row(name, is_sum=name == "net") for name in RECKONING]

    def _row(self, name: str, *, is_sum: bool) -> Compared:
        now, before, year_before = self._values[name]
        first, second, third = (
            amount(month, name, minor, self.currency, head)
            for month, minor, head in zip(self.months, self._values[name], self._heads, strict=True)
        )
        if name in self.moved:
            first = replace(first, url=address(self.months[0], name))
        words = (
            against(now, before, self.months[1].name, self.currency),
            against(now, year_before, self.months[2].words, self.currency),
        )
        label = STANDING.get(name) or LABELS[name]
        if name in LESS:
            label = f"less {label.lower()}"
        return Compared(label, first, second, third, ", ".join(words), is_sum)


def against(now: int, then: int, name: str, currency: str) -> str:
    """Return how an amount stands to an earlier one: "up $120 on October"."""
    if now == then:
        return f"the same as {name}"
    way = "up" if now > then else "down"
    return f"{way} {short(abs(now - then), currency)} on {name}"


# -- parted --------------------------------------------------------------------------------------

#: A breakdown's columns; those of `ALWAYS` stand there even where nothing moved them.
COLUMNS = ("gross", "discount", "refund", "share", "fee", "net", "tax", "tax_theirs")
ALWAYS = ("gross", "net")
#: The figure that stands beside a row's name.
MAIN = "net"
SHORT = {"share": "Shares", "tax": "Tax", "tax_theirs": "Tax by others"}


def breakdown(month: Month, entries: Sequence[Entry], by: str, currency: str) -> Breakdown:
    """Return the month parted one way."""
    whole = Part(parts.Name("", "Total"), parts.total(entries), parts.moved(entries))
    shown = [name for name in COLUMNS if name in whole.moved or name in ALWAYS]
    heads = [SHORT.get(name, LABELS[name]) for name in shown]

    def cells(part: Part) -> list[Cell]:
        return [
            Cell(
                exact(getattr(part.figures, name), currency),
                address(month, name, by if part.name.key else "", part.name.key)
                if name in part.moved
                else "",
                "" if name == MAIN else head,
                name == MAIN,
            )
            for name, head in zip(shown, heads, strict=True)
        ]

    rows = [
        Row(part.name.label[:1].upper() + part.name.label[1:], cells(part))
        for part in parts.parted(entries, by)
    ]
    return Breakdown(by, WAYS[by], heads, rows, cells(whole))
