"""How wood shrinks as it dries, and what that does to a round of it: rim, wall, tenon.

A round turned from green wood moves as its place in the tree has it. Free shrinkage along the
radius and round the rings is a wedge that closes: a point at radius r and angle θ from the upright
through the pith goes to r·f_R and θ·f_T/f_R, without shear, where f is each direction's size at the
end as a part of its size at the start.

Figures are of small clear specimens without twist. Keep a margin. Nothing published gives the form
for a rim: it is derived from the wedge, and the tests check it against integration.
"""

import math
from dataclasses import dataclass

from provenance.wood.checked import checked
from provenance.wood.moisture import FIBRE_SATURATION_PCT, checked_moisture

#: Along the grain, green to oven-dry: Wood Handbook, chapter 4, has 0.1 to 0.2 % for most wood;
#: juvenile and reaction wood up to 2 %.
ALONG_GRAIN_PCT = 0.15
#: More than any wood shrinks, green to oven-dry, in one direction.
MOST_SHRINKAGE_PCT = 30.0


class PithInside(ValueError):
    """The pith lies inside end grain: it will split, so no size is forecast."""


PITH_INSIDE = (
    "With the pith inside, end grain is likely to split from the pith outwards as it dries: there "
    "is no forecast for it. Take the wood from beside the pith, or bore the pith out."
)


@dataclass(frozen=True)
class Rim:
    """A rim after drying, in mm.

    `across_mm` and `along_mm` are its outside sizes across and along the grain, `oval_mm` what the
    second is longer by, `out_of_plane_mm` how far the two sides left the rim's plane, away from the
    pith: height that truing costs. For end grain across is along the rings, along is along the
    radius, and nothing leaves the plane.
    """

    across_mm: float
    along_mm: float
    oval_mm: float
    out_of_plane_mm: float


def shrinkage_at(total_pct: float, moisture_content_pct: float) -> float:
    """The shrinkage in per cent of the green size at this moisture: S_0 (30 - M)/30, 0 from 30 up.

    `total_pct` is green to oven-dry, 0 to 30. Raises ValueError out of range. Source: Wood
    Handbook, equation 4-9, with fibre saturation at 30 %.
    """
    total = _checked_total(total_pct, "The shrinkage")
    moisture = checked_moisture(moisture_content_pct)
    return total * (max(0.0, FIBRE_SATURATION_PCT - moisture) / FIBRE_SATURATION_PCT)


def shrinkage_between(total_pct: float, from_mc_pct: float, to_mc_pct: float) -> float:
    """The shrinkage in per cent of the size at `from_mc_pct`; below zero where wood swells back.

    1 - (1 - S at to)/(1 - S at from), which from green is S. Total 0 to 30 %, moistures 0 to 400 %;
    ValueError outside. Source: arithmetic on Wood Handbook, equation 4-9.
    """
    start = 1 - shrinkage_at(total_pct, from_mc_pct) / 100
    end = 1 - shrinkage_at(total_pct, to_mc_pct) / 100
    return 100 * (1 - end / start)


def change_coefficient(total_pct: float) -> float:
    """The dimensional change coefficient C, per point of moisture between 6 and 14 %.

    C = (S/30)/(1 - 20 S/30), S the total shrinkage as a fraction: the change as a part of the size
    at 10 %. `total_pct` is green to oven-dry, 0 to 30; ValueError outside. Derived; it reproduces
    42 of the 46 rows that were compared of Wood Handbook, Table 13-5.
    """
    total = _checked_total(total_pct, "The shrinkage") / 100
    return (total / 30) / (1 - 20 * total / 30)


def dimensional_change(
    size_mm: float, total_pct: float, from_mc_pct: float, to_mc_pct: float
) -> float:
    """What `size_mm` gains in mm from one moisture to another, in use: D·C·(M_F - M_I).

    Below zero where it shrinks. Valid between 6 and 14 %, sizes from 0; ValueError outside.
    Source: Wood Handbook, chapter 13 (ΔD = D·C·(M_F - M_I)).
    """
    size = checked(size_mm, "The size", least=0)
    for moisture in (from_mc_pct, to_mc_pct):
        checked(moisture, "The moisture in per cent", least=6, most=14)
    return size * change_coefficient(total_pct) * (to_mc_pct - from_mc_pct)


def across_and_along(
    half_width_mm: float,
    rim_to_pith_mm: float,
    radial_pct: float,
    tangential_pct: float,
    from_mc_pct: float,
    to_mc_pct: float,
) -> tuple[float, float]:
    """Shrinkage in per cent across and along the grain of a side-grain circle, rim or tenon.

    Across, to first order, s_R + (s_T - s_R)·(h/a)·atan(a/h): a is the half width, h the distance
    of the circle's plane from the pith's, s each direction's shrinkage between the two moistures.
    At h = 0 that is s_R, far from the pith s_T. Along: the total is 0.15 %. Lengths in mm, a above
    0 and h from 0; totals 0 to 30 %, moistures 0 to 400 %; ValueError outside. Below zero where
    wood swells back. Derived from the wedge (see the module).
    """
    radial, tangential = _both(radial_pct, tangential_pct, from_mc_pct, to_mc_pct)
    a = checked(half_width_mm, "Half the width", above=0)
    h = checked(rim_to_pith_mm, "The distance to the pith", least=0)
    along = shrinkage_between(ALONG_GRAIN_PCT, from_mc_pct, to_mc_pct)
    return radial + (tangential - radial) * _tangential_part(a, h), along


def _tangential_part(a: float, h: float) -> float:
    """(h/a)·atan(a/h), from 0 at the pith to 1 far from it, whatever the sizes."""
    if h == 0:
        return 0.0
    slope = a / h
    # Below this the quotient is 1 to the last digit, and a slope may even have come out as 0.
    return math.atan(slope) / slope if slope > 1e-9 else 1.0


def rim(
    diameter_mm: float,
    rim_to_pith_mm: float,
    radial_pct: float,
    tangential_pct: float,
    from_mc_pct: float,
    to_mc_pct: float,
) -> Rim:
    """How a side-grain rim of `diameter_mm` ends, its plane `rim_to_pith_mm` from the pith's.

    `radial_pct` and `tangential_pct` are totals, green to oven-dry (0 to 30); moistures 0 to 400.
    Across and along as `across_and_along`; the sides leave the plane, away from the pith, by
    (s_T - s_R)·a·atan(a/h), below zero (towards it) where wood swells back. Sizes in mm, the
    diameter above 0, the distance from 0; ValueError out of range. First order, derived from the
    wedge: for all woods of the table a green rim of 300 mm dried to 8 % is within 1.2 mm of what
    `rim_exact` gives, most near the pith.
    """
    a = checked(diameter_mm, "The diameter", above=0) / 2
    sizes = (radial_pct, tangential_pct, from_mc_pct, to_mc_pct)
    across_pct, along_pct = across_and_along(a, rim_to_pith_mm, *sizes)
    radial, tangential = _both(*sizes)
    drop = (tangential - radial) / 100 * a * math.atan2(a, rim_to_pith_mm)
    return _rim(diameter_mm * (1 - across_pct / 100), diameter_mm * (1 - along_pct / 100), drop)


def rim_exact(
    diameter_mm: float,
    rim_to_pith_mm: float,
    radial_pct: float,
    tangential_pct: float,
    from_mc_pct: float,
    to_mc_pct: float,
) -> Rim:
    """The same as `rim`, with the wedge itself instead of its first order.

    A side at radius r = √(a² + h²) and angle θ = atan(a/h) goes to r·f_R and θ·f_T/f_R. Units and
    range as `rim`. Derived.
    """
    a = checked(diameter_mm, "The diameter", above=0) / 2
    h = checked(rim_to_pith_mm, "The distance to the pith", least=0)
    sizes = (radial_pct, tangential_pct, from_mc_pct, to_mc_pct)
    radial, tangential = (1 - s / 100 for s in _both(*sizes))
    radius, angle = math.hypot(a, h) * radial, math.atan2(a, h) * tangential / radial
    _, along_pct = across_and_along(a, h, *sizes)
    # The difference of two large lengths where the pith is far: written so that none is lost.
    closing = math.atan2(a, h) - angle
    drop = radial * (a * math.sin(closing) - h * (2 * math.sin(closing / 2) ** 2))
    return _rim(2 * (radius * math.sin(angle)), diameter_mm * (1 - along_pct / 100), drop)


def end_grain(
    diameter_mm: float,
    radial_pct: float,
    tangential_pct: float,
    from_mc_pct: float,
    to_mc_pct: float,
    *,
    pith_inside: bool = False,
) -> Rim:
    """How an end-grain round ends (vase, box, pen): shrunk by s_T one way and s_R the other.

    D(1 - s_T) across and D(1 - s_R) along, D in mm above 0, totals 0 to 30 %, moistures 0 to 400 %.
    Raises `PithInside` where the pith is in it, ValueError out of range. Source: free shrinkage in
    the plane of the rings, Wood Handbook, equation 4-9; a round far from the pith is taken.
    """
    checked(diameter_mm, "The diameter", above=0)
    if pith_inside:
        raise PithInside(PITH_INSIDE)
    radial, tangential = _both(radial_pct, tangential_pct, from_mc_pct, to_mc_pct)
    return _rim(diameter_mm * (1 - tangential / 100), diameter_mm * (1 - radial / 100), 0.0)


def wall_left(diameter_mm: float, wall_mm: float, across_pct: float, along_pct: float) -> float:
    """The wall in mm that is left once both faces are trued round; 0 where truing goes through.

    (D(1 - c) - d(1 - l))/2, with the outside D and inside d = D - 2·wall in mm when green, and the
    shrinkage across (c) and along (l) the grain in per cent, c not below l as in any wood. The wall
    is above 0 and at most half the diameter; ValueError otherwise. Derived.
    """
    outside, wall = _checked_wall(diameter_mm, wall_mm)
    across, along = _checked_pair(across_pct, along_pct)
    return max(0.0, (outside * (1 - across) - (outside - 2 * wall) * (1 - along)) / 2)


def wall_needed(
    diameter_mm: float, finished_wall_mm: float, across_pct: float, along_pct: float
) -> float:
    """The green wall in mm that leaves `finished_wall_mm` once trued: `wall_left` solved for it.

    (2 f + D (c - l))/(2 (1 - l)), in mm, never less than the finished wall f. Without a margin for
    twist. Raises ValueError where even a solid blank would not leave so much. Derived.
    """
    outside, wall = _checked_wall(diameter_mm, finished_wall_mm)
    across, along = _checked_pair(across_pct, along_pct)
    needed = max(wall, (2 * wall + outside * (across - along)) / (2 * (1 - along)))
    if 2 * needed > outside:
        raise ValueError(
            "No green wall leaves so much: it would have to be more than half the diameter."
        )
    return needed


def largest_true_tenon(tenon_mm: float, across_pct: float) -> float:
    """The largest circle in mm left in a tenon that was `tenon_mm` when green: D(1 - c).

    `across_pct` is the tenon's own, by `across_and_along` from its half width and its distance from
    the pith. The tenon is above 0; ValueError otherwise. Derived.
    """
    across, _ = _checked_pair(across_pct, 0.0)
    return checked(tenon_mm, "The tenon", above=0) * (1 - across)


def _rim(across_mm: float, along_mm: float, drop_mm: float) -> Rim:
    return Rim(across_mm, along_mm, along_mm - across_mm, drop_mm)


def _both(
    radial_pct: float, tangential_pct: float, from_mc_pct: float, to_mc_pct: float
) -> tuple[float, float]:
    """Radial and tangential shrinkage in per cent between the two moistures."""
    _checked_total(radial_pct, "Radial shrinkage")
    _checked_total(tangential_pct, "Tangential shrinkage")
    return (
        shrinkage_between(radial_pct, from_mc_pct, to_mc_pct),
        shrinkage_between(tangential_pct, from_mc_pct, to_mc_pct),
    )


def _checked_total(total_pct: float, what: str) -> float:
    what = f"{what}, green to oven-dry, in per cent"
    return checked(total_pct, what, least=0, most=MOST_SHRINKAGE_PCT)


def _checked_pair(across_pct: float, along_pct: float) -> tuple[float, float]:
    """The two as fractions; swelling back, below zero, is let in."""
    return (
        checked(across_pct, "Shrinkage across the grain in per cent", least=-50, below=100) / 100,
        checked(along_pct, "Shrinkage along the grain in per cent", least=-50, below=100) / 100,
    )


def _checked_wall(diameter_mm: float, wall_mm: float) -> tuple[float, float]:
    outside = checked(diameter_mm, "The diameter", above=0)
    wall = checked(wall_mm, "The wall", above=0)
    if 2 * wall > outside:
        raise ValueError("The wall can’t be more than half the diameter.")
    return outside, wall
