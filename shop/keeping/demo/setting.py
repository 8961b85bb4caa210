"""The invented shop itself and its people."""

from typing import Any

from provenance.maker.models import Shop, User
from provenance.people.acquaintance import add_person
from provenance.record.scribe import Scribe
from shop.keeping.demo import script
from shop.keeping.demo.book import Book


def open_shop() -> User:
    """Write the shop's profile and its one user, who has no password; return the user."""
    Shop.objects.create(
        name="Saltmarsh Lane Turnery",
        place="Hollin Ferry, Wrenshire",
        public_words=(
            "One lathe, one pair of hands, and the trees of Wrenshire that came down anyway. "
            "Every piece carries its number and can name its tree."
        ),
        public_contact="workshop@saltmarsh.example.org",
        currency="USD",
        length_unit=Shop.LengthUnit.MILLIMETRE,
        mass_unit=Shop.MassUnit.GRAM,
        paper=Shop.Paper.LETTER,
        time_zone="America/Los_Angeles",
        public_url="https://saltmarsh.example.org",
    )
    return User.objects.create_user(username="demo", password=None)


def gather_people(book: Book) -> None:
    """Plan for everybody to come into the book on the day they are first met.

    Of the newcomers each is met when they first buy something.
    """
    people = script.read("people")
    for table in people["person"]:
        _meet(book, **table)
    book.newcomers = people["newcomer"]


def _meet(book: Book, *, key: str, ago: int, buys: bool = False, **facts: Any) -> None:
    def meet(scribe: Scribe) -> None:
        person = add_person(scribe, **facts)
        book.people[key] = person
        if buys:
            book.buyers.append(person)

    book.calendar.plan(ago, meet)
