"""Invented walls that dry as a plane sheet does, to hold the forecasts against.

The truth is computed apart from the code under test: roots by `scipy.optimize.brentq` in Crank's
series (*The Mathematics of Diffusion*, 2nd ed. 1975, equations 4.50 to 4.53), sixty terms, each
following a target that swings with the year. Everything else is invented.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

START = date(2024, 1, 1)
_TERMS = 60

Span = tuple[float, float]


@dataclass(frozen=True)
class Ranges:
    """Between which values walls are invented."""

    wall_mm: Span = (18, 45)
    log_diffusivity: Span = (-10.9, -10.1)
    log_surface: Span = (-8.6, -7.6)
    green_pct: Span = (45, 100)
    target_pct: Span = (7, 13)
    swing_pct: Span = (0, 1)
    noise: Span = (0.0005, 0.002)
    steps_g: tuple[float, ...] = (1, 1, 2, 5)
    drying_days: Span = (45, 900)


#: What the forecasts are promised for, and a good deal more.
USUAL = Ranges()
WIDER = Ranges(
    (12, 60), (-11.1, -9.9), (-8.9, -7.3), (35, 120), (6, 15), (0, 1.5), drying_days=(30, 1400)
)


@lru_cache(maxsize=4096)
def roots(ratio: float) -> tuple[float, ...]:
    """The positive roots of β tan β = L, by bisection of β sin β - L cos β."""
    return tuple(
        brentq(lambda b: b * np.sin(b) - ratio * np.cos(b), n * np.pi + 1e-12, (n + 0.5) * np.pi)
        for n in range(_TERMS)
    )


@dataclass(frozen=True)
class Wall:
    """One wall: its wood, the air, and the scale that it is weighed on."""

    wall_mm: float
    diffusivity: float
    surface: float
    green_pct: float
    target_pct: float
    swing_pct: float
    phase: float
    dry_g: float
    step_g: float
    noise: float

    def mass_g(self, days: np.ndarray) -> np.ndarray:
        """The true mass on each day."""
        half = self.wall_mm / 2000
        ratio = half * self.surface / self.diffusivity
        beta = np.array(roots(ratio))
        rate = beta**2 * self.diffusivity / half**2 * 86_400
        weight = 2 * ratio**2 / (beta**2 * (beta**2 + ratio**2 + ratio))
        weight[-1] += 1 - weight.sum()
        turn = 2 * np.pi / 365.25
        angle = turn * days[:, None] + self.phase
        left = np.exp(-rate * days[:, None])
        swing = rate * np.sin(angle) - turn * np.cos(angle)
        swing -= left * (rate * np.sin(self.phase) - turn * np.cos(self.phase))
        swing *= rate / (rate**2 + turn**2)
        to_lose = self.green_pct - self.target_pct
        moisture = self.target_pct + (weight * (to_lose * left + self.swing_pct * swing)).sum(1)
        return self.dry_g * (1 + moisture / 100)

    @property
    def rest_g(self) -> float:
        """The mass at the mean target."""
        return self.dry_g * (1 + self.target_pct / 100)

    def drying_days(self) -> int | None:
        """The first day with a mass within 1 % of that at the mean target."""
        there = np.nonzero(self.mass_g(np.arange(0, 1600.0)) <= 1.01 * self.rest_g)[0]
        return int(there[0]) if there.size else None

    def weighed(
        self, chance: np.random.Generator, until_day: float, count: int
    ) -> list[tuple[date, float]]:
        """So many weighings up to a day, at odd intervals, with the scale's step and some noise."""
        days = np.linspace(0, until_day, count)
        days[1:-1] += chance.normal(0, until_day / count / 4, count - 2)
        days = np.unique(np.round(np.clip(days, 0, until_day)))
        masses = self.mass_g(days) * (1 + chance.normal(0, self.noise, len(days)))
        masses = np.round(masses / self.step_g) * self.step_g
        return [
            (START + timedelta(days=int(day)), float(mass))
            for day, mass in zip(days, masses, strict=True)
        ]


def invented(chance: np.random.Generator, ranges: Ranges = USUAL) -> tuple[Wall, int]:
    """A wall that dries within the range of days, and in how many."""
    while True:
        wall = Wall(
            wall_mm=chance.uniform(*ranges.wall_mm),
            diffusivity=10 ** chance.uniform(*ranges.log_diffusivity),
            surface=10 ** chance.uniform(*ranges.log_surface),
            green_pct=chance.uniform(*ranges.green_pct),
            target_pct=chance.uniform(*ranges.target_pct),
            swing_pct=chance.uniform(*ranges.swing_pct),
            phase=chance.uniform(0, 2 * np.pi),
            dry_g=float(np.exp(chance.uniform(np.log(250), np.log(3000)))),
            step_g=float(chance.choice(ranges.steps_g)),
            noise=chance.uniform(*ranges.noise),
        )
        days = wall.drying_days()
        if days and ranges.drying_days[0] <= days <= ranges.drying_days[1]:
            return wall, days


def of_the_same_tree(chance: np.random.Generator, wall: Wall) -> tuple[Wall, int]:
    """Another wall of the same tree, thickness and store, a little different as wood is."""
    while True:
        kin = replace(
            wall,
            diffusivity=wall.diffusivity * 10 ** chance.normal(0, 0.03),
            surface=wall.surface * 10 ** chance.normal(0, 0.03),
            green_pct=wall.green_pct + chance.normal(0, 3),
            dry_g=float(np.exp(chance.uniform(np.log(250), np.log(3000)))),
        )
        days = kin.drying_days()
        if days:
            return kin, days


@dataclass(frozen=True)
class Score:
    """How far off forecasts were, as parts of the true drying time; how often the range held."""

    median: float
    p80: float
    held: float


def score(
    forecast: Callable[..., tuple[date, date, date]],
    count: int,
    seed: int,
    ranges: Ranges = USUAL,
    siblings: int = 0,
) -> Score:
    """Hold (earliest, likely, latest) of `forecast` against walls seen for 35 to 65 % of it."""
    chance = np.random.default_rng(seed)
    off, held = [], []
    for _ in range(count):
        wall, days = invented(chance, ranges)
        seen = wall.weighed(chance, days * chance.uniform(0.35, 0.65), int(chance.integers(4, 17)))
        kin = []
        for _ in range(siblings):
            other, its_days = of_the_same_tree(chance, wall)
            followed = its_days * chance.uniform(1.05, 1.4)
            kin.append((other.weighed(chance, followed, int(chance.integers(6, 17))), START))
        earliest, likely, latest = forecast(wall, seen, kin)
        true = START + timedelta(days=days)
        off.append(abs((likely - true).days) / days)
        held.append(earliest <= true <= latest)
    return Score(float(np.median(off)), float(np.quantile(off, 0.8)), float(np.mean(held)))
