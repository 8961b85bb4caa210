"""When a wall is dry: the fit, what people do with scales, and how near the forecasts come."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from provenance.wood import drying, fitting
from provenance.wood.drying import Sibling, curve, forecast, inch_a_year, pace
from tests import accuracy
from tests.provenance.wood.invented_walls import START, Wall, of_the_same_tree, score

WALL = Wall(28, 10**-10.5, 10**-8.1, 68, 9, 0.3, 0.5, 920, 1.0, 0.0005)
DRY_AFTER = WALL.drying_days()
DAYS = (0, 14, 28, 42, 56, 80, 110)


def weighed(*days, wall=WALL, factor=1.0):
    masses = wall.mass_g(np.array(days, dtype=float)) * factor
    return [(START + timedelta(days=d), round(float(m))) for d, m in zip(days, masses, strict=True)]


def asked(readings, **also):
    return forecast(readings, **{"wall_mm": 28, "roughed_on": START, **also})


def off(found):
    """How far the likely day is off, in parts of the true time."""
    return abs((found.likely - START).days - DRY_AFTER) / DRY_AFTER


def test_weighings_give_a_date_within_its_range():
    found = asked(weighed(*DAYS))
    assert found.basis == "weighings"
    assert found.earliest < found.likely < found.latest
    assert found.earliest <= START + timedelta(days=DRY_AFTER) <= found.latest
    assert found.final_mass_g == pytest.approx(WALL.rest_g, rel=0.03)
    assert not found.dry


def test_until_there_are_three_weighings_it_is_the_inch_a_year_rule():
    for readings in ([], weighed(0), weighed(0, 30)):
        found = forecast(readings, wall_mm=25.4, roughed_on=START)
        assert (found.basis, found.likely) == ("inch a year", START + timedelta(days=365))
        assert found.final_mass_g is None
        assert not found.dry
        assert found.earliest <= found.likely <= found.latest
    assert asked(weighed(0, 30, 60)).basis == "weighings"


def test_an_inch_a_year_goes_by_thickness_alone():
    assert inch_a_year(76.2, date(2025, 3, 1)) == date(2028, 3, 1)  # 1095.75 days


def test_a_followed_wall_is_dry_and_its_dates_lie_behind():
    readings = weighed(0, 30, 60, 100, 140, 180, 220, 260)
    found = asked(readings)
    assert found.dry
    assert found.earliest <= found.likely <= found.latest <= readings[-1][0]
    assert off(found) < 0.1


def test_three_weighings_alike_two_weeks_apart_are_dry():
    def since(*days, masses=(1300, 1302, 1297), step_g=1.0):
        kept = zip((START + timedelta(days=d) for d in days), masses, strict=True)
        return drying._still_since(list(kept), step_g)

    assert since(60, 75, 90) == START + timedelta(days=90)
    assert since(60, 70, 90) is None
    assert since(60, 75, 90, masses=(1310, 1302, 1297)) is None
    assert since(60, 75, 90, step_g=10.0) is None  # too coarse to tell half a per cent
    alike = [*weighed(0, 14, 28), *[(START + timedelta(days=d), 1300) for d in (60, 75, 90)]]
    assert asked(alike).dry


def test_the_fit_finds_the_mass_at_rest_that_least_squares_finds():
    # scipy.optimize.least_squares on the same sheet, from rich weighings in still air.
    still = Wall(28, 10**-10.5, 10**-8.1, 68, 9, 0.0, 0.0, 920, 0.1, 0.0)
    days = np.linspace(0, 200, 21)
    mass = still.mass_g(days)

    def miss(x):
        left = fitting.Sheets(np.array([np.exp(x[2])]), np.array([np.exp(x[3])]))
        return x[0] + x[1] * left.responses(days, 0.0)[0, :, 0] - mass

    best = least_squares(miss, [900, 500, np.log(0.02), 0.0], x_scale=[100, 100, 0.1, 0.1])
    readings = [(START + timedelta(days=float(d)), m) for d, m in zip(days, mass, strict=True)]
    found = asked(readings, scale_step_g=0.1)
    assert best.x[0] == pytest.approx(still.rest_g, rel=1e-4)
    assert found.final_mass_g == pytest.approx(best.x[0], rel=0.002)


def test_a_transposed_digit_hardly_moves_the_date():
    readings = weighed(*DAYS)
    slipped = [*readings[:3], (readings[3][0], 1125), *readings[4:]]
    assert readings[3][1] != 1125
    assert abs((asked(slipped).likely - asked(readings).likely).days) <= 0.05 * DRY_AFTER
    assert asked(slipped).passed_over == (readings[3][0],)
    assert asked(readings).passed_over == ()


@pytest.mark.parametrize("factor", [0.99, 1.015])
def test_another_scale_halfway_is_survived(factor):
    readings = [*weighed(*DAYS[:4]), *weighed(*DAYS[4:], factor=factor)]
    found = asked(readings)
    assert off(found) < 0.3
    assert found.earliest <= START + timedelta(days=DRY_AFTER) <= found.latest


def test_a_wall_waxed_anew_is_not_called_dry_while_it_loses():
    days = np.array(DAYS, dtype=float)
    masses = WALL.mass_g(np.where(days <= 42, days, 42 + (days - 42) / 3))
    readings = [(START + timedelta(days=d), float(m)) for d, m in zip(DAYS, masses, strict=True)]
    found = asked(readings)
    assert not found.dry
    assert found.latest > readings[-1][0]


def test_order_and_two_on_one_day_do_not_matter():
    readings = weighed(*DAYS)
    twice = [readings[4], readings[0], (readings[4][0], readings[4][1] + 2), *readings[5:]]
    found = asked([*twice, *readings[1:4]])
    assert found == asked(sorted([*twice, *readings[1:4]]))
    assert off(found) < 0.2


def test_a_damp_month_is_not_a_stall():
    readings = weighed(*DAYS)
    damp = [*readings, (START + timedelta(days=125), readings[-1][1] + 6)]
    assert pace(damp, wall_mm=28, roughed_on=START) == "steady"
    assert off(asked(damp)) < 0.25


def test_a_weighing_of_the_blank_before_its_roughing_is_passed_over():
    blank = (START - timedelta(days=5), 9000)
    assert asked([blank, *weighed(*DAYS)]) == asked(weighed(*DAYS))


def test_a_moment_will_do_for_a_day():
    moments = [(datetime(d.year, d.month, d.day, 23, 30, tzinfo=UTC), m) for d, m in weighed(*DAYS)]
    assert asked(moments) == asked(weighed(*DAYS))


def test_the_pace_tells_a_sudden_loss_and_a_stop():
    readings, next_day = weighed(*DAYS[:5]), START + timedelta(days=80)
    expected = weighed(80)[0][1]
    for mass, what in ((expected, "steady"), (expected - 90, "fast"), (readings[-1][1], "stalled")):
        assert pace([*readings, (next_day, mass)], wall_mm=28, roughed_on=START) == what


def test_the_curve_passes_by_the_weighings_and_its_range_opens_behind_them():
    readings = weighed(*DAYS)
    days = [day for day, _ in readings] + [START + timedelta(days=d) for d in (150, 200)]
    found = curve(readings, wall_mm=28, roughed_on=START, days=days)
    assert found.likely[:7] == pytest.approx([mass for _, mass in readings], rel=0.005)
    widths = [high - low for low, high in zip(found.low, found.high, strict=True)]
    assert widths[8] > 2 * widths[5]
    assert curve(readings[:2], wall_mm=28, roughed_on=START, days=days) is None


def test_siblings_narrow_the_range_however_they_are_given():
    chance = np.random.default_rng(4)
    kin = []
    for _ in range(3):
        wall, days = of_the_same_tree(chance, WALL)
        kin.append(Sibling(wall.weighed(chance, days * 1.3, 12), 28, START))
    readings = weighed(*DAYS[:5])
    alone, helped = asked(readings), asked(readings, siblings=kin)
    assert helped.latest - helped.earliest < alone.latest - alone.earliest
    assert off(helped) < 0.1
    assert asked(readings, siblings=[tuple(sibling) for sibling in kin]) == helped
    assert asked(readings, siblings=[sibling.readings for sibling in kin]) == helped


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"wall_mm": 0}, "wall"),
        ({"wall_mm": float("nan")}, "wall"),
        ({"scale_step_g": 0}, "scale"),
        ({"readings": [(START, 0)]}, "mass"),
        ({"readings": [(START, float("inf"))]}, "mass"),
        ({"readings": [("yesterday", 900)]}, "day"),
    ],
)
def test_what_is_no_measure_is_refused_in_a_sentence(wrong, words):
    given_ = {"readings": weighed(*DAYS), "wall_mm": 28, "roughed_on": START, **wrong}
    with pytest.raises(ValueError, match=words):
        forecast(given_.pop("readings"), **given_)


def test_the_last_day_of_the_calendar_is_not_passed():
    found = forecast([], wall_mm=1000, roughed_on=date(9999, 6, 1))
    assert found.latest == date.max


@settings(max_examples=10, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 900), st.integers(1, 20_000)), min_size=3, max_size=9))
def test_whatever_is_weighed_the_dates_are_in_order(pairs):
    readings = [(START + timedelta(days=day), mass) for day, mass in pairs]
    found = asked(readings)
    assert START <= found.earliest <= found.likely <= found.latest
    assert found.final_mass_g > 0
    assert pace(readings, wall_mm=28, roughed_on=START) in {"steady", "fast", "stalled"}


@settings(max_examples=5, deadline=None)
@given(st.sampled_from([0.01, 0.5, 28.349523125, 1000.0]))
def test_the_unit_of_mass_does_not_matter(factor):
    found = asked(weighed(*DAYS))
    scaled = asked([(d, m * factor) for d, m in weighed(*DAYS)], scale_step_g=factor)
    assert abs((scaled.likely - found.likely).days) <= 1
    assert scaled.final_mass_g == pytest.approx(found.final_mass_g * factor, rel=1e-6)


def test_forecasts_come_near_on_invented_walls():
    # A sample for every day; `python -m tests.accuracy` measures it with many more walls.
    ours = score(accuracy.ours, 40, seed=3)
    plain = score(accuracy.exponential, 40, seed=3)
    assert ours.median <= 0.09
    assert ours.p80 <= 0.20
    assert 0.65 <= ours.held <= 0.97
    assert plain.median > 1.5 * ours.median


def test_dry_siblings_bring_it_nearer():
    assert score(accuracy.ours, 12, seed=5, siblings=3).median <= 0.07


def test_fewer_than_four_weighings_of_a_sibling_tell_nothing():
    kin = [Sibling(weighed(0, 100, 200), 28, START)]
    assert asked(weighed(*DAYS), siblings=kin) == asked(weighed(*DAYS))
    assert pace(weighed(0, 30, 60), wall_mm=28, roughed_on=START) == drying.STEADY


def test_weighings_of_two_days_do_not_show_a_wall_dry():
    start = START + timedelta(days=180)
    readings = [(start, 1758), (start, 1758), (start + timedelta(days=1), 1800)]
    assert not asked(readings, scale_step_g=3.0).dry
    alike = [(start + timedelta(days=d), 2999) for d in range(3)]
    assert not asked(alike).dry


def test_kin_that_is_none_is_not_believed():
    chance = np.random.default_rng(7)
    other = Wall(28, 10**-9.6, 10**-7.2, 68, 9, 0.3, 0.5, 920, 1.0, 0.0005)
    kin = [Sibling(other.weighed(chance, 60, 12), 28, START)] * 3
    assert off(asked(weighed(*DAYS), siblings=kin)) < 0.2
