"""A wall as a plane sheet that dries from both faces through a resisting surface.

The moisture u in a sheet of thickness 2l follows du/dt = D d²u/dx², and leaves its faces as
-D du/dx = S (u - u_air). From an even start the mean of what is still to lose falls as

    E(t) = sum of w_n exp(-β_n² D t / l²),
    w_n = 2 L² / (β_n² (β_n² + L² + L)),   β_n tan β_n = L,   L = l S / D

(Crank, *The Mathematics of Diffusion*, 2nd ed. 1975, equations 4.50 to 4.53). Each term is a body
of its own that follows the air at its rate, so air that goes round with the year, which the series
does not have, is followed in closed form as well.

Time is counted in days. Here a sheet is told by the rate k of its slowest term (per day) and by L,
because these are what weighings tell; D and S follow from them and from the wall.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SECONDS_PER_DAY = 86_400.0
YEAR_DAYS = 365.25
_TERMS = 12


def roots(ratio: Array, count: int = _TERMS) -> Array:
    """The first `count` positive roots β of β tan β = L, on a last axis, for each L > 0; no unit.

    The root number n is where β = nπ + atan(L/β): Newton's steps from the middle of its branch.
    """
    wanted = np.asarray(ratio, dtype=float)[..., None]
    branch = np.arange(count) * np.pi
    beta = branch + np.arctan(np.sqrt(wanted)) / (1 + np.arange(count))
    for _ in range(8):
        miss = beta - branch - np.arctan(wanted / beta)
        beta = beta - miss / (1 + wanted / (beta**2 + wanted**2))
    return beta


@dataclass(frozen=True)
class Sheets:
    """Several sheets at once: `rate` (per day, of the slowest term) and `ratio` L, same shape."""

    rate: Array
    ratio: Array

    def terms(self) -> tuple[Array, Array]:
        """(rates per day, weights) of the terms, on a last axis. The weights add up to 1:
        what the series cut short leaves out is given to its quickest term."""
        beta = roots(self.ratio)
        ratio = self.ratio[..., None]
        weights = 2 * ratio**2 / (beta**2 * (beta**2 + ratio**2 + ratio))
        weights[..., -1] += 1 - weights.sum(axis=-1)
        return self.rate[..., None] * (beta / beta[..., :1]) ** 2, weights

    def responses(self, days: Array, phase: float) -> Array:
        """How a sheet's mean follows, on axes (…, day, 3).

        Of what it had to lose at day 0, the part still there (E); and what a target that swings
        as the sine and as the cosine of the year, with `phase` (radians) at day 0, adds to the
        mean. `days` (≥ 0) is one axis for all sheets, or has one row for each sheet.
        """
        rates, weights = (part[..., None, :] for part in self.terms())
        time = days[..., None]
        left = np.exp(-rates * time)
        turn = 2 * np.pi / YEAR_DAYS
        angle = turn * time + phase
        share = weights * rates / (rates**2 + turn**2)
        sine = rates * np.sin(angle) - turn * np.cos(angle)
        sine -= left * (rates * np.sin(phase) - turn * np.cos(phase))
        cosine = rates * np.cos(angle) + turn * np.sin(angle)
        cosine -= left * (rates * np.cos(phase) + turn * np.sin(phase))
        parts = ((weights * left), (share * sine), (share * cosine))
        return np.stack([part.sum(axis=-1) for part in parts], axis=-1)

    def diffusivity(self, wall_mm: float) -> Array:
        """D in m²/s of a wall of that thickness."""
        half = wall_mm / 2000
        beta: Array = roots(self.ratio, 1)[..., 0]
        diffusivity: Array = self.rate / SECONDS_PER_DAY * half**2 / beta**2
        return diffusivity

    def surface(self, wall_mm: float) -> Array:
        """The surface coefficient S in m/s of a wall of that thickness."""
        surface: Array = self.ratio * self.diffusivity(wall_mm) / (wall_mm / 2000)
        return surface


def sheet(wall_mm: float, diffusivity_m2_s: float, surface_m_s: float) -> Sheets:
    """The one sheet of a wall (mm) with D (m²/s) and S (m/s)."""
    half = wall_mm / 2000
    ratio = np.array([half * surface_m_s / diffusivity_m2_s])
    beta = roots(ratio, 1)[..., 0]
    return Sheets(beta**2 * diffusivity_m2_s / half**2 * SECONDS_PER_DAY, ratio)
