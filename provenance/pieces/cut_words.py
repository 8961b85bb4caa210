"""A cut plan as the page says and draws it."""

from dataclasses import dataclass
from decimal import Decimal

from provenance.drawing.section_end import HalfRound, Length, SectionEnd, section_end_svg
from provenance.maker.models import Shop
from provenance.pieces.cutting import (
    Asked,
    Green,
    Range,
    half_words,
    key_of,
    length_words,
    size_words,
)
from provenance.record.units import G_PER_POUND, half_up
from provenance.wood.yields import Cut, NaturalEdge, Round, SectionPlan

_STEPS = 48
_KG_PER_POUND = float(G_PER_POUND) / 1000


@dataclass(frozen=True)
class BlankRow:
    """A blank in the list: its key in the form, and what is said of it."""

    key: str
    name: str
    size: str
    details: str
    mass: str
    half_mass: str


def mass_words(kg: Range, mass_unit: str) -> str:
    """Return a mass to lift, rounded up to a whole kilogram or pound: "23 to 31 kg".

    Grams are said as kilograms, ounces as pounds: a log is weighed in no smaller unit.
    """
    unit, each = ("kg", 1.0) if mass_unit in ("g", "kg") else ("lb", _KG_PER_POUND)
    low, high = (_up(one / each) for one in kg)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def _up(value: float) -> int:
    return max(1, -int(-value // 1))


def rows(plan: SectionPlan, green: Green | None, shop: Shop) -> list[BlankRow]:
    """Return the blanks of the plan for its list."""
    return [_row(one, green, shop) for one in plan.rounds]


def _row(one: Round, green: Green | None, shop: Shop) -> BlankRow:
    unit = shop.length_unit
    cuts = f"{_bare(one.from_mm, unit)} to {length_words(one.to_mm, unit)} from the small end"
    said = [cuts]
    if isinstance(one.outline, NaturalEdge):
        said.append(f"low sides {length_words(one.outline.low_mm, unit)} high")
        said.append(f"{length_words(one.outline.across_mm, unit)} across there")
    if one.cores_mm:
        sizes = ", ".join(f"{_bare(d, unit)} × {_bare(h, unit)}" for d, h in one.cores_mm)
        said.append(f"cores of {sizes} {unit}")
    return BlankRow(
        key=key_of(one),
        name=f"Length {one.length}, {half_words(one)}",
        size=size_words(one, unit),
        details=" · ".join(said),
        mass=mass_words(green.kg(one.volume_mm3), shop.mass_unit) if green else "",
        half_mass=mass_words(green.kg(one.half_mm3), shop.mass_unit) if green else "",
    )


def _bare(mm: float, unit: str) -> str:
    return length_words(mm, unit).removesuffix(f" {unit}")


def water_words(asked: Asked, shop: Shop) -> str:
    """Return what as much water as the section would weigh: what green wood comes near to."""
    water = Green((1.0, 1.0), (0.0, 0.0))
    return mass_words(water.log_kg(asked), shop.mass_unit)


def picture(asked: Asked, plan: SectionPlan, shop: Shop) -> str:
    """Return the drawing of the section's end, cut as its first length is, and of its side."""
    unit = shop.length_unit
    first = [one for one in plan.rounds if one.length == 1]
    radius = first[0].radius_mm if first else asked.small_end_mm / 2
    halves = {one.is_wide: _half(one, unit) for one in first}
    across = length_words(2 * radius, unit)
    small, large = (length_words(mm, unit) for mm in (asked.small_end_mm, asked.large_end_mm))
    facts = SectionEnd(
        radius_mm=radius,
        pith_offset_mm=asked.pith_offset_mm,
        upper_face_mm=asked.pith_slab_mm - asked.pith_offset_mm,
        lower_face_mm=asked.pith_slab_mm + asked.pith_offset_mm,
        slab_words=f"slab {length_words(2 * asked.pith_slab_mm, unit)}",
        end_words=f"{across} across inside the bark",
        upper=halves.get(True),
        lower=halves.get(False),
        length_mm=asked.length_mm,
        large_end_mm=asked.large_end_mm,
        lengths=_lengths(plan),
        ends_words=(f"small end {small}", f"large end {large}"),
    )
    count = len(plan.rounds)
    title = (
        f"The section’s end with pith, slab and rounds; {count} rounds in {plan.lengths} lengths"
    )
    return section_end_svg(facts, title=title)


def _lengths(plan: SectionPlan) -> list[Length]:
    ends = {one.length: (one.from_mm, one.to_mm) for one in plan.rounds}
    return [Length(start, stop, str(number)) for number, (start, stop) in ends.items()]


def _half(one: Round, unit: str) -> HalfRound:
    words = size_words(one, unit)
    outline = one.outline
    if outline is None:
        across = length_words(one.diameter_mm, unit)
        return HalfRound(one.face_mm, across, circle_mm=one.diameter_mm)
    is_natural = isinstance(outline, NaturalEdge)
    top = outline.low_mm if isinstance(outline, NaturalEdge) else one.height_mm
    places = [top * step / _STEPS for step in range(_STEPS + 1)]
    rim = "bark" if is_natural else "face" if one.cut == Cut.TO_PITH else "top"
    return HalfRound(one.face_mm, words, [(outline.radius_at(y), y) for y in places], rim)


def rest_words(plan: SectionPlan, shop: Shop) -> str:
    """Return what of the length is left over; '' for less than a centimetre."""
    if half_up(Decimal(repr(plan.rest_mm))) < 10 or not plan.rounds:
        return ""
    return length_words(plan.rest_mm, shop.length_unit)
