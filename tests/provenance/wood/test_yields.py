"""What fits into a half round, what a section gives, and what a log weighs."""

import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from provenance.wood.half_rounds import half_width
from provenance.wood.species import get
from provenance.wood.yields import (
    Bowl,
    Coring,
    NaturalEdge,
    Round,
    SectionPlan,
    Shape,
    cores_of,
    green_mass_kg,
    largest_bowl,
    largest_cylinder,
    largest_natural_edge,
    round_mass_kg,
    section_plan,
)

LB_KG = 0.45359237
FOOT_MM, INCH_MM = 304.8, 25.4

# US National Park Service, Safety for Tree Workers: density in lb/ft³, then lb per foot of a green
# log of 10, 12, 14, 16, 18, 20 inches across.
LOG_WEIGHTS = {
    "white-ash": (48, (26, 38, 51, 67, 85, 105)),
    "american-beech": (54, (29, 42, 58, 75, 95, 118)),
    "black-cherry": (45, (25, 35, 48, 63, 79, 98)),
    "red-maple": (50, (27, 39, 53, 70, 88, 109)),
    "northern-red-oak": (63, (34, 49, 67, 88, 111, 137)),
    "black-walnut": (58, (32, 46, 62, 81, 102, 126)),
}

shapes = st.builds(Shape, st.floats(0.05, 1), st.floats(0.5, 6))
sides = st.sampled_from(["pith", "bark"])


@st.composite
def half_rounds(draw: Any) -> tuple[float, float, float]:
    """Radius, slab and height of a half round in which something fits."""
    radius = draw(st.floats(30, 800))
    slab = radius * draw(st.floats(0, 0.5))
    return radius, slab, (radius - slab) * draw(st.floats(0.05, 0.95))


@st.composite
def sections(draw: Any) -> dict[str, Any]:
    """The arguments of a plan."""
    small = draw(st.floats(150, 700))
    cut = draw(st.sampled_from(["pith", "bark", "natural", "end"]))
    return {
        "small_end_mm": small,
        "large_end_mm": small * draw(st.floats(1, 1.4)),
        "length_mm": draw(st.floats(300, 3000)),
        "pith_offset_mm": small * draw(st.floats(0, 0.2)),
        "pith_slab_mm": draw(st.floats(8, 30)),
        "kerf_mm": draw(st.floats(0, 16)),
        "end_loss_mm": draw(st.floats(0, 60)),
        "cut": cut,
        "shape": draw(shapes),
        "height_mm": draw(st.floats(60, 150)) if cut == "end" else None,
    }


# -- one half round ------------------------------------------------------------------------------


def test_a_cylinder_touches_the_bark_with_its_far_edge() -> None:
    # A 3-4-5 triangle: 120 + 40 up and 120 across is 200 from the pith.
    assert largest_cylinder(200, 40, 120) == pytest.approx(240)
    assert largest_cylinder(200, 0, 200) == 0


def test_a_narrow_foot_lets_the_rim_reach_the_bark_at_the_cut_face() -> None:
    bowl = largest_bowl(200, 12, 80, foot_ratio=0.3, curve=1)
    assert bowl.rim_mm == pytest.approx(2 * math.sqrt(200**2 - 12**2))
    assert bowl.foot_mm == pytest.approx(0.3 * bowl.rim_mm)


@given(half_rounds(), shapes, sides)
def test_a_bowl_stays_inside_the_bark_all_along_its_outline(
    half: tuple[float, float, float], shape: Shape, side: str
) -> None:
    radius, slab, height = half
    bowl = largest_bowl(*half, foot_ratio=shape.foot_ratio, curve=shape.curve, rim=side)
    for step in range(701):
        y = height * step / 700
        out = math.hypot(bowl.radius_at(y), slab + y)
        assert out <= radius * (1 + 1e-4)


@given(half_rounds(), shapes)
def test_a_bowl_lies_between_the_cylinder_of_its_height_and_the_face(
    half: tuple[float, float, float], shape: Shape
) -> None:
    given_shape: dict[str, Any] = {"foot_ratio": shape.foot_ratio, "curve": shape.curve}
    cylinder = largest_cylinder(*half)
    to_pith = largest_bowl(*half, **given_shape).rim_mm
    to_bark = largest_bowl(*half, **given_shape, rim="bark").rim_mm
    assert cylinder * (1 - 1e-9) <= to_pith <= 2 * half_width(half[0], half[1]) * (1 + 1e-9)
    assert to_bark == pytest.approx(cylinder, rel=1e-6)
    assert largest_bowl(*half, foot_ratio=1).rim_mm == pytest.approx(cylinder)


@given(half_rounds(), st.floats(0.05, 0.95), st.floats(0.5, 6))
def test_a_foot_may_be_given_by_its_diameter(
    half: tuple[float, float, float], share: float, curve: float
) -> None:
    foot = largest_cylinder(*half) * share
    bowl = largest_bowl(*half, foot_mm=foot, curve=curve)
    assert bowl.foot_mm == foot
    by_ratio = largest_bowl(*half, foot_ratio=foot / bowl.rim_mm, curve=curve)
    assert by_ratio.rim_mm == pytest.approx(bowl.rim_mm, rel=1e-5)


@given(half_rounds(), st.floats(0.2, 0.9), shapes)
def test_a_natural_edge_meets_the_bark_at_its_low_sides_or_above(
    half: tuple[float, float, float], low: float, shape: Shape
) -> None:
    radius, slab, _ = half
    edge = largest_natural_edge(
        radius, slab, low_ratio=low, foot_ratio=shape.foot_ratio, curve=shape.curve
    )
    assert edge.high_mm == pytest.approx(radius - slab)
    assert edge.low_mm == pytest.approx(low * edge.high_mm)
    for step in range(501):
        y = edge.low_mm * step / 500
        assert math.hypot(edge.radius_at(y), slab + y) <= radius * (1 + 1e-4)
    assert edge.across_mm == pytest.approx(2 * edge.radius_at(edge.low_mm))


@given(half_rounds(), shapes, st.floats(0.01, 100))
def test_sizes_scale_with_the_log_whatever_the_unit(
    half: tuple[float, float, float], shape: Shape, scale: float
) -> None:
    larger = tuple(scale * one for one in half)
    given_shape: dict[str, Any] = {"foot_ratio": shape.foot_ratio, "curve": shape.curve}
    assert largest_cylinder(*larger) == pytest.approx(scale * largest_cylinder(*half))
    assert largest_bowl(*larger, **given_shape).rim_mm == pytest.approx(
        scale * largest_bowl(*half, **given_shape).rim_mm
    )


@given(half_rounds(), st.floats(1.01, 2))
def test_a_higher_round_or_a_thicker_slab_is_never_wider(
    half: tuple[float, float, float], more: float
) -> None:
    radius, slab, height = half
    higher = min(height * more, (radius - slab) * 0.99)
    assert largest_cylinder(radius, slab, higher) <= largest_cylinder(*half)
    assert largest_bowl(radius, slab, higher).rim_mm <= largest_bowl(*half).rim_mm * (1 + 1e-6)
    thicker = min(slab * more, radius - height)
    assert largest_cylinder(radius, thicker, height) <= largest_cylinder(*half)


def test_cores_nest_with_a_wall_and_a_cut_between_them() -> None:
    cores = cores_of(400, 160, Coring(wall_mm=30, cut_mm=10), least_diameter_mm=200)
    assert cores == ((320, 120), (240, 80))
    by_rule = cores_of(400, 160, Coring(), least_diameter_mm=300)
    assert by_rule == ((400 - 2 * (40 + 8), 160 - 48),)


# -- a section -----------------------------------------------------------------------------------


def inside_the_bark(one: Round) -> bool:
    """Whether a round of a plan fits its half round, point by point."""
    radius, face = one.radius_mm * (1 + 1e-4), one.face_mm
    if one.outline is None:
        return face + one.diameter_mm <= radius and one.diameter_mm / 2 <= radius
    top = one.outline.low_mm if isinstance(one.outline, NaturalEdge) else one.height_mm
    places = [top * step / 400 for step in range(401)]
    return all(math.hypot(one.outline.radius_at(y), face + y) <= radius for y in places)


@settings(max_examples=40)
@given(sections())
def test_every_round_of_a_plan_lies_inside_bark_and_length(asked: dict[str, Any]) -> None:
    plan = section_plan(**asked)
    small, taper = asked["small_end_mm"] / 2, asked["large_end_mm"] - asked["small_end_mm"]
    for one in plan.rounds:
        along = one.height_mm if one.outline is None else one.diameter_mm
        assert along <= (one.to_mm - one.from_mm) * (1 + 1e-9)
        assert one.from_mm >= asked["end_loss_mm"]
        assert one.to_mm <= (asked["length_mm"] - asked["end_loss_mm"]) * (1 + 1e-9)
        assert one.diameter_mm >= 100
        here = small + taper / 2 * one.from_mm / asked["length_mm"]
        assert one.radius_mm == pytest.approx(here)
        assert inside_the_bark(one)
        assert 0 < one.volume_mm3 <= one.half_mm3 * (1 + 1e-3)
    for before, after in pairwise(plan.rounds):
        if after.length > before.length:
            assert after.from_mm == pytest.approx(before.to_mm + asked["kerf_mm"])


@settings(max_examples=40)
@given(sections(), st.floats(0, 16))
def test_more_kerf_never_gives_more_rounds(asked: dict[str, Any], more: float) -> None:
    wider = {**asked, "kerf_mm": min(16, asked["kerf_mm"] + more)}
    assert len(section_plan(**wider).rounds) <= len(section_plan(**asked).rounds)


@settings(max_examples=40)
@given(sections(), st.floats(0.04, 25))
def test_a_plan_is_the_same_in_any_unit(asked: dict[str, Any], scale: float) -> None:
    def in_unit(unit: float) -> SectionPlan:
        sizes = {n: v * unit for n, v in asked.items() if n.endswith("_mm") and v is not None}
        return section_plan(**{**asked, **sizes, "least_diameter_mm": 100.123 * unit})

    plain, scaled = in_unit(1), in_unit(scale)
    assert len(plain.rounds) == len(scaled.rounds)
    for one, other in zip(plain.rounds, scaled.rounds, strict=True):
        assert other.diameter_mm == pytest.approx(scale * one.diameter_mm, rel=1e-6)
        assert other.volume_mm3 == pytest.approx(scale**3 * one.volume_mm3, rel=1e-6)


def test_two_half_rounds_a_length_with_a_cut_between_lengths() -> None:
    plan = section_plan(
        400, 400, 480, pith_slab_mm=12, kerf_mm=10, end_loss_mm=30, cut="bark", height_mm=100
    )
    width = largest_cylinder(200, 12, 100)
    assert [(r.length, r.is_wide) for r in plan.rounds] == [(1, True), (1, False)]
    assert all(r.diameter_mm == pytest.approx(width) for r in plan.rounds)
    assert all(r.rim_to_pith_mm == 112 for r in plan.rounds)
    assert plan.rest_mm == pytest.approx(420 - width)  # no room for one of 100 mm

    with_small = section_plan(
        400, 400, 740, pith_slab_mm=12, kerf_mm=10, end_loss_mm=30, cut="bark", height_mm=100
    )
    assert [round(r.diameter_mm) for r in with_small.rounds] == [331, 331, 331, 331]


def test_a_pith_off_the_middle_makes_one_half_round_wider() -> None:
    wide, narrow = section_plan(400, 400, 400, pith_offset_mm=30, pith_slab_mm=10).rounds
    assert (wide.face_mm, narrow.face_mm) == (-20, 40)
    assert wide.diameter_mm > narrow.diameter_mm
    assert wide.rim_to_pith_mm == narrow.rim_to_pith_mm == 10


def test_a_pith_near_the_bark_leaves_one_half_round_only() -> None:
    plan = section_plan(400, 400, 300, pith_offset_mm=190, pith_slab_mm=12)
    assert plan.rounds and all(one.is_wide for one in plan.rounds)
    plan = section_plan(400, 400, 300, pith_offset_mm=60, pith_slab_mm=12, height_mm=160)
    assert plan.rounds and all(one.is_wide for one in plan.rounds)


def test_coring_and_want_of_length_show_in_the_plan() -> None:
    [one, _] = section_plan(400, 400, 300, pith_slab_mm=12, shape=Shape(), coring=Coring()).rounds
    assert one.cores_mm == cores_of(one.diameter_mm, one.height_mm, Coring())
    natural = section_plan(400, 400, 330, pith_slab_mm=12, natural_edge=True, shape=Shape()).rounds
    edge = natural[0].outline
    assert isinstance(edge, NaturalEdge)
    assert edge.rim_mm == 330 and edge.low_mm > 0.6 * edge.high_mm
    assert inside_the_bark(natural[0])
    # 150 mm of length would give a spike of 188 mm.
    assert section_plan(400, 400, 150, pith_slab_mm=12, natural_edge=True).rounds == ()


def test_equal_lengths_may_be_asked_for() -> None:
    plan = section_plan(400, 400, 620, pith_slab_mm=10, kerf_mm=20, shape=Shape(), lengths=2)
    assert {round(r.diameter_mm, 6) for r in plan.rounds} == {300}
    assert plan.lengths == 2


def test_end_grain_rounds_lie_beside_the_pith() -> None:
    plan = section_plan(200, 200, 500, pith_slab_mm=15, kerf_mm=10, cut="end", height_mm=240)
    assert plan.rounds == ()  # 85 mm is less than the least diameter
    plan = section_plan(
        200, 200, 500, pith_slab_mm=15, kerf_mm=10, cut="end", height_mm=240, least_diameter_mm=50
    )
    ends = [(r.diameter_mm, r.from_mm, r.to_mm) for r in plan.rounds]
    assert ends == [(85, 0, 240), (85, 0, 240), (85, 250, 490), (85, 250, 490)]
    assert plan.rest_mm == 10


def test_a_section_too_thin_gives_nothing_and_a_tapered_one_begins_where_it_is_thick() -> None:
    assert section_plan(90, 90, 1000, pith_slab_mm=10).rounds == ()
    plan = section_plan(90, 300, 1000, pith_slab_mm=10, shape=Shape())
    first = plan.rounds[0]
    assert first.from_mm > 0
    assert first.diameter_mm == pytest.approx(100, rel=1e-3)


# -- masses --------------------------------------------------------------------------------------


def test_a_logs_mass_goes_by_the_cone_between_its_ends() -> None:
    # Published beside Smalian's formula: 25 cm, 29 cm, 5 m hold 0.286801 m³ by the cone.
    assert green_mass_kg(250, 290, 5000, 1.0, 0) == pytest.approx(286.801, abs=0.001)
    # 10 in, 12 in, 16 ft hold 10.588 ft³; water weighs 62.43 lb/ft³.
    pounds = green_mass_kg(10 * INCH_MM, 12 * INCH_MM, 16 * FOOT_MM, 1.0, 0) / LB_KG
    assert pounds / 62.43 == pytest.approx(10.588, abs=0.001)


@pytest.mark.parametrize("wood", LOG_WEIGHTS)
def test_logs_weigh_what_the_park_service_prints(wood: str) -> None:
    density, pounds = LOG_WEIGHTS[wood]
    for inches, printed in zip((10, 12, 14, 16, 18, 20), pounds, strict=True):
        end = inches * INCH_MM
        mass = green_mass_kg(end, end, FOOT_MM, density / 62.43, 0) / LB_KG
        assert mass == pytest.approx(printed, abs=1)


@pytest.mark.parametrize("wood", ["white-ash", "american-beech", "black-cherry", "black-walnut"])
def test_the_tables_figures_come_near_the_printed_densities(wood: str) -> None:
    species = get(wood)
    assert species is not None
    gravity, moisture = species.sg_green, species.mc_green_heartwood_pct
    assert isinstance(gravity, float) and isinstance(moisture, float)
    pounds = green_mass_kg(304.8, 304.8, FOOT_MM, gravity, moisture) / LB_KG
    cubic_feet = math.pi / 4
    assert pounds / cubic_feet == pytest.approx(LOG_WEIGHTS[wood][0], rel=0.06)


def test_a_sawn_round_is_a_cylinder() -> None:
    assert round_mass_kg(300, 100, 0.5, 80) == pytest.approx(math.pi * 0.15**2 * 0.1 * 900)


# -- out of range --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "call",
    [
        lambda: largest_cylinder(0, 0, 10),
        lambda: largest_cylinder(200, -1, 10),
        lambda: largest_cylinder(200, 150, 60),
        lambda: largest_cylinder(math.nan, 10, 60),
        lambda: largest_bowl(200, 10, math.inf),
        lambda: largest_bowl(200, 10, 100, foot_ratio=1.2),
        lambda: largest_bowl(200, 10, 100, foot_mm=390),
        lambda: largest_bowl(200, 10, 100, curve=0),
        lambda: largest_bowl(200, 10, 190),
        lambda: largest_bowl(200, 10, 150, foot_mm=390, rim="bark"),
        lambda: largest_natural_edge(200, 200),
        lambda: largest_natural_edge(200, 10, low_ratio=1),
        lambda: Bowl(200, 80, 60).radius_at(61),
        lambda: Coring(wall_mm=0),
        lambda: section_plan(400, 300, 600),
        lambda: section_plan(400, 400, 600, pith_offset_mm=200),
        lambda: section_plan(400, 400, 600, pith_slab_mm=3, kerf_mm=8),
        lambda: section_plan(400, 400, 600, end_loss_mm=300),
        lambda: section_plan(400, 400, 600, cut="end"),
        lambda: section_plan(400, 400, 600, lengths=0),
        lambda: section_plan(400, 400, 60, kerf_mm=40, pith_slab_mm=20, lengths=3),
        lambda: green_mass_kg(300, 200, 600, 0.5, 80),
        lambda: green_mass_kg(200, 300, 600, 0, 80),
        lambda: green_mass_kg(200, 300, 600, 0.5, -1),
        lambda: round_mass_kg(200, 100, 2.1, 80),
    ],
)
def test_what_is_out_of_range_is_refused_with_a_sentence(call: Any) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        call()
