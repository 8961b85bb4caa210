"""Fitting the plane sheet to weighings: what they say, with what is likely of walls beforehand.

The mass is m(t) = F + G·E(t) + A·sine(t) + B·cosine(t): the mass F at rest in the air of the year's
mean, the water G to lose at the start, and the swing of the year (`plane_sheet`). For a given sheet
it is linear, so each sheet of a grid gives its evidence and the spread of F, G, A, B in closed form
(Bayesian linear regression, conjugate normal); a forecast is drawn from all sheets by their weight.

What is taken as likely beforehand is from memory (moisture in wood near room temperature, across
the grain; no publication at hand): D between 10^-10.9 and 10^-10.1 m²/s, S between 10^-8.6 and
10^-7.6 m/s, falling off gently outside; G/F about 0.57 ± 0.17 (green at 40 to 110 %, at rest near
10 %); a swing of up to a few per cent of the mass. Weighings soon outweigh all of it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from provenance.wood.plane_sheet import SECONDS_PER_DAY, Array, Sheets, roots

LOG_D, LOG_D_SOFT = (-10.9, -10.1), 0.18
LOG_S, LOG_S_SOFT = (-8.6, -7.6), 0.25
#: Spread of a weighing beside the scale's step, and of the year's swing, as parts of the mass, and
#: how likely each is: together a wall's restlessness.
_NOISES = {0.0005: 0.30, 0.0012: 0.45, 0.003: 0.20, 0.012: 0.05}
_SWINGS = {0.002: 0.32, 0.005: 0.40, 0.012: 0.22, 0.022: 0.06}
_NOISE, _SWING = np.array(list(product(_NOISES, _SWINGS))).T
_RESTLESS_PRIOR = np.log([_NOISES[n] * _SWINGS[s] for n, s in product(_NOISES, _SWINGS)])
#: F beforehand, as a part of the lightest reading.
_REST, _REST_SPREAD = 0.85, 0.35
#: How far walls of one tree differ: in log10 of D and S, in G/F, in the swing.
_KINSHIP, _KIN_WATER, _KIN_SWING = 0.05, 0.05, 0.003
_SURENESS = 0.6
#: The area over log D and log S that is likely beforehand, its soft edges with it.
_LOG_AREA = math.log(
    (LOG_D[1] - LOG_D[0] + LOG_D_SOFT * math.sqrt(2 * math.pi))
    * (LOG_S[1] - LOG_S[0] + LOG_S_SOFT * math.sqrt(2 * math.pi))
)
#: How often a wall is no kin of its tree's others: reaction wood, another shelf, another number.
_STRANGE = 0.1
_RATIOS = np.linspace(-1.3, 2.2, 15)
_CELLS, _DRAWS = 96, 5
_MOST_SLIPS, _MOST_TRIED = 3, 6


@dataclass(frozen=True)
class Weighed:
    """Weighings of one wall: days since roughing, masses, the scale's step, and the wall.

    `phase` (radians) says where in the year day 0 lies. `trust` is 1 for a weighing that is
    believed, 0 for one that is passed over.
    """

    days: Array
    mass_g: Array
    step_g: float
    phase: float
    wall_mm: float
    trust: Array

    def trusting(self, trust: Array) -> "Weighed":
        """The same weighings with other trust."""
        return replace(self, trust=trust)


@dataclass(frozen=True)
class Belief:
    """What is taken as likely of a wall before it is weighed.

    `water` is G/F with its spread; `swing` is (A/F, B/F) and `place` is (log10 D, log10 S), each
    with the inverse of its covariance, or None.
    """

    water: float = 0.57
    water_spread: float = 0.17
    swing: tuple[Array, Array] | None = None
    place: tuple[Array, Array] | None = None


@dataclass(frozen=True)
class Fit:
    """The sheets of a grid, and F, G, A, B for each in units of `unit_g`.

    `weights` (they add up to 1), `mean` and `precision` are on axes (sheet, restlessness), then
    (4) and (4, 4). `evidence` is the log of how well all of it explains the weighings.
    """

    sheets: Sheets
    weights: Array
    mean: Array
    precision: Array
    unit_g: float
    evidence: float

    def restless_part(self) -> float:
        """The weight of the two noisiest kinds of weighing: near 1 when something is amiss."""
        by_noise = self.weights.sum(axis=0).reshape(len(_NOISES), len(_SWINGS)).sum(axis=1)
        return float(by_noise[-2:].sum())

    def average(self, values: Array) -> float:
        """The mean of `values` (one for each sheet and restlessness) by weight."""
        return float((self.weights * values).sum())


def fit(weighed: Weighed, belief: Belief) -> Fit:
    """Weigh up every sheet of a wide grid, then of a finer one where the weight is."""
    wide = survey(weighed, belief)
    by_sheet = wide.weights.sum(axis=1)
    rates = _span(np.log10(wide.sheets.rate), by_sheet)
    ratios = _span(np.log10(wide.sheets.ratio), by_sheet)
    grid = np.meshgrid(np.linspace(*rates, 44), np.linspace(*ratios, 12), indexing="ij")
    return _weigh_up(weighed, belief, grid[0].ravel(), grid[1].ravel())


def survey(weighed: Weighed, belief: Belief) -> Fit:
    """Weigh up the wide grid alone: good enough to compare one trust with another."""
    half_m = weighed.wall_mm / 2000
    log_d = np.linspace(LOG_D[0] - 0.9, LOG_D[1] + 0.9, 44)
    d, ratio = (part.ravel() for part in np.meshgrid(log_d, _RATIOS, indexing="ij"))
    per_day = roots(10**ratio, 1)[..., 0] ** 2 / half_m**2 * SECONDS_PER_DAY
    return _weigh_up(weighed, belief, d + np.log10(per_day), ratio)


def kin_believed(weighed: Weighed, kin: Belief) -> Belief:
    """What is told by walls of the tree, unless the wall's own weighings speak against it."""
    if not weighed.trust.any():
        return kin
    alone = survey(weighed, Belief()).evidence + math.log(_STRANGE)
    return kin if survey(weighed, kin).evidence >= alone else Belief()


def believable(weighed: Weighed, belief: Belief) -> Weighed:
    """The same weighings, those passed over that don't belong (a digit transposed, a wrong piece).

    A weighing is passed over where the rest is explained so much better without it that a slip,
    one time in fifty and anywhere, is the likelier tale; never more than three or a third of them.
    Those farthest from the best sheet are tried.
    """
    now = survey(weighed, belief)
    slip = math.log(0.02 / 2)
    for _ in range(min(len(weighed.days) // 3, _MOST_SLIPS)):
        if now.restless_part() < 0.5:
            break
        trials = []
        for index in _farthest(weighed, now):
            trust = weighed.trust.copy()
            trust[index] = 0.0
            trial = weighed.trusting(trust)
            trials.append((survey(trial, belief), trial))
        best, without = max(trials, key=lambda pair: pair[0].evidence)
        if best.evidence + slip <= now.evidence:
            break
        now, weighed = best, without
    return weighed


def _farthest(weighed: Weighed, fitted: Fit) -> list[int]:
    """Places of the trusted weighings that lie farthest from the heaviest sheet's course."""
    sheet, restless = np.unravel_index(fitted.weights.argmax(), fitted.weights.shape)
    best = Sheets(fitted.sheets.rate[sheet : sheet + 1], fitted.sheets.ratio[sheet : sheet + 1])
    parts = fitted.mean[sheet, restless] * fitted.unit_g
    course = parts[0] + best.responses(weighed.days, weighed.phase)[0] @ parts[1:]
    off = np.where(weighed.trust > 0, np.abs(weighed.mass_g - course), -1.0)
    return [int(place) for place in np.argsort(-off)[:_MOST_TRIED] if off[place] >= 0]


def _span(values: Array, weights: Array) -> tuple[float, float]:
    """The ends between which all but a thousandth of the weight lies, with a margin."""
    order = np.argsort(values)
    run = np.cumsum(weights[order])
    low, high = np.interp([0.0005, 0.9995], run / run[-1], values[order])
    margin = 0.1 + 0.1 * (high - low)
    return float(low - margin), float(high + margin)


def _weigh_up(weighed: Weighed, belief: Belief, log_rate: Array, log_ratio: Array) -> Fit:
    """Regress the weighings on each sheet, at each restlessness. Few sheets, so all at once."""
    sheets = Sheets(10**log_rate, 10**log_ratio)
    trusted = weighed.mass_g[weighed.trust > 0]
    unit = float((trusted if trusted.size else weighed.mass_g).min())
    y, trust = weighed.mass_g / unit, weighed.trust
    columns = np.ones((len(log_rate), len(y), 4))
    columns[..., 1:] = sheets.responses(weighed.days, weighed.phase)
    variance = _NOISE**2 + (weighed.step_g / unit) ** 2 / 12
    square = np.einsum("gni,gnj->gij", columns * trust[:, None], columns)
    cross = np.einsum("gni,n->gi", columns, trust * y)
    before, centre = _beforehand(belief)
    precision = before + square[:, None] / variance[:, None, None]
    right = before @ centre + cross[:, None] / variance[:, None]
    mean = np.linalg.solve(precision, right[..., None])[..., 0]
    misfit = (trust * y**2).sum() / variance + np.einsum("i,rij,j->r", centre, before, centre)
    misfit = misfit - np.einsum("gri,gri->gr", right, mean)
    volume = np.linalg.slogdet(precision)[1] - np.linalg.slogdet(before)[1]
    likely = misfit + volume + trust.sum() * np.log(2 * np.pi * variance)
    beforehand = _RESTLESS_PRIOR + _prior(sheets, weighed.wall_mm, belief)[:, None]
    log_weight = beforehand - likely / 2
    top = float(log_weight.max())
    weights = np.exp(log_weight - top)
    total = float(weights.sum())
    return Fit(sheets, weights / total, mean, precision, unit, top + math.log(total))


def _beforehand(belief: Belief) -> tuple[Array, Array]:
    """Precision (for each restlessness) and centre of F, G, A, B, in units of the lightest."""
    centre = _REST * np.array([1.0, belief.water, 0.0, 0.0])
    tie = np.array([-belief.water, 1.0, 0.0, 0.0])
    precision = np.zeros((len(_SWING), 4, 4))
    precision[:, 0, 0] = 1 / _REST_SPREAD**2
    precision[:, 2, 2] = precision[:, 3, 3] = 1 / _SWING**2
    if belief.swing:
        centre[2:], precision[:, 2:, 2:] = _REST * belief.swing[0], belief.swing[1] / _REST**2
    return precision + np.outer(tie, tie) / (_REST * belief.water_spread) ** 2, centre


def _prior(sheets: Sheets, wall_mm: float, belief: Belief) -> Array:
    """How likely each sheet is beforehand: the log of its density over log D and log S.

    What is flat over log D and log S is flat over log rate and log L as well: the one pair
    follows from the other with determinant 1.
    """
    log_d, log_s = _place(sheets, wall_mm)
    prior = _soft(log_d, LOG_D, LOG_D_SOFT) + _soft(log_s, LOG_S, LOG_S_SOFT) - _LOG_AREA
    if belief.place:
        where, inverse = belief.place
        away = np.stack([log_d, log_s], axis=-1) - where
        narrower = math.log(float(np.linalg.det(inverse))) / 2 - math.log(2 * math.pi) + _LOG_AREA
        prior = prior + narrower - np.einsum("gi,ij,gj->g", away, inverse, away) / 2
    return prior


def _place(sheets: Sheets, wall_mm: float) -> tuple[Array, Array]:
    return np.log10(sheets.diffusivity(wall_mm)), np.log10(sheets.surface(wall_mm))


def _soft(values: Array, ends: tuple[float, float], spread: float) -> Array:
    outside = np.maximum(0, np.maximum(ends[0] - values, values - ends[1]))
    return -((outside / spread) ** 2) / 2


def of_kin(kin: Sequence[Weighed]) -> Belief:
    """What walls of the same tree say of another one, each fitted by itself.

    Each is blurred by how far walls of one tree differ, then they are taken together.
    """
    places, swings, water = [], [], []
    for weighed in kin:
        fitted = fit(weighed, Belief())
        weights = fitted.weights.sum(axis=1)
        at = np.stack(_place(fitted.sheets, weighed.wall_mm), axis=-1)
        places.append(_blurred(at, weights, _KINSHIP))
        drawn = draw(fitted).parts_g.reshape(-1, 4)
        of_rest = drawn[:, 1:] / drawn[:, :1]
        even = np.full(len(of_rest), 1 / len(of_rest))
        swings.append(_blurred(of_rest[:, 1:], even, _KIN_SWING))
        water.append(float(np.median(of_rest[:, 0])))
    return Belief(float(np.mean(water)), _KIN_WATER, _taken(swings), _taken(places))


Guess = tuple[Array, Array]


def _blurred(points: Array, weights: Array, spread: float) -> Guess:
    """Mean and inverse covariance of weighted points, after blurring them."""
    mean = np.asarray(weights @ points, dtype=float)
    away = points - mean
    covariance = (away * weights[:, None]).T @ away + np.eye(len(mean)) * spread**2
    return mean, np.asarray(np.linalg.inv(covariance), dtype=float)


def _taken(guesses: Sequence[Guess]) -> Guess:
    """Several guesses of one thing taken together."""
    inverse = sum((one for _, one in guesses), start=np.zeros((2, 2)))
    pull = sum((one @ mean for mean, one in guesses), start=np.zeros(2))
    # What is common to all of them stays unknown: three kin do not make it three times as sure.
    mean = np.asarray(np.linalg.solve(inverse, pull), dtype=float)
    return mean, np.asarray(inverse * _SURENESS)


@dataclass(frozen=True)
class Drawn:
    """Walls drawn from a fit, equally likely: sheets, and for each some F, G, A, B in grams."""

    sheets: Sheets
    parts_g: Array

    @property
    def rest_g(self) -> Array:
        """The mass at rest, on axes (sheet, draw)."""
        rest: Array = self.parts_g[..., 0]
        return rest

    def masses(self, days: Array, phase: float) -> Array:
        """Mass in g on axes (sheet, draw, day); `days` is one axis, or has a row for each sheet."""
        following = self.sheets.responses(days, phase)
        masses: Array = np.einsum("sdi,swi->swd", following, self.parts_g[..., 1:])
        return masses + self.parts_g[..., :1]

    def days_until(self, part: float, phase: float) -> Array:
        """The first day on which each wall is within `part` of its mass at rest."""
        steps = np.linspace(0, 9, 400)
        days = steps / self.sheets.rate[:, None]
        is_there = self.masses(days, phase) <= (1 + part) * self.rest_g[..., None]
        first = np.where(is_there.any(axis=-1), is_there.argmax(axis=-1), len(steps) - 1)
        until: Array = np.take_along_axis(days, first, axis=1)
        return until.ravel()


def draw(fitted: Fit) -> Drawn:
    """Draw walls by their weight, always the same ones for the same fit."""
    chance = np.random.default_rng(20)  # no secret: the same weighings shall give the same dates
    run = np.cumsum(fitted.weights.ravel())
    picked = np.searchsorted(run / run[-1], (np.arange(_CELLS) + 0.5) / _CELLS)
    sheet, restless = np.divmod(picked, fitted.weights.shape[1])
    lower = np.linalg.cholesky(fitted.precision[sheet, restless])
    shake = chance.standard_normal((_CELLS, 4, _DRAWS))
    moved = np.swapaxes(np.linalg.solve(np.swapaxes(lower, 1, 2), shake), 1, 2)
    parts = (fitted.mean[sheet, restless][:, None] + moved) * fitted.unit_g
    return Drawn(Sheets(fitted.sheets.rate[sheet], fitted.sheets.ratio[sheet]), parts)
