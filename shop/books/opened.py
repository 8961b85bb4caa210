"""A figure opened: the entries, accounts or receipts that make it up, and nothing else."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.urls import reverse

from provenance.record.money import format_exact as exact
from provenance.record.numbers import NotANumber, Number
from provenance.record.partial_dates import PartialDate
from shop.books import figures as parts
from shop.books import monthly, standing
from shop.books.figures import LABELS, WAYS, Entry, Name
from shop.books.months import Month
from shop.books.page import HELD, STANDING


class NoSuchFigure(ValueError):
    """The address asks for a figure, or a way to part it, that the books don't have."""


@dataclass(frozen=True)
class Asked:
    """A figure of a month, of the whole of it or of one row of a breakdown."""

    month: Month
    figure: str = "net"
    by: str = ""
    key: str = ""

    def __post_init__(self) -> None:
        is_standing = self.figure in STANDING
        if not (is_standing or self.figure in LABELS) or self.by not in ("", *WAYS):
            raise NoSuchFigure(f"{self.figure} {self.by}")
        if is_standing and self.by:
            raise NoSuchFigure(f"{self.figure} is not parted")

    def among(self, entries: Iterable[Entry]) -> list[Entry]:
        """Return the entries that make up the figure: all that move it, in order."""
        return [
            entry
            for entry in entries
            if getattr(entry.figures, self.figure)
            and (not self.by or parts.name_in(entry, self.by).key == self.key)
        ]


@dataclass(frozen=True)
class Row:
    """One thing that makes up a figure. `url` is '' where there is no receipt yet."""

    name: str
    words: tuple[str, ...]
    amount_minor: int
    amount: str
    url: str = ""


@dataclass(frozen=True)
class Opened:
    """A figure with what makes it up: the rows' amounts add up to it."""

    title: str
    when: str
    under: str
    rows: list[Row]
    amount_minor: int
    amount: str
    tree: str = ""


def opened(asked: Asked, currency: str) -> Opened:
    """Return what makes up a figure. A fixed number of queries."""
    if asked.figure in STANDING:
        rows, title, under = _standing(asked, currency), STANDING[asked.figure], ""
        when = f"At the end of {asked.month.words}"
    else:
        happened = monthly.entries(asked.month.first, asked.month.last, currency)
        found = asked.among(happened.entries)
        rows = [_row(entry, asked.figure, currency) for entry in found]
        title, when, under = LABELS[asked.figure], asked.month.words, _under(asked, found)
    whole = sum(row.amount_minor for row in rows)
    return Opened(title, when, under, rows, whole, exact(whole, currency), _tree(asked))


def _under(asked: Asked, found: Iterable[Entry]) -> str:
    """ "by species: ash"; '' for the whole month, or where nothing is left of the row."""
    names: list[Name] = [parts.name_in(entry, asked.by) for entry in found] if asked.by else []
    return f"{WAYS[asked.by].lower()}: {names[0].label}" if names else ""


def _tree(asked: Asked) -> str:
    """Return the code of the one tree that is asked for; '' for anything else."""
    if asked.by != "tree":
        return ""
    try:
        return Number.from_code(asked.key).code
    except NotANumber:
        return ""


def _row(entry: Entry, figure: str, currency: str) -> Row:
    minor = getattr(entry.figures, figure)
    said = (
        PartialDate.of(entry.day).spoken(), entry.what, entry.receipt, entry.piece,
        entry.channel.label if entry.receipt else "", entry.place,
    )  # fmt: skip
    return Row(
        name=f"{entry.words} ({entry.giver})" if entry.giver else entry.words,
        words=tuple(filter(None, said)),
        amount_minor=minor,
        amount=exact(minor, currency),
        url=reverse("sales:receipt", args=[entry.receipt]) if entry.receipt else "",
    )


def _standing(asked: Asked, currency: str) -> list[Row]:
    day = asked.month.last
    if asked.figure == HELD:
        return [
            Row(
                name=held.account.words,
                words=(f"held for {held.account.person}",),
                amount_minor=held.amount_minor,
                amount=exact(held.amount_minor, currency),
                url=reverse("bench:person", args=[held.account.person.kept_pk]),
            )
            for held in standing.held_on(day, currency)
        ]
    return [
        Row(
            name=f"{owed.receipt}, {owed.receipt.buyer or owed.receipt.gallery or 'no name'}",
            words=(f"sold {PartialDate.of(owed.receipt.sold_on).spoken()}",),
            amount_minor=owed.amount_minor,
            amount=exact(owed.amount_minor, currency),
            url=reverse("sales:receipt", args=[owed.receipt.code]),
        )
        for owed in standing.owed_on(day, currency)
    ]
