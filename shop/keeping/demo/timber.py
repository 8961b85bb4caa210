"""Where the demo's wood comes from: its trees with their sections, and stock that was bought."""

from io import BytesIO
from typing import Any

from provenance.record import journal
from provenance.record.album import add_photo
from provenance.record.models import JournalEntry
from provenance.record.scribe import Scribe
from provenance.trees import register
from provenance.trees.models import Cause, Tree
from shop.keeping.demo import script
from shop.keeping.demo.book import Book
from shop.keeping.demo.pictures import picture_of

DATES = ("felled", "collected", "cut", "end_sealed", "bought")


def plan(book: Book) -> None:
    """Plan for each tree and lot to come in on its day."""
    for table in script.read("trees")["tree"]:
        _plan_tree(book, **table)
    for table in script.read("stock")["stock"]:
        _plan_stock(book, **table)


def _plan_tree(
    book: Book,
    *,
    key: str,
    ago: int,
    section: list[dict[str, Any]] | None = None,
    note: list[dict[str, Any]] | None = None,
    photo: list[dict[str, str]] | None = None,
    **facts: Any,
) -> None:
    def take_in(scribe: Scribe) -> None:
        book.trees[key] = register.register_tree(scribe, **read_facts(book, facts))
        for nth, picture in enumerate(photo or []):
            _show(book.trees[key], scribe, nth, **picture)

    book.calendar.plan(ago, take_in)
    for table in section or []:
        _plan_section(book, key, **{"ago": ago, **table})
    for table in note or []:
        _plan_note(book, key, **table)


def _plan_section(book: Book, tree: str, *, ago: int, **facts: Any) -> None:
    def cut(scribe: Scribe) -> None:
        section = register.add_section(book.trees[tree], scribe, **read_facts(book, facts))
        book.sections[f"{tree} {section.letter}"] = section

    book.calendar.plan(ago, cut)


def _plan_note(book: Book, tree: str, *, ago: int, words: str) -> None:
    def write(scribe: Scribe) -> None:
        when = book.calendar.when(ago)
        kind = JournalEntry.Kind.NOTE
        journal.write(book.trees[tree].journal, kind, scribe, happened=when, words=words)

    book.calendar.plan(ago, write)


def _plan_stock(book: Book, *, key: str, ago: int, **facts: Any) -> None:
    def buy(scribe: Scribe) -> None:
        dated = {"bought": ago, **facts}
        book.stocks[key] = register.add_stock(scribe, **read_facts(book, dated))

    book.calendar.plan(ago, buy)


def _show(tree: Tree, scribe: Scribe, nth: int, *, drawn: str, caption: str) -> None:
    seed = 10 * tree.number.sequence + nth
    picture = BytesIO(picture_of(drawn, tree.species_slug or tree.species_words, seed))
    add_photo(tree.journal, picture, scribe, caption=caption, is_public=True)


def read_facts(book: Book, facts: dict[str, Any]) -> dict[str, Any]:
    """Return the facts with dates, people and the cause in place of what the script calls them."""
    read = dict(facts)
    for name in DATES:
        if name in read:
            read[name] = book.calendar.when(read[name])
    if "movement_asked_on" in read:
        read["movement_asked_on"] = book.calendar.day(read["movement_asked_on"])
    for name in ("donor", "supplier"):
        if name in read:
            read[name] = book.people[read[name]]
    if "cause" in read:
        read["cause"] = Cause.objects.get(slug=read["cause"])
    return read
