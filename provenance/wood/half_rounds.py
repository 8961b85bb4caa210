"""One half round, and the largest bowls that fit into it.

A half round is measured from its cut face: y goes towards the bark, and half the width there is
√(R² − (p + y)²). R is the radius inside the bark, p how far the cut face lies from the middle of
the bark's circle: from the pith, where the pith is in the middle.

Formulas: plane geometry [derived; published nowhere that we found]. Lengths in mm. Everything
raises ValueError with a sentence where a value is out of range.
"""

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np

from provenance.wood.checked import checked

_STEPS = 256
_SHALLOWEST = 5  # a cored bowl flatter than this is none: a choice of ours


class Rim(StrEnum):
    """Where the rim of a bowl lies in its half round."""

    TO_PITH = "pith"
    TO_BARK = "bark"


@dataclass(frozen=True)
class Shape:
    """The outline of a bowl, whatever its size.

    At the part t of its height above the foot (0 to 1) the radius is
    rim·(k + (1 − k)·(1 − (1 − t)^n)): k is `foot_ratio`, foot by rim, 0 to 1; n is `curve`, 0.5 to
    10: 1 is a straight flank, 2 a rounded one, more a fuller one, less than 1 a flared one. With
    k = 1 it is a cylinder.
    """

    foot_ratio: float = 0.4
    curve: float = 2.0

    def __post_init__(self) -> None:
        checked(self.foot_ratio, "The foot's part of the rim", least=0, most=1)
        checked(self.curve, "The curve", least=0.5, most=10)

    def share_at(self, up: Any) -> Any:
        """Return the radius at the part `up` of the height above the foot, as part of the rim's."""
        return self.foot_ratio + (1 - self.foot_ratio) * (1 - (1 - up) ** self.curve)


CYLINDER = Shape(1.0, 1.0)


@dataclass(frozen=True)
class Bowl:
    """A bowl's outline in its half round. `rim_mm` and `foot_mm` are diameters."""

    rim_mm: float
    foot_mm: float
    height_mm: float
    curve: float = 2.0
    rim: Rim = Rim.TO_PITH

    def radius_at(self, y_mm: float) -> float:
        """Return the radius in mm at `y_mm` from the cut face, 0 to the height."""
        # A hair beyond the end is the end: what is stepped through adds up to that.
        most = self.height_mm * (1 + 1e-9)
        share = min(1.0, checked(y_mm, "The place", least=0, most=most) / self.height_mm)
        up = share if self.rim is Rim.TO_BARK else 1 - share
        out = 1 - (1 - up) ** self.curve
        return (self.foot_mm + (self.rim_mm - self.foot_mm) * out) / 2


@dataclass(frozen=True)
class NaturalEdge:
    """A bowl whose rim is the bark: highest where the grain ends, lowest at its two sides.

    `rim_mm` is its diameter along the grain, at the high ends; `across_mm` its width across, at the
    low sides; `high_mm` and `low_mm` are the heights there, from the foot at the cut face.
    """

    rim_mm: float
    across_mm: float
    high_mm: float
    low_mm: float
    foot_mm: float
    curve: float = 2.0

    def radius_at(self, y_mm: float) -> float:
        """Return the radius in mm of the outline at `y_mm` from the cut face, 0 to `high_mm`.

        Across the grain the outline ends where it meets the bark, at `low_mm`.
        """
        whole = Bowl(self.rim_mm, self.foot_mm, self.high_mm, self.curve, Rim.TO_BARK)
        return whole.radius_at(y_mm)


@dataclass(frozen=True)
class Coring:
    """Nested bowls out of one round: wall to leave (None: a tenth of each diameter), tool's cut.

    A tenth of the diameter is common practice, and so is the width of the cut.
    """

    wall_mm: float | None = None
    cut_mm: float = 8.0

    def __post_init__(self) -> None:
        if self.wall_mm is not None:
            checked(self.wall_mm, "The wall", above=0)
        checked(self.cut_mm, "The cut of the coring tool", least=0)


def largest_cylinder(radius_mm: float, pith_slab_mm: float, height_mm: float) -> float:
    """Return the diameter in mm of the widest cylinder out of a half round: 2√(R² − (p + h)²).

    `radius_mm` R is inside the bark at the smaller end, `pith_slab_mm` p from the pith to the cut
    face of this half round (not the whole slab), `height_mm` h from the cut face towards the bark.
    Range: R > 0, p ≥ 0, h > 0, p + h ≤ R; at p + h = R nothing is left. ValueError otherwise.
    Source: geometry; this is the plain bound on ρ(y)² + (p + y)² ≤ R² for ρ the same all along.
    """
    _check_half_round(radius_mm, pith_slab_mm, height_mm)
    return 2 * half_width(radius_mm, pith_slab_mm + height_mm)


def largest_bowl(
    radius_mm: float,
    pith_slab_mm: float,
    height_mm: float,
    *,
    foot_mm: float | None = None,
    foot_ratio: float = 0.4,
    curve: float = 2.0,
    rim: Rim | str = Rim.TO_PITH,
) -> Bowl:
    """Return the bowl with the widest rim whose outline fits the half round all along.

    The outline has radius ρ(y) at y from the cut face and fits where ρ(y)² + (p + y)² ≤ R² for
    every y from 0 to the height. `foot_mm` is the foot's diameter; without it the foot is
    `foot_ratio` of the rim (0 to 1). `curve` as in `Shape`. `rim` is "pith" or "bark": towards the
    bark a narrow foot gains nothing, and the bowl is as wide as the cylinder.
    Range as `largest_cylinder`; ValueError where no such bowl fits. Source: geometry.
    """
    _check_half_round(radius_mm, pith_slab_mm, height_mm)
    side, shape = Rim(rim), Shape(foot_ratio, curve)
    if foot_mm is not None:
        checked(foot_mm, "The foot", above=0)
        return _bowl_on_foot(radius_mm, pith_slab_mm, height_mm, foot_mm, curve, side)
    bowl = bowl_in(radius_mm, pith_slab_mm, height_mm, shape, side)
    if bowl is None:
        raise ValueError("No bowl that high fits into this half round: choose a lower one.")
    return bowl


def largest_natural_edge(
    radius_mm: float,
    pith_slab_mm: float,
    *,
    low_ratio: float = 0.6,
    foot_ratio: float = 0.4,
    curve: float = 2.0,
) -> NaturalEdge:
    """Return the widest bowl whose rim is the bark itself, its foot at the cut face.

    Along the grain it is as high as the half round, R − p. Across, its outline meets the bark
    lower: at `low_ratio` of that height or above (0 to 1, without the ends). So it is the largest
    with ρ(y)² + (p + y)² ≤ R² for y from 0 to `low_ratio`·(R − p). The default of `low_ratio` is a
    choice of ours, no rule. Range: R > 0, 0 ≤ p < R. Source: geometry.
    """
    checked(radius_mm, "The radius", above=0)
    checked(pith_slab_mm, "The pith slab", least=0)
    checked(low_ratio, "The height of the low sides", above=0, below=1)
    if pith_slab_mm >= radius_mm:
        raise ValueError("The pith slab leaves nothing of this half round: take a thinner slab.")
    return natural_edge_in(radius_mm, pith_slab_mm, low_ratio, Shape(foot_ratio, curve))


def cores_of(
    diameter_mm: float, height_mm: float, coring: Coring, *, least_diameter_mm: float = 100.0
) -> tuple[tuple[float, float], ...]:
    """Return (diameter, height) in mm of the bowls that can be cored out of one, largest first.

    Each is smaller than the last by the wall and the tool's cut, on both sides and at the bottom,
    down to `least_diameter_mm`, and none lower than a fifth of its diameter. Walls of a tenth of
    the diameter are common practice, no source.
    """
    checked(diameter_mm, "The diameter", above=0)
    checked(height_mm, "The height", above=0)
    checked(least_diameter_mm, "The least diameter", above=0)
    cores: list[tuple[float, float]] = []
    while True:
        wall = diameter_mm / 10 if coring.wall_mm is None else coring.wall_mm
        diameter_mm -= 2 * (wall + coring.cut_mm)
        height_mm -= wall + coring.cut_mm
        if diameter_mm < least_diameter_mm or height_mm < diameter_mm / _SHALLOWEST:
            return tuple(cores)
        cores.append((diameter_mm, height_mm))


def bowl_in(radius: float, face: float, height: float, shape: Shape, rim: Rim) -> Bowl | None:
    """The widest bowl of that shape; None where none fits. `face` may be beyond the middle."""
    if face + height > radius:
        return None
    widest = _largest_rim(radius, face, height, shape, rim)
    if widest <= 0:
        return None
    return Bowl(2 * widest, 2 * widest * shape.foot_ratio, height, shape.curve, rim)


def _bowl_on_foot(
    radius: float, face: float, height: float, foot: float, curve: float, rim: Rim
) -> Bowl:
    """The widest bowl on a foot of that diameter: found by the ratio, which falls as it widens."""
    at_foot = face if rim is Rim.TO_BARK else face + height
    if foot / 2 > half_width(radius, at_foot):
        raise ValueError("That foot is wider than the half round there: choose a smaller one.")
    low, high = 0.0, 1.0
    for _ in range(60):
        ratio = (low + high) / 2
        widest = 2 * _largest_rim(radius, face, height, Shape(ratio, curve), rim)
        low, high = (ratio, high) if ratio * widest < foot else (low, ratio)
    widest = 2 * _largest_rim(radius, face, height, Shape(high, curve), rim)
    if widest < foot * (1 - 1e-6):
        raise ValueError("The rim would be narrower than that foot: choose a smaller foot.")
    return Bowl(max(widest, foot), foot, height, curve, rim)


def natural_edge_in(radius: float, face: float, low: float, shape: Shape) -> NaturalEdge:
    """The widest natural edge of that shape. `face` may be beyond the middle."""
    height = radius - face
    rim = _largest_rim(radius, face, height, shape, Rim.TO_BARK, upto=low)
    return NaturalEdge(
        rim_mm=2 * rim,
        across_mm=float(2 * rim * shape.share_at(low)),
        high_mm=height,
        low_mm=height * low,
        foot_mm=2 * rim * shape.foot_ratio,
        curve=shape.curve,
    )


def _largest_rim(
    radius: float, face: float, height: float, shape: Shape, rim: Rim, *, upto: float = 1.0
) -> float:
    """The largest rim radius that the half round allows from the face `upto` a part of the height.

    It is the least of (half-width of the log) / (share of the rim) over all heights: sought on a
    grid, then on a finer one about the narrowest place.
    """
    low, high = 0.0, upto
    for _ in range(3):
        share = np.linspace(low, high, _STEPS + 1)
        widths = np.sqrt(np.maximum(radius**2 - (face + share * height) ** 2, 0))
        shares = shape.share_at(share if rim is Rim.TO_BARK else 1 - share)
        bounds = np.divide(widths, shares, out=np.full_like(widths, np.inf), where=shares > 0)
        narrowest = int(np.argmin(bounds))
        step = (high - low) / _STEPS
        least = float(bounds[narrowest])
        middle = float(share[narrowest])
        low, high = max(0.0, middle - step), min(upto, middle + step)
    return least


def segment_area(radius: float, face: float) -> float:
    """The area of the circle beyond a chord at `face` from its middle."""
    return radius**2 * math.acos(face / radius) - face * math.sqrt(radius**2 - face**2)


def clipped_volume(radius: float, face: float, rim: float, height: float) -> float:
    """The volume of a disc of that height, without what the log's roundness takes off its sides."""
    y = (np.arange(_STEPS) + 0.5) / _STEPS * height
    half = np.minimum(np.sqrt(np.maximum(radius**2 - (face + y) ** 2, 0)), rim)
    areas = 2 * (half * np.sqrt(np.maximum(rim**2 - half**2, 0)) + rim**2 * np.arcsin(half / rim))
    return float(areas.mean() * height)


def half_width(radius: float, from_middle: float) -> float:
    return math.sqrt(max(0.0, (radius - from_middle) * (radius + from_middle)))


def _check_half_round(radius: float, slab: float, height: float) -> None:
    checked(radius, "The radius", above=0)
    checked(slab, "The pith slab", least=0)
    checked(height, "The height", above=0)
    if slab + height > radius:
        raise ValueError(
            "Pith slab and height together are more than the radius: nothing so high fits."
        )
