"""Through whose hands the demo's finished pieces go: markets, galleries, visitors at the door.

What reached a buyer before the shop wrote receipts is in the pieces' own chains alone.
"""

from functools import partial

from provenance.people.models import Person
from provenance.pieces import custody, workflow
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from shop.keeping.demo import counter, script, till
from shop.keeping.demo.book import Book
from shop.keeping.demo.counter import Basket, line_of
from shop.keeping.demo.till import AT_THE_DOOR, Way
from shop.sales import undoing
from shop.sales.models import Channel, Holding


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

    Besides the kinds of custody there are "undo", a change of hands that is taken back, and
    "void", a receipt that is, both with their words behind; and "home", back to its owner.
    """
    house = ""
    for station in stations:
        kind, ago, *rest = station.split(maxsplit=3)
        if kind in ("undo", "void"):
            words = " ".join(rest)
            book.calendar.plan(int(ago), partial(_take_back, piece, kind, words))
            continue
        holder, why = [*rest, "-", ""][:2] if len(rest) != 1 else (rest[0], "")
        book.calendar.plan(int(ago), partial(_pass_on, book, piece, house, kind, holder, why))
        house = holder if kind == "gallery" else ""


def _pass_on(
    book: Book, piece: Piece, house: str, kind: str, holder: str, why: str, scribe: Scribe
) -> None:
    person = None if holder == "-" else book.people[holder]
    if kind == "buyer":
        way = Way(Channel.GALLERY, house=book.people[house]) if house else AT_THE_DOOR
        sell(book, [piece], scribe, way, buyer=person, words=why)
    else:
        kind = "buyer" if kind == "home" else kind
        custody.hand_over([piece], kind, scribe, holder=person, why=why)


def _take_back(piece: Piece, kind: str, words: str, scribe: Scribe) -> None:
    if kind == "void":
        receipt = Holding.objects.get(piece=piece).line.receipt
        undoing.void(receipt, words, scribe)
    else:
        workflow.undo([piece], scribe, words=words)


def sell(
    book: Book,
    pieces: list[Piece],
    scribe: Scribe,
    way: Way,
    *,
    buyer: Person | None = None,
    words: str = "",
) -> None:
    """Let pieces go to whoever buys them; with a receipt, since the shop writes them."""
    if not book.keeps_receipts(scribe.today):
        custody.hand_over(pieces, "buyer", scribe, holder=buyer, why=words)
        return
    basket = Basket([line_of(piece) for piece in pieces])
    if way.house:
        till.sell_through(book, basket, scribe, way, buyer=buyer, words=words)
    else:
        pays = counter.drawn(book, counter.AT_THE_DOOR)
        till.ring_up(book, basket, scribe, way, pays=pays, buyer=buyer, words=words)


def _plan_market(book: Book, *, ago: int, at: str, takes: int, sells: int, why: str = "") -> None:
    """A day at a market: `sells` of the `takes` pieces find an owner, the others come home."""

    def pack(scribe: Scribe) -> None:
        packed = book.take(takes)
        custody.hand_over(packed, "market", scribe, holder=book.people[at], why=why)
        for piece in packed[:sells]:
            book.calendar.plan(ago, partial(_sell_one, book, piece))
        book.calendar.plan(ago - 1, partial(bring_home, book, packed[sells:]))

    book.calendar.plan(ago, pack)


def _sell_one(book: Book, piece: Piece, scribe: Scribe) -> None:
    """Hand a piece to its owner: one in four leaves a name."""
    known = book.chance.random() < 0.25
    buyer = book.chance.choice(book.buyers) if known else None
    custody.hand_over([piece], "buyer", scribe, holder=buyer)


def bring_home(book: Book, pieces: list[Piece], scribe: Scribe) -> None:
    """Bring what nobody bought back to the shelf; `pieces` is looked at on that day."""
    custody.hand_over(pieces, "shop", scribe)
    book.shelf += pieces


def _plan_gallery(
    book: Book, *, ago: int, at: str, takes: int, sold: list[int], home: int | None = None
) -> None:
    """A gallery takes pieces; one is sold on each day of `sold`, the rest return on `home`."""

    def deliver(scribe: Scribe) -> None:
        taken = book.take(takes, lambda piece: (piece.price_minor or 0) >= 90_00)
        house = book.people[at]
        custody.hand_over(taken, "gallery", scribe, holder=house)
        way = Way(Channel.GALLERY, house=house)
        for day, piece in zip(sold, taken, strict=False):
            book.calendar.plan(day, partial(_sell_there, book, piece, way), hour=15)
        left = taken[len(sold) :]
        if left and home is not None:
            book.calendar.plan(home, partial(bring_home, book, left))

    book.calendar.plan(ago, deliver)


def _sell_there(book: Book, piece: Piece, way: Way, scribe: Scribe) -> None:
    sell(book, [piece], scribe, way)


def _plan_visit(
    book: Book, *, ago: int, buys: int, who: str = "-", form: str = "", why: str = ""
) -> None:
    """Somebody comes to the door and buys."""

    def buy(scribe: Scribe) -> None:
        person = None if who == "-" else book.people[who]
        taken = book.take(buys, lambda piece: form in ("", piece.form.slug))
        if taken:
            sell(book, taken, scribe, AT_THE_DOOR, buyer=person, words=why)

    book.calendar.plan(ago, buy, hour=11)
