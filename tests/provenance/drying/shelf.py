"""The cast of the drying room's tests: pieces on the shelf, weighed as a wall dries."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from provenance.drying import outlooks, weighing
from provenance.drying.models import Weighing
from provenance.pieces import workflow
from provenance.pieces.models import Piece
from provenance.record.partial_dates import PartialDate
from tests.factories import NOW, a_scribe, some_pieces

TODAY = NOW.date()


def a_rough_out(days_ago: int = 120, wall_mm: int = 28, **facts: Any) -> Piece:
    """A salad bowl roughed out so many days ago."""
    roughed = PartialDate.of(TODAY - timedelta(days=days_ago))
    sizes = {"rough_diameter_mm": 300, "rough_height_mm": 110, "rough_wall_mm": wall_mm}
    # Facts that no move sets are the piece's own.
    [piece] = some_pieces(1, happened=roughed, **facts)
    workflow.move([piece], "rough", a_scribe(), happened=roughed, facts=sizes)
    piece.refresh_from_db()
    return piece


def weigh_often(piece: Piece, *masses: float, every: int = 14, first: date | None = None) -> None:
    """Weigh it `every` so many days, from its roughing on; the last one renews the forecast."""
    start = first or piece.stage_since or TODAY
    scribe = a_scribe()
    for index, mass in enumerate(masses):
        on = start + timedelta(days=index * every)
        weighing.write_down(piece, Decimal(str(mass)), scribe, on=on)
    outlooks.renew(piece, scribe)


def weigh(piece: Piece, mass: float, on: date = TODAY, **also: Any) -> Weighing:
    return weighing.weigh(piece, Decimal(str(mass)), a_scribe(), on=on, **also)


#: A wall that is dry at the end: every two weeks.
DRIED = (1560, 1385, 1285, 1218, 1166, 1126, 1099, 1080, 1066, 1057, 1052, 1050, 1049, 1049)
