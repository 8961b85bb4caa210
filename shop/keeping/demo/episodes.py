"""Sales of the demo that have a story of their own: taken back, given back in part, paid late."""

from dataclasses import dataclass, field
from datetime import timedelta
from functools import partial
from typing import Any

from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from shop.keeping.demo import script, till
from shop.keeping.demo.book import Book
from shop.keeping.demo.counter import Basket, line_of
from shop.keeping.demo.till import AT_THE_DOOR
from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Receipt
from shop.sales.undoing import Wish


@dataclass
class Episode:
    """One sale of the script, on [months ago, day of the month] or so many days ago.

    `line` is a line of words with its price, instead of a piece. What `void`, `refund` and `paid`
    hold is read by the functions of those names; days `after` count from the sale.
    """

    on: list[int] | int
    form: str = ""
    line: list[Any] = field(default_factory=list)
    buyer: str = ""
    pays: str = ""
    words: str = ""
    void: dict[str, Any] = field(default_factory=dict)
    refund: dict[str, Any] = field(default_factory=dict)
    paid: dict[str, Any] = field(default_factory=dict)

    def take(self, book: Book) -> list[Piece]:
        """Take a piece of the form, not a small one, unless it is something else that is sold."""
        if self.line:
            return []
        return book.take(1, self._fits) or book.take(1)

    def _fits(self, piece: Piece) -> bool:
        return piece.form.slug == self.form and (piece.price_minor or 0) >= 60_00


def plan(book: Book) -> None:
    """Plan every sale of the script with what comes after it."""
    for table in script.read("episodes")["sale"]:
        episode = Episode(**table)
        on, calendar = episode.on, book.calendar
        day = calendar.day(on) if isinstance(on, int) else calendar.in_month(*on)
        calendar.plan_on(day, partial(_sell, book, episode), hour=13)


def _sell(book: Book, episode: Episode, scribe: Scribe) -> None:
    pieces, day, calendar = episode.take(book), scribe.today, book.calendar
    receipt = _ring_up(book, episode, pieces, scribe)
    if episode.void:
        later = calendar.in_month(*episode.void["on"]) if "on" in episode.void else day
        calendar.plan_on(later, partial(_void, book, episode, receipt, pieces), hour=13)
    if episode.refund:
        later = day + timedelta(days=episode.refund["after"])
        calendar.plan_on(later, partial(_refund, book, episode, receipt, pieces), hour=12)
    if episode.paid:
        later = day + timedelta(days=episode.paid["after"])
        till.later(book, receipt, later, episode.paid["kind"])


def _ring_up(book: Book, episode: Episode, pieces: list[Piece], scribe: Scribe) -> Receipt:
    lines = [line_of(piece) for piece in pieces]
    if episode.line:
        words, price = episode.line
        lines = [Sold(100 * price, words, is_taxed=False)]
    return till.ring_up(
        book,
        Basket(lines),
        scribe,
        AT_THE_DOOR,
        pays=episode.pays,
        buyer=book.people[episode.buyer] if episode.buyer else None,
        words=episode.words,
    )


def _void(
    book: Book, episode: Episode, receipt: Receipt, pieces: list[Piece], scribe: Scribe
) -> None:
    """Take the receipt back; where another piece was meant, that one is sold in its place."""
    undoing.void(receipt, episode.void["reason"], scribe)
    if episode.void.get("instead"):
        _ring_up(book, episode, episode.take(book), scribe)
    book.shelf += pieces


def _refund(
    book: Book, episode: Episode, receipt: Receipt, pieces: list[Piece], scribe: Scribe
) -> None:
    """Give back the whole of the first line with its piece, or `amount` alone."""
    line = receipt.lines.all()[0]
    amount = 100 * episode.refund.get("amount", 0)
    wish = Wish(line, amount or line.paid_minor, is_returned=not amount)
    kind = book.kinds[episode.refund["kind"]]
    undoing.refund(receipt, [wish], episode.refund["reason"], scribe, kind=kind)
    if wish.is_returned:
        book.shelf += pieces
