"""What the demo's customers carry away: always something, never more than lies there."""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from provenance.maker.models import User
from provenance.pieces.models import Form, Piece
from shop.keeping.demo import counter
from shop.keeping.demo.book import Book, chance_of
from shop.keeping.demo.calendar import Calendar
from shop.keeping.demo.counter import Basket
from shop.sales.models import Extra
from shop.sales.reckoning import Basis, Item, reckon

NOON = datetime(2026, 6, 17, 20, 0, tzinfo=UTC)
FORMS = {"pen": 58_00, "stopper": 34_00, "ornament": 30_00, "bowl": 115_00, "platter": 240_00}


def a_book(seed: str = "street") -> Book:
    tin = Extra(slug="wax", name="Tin of wax", price_minor=14_00)
    calendar = Calendar(NOON, ZoneInfo("UTC"), User(username="demo"))
    return Book(calendar, extras={"wax": tin}, chance=chance_of(seed))


def a_table() -> list[Piece]:
    forms = {slug: Form(slug=slug, name=slug) for slug in FORMS}
    return [Piece(form=forms[slug], price_minor=FORMS[slug]) for slug in FORMS for _ in range(4)]


def charged(basket: Basket) -> int:
    items = [Item(line.unit_minor, line.quantity, line.off) for line in basket.lines]
    return reckon(items, Basis(), basket.off).total_minor


def test_whatever_is_bought_leaves_the_table_until_only_wax_is_left() -> None:
    book, table = a_book(), a_table()
    bought: list[Piece] = []
    for _ in range(120):
        basket = counter.from_the_table(book, table)
        assert charged(basket) > 0
        bought += [line.piece for line in basket.lines if line.piece]
    assert table == []
    assert len(bought) == len({id(piece) for piece in bought}) == 20
    [line] = counter.from_the_table(book, table).lines
    assert line.extra == book.extras["wax"]


def test_a_deal_is_named_by_what_is_paid_and_is_less_than_the_list() -> None:
    deals = 0
    for seed in range(60):
        basket = counter.from_the_table(a_book(str(seed)), a_table())
        if basket.off_words:
            deals += 1
            price = int(basket.off_words.partition("$")[2])
            assert charged(basket) == 100 * price
            assert price % 5 == 0
            assert 0 < basket.off.minor <= sum(line.unit_minor for line in basket.lines) // 7
    assert deals >= 8


def test_the_same_street_buys_the_same() -> None:
    one, other = (counter.from_the_table(a_book("again"), a_table()) for _ in range(2))
    assert [line.unit_minor for line in one.lines] == [line.unit_minor for line in other.lines]
