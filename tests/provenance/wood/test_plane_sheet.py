"""The plane sheet against Crank's series, against its equation solved step by step, and limits."""

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import erfc

from provenance.wood.plane_sheet import SECONDS_PER_DAY, YEAR_DAYS, roots, sheet
from tests.provenance.wood import invented_walls

# A 30 mm wall in the middle of what is likely: L about 3.8.
WALL_MM, D, S = 30.0, 10**-10.5, 10**-8.1


@pytest.mark.parametrize("ratio", [1e-4, 0.01, 0.5, 1.0, 10.0, 100.0, 1e4])
def test_the_roots_are_those_that_bisection_finds(ratio):
    found = roots(np.array([ratio]), 12)[0]
    assert found == pytest.approx(invented_walls.roots(ratio)[:12], abs=1e-9)


def test_published_roots_are_met():
    # Crank (1975), Table 4.2, roots of β tan β = L: from memory, confirmed by bisection above.
    assert roots(np.array([1.0]), 3)[0] == pytest.approx([0.8603, 3.4256, 6.4373], abs=5e-5)
    assert roots(np.array([0.1]), 2)[0] == pytest.approx([0.3111, 3.1731], abs=5e-5)


def test_the_mean_falls_as_cranks_series_has_it():
    days = np.array([1.0, 5, 20, 60, 150, 400])
    half = WALL_MM / 2000
    ratio = half * S / D
    beta = np.array(invented_walls.roots(ratio))
    weight = 2 * ratio**2 / (beta**2 * (beta**2 + ratio**2 + ratio))
    exact = (weight * np.exp(-(beta**2) * D * days[:, None] * SECONDS_PER_DAY / half**2)).sum(1)
    ours = sheet(WALL_MM, D, S).responses(days, 0.0)[0, :, 0]
    assert ours == pytest.approx(exact, abs=2e-5)


def test_at_the_start_all_is_there_and_the_swing_has_done_nothing():
    assert sheet(WALL_MM, D, S).responses(np.array([0.0]), 0.7)[0, 0] == pytest.approx([1, 0, 0])


def test_with_a_free_surface_and_early_the_loss_goes_with_the_root_of_time():
    # Crank (1975), equation 4.20: M_t/M_∞ = 2 sqrt(D t/(π l²)) while the two faces don't meet yet.
    days = np.array([0.4])
    half = WALL_MM / 2000
    lost = 1 - sheet(WALL_MM, D, 1e-3).responses(days, 0.0)[0, 0, 0]
    assert lost == pytest.approx(
        2 * np.sqrt(D * days[0] * SECONDS_PER_DAY / (np.pi * half**2)), rel=0.05
    )
    assert erfc(half / np.sqrt(4 * D * days[0] * SECONDS_PER_DAY)) < 1e-9  # they don't


def test_air_that_swings_is_followed_as_the_equation_solved_step_by_step_has_it():
    half, cells, phase = WALL_MM / 2000, 60, 1.1
    d_day, s_day = D * SECONDS_PER_DAY, S * SECONDS_PER_DAY
    step = half / cells

    def change(day, u):
        air = np.sin(2 * np.pi * day / YEAR_DAYS + phase)
        face = 1 / (1 / s_day + step / 2 / d_day)  # the last half cell, then the surface
        flow = np.concatenate([[0], d_day * (u[1:] - u[:-1]) / step, [face * (air - u[-1])]])
        return (flow[1:] - flow[:-1]) / step

    days = np.array([10.0, 80, 200, 390])
    solved = solve_ivp(change, (0, 390), np.zeros(cells), "BDF", t_eval=days, rtol=1e-7, atol=1e-9)
    ours = sheet(WALL_MM, D, S).responses(days, phase)[0, :, 1]
    assert ours == pytest.approx(solved.y.mean(axis=0), abs=2e-3)


def test_a_sheet_gives_back_what_it_was_made_of():
    made = sheet(WALL_MM, D, S)
    assert made.diffusivity(WALL_MM)[0] == pytest.approx(D)
    assert made.surface(WALL_MM)[0] == pytest.approx(S)


def test_a_wall_twice_as_thick_takes_between_twice_and_four_times_as_long():
    thin, thick = (sheet(wall, D, S).rate[0] for wall in (20.0, 40.0))
    assert 2 < thin / thick < 4
