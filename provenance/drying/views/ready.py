"""What is ready on the drying shelf, what nearly is, and what wants a look."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from provenance.drying import models as shelf
from provenance.drying import rounds
from provenance.drying.models import Outlook
from provenance.drying.pictures import mass_words
from provenance.drying.story import BY_WEIGHINGS
from provenance.maker.models import Shop
from provenance.pieces.models import Piece, PieceQuerySet
from provenance.pieces.rows import time_between
from provenance.pieces.workflow import next_move
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import scribe_of

#: So many of each list are shown.
SHOWN = 40


@dataclass(frozen=True)
class ShelfRow:
    """One piece: the figure that matters in its list, and the move of one that is dry."""

    piece: Piece
    figure: str
    figure_words: str
    last: str
    move: str = ""
    move_label: str = ""


@dataclass(frozen=True)
class Part:
    """One list of the page; `slug` is its anchor."""

    slug: str
    title: str
    what_to_do: str
    if_none: str
    keys: list[int]
    rows: list[ShelfRow]

    @property
    def total(self) -> int:
        return len(self.keys)

    @property
    def rest(self) -> int:
        return self.total - len(self.rows)


FAST = (
    "fast", "Losing suspiciously fast",
    "They may check. Look at rim and end grain now. Common practice: put the piece in a paper bag "
    "or a box, move it out of the draught to a cooler corner, wax over the end grain, and weigh it "
    "again in a few days.",
    "",
)  # fmt: skip
DRY = (
    "dry", "Dry by their weighings",
    "They have stopped losing. Call them dry, and true them up.",
    "A piece shows here once its weighings say that it has stopped: within 1 % of where it is "
    "headed, or three in a row, two weeks apart, that differ by less than half a per cent.",
)  # fmt: skip
NEARLY = (
    "nearly", "Nearly dry",
    f"Likely dry within {shelf.NEARLY_DAYS} days, or by now: two more weighings, two weeks apart, "
    "settle it.",
    "A piece shows here when its weighings expect it to be dry within a month.",
)  # fmt: skip
OVERDUE = (
    "overdue", "To be weighed",
    "Three weighings make a forecast; each one after that makes it narrower.",
    "Nothing is overdue. A new rough-out is asked for after two weeks, an older one each month.",
)  # fmt: skip
STALLED = (
    "stalled", "Stalled",
    "They have all but stopped above what was expected. Either the air of the store lets them go "
    "no further (then they are done for it), or wax or a stack keeps them from drying: let air "
    "at them.",
    "",
)  # fmt: skip


@require_safe
def ready(request: HttpRequest) -> HttpResponse:
    """Show the lists, in a fixed number of queries."""
    shop, today = Shop.current(), scribe_of(request).today
    wanted = [
        (FAST, shelf.losing_fast()),
        (DRY, shelf.dry_on_the_shelf()),
        (NEARLY, shelf.nearly_dry(today)),
        (OVERDUE, shelf.overdue_for_weighing(today)),
        (STALLED, shelf.stalled()),
    ]
    parts = _parts(wanted, shop, today)
    page = {
        "room": "pieces",
        # What is empty and needs no explaining is left out.
        "parts": [part for part in parts if part.total or part.if_none],
        "on_the_shelf": shelf.on_the_shelf().count(),
        "open_rounds": rounds.open_rounds(),
    }
    return render(request, "drying/ready.html", page)


def _parts(
    wanted: list[tuple[tuple[str, str, str, str], PieceQuerySet]], shop: Shop, today: date
) -> Iterator[Part]:
    """Fill the lists: their keys one by one, their pieces and outlooks all at once."""
    keys = [(words, list(pieces.values_list("pk", flat=True))) for words, pieces in wanted]
    shown = {key for _, found in keys for key in found[:SHOWN]}
    pieces = Piece.objects.for_lists().select_related("outlook").in_bulk(shown)
    for words, found in keys:
        rows = [_row(pieces[key], words[0], shop, today) for key in found[:SHOWN]]
        yield Part(*words, found, rows)


def _row(piece: Piece, part: str, shop: Shop, today: date) -> ShelfRow:
    outlook: Outlook | None = getattr(piece, "outlook", None)
    if outlook is None or outlook.last_weighed_on is None:
        since = time_between(piece.stage_since, today) if piece.stage_since else ""
        return ShelfRow(piece, since, "on the shelf" if since else "", "never weighed")
    ago = time_between(outlook.last_weighed_on, today)
    mass = mass_words(float(outlook.last_mass_g or 0), shop)
    last = f"{mass} {ago if ago == 'today' else f'{ago} ago'}"
    if part == "dry":
        step = next_move(piece)
        return ShelfRow(piece, "", "", last, step.slug if step else "", step.label if step else "")
    if outlook.likely is None:
        return ShelfRow(piece, "", "no date yet", last)
    by = "by the inch-a-year rule"
    if outlook.basis == BY_WEIGHINGS:
        by = "likely dry" if outlook.likely > today else "was the likely day"
    return ShelfRow(piece, PartialDate.of(outlook.likely).spoken(), by, last)
