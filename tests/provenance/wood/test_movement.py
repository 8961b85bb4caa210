"""How a wood moves, as ranges that hold whatever is not known of it."""

import math
from dataclasses import astuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.wood import shrinkage
from provenance.wood.movement import (
    MARGIN,
    TENTH_SOURCE,
    MissingFigure,
    end_grain_of,
    largest_true_bowl,
    rim_of,
    shrinkages,
    tenth_of_diameter,
    true_tenon_of,
    wall_left_of,
    wall_needed_of,
)
from provenance.wood.shrinkage import PithInside
from provenance.wood.species import FIGURES, all_genera, get, with_figures

MAPLE = get("sugar-maple")  # 4.8 and 9.9: Wood Handbook, Table 4-3
ANY_MAPLE = get("genus-acer")
GENERA = [genus for genus in all_genera() if genus.shrink_radial_pct is not None]


def whole(wood):
    return wood.shrink_radial_pct is not None and wood.shrink_tangential_pct is not None


def holds(span, value):
    low, high = span
    return low - 1e-6 <= value <= high + 1e-6


class TestOneWood:
    def test_what_is_known_is_no_range(self):
        got = rim_of(MAPLE, 300, 60, 8)
        plain = shrinkage.rim(300, 60, 4.8, 9.9, 30, 8)
        assert got.across_mm == (plain.across_mm, plain.across_mm)
        assert got.along_mm == (plain.along_mm, plain.along_mm)
        assert got.oval_mm == (plain.oval_mm, plain.oval_mm)
        assert got.out_of_plane_mm == (plain.out_of_plane_mm, plain.out_of_plane_mm)

    def test_from_half_dry_it_moves_less(self):
        assert rim_of(MAPLE, 300, 60, 8, from_mc_pct=14).oval_mm < rim_of(MAPLE, 300, 60, 8).oval_mm

    @given(st.floats(0, 1e6), st.floats(10, 800), st.floats(0, 30))
    def test_an_unknown_pith_holds_every_pith(self, h, diameter, to_mc):
        unknown = astuple(rim_of(MAPLE, diameter, None, to_mc))
        known = astuple(rim_of(MAPLE, diameter, h, to_mc))
        for span, (value, _) in zip(unknown, known, strict=True):
            assert holds(span, value)

    def test_an_unknown_pith_goes_from_radial_to_tangential(self):
        low, high = rim_of(MAPLE, 300, None, 8).across_mm
        assert low == pytest.approx(300 * (1 - 0.0726))
        assert high == pytest.approx(300 * (1 - 0.0352))

    def test_swelling_back_is_a_range_in_order_too(self):
        got = rim_of(MAPLE, 300, None, 14, from_mc_pct=8)
        assert all(low <= high for low, high in astuple(got))
        assert got.across_mm[0] > 300


class TestKindUnknown:
    @pytest.mark.parametrize("genus", GENERA, ids=lambda genus: genus.slug)
    @pytest.mark.parametrize("h", [0, 60, 1e6, None])
    def test_it_holds_each_of_its_kinds_and_no_more(self, genus, h):
        kinds = [kind for slug in genus.members if whole(kind := get(slug))]
        wide = astuple(rim_of(genus, 300, h, 8))
        each = [astuple(rim_of(kind, 300, h, 8)) for kind in kinds]
        for place, span in enumerate(wide):
            assert span == (
                min(kind[place][0] for kind in each),
                max(kind[place][1] for kind in each),
            )

    def test_maples_differ(self):
        low, high = rim_of(ANY_MAPLE, 300, 1e9, 8).across_mm
        # Table 4-3: tangential 7.1 (bigleaf) to 9.9 (sugar), × 22/30 by hand.
        assert low == pytest.approx(300 * (1 - 0.0726))
        assert high == pytest.approx(300 * (1 - 0.0521), abs=0.05)

    def test_the_owner_s_figure_for_one_direction_meets_both_ends_of_the_other(self):
        half = with_figures(
            MAPLE.__class__(**{**_fields(ANY_MAPLE), "shrink_tangential_pct": None}),
            {"shrink_tangential_pct": 9.0},
            "own boards",
        )
        assert sorted(shrinkages(half)) == [(3.0, 9.0), (4.8, 9.0)]


def _fields(wood):
    return {name: getattr(wood, name) for name in wood.__dataclass_fields__}


class TestWhatLacks:
    def test_it_is_named(self):
        with pytest.raises(MissingFigure) as missing:
            rim_of(get("boxelder"), 300, 60, 8)
        assert str(missing.value) == (
            "For boxelder the sources lack radial shrinkage and tangential shrinkage. If you have "
            "them from somewhere, type them on the wood’s page, with the source."
        )
        assert missing.value.figures == ("shrink_radial_pct", "shrink_tangential_pct")
        assert isinstance(missing.value, ValueError)

    def test_only_what_lacks_is_named(self):
        half = with_figures(get("boxelder"), {"shrink_radial_pct": 4.0}, "own boards")
        with pytest.raises(MissingFigure) as missing:
            wall_needed_of(half, 300, 6, 60, 8)
        assert str(missing.value) == (
            "For boxelder the sources lack tangential shrinkage. If you have it from somewhere, "
            "type it on the wood’s page, with the source."
        )

    @pytest.mark.parametrize(
        "ask",
        [
            lambda wood: rim_of(wood, 300, None, 8),
            lambda wood: end_grain_of(wood, 100, 8),
            lambda wood: wall_needed_of(wood, 300, 6, None, 8),
            lambda wood: wall_left_of(wood, 300, 30, None, 8),
            lambda wood: true_tenon_of(wood, 60, None, 8),
        ],
    )
    def test_nothing_is_invented(self, ask):
        for wood in (get("boxelder"), get("genus-prunus")):
            with pytest.raises(MissingFigure):
                ask(wood)

    def test_typed_by_the_owner_they_are_used(self):
        own = {"shrink_radial_pct": 3.9, "shrink_tangential_pct": 7.4}
        typed = with_figures(get("boxelder"), own, "own boards, 2025")
        assert rim_of(typed, 300, 1e9, 0).across_mm[0] == pytest.approx(300 * (1 - 0.074))
        assert set(own) < set(FIGURES)


class TestEndGrain:
    def test_a_genus_is_a_range(self):
        got = end_grain_of(ANY_MAPLE, 100, 8)
        assert got.across_mm[0] == pytest.approx(100 - 7.26)
        assert got.along_mm[0] == pytest.approx(100 - 3.52)
        assert got.across_mm[0] < got.across_mm[1]

    def test_the_pith_inside_is_refused(self):
        with pytest.raises(PithInside):
            end_grain_of(MAPLE, 100, 8, pith_inside=True)


class TestWallAndTenon:
    def test_a_bowl_by_hand(self):
        # Sugar maple, 12 in, far from the pith, green to 8 %: 1.2 in leaves 0.770 in, and ¼ in
        # needs 0.680 in.
        left = wall_left_of(MAPLE, 304.8, 30.48, 1e9, 8)
        assert left[0] == left[1] == pytest.approx(0.770 * 25.4, abs=0.03)
        needed = wall_needed_of(MAPLE, 304.8, 6.35, 1e9, 8)
        assert needed[0] == needed[1] == pytest.approx(0.680 * 25.4, abs=0.03)

    @given(st.floats(50, 800), st.floats(0, 1e5), st.floats(4, 20))
    def test_the_upper_end_is_enough_wherever_the_pith_was(self, diameter, h, to_mc):
        finished = diameter / 40
        _, enough = wall_needed_of(ANY_MAPLE, diameter, finished, None, to_mc)
        for slug in ("sugar-maple", "silver-maple", "bigleaf-maple"):
            low, _ = wall_left_of(get(slug), diameter, enough, h, to_mc)
            assert low >= finished - 1e-6

    @pytest.mark.parametrize("genus", GENERA, ids=lambda genus: genus.slug)
    @pytest.mark.parametrize("h", [0, 60, None])
    def test_a_kind_unknown_holds_each_of_its_kinds_and_no_more(self, genus, h):
        kinds = [kind for slug in genus.members if whole(kind := get(slug))]
        for ask in (
            lambda wood: wall_left_of(wood, 300, 40, h, 8),
            lambda wood: wall_needed_of(wood, 300, 6, h, 8),
            lambda wood: true_tenon_of(wood, 60, h, 8),
        ):
            each = [ask(kind) for kind in kinds]
            assert ask(genus) == (min(low for low, _ in each), max(high for _, high in each))

    def test_an_unknown_pith_goes_from_radial_to_tangential(self):
        # By hand from the form of `wall_left`: across 3.52 to 7.26 %, along 0.11 %.
        low, high = wall_left_of(MAPLE, 300, 40, None, 8)
        assert low == pytest.approx((300 * 0.9274 - 220 * 0.9989) / 2)
        assert high == pytest.approx((300 * 0.9648 - 220 * 0.9989) / 2)
        assert true_tenon_of(MAPLE, 60, None, 8) == pytest.approx((60 * 0.9274, 60 * 0.9648))

    def test_a_tenon_has_its_own_width_and_place(self):
        across, _ = shrinkage.across_and_along(30, 100, 4.8, 9.9, 30, 8)
        left = true_tenon_of(MAPLE, 60, 100, 8)
        assert left[0] == left[1] == pytest.approx(60 * (1 - across / 100))
        assert holds(true_tenon_of(MAPLE, 60, None, 8), left[0])
        small = true_tenon_of(MAPLE, 0.6, 1, 8)  # a hundredth of both lengths
        assert small == pytest.approx((left[0] / 100, left[1] / 100))

    @pytest.mark.parametrize("h", [-1, math.nan])
    def test_a_pith_that_is_nowhere_is_refused(self, h):
        with pytest.raises(ValueError, match="The distance to the pith"):
            true_tenon_of(MAPLE, 60, h, 8)


class TestTrueBowl:
    def test_the_outside_comes_to_the_short_axis_the_inside_to_the_long(self):
        got = largest_true_bowl(299, 287, 30, 100, 4)
        assert (got.diameter_mm, got.wall_mm, got.height_mm) == (287, 24, 96)  # by hand

    def test_round_and_flat_it_keeps_all(self):
        assert astuple(largest_true_bowl(299, 299, 30, 100, 0)) == (299, 30, 100)

    def test_too_oval_for_its_wall_nothing_is_left_of_it(self):
        assert largest_true_bowl(299, 270, 8, 100, 4).wall_mm == 0

    @given(st.floats(50, 900), st.floats(0.7, 1), st.floats(0.01, 0.45), st.floats(0, 300))
    def test_it_is_never_more_than_there_was(self, long, ratio, part, lost):
        got = largest_true_bowl(long, long * ratio, long * ratio * part, 100, lost)
        assert 0 <= got.wall_mm <= long * ratio * part + 1e-9
        assert 0 <= got.height_mm <= 100
        assert got.diameter_mm == long * ratio

    @given(st.floats(0.001, 50))
    def test_the_unit_does_not_matter(self, unit):
        got = largest_true_bowl(*(size * unit for size in (299, 287, 30, 100, 4)))
        assert astuple(got) == pytest.approx([size * unit for size in (287, 24, 96)])
        assert tenth_of_diameter(300 * unit) == pytest.approx(30 * unit)

    def test_a_solid_round_may_be_all_wall(self):
        assert largest_true_bowl(299, 287, 143.5, 100, 4).wall_mm == 137.5

    @pytest.mark.parametrize(
        ("sizes", "says"),
        [
            ((287, 299, 30, 100, 4), "The short axis can’t be longer than the long one."),
            ((299, 287, 144, 100, 4), "The wall can’t be more than half the short axis."),
            ((299, 287, 0, 100, 4), "The wall must be more than 0."),
            ((299, 287, 30, 100, -1), "What left the plane can’t be below 0."),
            ((299, 287, 30, math.nan, 4), "The height must be a number."),
        ],
    )
    def test_what_cannot_be_measured_is_refused(self, sizes, says):
        with pytest.raises(ValueError) as refused:
            largest_true_bowl(*sizes)
        assert str(refused.value) == says


def test_the_rule_of_thumb_says_that_it_is_one():
    assert tenth_of_diameter(300) == 30
    assert TENTH_SOURCE == "common practice"
    with pytest.raises(ValueError, match="The diameter"):
        tenth_of_diameter(0)


def test_a_margin_is_asked_for_in_words():
    assert "small clear specimens" in MARGIN
    assert "margin" in MARGIN
