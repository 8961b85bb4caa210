"""The axes of the drying picture: even steps in the shop's unit, few enough to be read."""

from datetime import date

import pytest

from provenance.drying.pictures import mass_ticks, month_ticks


@pytest.mark.parametrize(
    ("low", "high", "unit", "words"),
    [
        (1620, 2820, "kg", ["1.5 kg", "2 kg", "2.5 kg", "3 kg"]),
        (402, 418, "g", ["400 g", "405 g", "410 g", "415 g", "420 g"]),
        (1600, 2800, "lb", ["3 lb", "4 lb", "5 lb", "6 lb"]),
    ],
)
def test_masses_stand_at_even_steps_of_the_unit(low, high, unit, words):
    ticks = mass_ticks(low, high, unit)
    assert [tick.words for tick in ticks] == words


def test_a_single_weighing_still_has_an_axis():
    assert len(mass_ticks(1500, 1500, "g")) >= 2


@pytest.mark.parametrize(
    ("first", "last", "words"),
    [
        (date(2026, 3, 10), date(2026, 7, 2), ["Apr 2026", "May", "Jun", "Jul"]),
        (date(2026, 3, 1), date(2027, 4, 20), ["Apr 2026", "Jul", "Oct", "Jan 2027", "Apr"]),
        (date(2019, 6, 1), date(2026, 4, 20),
         ["Jan 2020", "Jan 2022", "Jan 2024", "Jan 2026"]),
    ],
)  # fmt: skip
def test_months_are_few_and_name_the_year_where_it_begins(first, last, words):
    assert [tick.words for tick in month_ticks(first, last)] == words
