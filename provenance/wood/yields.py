"""What a section gives: the rounds that fit into its half rounds, and what it weighs green.

A section is taken as a round log: a circle inside the bark at each end, straight between them. It
is cross-cut into lengths, and each length is ripped on both sides of the pith, so that a slab with
the pith falls out and two half rounds are left.

**What `pith_slab_mm` is, everywhere here:** the distance from the pith to the cut face of *one*
half round. The slab that falls out is twice that, saw cuts included.

A pith that is off the middle by e makes one half round wider and the other narrower: seen from the
middle of the bark's circle the cut face lies at p − e in the one and at p + e in the other. (The
cut runs across that offset.) With that for p, `half_rounds` says what fits.

A real section is no circle: measure it where it is narrowest, inside the bark.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum

from provenance.wood.checked import checked
from provenance.wood.half_rounds import (
    CYLINDER,
    Bowl,
    Coring,
    NaturalEdge,
    Rim,
    Shape,
    bowl_in,
    clipped_volume,
    cores_of,
    half_width,
    largest_bowl,
    largest_cylinder,
    largest_natural_edge,
    natural_edge_in,
    segment_area,
)
from provenance.wood.log_mass import green_mass_kg, mass_kg, round_mass_kg

__all__ = [
    "CYLINDER",
    "Bowl",
    "Coring",
    "Cut",
    "NaturalEdge",
    "Rim",
    "Round",
    "SectionPlan",
    "Shape",
    "cores_of",
    "green_mass_kg",
    "largest_bowl",
    "largest_cylinder",
    "largest_natural_edge",
    "mass_kg",
    "round_mass_kg",
    "section_plan",
]

_MOST_LENGTHS = 100
_TOUCHING = 1e-9


class Cut(StrEnum):
    """What is cut from the half rounds: bowls (side grain), or rounds along the grain."""

    TO_PITH = "pith"
    TO_BARK = "bark"
    NATURAL = "natural"
    END_GRAIN = "end"


@dataclass(frozen=True)
class Round:
    """One round of a plan.

    `length` counts the lengths from the small end, from 1; `is_wide` tells the wider half round of
    two. `diameter_mm` lies along the grain for side grain; `height_mm` is its height (for a
    natural edge at the high ends; for end grain its length). `from_mm` and `to_mm` are the saw cuts
    from the small end. `radius_mm` is the bark's inside at its smaller end, `face_mm` the cut face
    from that circle's middle (below 0: beyond it), `rim_to_pith_mm` the rim's distance from the
    plane of the pith (a natural edge: that of its low sides; None for end grain). `volume_mm3` is
    the sawn round's, without what the bark cuts off it; `half_mm3` that of the half round that it
    is cut from. `cores_mm` are (diameter, height) of the bowls that coring takes out of it.
    `is_even` tells that the pith is in the middle, so that both half rounds are alike.
    """

    length: int
    is_wide: bool
    cut: Cut
    diameter_mm: float
    height_mm: float
    from_mm: float
    to_mm: float
    radius_mm: float
    face_mm: float
    rim_to_pith_mm: float | None
    outline: Bowl | NaturalEdge | None
    volume_mm3: float
    half_mm3: float
    cores_mm: tuple[tuple[float, float], ...] = ()
    is_even: bool = False


@dataclass(frozen=True)
class SectionPlan:
    """What a section gives: its rounds from the small end on, and the length that is left over."""

    rounds: tuple[Round, ...]
    lengths: int
    rest_mm: float


def section_plan(
    small_end_mm: float,
    large_end_mm: float,
    length_mm: float,
    *,
    pith_offset_mm: float = 0.0,
    pith_slab_mm: float = 0.0,
    kerf_mm: float = 0.0,
    end_loss_mm: float = 0.0,
    cut: Cut | str = Cut.TO_PITH,
    natural_edge: bool = False,
    shape: Shape = CYLINDER,
    height_mm: float | None = None,
    height_ratio: float = 0.4,
    low_ratio: float = 0.6,
    least_diameter_mm: float = 100.0,
    lengths: int | None = None,
    coring: Coring | None = None,
) -> SectionPlan:
    """Return the rounds that a section gives, two half rounds to a length, from the small end on.

    `small_end_mm`, `large_end_mm` are diameters inside the bark, `length_mm` the whole length;
    `end_loss_mm` is cut off each end, `kerf_mm` lost between two lengths. `pith_offset_mm` is how
    far the pith lies from the middle, `pith_slab_mm` from the pith to the cut face of one half
    round: at least half a kerf. `cut` says what is cut (`natural_edge` is short for
    `Cut.NATURAL`). A bowl's height is `height_mm`, or `height_ratio` of its diameter; an end-grain
    round needs `height_mm`, its length, and is the widest circle beside the pith, R − p. `shape` is
    the outline, a cylinder unless said. Rounds below `least_diameter_mm` are left out. `lengths`
    asks for so many lengths of equal room; without it the widest rounds are laid one after the
    other, the last as wide as what is left allows. Each length takes the log's radius at its own
    smaller end. Source: geometry. ValueError with a sentence where a value is out of range.
    """
    bench = _Bench(
        small=checked(small_end_mm, "The small end", above=0) / 2,
        large=checked(large_end_mm, "The large end", above=0) / 2,
        length=checked(length_mm, "The length", above=0),
        offset=checked(pith_offset_mm, "The pith’s distance from the middle", least=0),
        slab=checked(pith_slab_mm, "The pith slab", least=0),
        kerf=checked(kerf_mm, "The saw cut", least=0),
        end_loss=checked(end_loss_mm, "The loss at each end", least=0),
        cut=Cut.NATURAL if natural_edge else Cut(cut),
        shape=shape,
        height=None if height_mm is None else checked(height_mm, "The height", above=0),
        height_ratio=checked(height_ratio, "The height’s part of the diameter", above=0, most=10),
        low_ratio=checked(low_ratio, "The height of the low sides", above=0, below=1),
        least=checked(least_diameter_mm, "The least diameter", above=0),
        most_room=math.inf,
        coring=coring,
    )
    bench.refuse_nonsense()
    if lengths is not None:
        bench = bench.for_lengths(lengths)
    return _laid_out(bench, lengths or _MOST_LENGTHS)


@dataclass(frozen=True)
class _Bench:
    """All that a plan is made from; radii in mm."""

    small: float
    large: float
    length: float
    offset: float
    slab: float
    kerf: float
    end_loss: float
    cut: Cut
    shape: Shape
    height: float | None
    height_ratio: float
    low_ratio: float
    least: float
    most_room: float
    coring: Coring | None

    @property
    def end(self) -> float:
        """Where the usable length ends, from the small end."""
        return self.length - self.end_loss

    @property
    def faces(self) -> tuple[tuple[bool, float], ...]:
        """Whether it is the wider half round, and its cut face from the middle of the log."""
        return (True, self.slab - self.offset), (False, self.slab + self.offset)

    def refuse_nonsense(self) -> None:
        if self.small > self.large:
            raise ValueError("The small end is larger than the large end: swap them.")
        if self.offset >= self.small:
            raise ValueError("The pith would lie outside the bark: check how far off it is.")
        if 2 * self.slab < self.kerf:
            raise ValueError(
                "The saw cut is wider than the slab: from the pith to the cut face is at least "
                "half a cut."
            )
        if 2 * self.end_loss >= self.length:
            raise ValueError("The loss at the ends takes the whole length: check both.")
        if self.cut is Cut.END_GRAIN and self.height is None:
            raise ValueError("Say how long the end-grain rounds are to be.")

    def for_lengths(self, lengths: int) -> "_Bench":
        """The same, for so many lengths of equal room."""
        if not 1 <= lengths <= _MOST_LENGTHS:
            raise ValueError(f"Plan between 1 and {_MOST_LENGTHS} lengths.")
        room = (self.end - self.end_loss - (lengths - 1) * self.kerf) / lengths
        if room <= 0:
            raise ValueError("The saw cuts take the whole length: plan fewer lengths.")
        return replace(self, most_room=room)

    def radius_at(self, place: float) -> float:
        """The log's radius there: it is straight between its ends."""
        return self.small + (self.large - self.small) * place / self.length


def _laid_out(bench: _Bench, most: int) -> SectionPlan:
    rounds: list[Round] = []
    place, length = _first_place(bench), 0
    while length < most:
        cut = list(_length(bench, place, length + 1))
        if not cut:
            break
        length += 1
        rounds += cut
        place = max(one.to_mm for one in cut) + bench.kerf
    used = place - bench.kerf if rounds else bench.end_loss
    return SectionPlan(tuple(rounds), length, max(0.0, bench.end - used))


def _first_place(bench: _Bench) -> float:
    """Where the first length begins: after the end's loss, or where the log is wide enough."""
    start = bench.end_loss
    if _is_wide_enough(bench, start) or not _is_wide_enough(bench, bench.end):
        return start
    low, high = start, bench.end
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (low, middle) if _is_wide_enough(bench, middle) else (middle, high)
    return high


def _is_wide_enough(bench: _Bench, place: float) -> bool:
    """Whether the wider half round gives a round there, were the log long enough."""
    radius = bench.radius_at(place)
    return _widest(bench, radius, bench.faces[0][1]) >= bench.least


def _length(bench: _Bench, place: float, number: int) -> Iterator[Round]:
    """The rounds of the length that begins at `place`; none where nothing fits any more."""
    radius = bench.radius_at(place)
    room = min(bench.end - place, bench.most_room)
    found: list[Round] = []
    for is_wide, face in bench.faces:
        if bench.cut is Cut.END_GRAIN:
            one = _end_grain(bench, radius, face, room)
        else:
            one = _side_grain(bench, radius, face, room)
        if one:
            found.append(replace(one, length=number, is_wide=is_wide, from_mm=place))
    # The cross-cut comes first, so both half rounds are as long as the longer one needs.
    reach = max((one.to_mm for one in found), default=0)
    for one in found:
        area = segment_area(radius, one.face_mm)
        yield replace(one, to_mm=place + reach, half_mm3=area * reach, is_even=bench.offset == 0)


def _side_grain(bench: _Bench, radius: float, face: float, room: float) -> Round | None:
    diameter = _widest(bench, radius, face)
    if diameter > room * (1 + _TOUCHING):
        diameter = room
    if diameter < bench.least:
        return None
    if bench.cut is Cut.NATURAL:
        return _natural_round(bench, radius, face, diameter)
    rim = Rim(bench.cut.value)
    height = bench.height or diameter * bench.height_ratio
    outline = Bowl(diameter, diameter * bench.shape.foot_ratio, height, bench.shape.curve, rim)
    from_face = height if rim is Rim.TO_BARK else 0.0
    return _round(bench, radius, face, outline, diameter, height, from_face)


def _natural_round(bench: _Bench, radius: float, face: float, diameter: float) -> Round | None:
    """A natural edge; narrower than it could be for want of length, its sides stay higher."""
    height, shape = radius - face, bench.shape
    if height > diameter:  # a spike, not a bowl: a choice of ours
        return None
    low = bench.low_ratio
    if diameter < _widest(bench, radius, face):
        low = _where_it_meets_the_bark(radius, face, diameter / 2, shape, low)
    across = float(diameter * shape.share_at(low))
    outline = NaturalEdge(
        diameter, across, height, height * low, diameter * shape.foot_ratio, shape.curve
    )
    return _round(bench, radius, face, outline, diameter, height, height * low)


def _where_it_meets_the_bark(
    radius: float, face: float, rim: float, shape: Shape, low: float
) -> float:
    """The part of the height at which the outline of that rim leaves the log, `low` or above."""
    high, height = 1.0, radius - face
    for _ in range(60):
        middle = (low + high) / 2
        is_inside = rim * shape.share_at(middle) <= half_width(radius, face + middle * height)
        low, high = (middle, high) if is_inside else (low, middle)
    return low


def _round(
    bench: _Bench,
    radius: float,
    face: float,
    outline: Bowl | NaturalEdge,
    diameter: float,
    height: float,
    rim_from_face: float,
) -> Round:
    cores: tuple[tuple[float, float], ...] = ()
    if bench.coring and isinstance(outline, Bowl):
        cores = cores_of(diameter, height, bench.coring, least_diameter_mm=bench.least)
    return Round(
        length=0,
        is_wide=False,
        cut=bench.cut,
        diameter_mm=diameter,
        height_mm=height,
        from_mm=0.0,
        to_mm=diameter,
        radius_mm=radius,
        face_mm=face,
        rim_to_pith_mm=bench.slab + rim_from_face,
        outline=outline,
        volume_mm3=clipped_volume(radius, face, diameter / 2, height),
        half_mm3=0.0,
        cores_mm=cores,
    )


def _end_grain(bench: _Bench, radius: float, face: float, room: float) -> Round | None:
    diameter, height = radius - face, bench.height or 0.0
    if diameter < bench.least or height > room * (1 + _TOUCHING):
        return None
    return Round(
        length=0,
        is_wide=False,
        cut=bench.cut,
        diameter_mm=diameter,
        height_mm=height,
        from_mm=0.0,
        to_mm=height,
        radius_mm=radius,
        face_mm=face,
        rim_to_pith_mm=None,
        outline=None,
        volume_mm3=math.pi * diameter**2 / 4 * height,
        half_mm3=0.0,
    )


def _widest(bench: _Bench, radius: float, face: float) -> float:
    """The diameter of the widest round from the half round, however long the log; 0 for none."""
    if face >= radius:
        return 0.0
    if bench.cut is Cut.END_GRAIN:
        return radius - face
    if bench.cut is Cut.NATURAL:
        return natural_edge_in(radius, face, bench.low_ratio, bench.shape).rim_mm
    rim = Rim(bench.cut.value)
    if bench.height is not None:
        bowl = bowl_in(radius, face, bench.height, bench.shape, rim)
        return bowl.rim_mm if bowl else 0.0
    low, high = 0.0, min(2 * radius, (radius - face) / bench.height_ratio)
    for _ in range(40):
        middle = (low + high) / 2
        bowl = bowl_in(radius, face, middle * bench.height_ratio, bench.shape, rim)
        low, high = (middle, high) if bowl and bowl.rim_mm >= middle else (low, middle)
    return low
