"""Through whose hands the demo's finished pieces go: markets, galleries, visitors at the door."""

from collections.abc import Callable
from functools import partial

from provenance.people.models import Person
from provenance.pieces import custody, workflow
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from shop.keeping.demo import script
from shop.keeping.demo.book import Book


def plan(book: Book) -> None:
    """Plan the outings of the script."""
    outings = script.read("outings")
    for table in outings["market"]:
        _plan_market(book, **table)
    for table in outings["gallery"]:
        _plan_gallery(book, **table)
    for table in outings["visit"]:
        _plan_visit(book, **table)


def send(book: Book, piece: Piece, stations: list[str]) -> None:
    """Plan a piece's own way: each station is "kind ago holder why", with "-" for no holder.

    Of the kind "undo" is a change of hands that is taken back, with its words behind.
    """
    for station in stations:
        kind, ago, *rest = station.split(maxsplit=3)
        holder, why = [*rest, "-", ""][:2] if len(rest) != 1 else (rest[0], "")
        book.calendar.plan(int(ago), partial(_pass_on, book, piece, kind, holder, why))


def _pass_on(book: Book, piece: Piece, kind: str, holder: str, why: str, scribe: Scribe) -> None:
    if kind == "undo":
        workflow.undo([piece], scribe, words=why)
    else:
        person = None if holder == "-" else book.people[holder]
        custody.hand_over([piece], kind, scribe, holder=person, why=why)


def _take(book: Book, count: int, fits: Callable[[Piece], bool] | None = None) -> list[Piece]:
    """Take so many pieces off the shelf, whichever come to hand."""
    wanted = [piece for piece in book.shelf if fits is None or fits(piece)]
    taken = book.chance.sample(wanted, min(count, len(wanted)))
    book.shelf = [piece for piece in book.shelf if piece not in taken]
    return taken


def _hand_over(
    pieces: list[Piece], kind: str, scribe: Scribe, holder: Person | None = None, why: str = ""
) -> None:
    custody.hand_over(pieces, kind, scribe, holder=holder, why=why)


def _plan_market(
    book: Book, *, ago: int, at: str, takes: int, sells: int, back: bool = True, why: str = ""
) -> None:
    """A day at a market: `sells` of the `takes` pieces find an owner, the others come home."""

    def pack(scribe: Scribe) -> None:
        packed = _take(book, takes)
        _hand_over(packed, "market", scribe, book.people[at], why)
        sold, left = packed[:sells], packed[sells:]
        for piece in sold:
            book.calendar.plan(ago, partial(_sell, book, piece))
        if left and back:
            book.calendar.plan(ago - 1, partial(_bring_home, book, left))

    book.calendar.plan(ago, pack)


def _sell(book: Book, piece: Piece, scribe: Scribe) -> None:
    """Hand a piece to its owner: one in four leaves a name."""
    known = book.chance.random() < 0.25
    _hand_over([piece], "buyer", scribe, book.chance.choice(book.buyers) if known else None)


def _bring_home(book: Book, pieces: list[Piece], scribe: Scribe) -> None:
    _hand_over(pieces, "shop", scribe)
    book.shelf += pieces


def _plan_gallery(
    book: Book, *, ago: int, at: str, takes: int, sold: list[int], home: int | None = None
) -> None:
    """A gallery takes pieces; one is sold on each day of `sold`, the rest return on `home`."""

    def deliver(scribe: Scribe) -> None:
        taken = _take(book, takes, lambda piece: (piece.price_minor or 0) >= 90_00)
        _hand_over(taken, "gallery", scribe, book.people[at])
        for day, piece in zip(sold, taken, strict=False):
            book.calendar.plan(day, partial(_sell, book, piece))
        left = taken[len(sold) :]
        if left and home is not None:
            book.calendar.plan(home, partial(_bring_home, book, left))

    book.calendar.plan(ago, deliver)


def _plan_visit(book: Book, *, ago: int, buys: int, who: str = "-", why: str = "") -> None:
    """Somebody comes to the door and buys."""

    def sell(scribe: Scribe) -> None:
        person = None if who == "-" else book.people[who]
        taken = _take(book, buys)
        if taken:
            _hand_over(taken, "buyer", scribe, person, why)

    book.calendar.plan(ago, sell)
