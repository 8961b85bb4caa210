"""The demo's trade since the shop writes receipts: by the months of the year, not by days ago.

Markets are in summer and before the year's end, whatever day the demo is built on.
"""

from datetime import date, timedelta
from functools import partial

from provenance.pieces import custody
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from shop.keeping.demo import counter, hands, script, till
from shop.keeping.demo.book import MONTHS_OF_RECEIPTS, Book
from shop.keeping.demo.counter import Basket, customer, drawn, line_of
from shop.keeping.demo.till import AT_THE_DOOR, Way
from shop.sales.checkout import Sold
from shop.sales.models import Channel

OPENS, CLOSES = 10, 16
#: Days before today in which no other market is held: that of today is still on.
JUST_NOW = 6


def plan(book: Book) -> None:
    """Plan every market, order and visit of those months."""
    trade = script.read("trade")
    for months_ago in range(MONTHS_OF_RECEIPTS - 1, -1, -1):
        month = book.calendar.in_month(months_ago, 1).month
        for table in trade["market"]:
            if month in table["months"]:
                _plan_fair(book, months_ago, **table)
        for table in trade["by_month"]:
            _plan_month(book, months_ago, table["kind"], table["sales"][month - 1])
    [now] = trade["now"]
    _plan_booth_of_today(book, **now)


def _plan_fair(
    book: Book,
    months_ago: int,
    *,
    at: str,
    months: list[int],
    saturday: int,
    days: int,
    takes: int,
    sales: int,
    owed_by: str = "",
) -> None:
    """One market, on a Saturday or the days up to it: about so many sales on each of them."""
    last = book.calendar.saturday(months_ago, saturday)
    first = last - timedelta(days=days - 1)
    if book.calendar.ago(last) < JUST_NOW:
        return
    table = _plan_packing(book, first, at, takes)
    for nth in range(days):
        busy = sales + book.chance.choice((-1, 0, 0, 1))
        _plan_day(book, first + timedelta(days=nth), at, table, busy)
    if owed_by:
        book.calendar.plan_on(last, partial(_sell_on_trust, book, at, table, owed_by), hour=CLOSES)
    ago = book.calendar.ago(last) - 2
    book.calendar.plan(ago, partial(hands.bring_home, book, table))


def _plan_packing(book: Book, day: date, at: str, takes: int, why: str = "") -> list[Piece]:
    """Plan for the booth to be packed; return its table, which is empty until then."""
    table: list[Piece] = []

    def pack(scribe: Scribe) -> None:
        table.extend(book.take(takes))
        custody.hand_over(table, "market", scribe, holder=book.people[at], why=why)

    book.calendar.plan_on(day, pack)
    return table


def _plan_day(book: Book, day: date, at: str, table: list[Piece], sales: int) -> None:
    hours = sorted(book.chance.choices(range(OPENS, CLOSES), k=max(0, sales)))
    for hour in hours:
        book.calendar.plan_on(day, partial(_sell_at_booth, book, at, table), hour=hour)


def _sell_at_booth(book: Book, at: str, table: list[Piece], scribe: Scribe) -> None:
    basket = counter.from_the_table(book, table)
    way = Way(Channel.BOOTH, str(book.people[at]))
    pays = drawn(book, counter.AT_THE_BOOTH)
    buyer = customer(book, scribe, likely=0.09)
    till.ring_up(book, basket, scribe, way, pays=pays, buyer=buyer)


def _sell_on_trust(book: Book, at: str, table: list[Piece], owed_by: str, scribe: Scribe) -> None:
    """Somebody falls for the dearest bowl, has left the wallet at home, and pays a week later."""
    bowls = [piece for piece in table if piece.form.slug.endswith("bowl")]
    dearest = max(bowls or table, key=lambda piece: piece.price_minor or 0)
    table.remove(dearest)
    basket = Basket([line_of(dearest)])
    way = Way(Channel.BOOTH, str(book.people[at]))
    words = "Wallet left at home"
    receipt = till.ring_up(book, basket, scribe, way, buyer=book.people[owed_by], words=words)
    till.later(book, receipt, scribe.today + timedelta(days=7), "transfer")


def _plan_booth_of_today(book: Book, *, at: str, takes: int, sales: list[int], why: str) -> None:
    """The market that is on today and was yesterday: its pieces are still out."""
    calendar = book.calendar
    table = _plan_packing(book, calendar.day(1), at, takes, why)
    for ago, count in zip((1, 0), sales, strict=True):
        _plan_day(book, calendar.day(ago), at, table, count)


def _plan_month(book: Book, months_ago: int, kind: str, sales: int) -> None:
    """So many sales of a kind on some working days of a month."""
    sell = {"order": _send_order, "visit": _sell_at_door, "lesson": _teach}[kind]
    is_december = book.calendar.in_month(months_ago, 1).month == 12
    days = range(2, 24 if is_december else 28)  # nobody comes by on the holidays
    for number in sorted(book.chance.sample(days, sales)):
        day = book.calendar.in_month(months_ago, number)
        book.calendar.plan_on(day, partial(sell, book), hour=book.chance.randint(9, 17))


def _send_order(book: Book, scribe: Scribe) -> None:
    """Somebody orders a piece on the makers' site; it goes by parcel. Half leave their name."""
    taken = book.take(1, lambda piece: (piece.price_minor or 0) >= 40_00)
    lines = [line_of(piece) for piece in taken] or [counter.wax(book, 3)]
    if taken and book.chance.random() < 0.2:
        lines.append(counter.wax(book))
    heavy = any((piece.diameter_mm or 0) > 240 for piece in taken)
    parcel = book.extras["shipping"]
    postage = 24_00 if heavy else 11_50
    lines.append(Sold(postage, extra=parcel, is_taxed=parcel.is_taxed))
    way = Way(Channel.ONLINE, house=book.people["makers"])
    buyer = customer(book, scribe, likely=0.5)
    till.sell_through(book, Basket(lines), scribe, way, buyer=buyer)


def _sell_at_door(book: Book, scribe: Scribe) -> None:
    """Somebody comes by the workshop."""
    taken = book.take(book.chance.choice((1, 1, 1, 2)))
    lines = [line_of(piece) for piece in taken] or [counter.wax(book)]
    _at_the_door(book, lines, scribe, likely=0.35)


def _teach(book: Book, scribe: Scribe) -> None:
    """Somebody learns to turn for half a day."""
    lesson = book.extras["lesson"]
    words = "Lesson: half a day at the lathe"
    price = lesson.price_minor or 0
    _at_the_door(
        book, [Sold(price, words, extra=lesson, is_taxed=lesson.is_taxed)], scribe, likely=1
    )


def _at_the_door(book: Book, lines: list[Sold], scribe: Scribe, *, likely: float) -> None:
    pays = drawn(book, counter.AT_THE_DOOR)
    buyer = customer(book, scribe, likely=likely)
    till.ring_up(book, Basket(lines), scribe, AT_THE_DOOR, pays=pays, buyer=buyer)
