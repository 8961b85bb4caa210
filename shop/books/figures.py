"""A month's figures, the entries that make them up, and the ways to part them. Pure arithmetic."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from datetime import date

SALE, VOID, REFUND, FEE = "sale", "void", "refund", "fee"


@dataclass(frozen=True)
class Figures:
    """Amounts in minor units. `net` is what is left of the gross; tax stands beside it.

    Gross is before discounts and without tax. A void carries its sale's amounts turned round; of
    what is given back, `refund` is the part without tax. `tax` is the shop's to hand on,
    `tax_theirs` is collected and handed on by the gallery or site that made the sale.
    """

    gross: int = 0
    discount: int = 0
    refund: int = 0
    share: int = 0
    fee: int = 0
    tax: int = 0
    tax_theirs: int = 0

    @property
    def net(self) -> int:
        """Gross less discounts, refunds, shares and fees."""
        return self.gross - self.discount - self.refund - self.share - self.fee

    @property
    def before_tax(self) -> int:
        """Gross less discounts and refunds: what tax is reckoned from, where there is any."""
        return self.gross - self.discount - self.refund

    def __add__(self, other: "Figures") -> "Figures":
        return Figures(*(getattr(self, f.name) + getattr(other, f.name) for f in fields(self)))

    def __neg__(self) -> "Figures":
        return Figures(*(-getattr(self, f.name) for f in fields(self)))


#: The figures of an entry in the order in which they are read, and what they are called.
LABELS = {
    "gross": "Gross",
    "discount": "Discounts",
    "refund": "Refunds",
    "share": "Gallery shares",
    "fee": "Fees",
    "net": "Net",
    "tax": "Tax you collected",
    "tax_theirs": "Tax collected by others",
    "before_tax": "Before tax",
}


@dataclass(frozen=True)
class Name:
    """What an entry is counted under: a key for addresses, and its words."""

    key: str
    label: str
    #: Neither wood nor work nor a channel: such rows come last.
    is_rest: bool = False


@dataclass(frozen=True)
class Entry:
    """One line's part in the month: a sale, void, refund, or a fee shared over the lines.

    `receipt` is '' and the names say so where a fee was taken for a deposit not sold yet.
    """

    day: date
    what: str
    receipt: str
    position: int
    words: str
    piece: str
    place: str
    channel: Name
    form: Name
    species: Name
    tree: Name
    figures: Figures
    #: The tax that was on the line, "Sales tax 6.25 %"; '' where there was none.
    tax_rate: str = ""
    #: Whose deposit a fee was taken for; shown to the owner, never written into a file.
    giver: str = ""


#: The ways in which a month is parted, and what they are called.
WAYS = {
    "channel": "By channel",
    "form": "By form of work",
    "species": "By species",
    "tree": "By tree",
}


def name_in(entry: Entry, by: str) -> Name:
    """Return what an entry is counted under in one of the `WAYS`."""
    name: Name = getattr(entry, by)
    return name


def total(entries: Iterable[Entry]) -> Figures:
    """Return what entries come to together."""
    return sum((entry.figures for entry in entries), Figures())


@dataclass(frozen=True)
class Part:
    """One row of a breakdown: a name, its figures, and those of them that some entry moved."""

    name: Name
    figures: Figures
    moved: frozenset[str]


def moved(entries: Iterable[Entry]) -> frozenset[str]:
    """Return the figures that any of the entries moved, even where they come to nothing."""
    return frozenset(
        figure for entry in entries for figure in LABELS if getattr(entry.figures, figure)
    )


def parted(entries: Sequence[Entry], by: str) -> list[Part]:
    """Return the entries' figures by channel, form, species, tree or rate: the largest net first.

    Each entry is counted under exactly one name, so the parts add up to the total.
    """
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(name_in(entry, by).key, []).append(entry)
    parts = [Part(name_in(group[0], by), total(group), moved(group)) for group in groups.values()]
    return sorted(parts, key=lambda p: (p.name.is_rest, -p.figures.net, p.name.label))
