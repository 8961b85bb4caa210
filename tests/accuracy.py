"""How near the forecasts come: `python -m tests.accuracy`.

On invented walls (`tests/provenance/wood/invented_walls.py`) seen for 35 to 65 % of their drying
time with 4 to 16 weighings: the median and the 80th percentile of the error in parts of the true
time, how often the range held the truth, and the same of two simpler ways. Ends with 1 when a goal
is not met. The walls are other ones with each `--seed`.
"""

import argparse
import sys
from datetime import date, timedelta

import numpy as np
from scipy.optimize import curve_fit

from provenance.wood import drying
from tests.provenance.wood.invented_walls import START, USUAL, WIDER, Score, Wall, score

Readings = list[tuple[date, float]]
Kin = list[tuple[Readings, date]]
Three = tuple[date, date, date]


def ours(wall: Wall, seen: Readings, kin: Kin) -> Three:
    """The forecast."""
    siblings = [drying.Sibling(readings, wall.wall_mm, start) for readings, start in kin]
    found = drying.forecast(
        seen,
        wall_mm=wall.wall_mm,
        roughed_on=START,
        scale_step_g=wall.step_g,
        siblings=siblings,
    )
    return found.earliest, found.likely, found.latest


def exponential(wall: Wall, seen: Readings, kin: Kin) -> Three:
    """A plain exponential by least squares (scipy), for comparison."""
    days = np.array([(day - START).days for day, _ in seen], dtype=float)
    mass = np.array([mass for _, mass in seen])
    first = (0.9 * mass[-1], mass[0] - 0.9 * mass[-1], 2 / days[-1])
    try:
        (rest, water, rate), _ = curve_fit(
            lambda t, f, g, k: f + g * np.exp(-k * t),
            days,
            mass,
            p0=first,
            bounds=([0, 0, 1e-5], [1.02 * mass[-1], 1e6, 1]),
            maxfev=4000,
        )
        until = float(np.log(max(water / (0.01 * rest), 1.0)) / rate)
    except RuntimeError:  # it found nothing
        until = 3000.0
    day = START + timedelta(days=min(until, 9000.0))
    return day, day, day


def inch_a_year(wall: Wall, seen: Readings, kin: Kin) -> Three:
    """The trade's rule."""
    day = drying.inch_a_year(wall.wall_mm, START)
    return day, day, day


def main() -> int:
    """Print a row for each way and say by the exit code whether the goals are met."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--walls", type=int, default=400)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    count, seed = asked.walls, asked.seed
    print(f"{'':34}{'median':>8}{'80th':>8}{'held':>8}")  # noqa: T201
    usual = score(ours, count, seed)
    kin = score(ours, count // 2, seed + 1, siblings=3)
    say("forecast", usual)
    say("forecast with three dry siblings", kin)
    say("forecast, wider ranges", score(ours, count, seed, WIDER))
    say("plain exponential", score(exponential, count, seed, USUAL))
    say("inch a year", score(inch_a_year, count, seed))
    is_met = usual.median <= 0.07 and usual.p80 <= 0.16 and 0.72 <= usual.held <= 0.90
    return 0 if is_met and kin.median <= 0.05 else 1


def say(what: str, found: Score) -> None:
    """Print one row, in per cent."""
    figures = "".join(f"{part:8.1%}" for part in (found.median, found.p80, found.held))
    print(f"{what:34}{figures}")  # noqa: T201


if __name__ == "__main__":
    sys.exit(main())
