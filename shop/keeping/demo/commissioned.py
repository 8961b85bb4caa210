"""What was made for somebody in the demo, from the wish to the hand-over."""

from collections.abc import Callable
from functools import partial
from typing import Any

from provenance.pieces.models import Form
from provenance.record.scribe import Scribe
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from shop.keeping.demo import script, till
from shop.keeping.demo.book import Book
from shop.keeping.demo.counter import Basket
from shop.keeping.demo.till import AT_THE_DOOR
from shop.sales.paying import Paid

#: The work of the day is done before somebody comes to talk.
HOUR = 12


def plan(book: Book) -> None:
    """Plan each commission of the script, as far as it has come."""
    for table in script.read("commissions")["commission"]:
        _plan_commission(book, **table)


def _plan_commission(
    book: Book,
    *,
    asked: int,
    agreed: int,
    price: int,
    said: str = "",
    deposit: dict[str, Any] | None = None,
    keeps: dict[str, Any] | None = None,
    begun: int | None = None,
    made: dict[str, Any] | None = None,
    ready: int | None = None,
    handed_over: dict[str, Any] | None = None,
    called_off: dict[str, Any] | None = None,
    **wish: Any,
) -> None:
    """Plan the steps that the script names, in their order; the first is the wish."""
    found: list[Commission] = []

    def step(ago: int, does: Callable[[Commission, Scribe], object]) -> None:
        book.calendar.plan(ago, lambda scribe: does(found[0], scribe), hour=HOUR)

    def ask(scribe: Scribe) -> None:
        found.append(_ask(book, scribe, **wish))

    book.calendar.plan(asked, ask, hour=HOUR)
    step(agreed, lambda row, scribe: orders.agree(row, 100 * price, scribe, words=said))
    for table, does in (
        (keeps, _keep_wood),
        (deposit, _take_deposit),
        (made, _make_for_it),
        (handed_over, _hand_over),
        (called_off, _call_off),
    ):
        if table:
            facts = {name: value for name, value in table.items() if name != "ago"}
            step(table["ago"], partial(does, book, **facts))
    if begun is not None:
        step(begun, orders.begin)
    if ready is not None:
        step(ready, orders.mark_ready)


def _ask(
    book: Book,
    scribe: Scribe,
    *,
    who: str,
    wished: str,
    form: str,
    wanted: int,
    size: list[int] | None = None,
    tree: str = "",
    wood: str = "",
    notes: str = "",
) -> Commission:
    least, most = size or (None, None)
    return orders.ask(
        scribe,
        book.people[who],
        wished,
        form=Form.objects.get(slug=form),
        least_mm=least,
        most_mm=most,
        tree=book.trees[tree] if tree else None,
        wood=wood,
        wanted_by=book.calendar.day(wanted),
        notes=notes,
    )


def _keep_wood(
    book: Book,
    row: Commission,
    scribe: Scribe,
    *,
    sections: list[str] | None = None,
    pieces: list[str] | None = None,
) -> None:
    wood.keep_wood(
        row,
        scribe,
        sections=[book.sections[key] for key in sections or []],
        pieces=[book.pieces[key] for key in pieces or []],
    )


def _take_deposit(book: Book, row: Commission, scribe: Scribe, *, amount: int, pays: str) -> None:
    orders.take_deposit(row, Paid(book.kinds[pays], 100 * amount), scribe)


def _make_for_it(book: Book, row: Commission, scribe: Scribe, *, pieces: list[str]) -> None:
    wood.make_for_it(row, [book.pieces[key] for key in pieces], scribe)


def _hand_over(book: Book, row: Commission, scribe: Scribe, *, pays: str) -> None:
    """Hand over what was made: the deposit is taken off, the rest is paid."""
    row.refresh_from_db()
    draft = till.draft_of(book, Basket(orders.lines_of(row)), scribe, AT_THE_DOOR, pays=pays)
    orders.hand_over(row, draft, scribe)


def _call_off(
    book: Book,
    row: Commission,
    scribe: Scribe,
    *,
    words: str,
    returned: int,
    kept: int,
    pays: str,
) -> None:
    orders.call_off(
        row,
        words,
        scribe,
        returned_minor=100 * returned,
        kind=book.kinds[pays],
        kept_minor=100 * kept,
    )
