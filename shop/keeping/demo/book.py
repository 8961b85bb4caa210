"""What the demo keeps at hand while it is written: who and what the script's keys stand for."""

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from provenance.people.models import Person
from provenance.pieces.making import Source
from provenance.pieces.models import Piece
from provenance.trees.models import BoughtStock, Section, Tree
from shop.keeping.demo.calendar import Calendar
from shop.sales.models import Extra, PaymentKind, Receipt

#: The shop has written receipts for this many calendar months, the present one among them.
MONTHS_OF_RECEIPTS = 14


def chance_of(words: str) -> random.Random:
    """Return chance seeded by `words`, so that the same script gives the same shop."""
    return random.Random(f"Saltmarsh Lane, {words}")  # noqa: S311 - nothing secret


@dataclass
class Book:
    """The demo in the making. `shelf` holds the finished pieces that are for sale in the shop."""

    calendar: Calendar
    people: dict[str, Person] = field(default_factory=dict)
    buyers: list[Person] = field(default_factory=list)
    #: Facts of people who come into the book when they first buy, the next one first.
    newcomers: list[dict[str, Any]] = field(default_factory=list)
    trees: dict[str, Tree] = field(default_factory=dict)
    sections: dict[str, Section] = field(default_factory=dict)
    stocks: dict[str, BoughtStock] = field(default_factory=dict)
    pieces: dict[str, Piece] = field(default_factory=dict)
    shelf: list[Piece] = field(default_factory=list)
    kinds: dict[str, PaymentKind] = field(default_factory=dict)
    extras: dict[str, Extra] = field(default_factory=dict)
    receipts: dict[str, Receipt] = field(default_factory=dict)
    #: Who comes by and what they take; how a piece is made has a chance of its own.
    chance: random.Random = field(default_factory=lambda: chance_of("the street"))

    def keeps_receipts(self, day: date) -> bool:
        """Return whether the shop wrote receipts on that day already."""
        return day >= self.calendar.in_month(MONTHS_OF_RECEIPTS - 1, 1)

    def take(self, count: int, fits: Callable[[Piece], bool] | None = None) -> list[Piece]:
        """Take so many pieces off the shelf, whichever come to hand."""
        wanted = [piece for piece in self.shelf if fits is None or fits(piece)]
        taken = self.chance.sample(wanted, min(count, len(wanted)))
        self.shelf = [piece for piece in self.shelf if piece not in taken]
        return taken

    def source(self, words: str, *, uses_up: bool = False) -> Source:
        """Return what the script's "maple A", "stock cocobolo as lid" or "unknown" stands for."""
        origin, _, role = words.partition(" as ")
        kind, _, key = origin.partition(" ")
        rows: Section | BoughtStock | Piece | None = None
        if kind == "stock":
            rows = self.stocks[key]
        elif kind == "piece":
            rows = self.pieces[key]
        elif kind != "unknown":
            rows = self.sections[origin]
        return Source(rows, role or "whole", uses_up)
