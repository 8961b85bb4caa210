"""Who comes to the demo's counter, and what they take away. All left to seeded chance."""

from collections import defaultdict
from dataclasses import dataclass, field
from decimal import Decimal

from provenance.people.acquaintance import add_person
from provenance.people.models import Person
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from shop.keeping.demo.book import Book
from shop.sales.checkout import Sold
from shop.sales.reckoning import Off

#: What one visitor to the booth does, and how often of a hundred.
HABITS = {"one": 47, "two": 17, "three": 6, "one and wax": 11, "wax": 11, "a round price": 8}

#: Small work, of which people take several.
SMALL = {"pen", "stopper", "ornament"}
COUNTED = {2: "Two", 3: "Three"}
#: How often of a hundred a way of paying is used at the booth, and at the door.
AT_THE_BOOTH = {"cash": 36, "card": 60, "check": 4}
AT_THE_DOOR = {"cash": 18, "card": 42, "check": 22, "transfer": 18}


@dataclass(frozen=True)
class Basket:
    """What somebody buys at once, and what is taken off the whole of it."""

    lines: list[Sold]
    off: Off = field(default_factory=Off)
    off_words: str = ""


def drawn(book: Book, weights: dict[str, int]) -> str:
    """Return one of the names, as often as its weight says."""
    return book.chance.choices(list(weights), list(weights.values()))[0]


def customer(book: Book, scribe: Scribe, *, likely: float) -> Person | None:
    """Return who buys, if they leave a name: known already, or new in the book on this day."""
    if book.chance.random() >= likely:
        return None
    if book.newcomers and book.chance.random() < 0.6:
        book.buyers.append(add_person(scribe, **book.newcomers.pop(0)))
        return book.buyers[-1]
    return book.chance.choice(book.buyers)


def line_of(piece: Piece, off: Off | None = None) -> Sold:
    """Return a line for a piece at its own price."""
    return Sold(piece.price_minor or 0, piece=piece, off=off or Off())


def wax(book: Book, tins: int = 1) -> Sold:
    """Return a line for tins of wax."""
    tin = book.extras["wax"]
    return Sold(tin.price_minor or 0, extra=tin, quantity=tins, is_taxed=tin.is_taxed)


def from_the_table(book: Book, table: list[Piece]) -> Basket:
    """Return what a visitor takes off the table, as far as there is anything on it."""
    habit = drawn(book, HABITS) if table else "wax"
    if habit == "wax":
        return Basket([wax(book, book.chance.choice((1, 1, 2)))])
    if habit in ("two", "three"):
        taken = _several(book, table, 2 if habit == "two" else 3)
        if taken:
            return _for_less(taken)
    if habit == "a round price":
        dear = [piece for piece in table if (piece.price_minor or 0) >= 70_00]
        return _rounded(book, _off_table(table, [book.chance.choice(dear or table)])[0])
    # What costs little goes more easily.
    ease = [1 / (10_00 + (piece.price_minor or 0)) for piece in table]
    [piece] = _off_table(table, book.chance.choices(table, ease))
    if habit == "one and wax":
        return Basket([line_of(piece), wax(book)])
    return Basket([line_of(piece)])


def _several(book: Book, table: list[Piece], count: int) -> list[Piece]:
    """Take so many small pieces of one form off the table; none when there are too few."""
    by_form: dict[str, list[Piece]] = defaultdict(list)
    for piece in table:
        if piece.form.slug in SMALL:
            by_form[piece.form.slug].append(piece)
    enough = [pieces for pieces in by_form.values() if len(pieces) >= count]
    if not enough:
        return []
    return _off_table(table, book.chance.sample(book.chance.choice(enough), count))


def _off_table(table: list[Piece], pieces: list[Piece]) -> list[Piece]:
    for piece in pieces:
        table.remove(piece)
    return pieces


def _for_less(pieces: list[Piece]) -> Basket:
    """Return several small things for a round price, about a tenth less than one by one."""
    lines = [line_of(piece) for piece in pieces]
    listed = sum(line.unit_minor for line in lines)
    price = listed * 92 // 100 // 5_00 * 5_00
    return Basket(lines, Off(minor=listed - price), f"{COUNTED[len(lines)]} for ${price // 100}")


def _rounded(book: Book, piece: Piece) -> Basket:
    """Return a piece at its price without the odd dollars, or marked down where it shows wear."""
    listed = piece.price_minor or 0
    if listed < 70_00 or book.chance.random() < 0.3:
        return Basket([line_of(piece, Off(pct=Decimal(10)))])
    price = (listed - 3_00) // 10_00 * 10_00
    return Basket([line_of(piece)], Off(minor=listed - price), f"Call it ${price // 100}")
