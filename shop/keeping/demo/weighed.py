"""The demo's drying shelf: its scales, jaws and air, and the weighings of what dries on it.

Masses follow a plane sheet that is dry when the script has the piece called dry. All invented.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import partial

import numpy as np

from provenance.drying import climate, measuring, outlooks, weighing
from provenance.drying.measuring import LOOKED_FOR
from provenance.drying.models import AT_HAND, Scale, SoundnessCheck, Weighing
from provenance.maker.models import Jaws
from provenance.pieces.models import Method, Piece, Stage
from provenance.record.scribe import Scribe
from provenance.wood.plane_sheet import YEAR_DAYS, Sheets
from shop.keeping.demo.book import Book, chance_of
from shop.keeping.demo.measures import Size

#: Days before today since when the shop weighs its rough-outs and reads its air.
SINCE = 400
FRESH_DAYS, OFTEN, SELDOM = 60, 17, 29
#: Shelf by shelf: mean temperature and humidity, and how far they swing from summer to winter.
AIR = {"Shelf A": (17, 52, 5, 8), "Shelf C": (18, 50, 5, 9), "Shelf E": (12, 74, 8, 6)}
JAWS = (("Pin jaws", 22, 34), ("Standard jaws", 46, 66), ("Long jaws", 92, 120))
_ACROSS_THE_YEAR = 0.003
#: The slowest term has fallen to what is called dry after so many of its own times.
_TIMES, _RATIO = 4.0, 3.0


def plan(book: Book) -> None:
    """Plan the shop's tools, a reading of the air each month, and the work on what is forecast."""
    book.calendar.plan(SINCE, _set_up)
    for months_ago in range(13):
        day = book.calendar.in_month(months_ago, 9)
        if 0 <= book.calendar.ago(day) < SINCE:
            book.calendar.plan_on(day, _read_air, hour=10)
    book.calendar.plan(1, _look_over, hour=19)
    book.calendar.plan(1, _worries, hour=20)
    book.calendar.plan(0, _forecast, hour=7)


def _set_up(scribe: Scribe) -> None:
    Scale.objects.create(name="Bench scale", step_g=1, position=1)
    Scale.objects.create(name="Platform scale", step_g=5, position=2)
    for name, least, most in JAWS:
        Jaws.objects.create(name=name, smallest_mm=least, largest_mm=most)


def _read_air(scribe: Scribe) -> None:
    turn = math.cos(2 * math.pi * (scribe.today.timetuple().tm_yday - 200) / YEAR_DAYS)
    for store, (warm, humid, warmer, drier) in AIR.items():
        own = chance_of(f"{store} {scribe.today:%m}")
        climate.read_air(
            store,
            scribe.today,
            Decimal(round(warm + warmer * turn + own.uniform(-1, 1))),
            Decimal(round(humid - drier * turn + own.uniform(-3, 3))),
            scribe,
        )


@dataclass(frozen=True)
class Wall:
    """A rough-out whose masses are known on every day; `days` is when it will be called dry."""

    rough: Size
    days: float
    start: date
    density: float
    water: float

    def mass_g(self, day: date) -> Decimal:
        """The mass on a day, to the gram."""
        sheet = Sheets(np.array([_TIMES / self.days]), np.array([_RATIO]))
        phase = 2 * math.pi * self.start.timetuple().tm_yday / YEAR_DAYS
        at = np.array([float((day - self.start).days)])
        left, sine, _ = sheet.responses(at, phase)[0, 0]
        rest = self._volume_cm3() * self.density
        return Decimal(max(20, round(rest * (1 + self.water * left + _ACROSS_THE_YEAR * sine))))

    def _volume_cm3(self) -> float:
        """Half an ellipsoid less the hollow in it, and a foot."""
        across, high, wall = self.rough.across, self.rough.high, self.rough.wall or 20
        hollow = max(across - 2 * wall, 1) ** 2 * max(high - wall - 8, 1)
        return math.pi / 6 * (across**2 * high - hollow) / 1000


def plan_weighings(
    book: Book, piece: Piece, rough: Size, start_ago: int, end_ago: int, dries: float
) -> None:
    """Plan for a rough-out to be weighed from its roughing until it is called dry."""
    own = chance_of(f"weighed {piece.code}")
    if start_ago > SINCE or own.random() < 0.2:
        return
    start = book.calendar.day(start_ago)
    # One in four is done long before its maker thinks so.
    days = max(dries * (0.5 if own.random() < 0.25 else 1.0), 30)
    wall = Wall(rough, days, start, own.uniform(0.5, 0.62), own.uniform(0.45, 0.7))
    ago = start_ago
    while ago > max(end_ago, 0):
        book.calendar.plan(ago, partial(_weigh, piece, wall), hour=18)
        ago -= (OFTEN if start_ago - ago < FRESH_DAYS else SELDOM) + own.randint(-3, 4)


def _weigh(piece: Piece, wall: Wall, scribe: Scribe) -> None:
    piece.refresh_from_db()
    if piece.stage not in weighing.WEIGHED or piece.custody is None:
        return
    if piece.custody.kind not in AT_HAND:
        return
    scale = Scale.objects.first()
    weighing.write_down(piece, wall.mass_g(scribe.today), scribe, on=scribe.today, scale=scale)


def _look_over(scribe: Scribe) -> None:
    """Measure what is dry, and look at it before it goes back on the lathe; one is held."""
    dry = Piece.objects.at_stage(Stage.DRY).filter(
        method=Method.TWICE, custody__kind__in=AT_HAND, rough_diameter_mm__isnull=False
    )
    for nth, piece in enumerate(dry.order_by("pk")[:5]):
        long_mm = round((piece.rough_diameter_mm or 0) * 0.998)
        measuring.measure_axes(piece, long_mm, round(long_mm * (0.962 - 0.006 * nth)), scribe)
        good: dict[str, str] = dict.fromkeys(LOOKED_FOR, SoundnessCheck.Answer.GOOD)
        if nth == 1:
            doubt: dict[str, str] = {**good, "tap": SoundnessCheck.Answer.DOUBTFUL}
            words = "A dull spot near the rim. To be looked at again in better light."
            then = SoundnessCheck.Then.HOLD
            measuring.check_soundness(piece, doubt, then, scribe, words=words)
        elif nth == 2:
            measuring.check_soundness(piece, good, SoundnessCheck.Then.LATHE, scribe)


def _worries(scribe: Scribe) -> None:
    """One piece that lost too much since it was weighed last, and one that hardly lost at all."""
    shelf = Piece.objects.at_stage(Stage.DRYING).filter(custody__kind__in=AT_HAND)
    worried = []
    for piece in shelf.order_by("stage_since", "pk"):
        weighings = list(Weighing.objects.standing().filter(piece=piece))
        is_due = weighings and (scribe.today - weighings[-1].weighed_on).days > FRESH_DAYS // 3
        if is_due and 5 <= len(weighings) <= 9:
            worried.append((piece, weighings[-1].mass_g))
    for (piece, mass_g), part in zip(worried, (Decimal("0.89"), Decimal("0.999")), strict=False):
        weighing.write_down(piece, mass_g * part, scribe, on=scribe.today)


def _forecast(scribe: Scribe) -> None:
    """Keep the forecasts, those of dry pieces first: they tell of their siblings."""
    weighed = Weighing.objects.values("piece")
    shelf = Piece.objects.filter(pk__in=weighed, custody__kind__in=AT_HAND)
    waiting: Sequence[Piece] = [
        *shelf.at_stage(Stage.DRY).order_by("pk"),
        *shelf.at_stage(Stage.DRYING).order_by("stage_since", "pk"),
    ]
    for piece in waiting:
        outlooks.renew(piece, scribe)
