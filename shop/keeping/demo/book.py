"""What the demo keeps at hand while it is written: who and what the script's keys stand for."""

import random
from dataclasses import dataclass, field

from provenance.people.models import Person
from provenance.pieces.making import Source
from provenance.pieces.models import Piece
from provenance.trees.models import BoughtStock, Section, Tree
from shop.keeping.demo.calendar import Calendar


@dataclass
class Book:
    """The demo in the making. `shelf` holds the finished pieces that are for sale in the shop."""

    calendar: Calendar
    people: dict[str, Person] = field(default_factory=dict)
    buyers: list[Person] = field(default_factory=list)
    trees: dict[str, Tree] = field(default_factory=dict)
    sections: dict[str, Section] = field(default_factory=dict)
    stocks: dict[str, BoughtStock] = field(default_factory=dict)
    pieces: dict[str, Piece] = field(default_factory=dict)
    shelf: list[Piece] = field(default_factory=list)
    #: Seeded, so that the same script gives the same shop.
    chance: random.Random = field(
        default_factory=lambda: random.Random("Saltmarsh Lane")  # noqa: S311 - nothing secret
    )

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
