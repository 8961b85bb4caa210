"""What the demo's turner found out later, or put right."""

from typing import Any

from provenance.record import journal
from provenance.record.scribe import Scribe
from shop.keeping.demo import script
from shop.keeping.demo.book import Book
from shop.keeping.demo.timber import read_facts


def plan(book: Book) -> None:
    """Plan each amendment of the script."""
    for table in script.read("amendments")["amendment"]:
        _plan_amendment(book, **table)


def _plan_amendment(
    book: Book, *, of: str, ago: int, values: dict[str, Any], words: str = ""
) -> None:
    """`of` is "tree maple", "section maple A", "stock cocobolo" or "piece core"."""
    kind, _, key = of.partition(" ")

    def amend(scribe: Scribe) -> None:
        shelves: dict[str, dict[str, Any]] = {
            "tree": book.trees,
            "section": book.sections,
            "stock": book.stocks,
            "piece": book.pieces,
        }
        journal.amend(shelves[kind][key], read_facts(book, values), scribe, words=words)

    book.calendar.plan(ago, amend)
