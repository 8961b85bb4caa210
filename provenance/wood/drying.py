"""When a wall will be dry, from weighings; until there are three, the trade's inch-a-year rule.

The weighings are fitted by a plane sheet that dries through a resisting surface into air that
swings with the year (`plane_sheet`, `fitting`). The likely date and its range come from all the
sheets that explain them, each by its weight, with what is known of walls of the same tree.

*Dry* is a mass within 1 % of the mass at rest, or three weighings in a row, two weeks or more
apart, within 0.5 % of the mass, on a scale whose step is no coarser than that. The rule of three
and the inch a year are common practice.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np

from provenance.wood import fitting
from provenance.wood.fitting import Belief, Drawn, Weighed
from provenance.wood.plane_sheet import YEAR_DAYS, Array

BY_WEIGHINGS = "weighings"
INCH_A_YEAR = "inch a year"
STEADY, STALLED, FAST = "steady", "stalled", "fast"

WITHIN = 0.01
STILL_WITHIN, STILL_APART = 0.005, timedelta(days=14)
#: What still loses so much a day, from one weighing to the next within so many days, is not dry,
#: whatever the fit makes of it: a wall waxed anew flattens its curve without being done.
_STILL_LOSING, _STILL_LOSING_DAYS = 0.0006, 60
_MOST_GAIN = 0.03
#: A wall that is still wetter than this leaves at rest, as a part of its lightest weighing.
_LEAST_REST = 0.3
_STALL_APART = timedelta(days=21)
MM_PER_INCH = 25.4
_FEWEST = 3
_FURTHEST_DAYS = 400_000
#: A wall that is thicker than this is none: a slip, or millimetres typed as inches.
THICKEST_MM = 1000
#: Which parts of the drawn walls the range leaves out at either end. A little more than a tenth:
#: so the range held the truth in about eight of ten invented walls (`tests/accuracy.py`).
_LEFT_OUT = 0.13

Reading = tuple[date, Any]
_Key = tuple[tuple[float, ...], tuple[float, ...], float, float, float]


class Sibling(NamedTuple):
    """A wall of the same tree, best a dry one: its readings, wall and day of roughing."""

    readings: Sequence[Reading]
    wall_mm: float
    roughed_on: date


@dataclass(frozen=True)
class Forecast:
    """When a wall is likely dry, and between which dates eight times out of ten.

    `final_mass_g` is the mass at rest, None while there are too few weighings to tell. `dry` says
    whether the weighings show it dry; the dates then lie in the past. `basis` is "weighings" or
    "inch a year". `passed_over` are the days of weighings that don't belong to the rest.
    """

    earliest: date
    likely: date
    latest: date
    final_mass_g: float | None
    dry: bool
    basis: str
    passed_over: tuple[date, ...] = ()


@dataclass(frozen=True)
class Curve:
    """Masses in g on the days asked for: the likely one, and the ends of its range.

    `passed_over` are the days of weighings that don't belong to the rest.
    """

    likely: list[float]
    low: list[float]
    high: list[float]
    passed_over: tuple[date, ...] = ()


def forecast(
    readings: Sequence[Reading],
    *,
    wall_mm: float,
    roughed_on: date,
    scale_step_g: float = 1.0,
    siblings: Sequence[Sibling | Sequence[Reading]] = (),
) -> Forecast:
    """Say when a wall of `wall_mm` will be dry, from `readings` of (date, mass in g) in any order.

    `scale_step_g` is the smallest step of the scale; `siblings` are walls of the same tree, as
    `Sibling` or (readings, wall_mm, roughed_on), or bare readings of a wall as thick as this one.
    Weighings from before the roughing are passed over, and those that don't belong to the rest.
    Valid for walls of 3 to 150 mm that dry from both faces in air. Raises ValueError, with a
    sentence, for anything that is no mass, wall, step or date.

    Source: plane sheet with surface resistance, Crank, *The Mathematics of Diffusion* (1975),
    section 4.3.6; what is likely beforehand, and the rule of three weighings: see the modules.
    """
    seen = _Seen.of(readings, wall_mm, roughed_on, scale_step_g)
    drawn, seen = _drawn(seen, siblings)
    until = drawn.days_until(WITHIN, seen.weighed.phase)
    if seen.count < _FEWEST:
        return _by_the_rule(seen, until)
    rest = _rest(drawn, seen)
    shown = seen.shown_dry(rest)
    if shown is None:  # not dry at the last weighing, so no sooner than that
        until = np.maximum(until, seen.weighed.days[-1])
    ends = np.quantile(until, [_LEFT_OUT, 1 - _LEFT_OUT])
    dates = [seen.on(ends[0]), seen.on(_likely(until)), seen.on(ends[1])]
    if shown:
        dates = [min(day, shown) for day in dates]
    else:  # what the last weighing does not show yet, the next one may
        dates[2] = max(dates[2], _after(seen.days[-1], STILL_APART.days))
    earliest, likely, latest = sorted(dates)
    is_dry = shown is not None
    return Forecast(earliest, likely, latest, rest, is_dry, BY_WEIGHINGS, seen.passed_over)


def _by_the_rule(seen: "_Seen", until: Array) -> Forecast:
    """The inch a year, and the range of what walls so thick are likely to take."""
    rule = inch_a_year(seen.weighed.wall_mm, seen.roughed_on)
    ends = np.quantile(until, [_LEFT_OUT, 1 - _LEFT_OUT])
    days = (seen.on(ends[0]), rule, seen.on(ends[1]))
    return Forecast(min(days), rule, max(days), None, False, INCH_A_YEAR)


def curve(
    readings: Sequence[Reading],
    *,
    wall_mm: float,
    roughed_on: date,
    days: Sequence[date],
    scale_step_g: float = 1.0,
    siblings: Sequence[Sibling | Sequence[Reading]] = (),
) -> Curve | None:
    """The course that `forecast` finds, as masses in g on `days`; None below three weighings.

    Days before the roughing have the mass at the roughing.
    """
    seen = _Seen.of(readings, wall_mm, roughed_on, scale_step_g)
    if seen.count < _FEWEST:
        return None
    drawn, seen = _drawn(seen, siblings)
    at = np.array([max((_day(day) - seen.roughed_on).days, 0) for day in days], dtype=float)
    masses = drawn.masses(at, seen.weighed.phase).reshape(-1, len(at))
    low, middle, high = np.quantile(masses, [_LEFT_OUT, 0.5, 1 - _LEFT_OUT], axis=0)
    return Curve(middle.tolist(), low.tolist(), high.tolist(), seen.passed_over)


def pace(
    readings: Sequence[Reading],
    *,
    wall_mm: float,
    roughed_on: date,
    scale_step_g: float = 1.0,
    siblings: Sequence[Sibling | Sequence[Reading]] = (),
) -> str:
    """Say how the last weighing compares with what those before it led one to expect.

    "fast" where it lost more than nearly every course that they allow (a wall that may check),
    "stalled" where it all but stopped above the mass at rest, else "steady"; also below four
    weighings. Half a per cent of the mass or the scale's step is let pass below, twice that above;
    a stop must have lasted three weeks: a damp spell gives some of the loss back.
    """
    whole = _Seen.of(readings, wall_mm, roughed_on, scale_step_g)
    if whole.count <= _FEWEST or whole.roughed_on > whole.days[-1]:
        return STEADY
    before = whole.first(whole.count - 1)
    drawn, _ = _drawn(before, siblings)
    at = whole.weighed.days[-1:]
    expected = drawn.masses(at, whole.weighed.phase).ravel()
    low, high = np.quantile(expected, [0.05, 0.95])
    last, previous = whole.weighed.mass_g[-1], whole.weighed.mass_g[-2]
    allowance = max(0.005 * last, scale_step_g)
    if last < low - allowance:
        return FAST
    is_late = whole.days[-1] - whole.days[-2] >= _STALL_APART and last > previous - allowance
    has_far_to_go = last > _rest(drawn, before) * (1 + 3 * WITHIN)
    return STALLED if is_late and has_far_to_go and last > high + 2 * allowance else STEADY


def inch_a_year(wall_mm: float, roughed_on: date) -> date:
    """The day by the trade's rule: a year for each inch of wall.

    Common practice, without a source; widely called inaccurate, and usually too slow.
    """
    _check(wall_mm, scale_step_g=1.0)
    return _after(_day(roughed_on), wall_mm / MM_PER_INCH * YEAR_DAYS)


@dataclass(frozen=True)
class _Seen:
    """Readings in order, with the days that the numbers stand for."""

    weighed: Weighed
    days: tuple[date, ...]
    roughed_on: date

    @classmethod
    def of(
        cls, readings: Sequence[Reading], wall_mm: float, roughed_on: date, scale_step_g: float
    ) -> "_Seen":
        _check(wall_mm, scale_step_g)
        start = _day(roughed_on)
        pairs = sorted((_day(day), _mass(mass)) for day, mass in readings)
        pairs = [pair for pair in pairs if pair[0] >= start]
        days = tuple(day for day, _ in pairs)
        weighed = Weighed(
            days=np.array([(day - start).days for day in days], dtype=float),
            mass_g=np.array([mass for _, mass in pairs], dtype=float),
            step_g=float(scale_step_g),
            phase=2 * math.pi * (start.toordinal() % YEAR_DAYS) / YEAR_DAYS,
            wall_mm=float(wall_mm),
            trust=np.ones(len(days)),
        )
        return cls(weighed, days, start)

    @property
    def key(self) -> _Key:
        """The same in plain numbers, to be remembered by."""
        w = self.weighed
        return tuple(w.days.tolist()), tuple(w.mass_g.tolist()), w.step_g, w.phase, w.wall_mm

    @property
    def count(self) -> int:
        return len(self.days)

    @property
    def passed_over(self) -> tuple[date, ...]:
        trusted = zip(self.days, self.weighed.trust, strict=True)
        return tuple(day for day, trust in trusted if not trust)

    def on(self, day: float) -> date:
        return _after(self.roughed_on, day)

    def first(self, count: int) -> "_Seen":
        w = self.weighed
        part = Weighed(
            w.days[:count], w.mass_g[:count], w.step_g, w.phase, w.wall_mm, w.trust[:count]
        )
        return _Seen(part, self.days[:count], self.roughed_on)

    def shown_dry(self, rest_g: float) -> date | None:
        """The day of the first weighing that shows the wall dry, or None."""
        kept = [
            (day, float(mass))
            for day, mass, trust in zip(
                self.days, self.weighed.mass_g, self.weighed.trust, strict=True
            )
            if trust
        ]
        if kept and _may_be_at_rest(kept):
            at_rest = next((day for day, mass in kept if mass <= (1 + WITHIN) * rest_g), None)
            if at_rest:
                return at_rest
        return _still_since(kept, self.weighed.step_g)


def _may_be_at_rest(kept: Sequence[tuple[date, float]]) -> bool:
    """Whether the weighings allow of a wall at rest, whatever the fit makes of them.

    Not those of less than two weeks; not where the last one lost too much since the one before
    it, or gained more than a damp month gives.
    """
    day, mass = kept[-1]
    if day - kept[0][0] < STILL_APART or mass > (1 + _MOST_GAIN) * min(mass for _, mass in kept):
        return False
    before = [(other, was) for other, was in kept[:-1] if other < day]
    if not before:
        return True
    days = (day - before[-1][0]).days
    is_near = 7 <= days <= _STILL_LOSING_DAYS
    return not is_near or (before[-1][1] - mass) / mass / days <= _STILL_LOSING


def _still_since(kept: Sequence[tuple[date, float]], step_g: float) -> date | None:
    """The day of the third weighing in a row, two weeks or more apart, that is the same."""
    row: list[tuple[date, float]] = []
    for day, mass in kept:
        if row and day - row[-1][0] < STILL_APART:
            is_same = abs(mass - row[-1][1]) <= STILL_WITHIN * mass
            row = row if is_same else [(day, mass)]
            continue
        row = [*row[-2:], (day, mass)]
        masses = [one for _, one in row]
        span = STILL_WITHIN * min(masses)
        if len(row) == _FEWEST and max(masses) - min(masses) <= span and step_g <= span:
            return day
    return None


def _drawn(seen: _Seen, siblings: Sequence[Sibling | Sequence[Reading]]) -> tuple[Drawn, _Seen]:
    """Walls drawn by what is seen, and what is seen without weighings that don't belong."""
    belief = _of_siblings(siblings, seen)
    weighed = seen.weighed
    if seen.count == 0:  # nothing is known but the wall
        nothing = np.zeros(1)
        weighed = Weighed(nothing, nothing + 1000, 1.0, weighed.phase, weighed.wall_mm, nothing)
    elif seen.count > _FEWEST:
        weighed = fitting.believable(weighed, belief)
        seen = _Seen(weighed, seen.days, seen.roughed_on)
    if siblings:
        belief = fitting.kin_believed(weighed, belief)
    return fitting.draw(fitting.fit(weighed, belief)), seen


def _of_siblings(siblings: Sequence[Sibling | Sequence[Reading]], seen: _Seen) -> Belief:
    found = (_sibling(sibling, seen) for sibling in siblings)
    kin = tuple(each.key for each in found if each.count > _FEWEST)
    return _belief(kin) if kin else Belief()


@lru_cache(maxsize=32)
def _belief(kin: tuple[_Key, ...]) -> Belief:
    """What these siblings tell; a round weighs many pieces of one tree."""
    walls = []
    for days, masses, step_g, phase, wall_mm in kin:
        at, mass_g = np.array(days), np.array(masses)
        wall = Weighed(at, mass_g, step_g, phase, wall_mm, np.ones(len(days)))
        walls.append(fitting.believable(wall, Belief()))
    return fitting.of_kin(walls)


def _sibling(sibling: Sibling | Sequence[Any], seen: _Seen) -> _Seen:
    """A sibling's readings; bare ones are of a wall as thick.

    Those were roughed with this piece, unless they were weighed before that or long after.
    """
    step_g = seen.weighed.step_g
    parts: Sequence[Any] = sibling
    if len(parts) == 3 and isinstance(parts[2], date):
        return _Seen.of(parts[0], float(parts[1]), parts[2], step_g)
    first = min((_day(day) for day, _ in parts), default=seen.roughed_on)
    is_of_then = timedelta(0) <= first - seen.roughed_on <= timedelta(days=60)
    start = seen.roughed_on if is_of_then else first
    return _Seen.of(parts, seen.weighed.wall_mm, start, step_g)


def _rest(drawn: Drawn, seen: _Seen) -> float:
    """The mass at rest in g; never below a mass that no water could explain."""
    rest = float(np.median(drawn.rest_g))
    return max(rest, _LEAST_REST * float(seen.weighed.mass_g.min()))


def _likely(until: Array) -> float:
    """The day that is least far off, counted in parts of the whole time: a weighted median."""
    in_order = np.sort(until)
    run = np.cumsum(1 / np.maximum(in_order, 1.0))
    return float(in_order[np.searchsorted(run, run[-1] / 2)])


def _after(start: date, days: float) -> date:
    whole = min(round(days), _FURTHEST_DAYS, (date.max - start).days)
    return start + timedelta(days=whole)


def _day(value: date) -> date:
    if isinstance(value, datetime):
        return value.date()
    if not isinstance(value, date):
        raise ValueError("A weighing needs the day on which it was made.")  # noqa: TRY004
    return value


def _mass(value: Any) -> float:
    try:
        mass = float(value)
    except (TypeError, ValueError):
        mass = math.nan
    if not math.isfinite(mass) or mass <= 0:
        raise ValueError("A mass in grams is a number above zero.")
    return mass


def _check(wall_mm: float, scale_step_g: float) -> None:
    if not 0 < wall_mm <= THICKEST_MM:
        raise ValueError(f"A wall is between 0 and {THICKEST_MM} mm thick.")
    if not (math.isfinite(scale_step_g) and scale_step_g > 0):
        raise ValueError("The step of a scale in grams is above zero.")
