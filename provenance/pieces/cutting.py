"""Cutting a section into blanks: the plan of what it gives, what that weighs, and the making."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import transaction

from provenance.pieces import making
from provenance.pieces.making import Source
from provenance.pieces.models import Edge, Form, Piece
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe
from provenance.record.units import format_length, half_up
from provenance.trees.models import Section
from provenance.wood.species import Figure, Species
from provenance.wood.yields import (
    Coring,
    Cut,
    Round,
    SectionPlan,
    Shape,
    green_mass_kg,
    mass_kg,
    section_plan,
)

Range = tuple[float, float]

#: Outlines by the slug that the form sends: foot by rim, and the curve of the flank.
SHAPES = {
    "rounded": Shape(0.4, 2),
    "full": Shape(0.4, 3.5),
    "straight": Shape(0.4, 1),
    "cylinder": Shape(1, 1),
}
#: The natural edge where the plan has it, by the slug of its row.
NATURAL = "natural"


@dataclass(frozen=True)
class Asked:
    """A section as it is to be cut; lengths in mm, diameters inside the bark."""

    small_end_mm: int
    large_end_mm: int
    length_mm: int
    pith_offset_mm: int = 0
    pith_slab_mm: int = 12
    kerf_mm: int = 10
    end_loss_mm: int = 25
    cut: str = Cut.TO_PITH
    shape: str = "rounded"
    height_mm: int | None = None
    least_mm: int = 150
    lengths: int | None = None
    is_cored: bool = False


def plan_of(asked: Asked) -> SectionPlan:
    """Return what the section gives. Raises `RecordError` with what doesn't fit together."""
    try:
        return section_plan(
            asked.small_end_mm,
            asked.large_end_mm,
            asked.length_mm,
            pith_offset_mm=asked.pith_offset_mm,
            pith_slab_mm=asked.pith_slab_mm,
            kerf_mm=asked.kerf_mm,
            end_loss_mm=asked.end_loss_mm,
            cut=asked.cut,
            shape=SHAPES[asked.shape],
            height_mm=asked.height_mm,
            least_diameter_mm=asked.least_mm,
            lengths=asked.lengths,
            coring=Coring() if asked.is_cored else None,
        )
    except ValueError as error:
        raise RecordError(str(error)) from error


def key_of(one: Round) -> str:
    """Return how a form names a round of a plan: "1a" is the first length's wider half."""
    return f"{one.length}{'a' if one.is_wide else 'b'}"


# -- what it weighs ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Green:
    """What is known of the density of a wood when green, as (low, high) of each figure."""

    sg: Range
    moisture_pct: Range

    def log_kg(self, asked: Asked) -> Range:
        """Return what the whole section weighs, without its bark."""
        ends = (asked.small_end_mm, asked.large_end_mm, asked.length_mm)
        low, high = zip(self.sg, self.moisture_pct, strict=True)
        return green_mass_kg(*ends, *low), green_mass_kg(*ends, *high)

    def kg(self, volume_mm3: float) -> Range:
        """Return what so much of the wood weighs."""
        low, high = zip(self.sg, self.moisture_pct, strict=True)
        return mass_kg(volume_mm3, *low), mass_kg(volume_mm3, *high)


def green_of(wood: Species | None) -> tuple[Green | None, list[str]]:
    """Return what is known of the wood when green, and the names in words of what is missing.

    Heartwood and sapwood differ, and a log has both: the moisture runs from the drier to the
    wetter. Where one of the two is missing the other stands alone, and it is said. A genus gives
    the range over its kinds.
    """
    if wood is None:
        return None, ["the kind of wood"]
    figures: dict[str, Figure] = {
        "specific gravity when green": wood.sg_green,
        "green moisture content of the heartwood": wood.mc_green_heartwood_pct,
        "green moisture content of the sapwood": wood.mc_green_sapwood_pct,
    }
    missing = [words for words, figure in figures.items() if figure is None]
    moist = [_ends(wood.mc_green_heartwood_pct), _ends(wood.mc_green_sapwood_pct)]
    known = [one for one in moist if one]
    gravity = _ends(wood.sg_green)
    if gravity is None or not known:
        return None, missing
    return Green(gravity, (min(low for low, _ in known), max(high for _, high in known))), missing


def sources_of(wood: Species) -> list[str]:
    """Return where the figures behind the masses are from, and which are from memory."""
    names = ("sg_green", "mc_green_heartwood_pct", "mc_green_sapwood_pct")
    return list(dict.fromkeys(source for name in names if (source := wood.source_of(name))))


def _ends(figure: Figure) -> Range | None:
    return figure if figure is None or isinstance(figure, tuple) else (figure, figure)


# -- making --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Wish:
    """What the planned rounds become: which of them, form of work, method, and the shop's unit.

    `keeps_sizes` writes ends and length into a section that has none yet.
    """

    keys: Collection[str]
    form: Form
    method: str
    unit: str
    uses_up: bool = False
    keeps_sizes: bool = False


@transaction.atomic
def make_blanks(section: Section, asked: Asked, wish: Wish, scribe: Scribe) -> list[Piece]:
    """Make the chosen rounds of the plan as blanks from the section, each with its own words.

    Raises `RecordError` when none is chosen, or nothing of the section is left.
    """
    if section.state in (Section.State.USED_UP, Section.State.LOST):
        raise RecordError(
            f"Section {section} is noted as {section.get_state_display()}: correct that first if "
            "there is wood left."
        )
    chosen = [one for one in plan_of(asked).rounds if key_of(one) in wish.keys]
    if not chosen:
        raise RecordError("Tick the blanks that you cut: none is ticked.")
    if wish.keeps_sizes:
        _keep_sizes(section, asked, scribe)
    pieces: list[Piece] = []
    for one in chosen:
        is_last = one is chosen[-1]
        source = Source(section, uses_up=wish.uses_up and is_last)
        pieces += making.make(
            scribe,
            wish.form,
            wish.method,
            [source],
            words=blank_words(one, wish.unit),
            **_facts(one),
        )
    return pieces


def blank_words(one: Round, unit: str) -> str:
    """Return what the journal says of a blank: its planned size and where it lay."""
    place = f"length {one.length} from the small end, {half_words(one)}"
    size = size_words(one, unit)
    if one.cut == Cut.END_GRAIN:
        return f"Blank cut, planned as {size}, end grain: {place}."
    towards = {
        Cut.TO_PITH: "rim towards the pith",
        Cut.TO_BARK: "rim towards the bark",
        Cut.NATURAL: "natural edge",
    }[one.cut]
    return f"Blank cut, planned as {size}, {towards}: {place}."


def size_words(one: Round, unit: str) -> str:
    """Return "286 × 114 mm": diameter by height."""
    across, high = (length_words(mm, unit) for mm in (one.diameter_mm, one.height_mm))
    return f"{across.removesuffix(f' {unit}')} × {high}"


def half_words(one: Round) -> str:
    """Return which half round of its length it is, named as long as the pith is off the middle."""
    if one.is_even:
        return "one half" if one.is_wide else "other half"
    return "wider half" if one.is_wide else "narrower half"


def length_words(mm: float, unit: str) -> str:
    """Return a computed length in the shop's unit."""
    return format_length(Decimal(repr(mm)), unit)


def _facts(one: Round) -> dict[str, Any]:
    if one.rim_to_pith_mm is None:
        return {"grain": Piece.Grain.END}
    to_pith = half_up(Decimal(repr(one.rim_to_pith_mm)))
    facts: dict[str, Any] = {"grain": Piece.Grain.SIDE, "rim_to_pith_mm": to_pith}
    if one.cut == Cut.NATURAL:
        facts["edge"] = Edge.objects.filter(slug=NATURAL).first()
    return facts


def _keep_sizes(section: Section, asked: Asked, scribe: Scribe) -> None:
    names = ("small_end_mm", "large_end_mm", "length_mm")
    fresh = {name: getattr(asked, name) for name in names if getattr(section, name) is None}
    if fresh:
        journal.amend(section, fresh, scribe)
