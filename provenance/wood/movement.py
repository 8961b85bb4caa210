"""How a wood moves, with what is not known of it: every result is a range (low, high).

A genus ("maple, kind unknown") is taken through each of its kinds that has the figures; an unknown
distance to the pith through all distances. Where a figure lacks, `MissingFigure` says which.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product

from provenance.wood import shrinkage, species
from provenance.wood.checked import checked
from provenance.wood.moisture import FIBRE_SATURATION_PCT
from provenance.wood.shrinkage import Rim
from provenance.wood.species import Figure, Species

Range = tuple[float, float]

MARGIN = (
    "Figures are of small clear specimens, drying without twist: leave a margin, more where the "
    "grain is wild or near the pith."
)
TENTH_SOURCE = "common practice"
_MOVED_BY = ("shrink_radial_pct", "shrink_tangential_pct")
_NAMES = {
    "sg_green": "the specific gravity when green",
    "sg_12": "the specific gravity at 12 %",
    "shrink_radial_pct": "radial shrinkage",
    "shrink_tangential_pct": "tangential shrinkage",
    "shrink_volumetric_pct": "volumetric shrinkage",
    "mc_green_heartwood_pct": "the green moisture of its heartwood",
    "mc_green_sapwood_pct": "the green moisture of its sapwood",
}


class MissingFigure(ValueError):
    """The sources lack a figure that a calculation needs; `figures` are its names."""

    def __init__(self, wood: Species, figures: Sequence[str]) -> None:
        self.wood, self.figures = wood, tuple(figures)
        names = " and ".join(_NAMES[figure] for figure in figures)
        super().__init__(
            f"For {wood.common_name} the sources lack {names}. If you have "
            f"{'it' if len(figures) == 1 else 'them'} from somewhere, type "
            f"{'it' if len(figures) == 1 else 'them'} on the wood’s page, with the source."
        )


@dataclass(frozen=True)
class RimRange:
    """A `Rim` of which each size in mm is a range."""

    across_mm: Range
    along_mm: Range
    oval_mm: Range
    out_of_plane_mm: Range


def shrinkages(wood: Species) -> list[tuple[float, float]]:
    """(radial, tangential) totals in per cent: of the wood, or of each kind of the genus.

    Where the kinds don't pair up (one of the two is the owner's), the corners of the two ranges.
    Raises `MissingFigure` where a figure lacks.
    """
    missing = [name for name in _MOVED_BY if getattr(wood, name) is None]
    if missing:
        raise MissingFigure(wood, missing)
    if not set(_MOVED_BY) & set(wood.own):
        kinds = [species.get(slug) for slug in wood.members]
        pairs = [_pair(kind) for kind in kinds if kind]
        whole = [pair for pair in pairs if None not in pair]
        if len(whole) > 1 and all(pair in whole or pair == (None, None) for pair in pairs):
            return [(_ends(radial)[0], _ends(tangential)[0]) for radial, tangential in whole]
    radial, tangential = _pair(wood)
    return list(dict.fromkeys(product(_ends(radial), _ends(tangential))))


def _pair(wood: Species) -> tuple[Figure, Figure]:
    return wood.shrink_radial_pct, wood.shrink_tangential_pct


def _ends(figure: Figure) -> tuple[float, ...]:
    """A range's two ends, or the one figure."""
    if isinstance(figure, tuple):
        return figure
    return () if figure is None else (float(figure),)


def rim_of(
    wood: Species,
    diameter_mm: float,
    rim_to_pith_mm: float | None,
    to_mc_pct: float,
    from_mc_pct: float = FIBRE_SATURATION_PCT,
) -> RimRange:
    """How a side-grain rim of this wood ends, in mm; see `shrinkage.rim`. None: pith unknown."""
    return _range_of(
        shrinkage.rim(diameter_mm, h, radial, tangential, from_mc_pct, to_mc_pct)
        for radial, tangential in shrinkages(wood)
        for h in _distances(rim_to_pith_mm, diameter_mm)
    )


def end_grain_of(
    wood: Species,
    diameter_mm: float,
    to_mc_pct: float,
    from_mc_pct: float = FIBRE_SATURATION_PCT,
    *,
    pith_inside: bool = False,
) -> RimRange:
    """How an end-grain round of this wood ends, in mm; see `shrinkage.end_grain`."""
    return _range_of(
        shrinkage.end_grain(
            diameter_mm, radial, tangential, from_mc_pct, to_mc_pct, pith_inside=pith_inside
        )
        for radial, tangential in shrinkages(wood)
    )


def wall_needed_of(
    wood: Species,
    diameter_mm: float,
    finished_wall_mm: float,
    rim_to_pith_mm: float | None,
    to_mc_pct: float,
) -> Range:
    """The green wall in mm that leaves the finished one once trued; see `shrinkage`."""
    return _walls(
        shrinkage.wall_needed, wood, diameter_mm, finished_wall_mm, rim_to_pith_mm, to_mc_pct
    )


def wall_left_of(
    wood: Species,
    diameter_mm: float,
    wall_mm: float,
    rim_to_pith_mm: float | None,
    to_mc_pct: float,
) -> Range:
    """What is left in mm of a green wall once trued; see `shrinkage.wall_left`."""
    return _walls(shrinkage.wall_left, wood, diameter_mm, wall_mm, rim_to_pith_mm, to_mc_pct)


def true_tenon_of(
    wood: Species, tenon_mm: float, tenon_to_pith_mm: float | None, to_mc_pct: float
) -> Range:
    """The largest circle in mm left in a tenon; see `shrinkage.largest_true_tenon`."""
    found = [
        shrinkage.largest_true_tenon(tenon_mm, across)
        for across, _ in _acrosses(wood, tenon_mm, tenon_to_pith_mm, to_mc_pct)
    ]
    return min(found), max(found)


@dataclass(frozen=True)
class TrueBowl:
    """The largest bowl that can be trued out of a rough-out, in mm; a wall of 0: none is left."""

    diameter_mm: float
    wall_mm: float
    height_mm: float


def largest_true_bowl(
    long_mm: float, short_mm: float, wall_mm: float, height_mm: float, out_of_plane_mm: float
) -> TrueBowl:
    """What the measured outside axes of a dried rough-out leave, with its wall as it is now.

    The outside is trued to the short axis, the inside to the long one: the wall left is
    (short - (long - 2·wall))/2; the rim is levelled by what left its plane. All in mm and above 0
    (what left the plane from 0), the wall at most half the short axis; ValueError otherwise.
    Derived.
    """
    long_axis = checked(long_mm, "The long axis", above=0)
    short_axis = checked(short_mm, "The short axis", above=0)
    wall = checked(wall_mm, "The wall", above=0)
    height = checked(height_mm, "The height", above=0)
    lost = checked(out_of_plane_mm, "What left the plane", least=0)
    if short_axis > long_axis:
        raise ValueError("The short axis can’t be longer than the long one.")
    if 2 * wall > short_axis:
        raise ValueError("The wall can’t be more than half the short axis.")
    left = (short_axis - (long_axis - 2 * wall)) / 2
    return TrueBowl(short_axis, max(0.0, left), max(0.0, height - lost))


def tenth_of_diameter(diameter_mm: float) -> float:
    """The rough wall in mm by the trade's rule, D/10, D above 0. Source: common practice."""
    return checked(diameter_mm, "The diameter", above=0) / 10


def _walls(
    work: Callable[[float, float, float, float], float],
    wood: Species,
    diameter_mm: float,
    wall_mm: float,
    rim_to_pith_mm: float | None,
    to_mc_pct: float,
) -> Range:
    found = [
        work(diameter_mm, wall_mm, across, along)
        for across, along in _acrosses(wood, diameter_mm, rim_to_pith_mm, to_mc_pct)
    ]
    return min(found), max(found)


def _acrosses(
    wood: Species, width_mm: float, to_pith_mm: float | None, to_mc_pct: float
) -> list[tuple[float, float]]:
    """(across, along) in per cent from green, for all that the wood and the pith may be."""
    half = checked(width_mm, "The diameter", above=0) / 2
    return [
        shrinkage.across_and_along(half, h, radial, tangential, FIBRE_SATURATION_PCT, to_mc_pct)
        for radial, tangential in shrinkages(wood)
        for h in _distances(to_pith_mm, width_mm)
    ]


def _distances(to_pith_mm: float | None, width_mm: float) -> tuple[float, ...]:
    """The one distance, or the ends of all: what depends on it only rises or only falls."""
    return (0.0, 1e6 * width_mm) if to_pith_mm is None else (to_pith_mm,)


def _range_of(rims: Iterable[Rim]) -> RimRange:
    found = list(rims)

    def span(sizes: Iterable[float]) -> Range:
        in_order = sorted(sizes)
        return in_order[0], in_order[-1]

    return RimRange(
        span(rim.across_mm for rim in found),
        span(rim.along_mm for rim in found),
        span(rim.oval_mm for rim in found),
        span(rim.out_of_plane_mm for rim in found),
    )
