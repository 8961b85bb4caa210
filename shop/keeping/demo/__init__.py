"""The invented shop of `start --demo`: Saltmarsh Lane Turnery in Hollin Ferry, county of Wrenshire.

What happens is written in `fixtures/demo/*.toml`, in days before today, so that the demo never
looks old; what is sold where goes by the months, so that markets are in summer and before the
year's end. It is played back day by day through the app's own functions: the trees come in, pieces
are made, go their ways and are sold, and numbers run in the order of the days. The same day gives
the same shop.
"""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from provenance.maker.models import Shop
from shop.keeping.demo import (
    amending,
    commissioned,
    episodes,
    hands,
    lives,
    old_pieces,
    promised,
    setting,
    till,
    timber,
    trade,
    weighed,
)
from shop.keeping.demo.book import Book
from shop.keeping.demo.calendar import Calendar


@transaction.atomic
def build(at: datetime | None = None) -> None:
    """Write the invented shop into an empty book, as it stands at `at` (default: now)."""
    owner = setting.open_shop()
    book = Book(Calendar(at or timezone.now(), Shop.current().zone, owner))
    till.open_till(book)
    setting.gather_people(book)
    timber.plan(book)
    old_pieces.plan(book)
    lives.plan(book)
    promised.plan(book)
    amending.plan(book)
    hands.plan(book)
    trade.plan(book)
    episodes.plan(book)
    commissioned.plan(book)
    weighed.plan(book)
    book.calendar.play()
