"""What the demo's turner has promised: some kept, some standing."""

from typing import Any

from provenance.pieces import promises
from provenance.record.scribe import Scribe
from shop.keeping.demo import script
from shop.keeping.demo.book import Book


def plan(book: Book) -> None:
    """Plan each promise, and its settling when it was settled."""
    for table in script.read("promises")["promise"]:
        _plan_promise(book, **table)


def _plan_promise(
    book: Book,
    *,
    ago: int,
    words: str,
    to: str,
    tree: str = "",
    sections: list[str] | None = None,
    pieces: list[str] | None = None,
    wanted_in: int | None = None,
    settled: dict[str, Any] | None = None,
) -> None:
    def promise(scribe: Scribe) -> None:
        made = promises.make(
            scribe,
            words,
            to=book.people[to],
            tree=book.trees[tree] if tree else None,
            sections=[book.sections[name] for name in sections or []],
            pieces=[book.pieces[name] for name in pieces or []],
            made_on=scribe.today,
            wanted_by=None if wanted_in is None else book.calendar.day(-wanted_in),
        )
        if settled:
            book.calendar.plan(
                settled["ago"], lambda later: promises.settle(made, later, settled["how"])
            )

    book.calendar.plan(ago, promise)
