"""What a piece dries to: by the air of its store where it was read, else by air that is named."""

from datetime import date
from decimal import Decimal

import pytest

from provenance.drying import climate
from provenance.drying.air_of_store import expected_moisture
from tests.factories import a_scribe

pytestmark = pytest.mark.django_db

TODAY = date(2026, 6, 15)


def read(on: date, humidity: int) -> None:
    climate.read_air("Garage", on, Decimal(20), Decimal(humidity), a_scribe())


def test_without_a_reading_the_assumed_air_is_named():
    # 20 °C and 50 %: 9.2 % (Wood Handbook, Table 4-2, at 70 °F and 50 %).
    moisture = expected_moisture("Garage", TODAY)
    assert moisture.pct == pytest.approx(9.2, abs=0.2)
    assert "“Garage” was not read yet: 20 °C and 50 % humidity are assumed" in moisture.words
    assert not moisture.is_damp
    assert "No store is noted" in expected_moisture("", TODAY).words


def test_one_reading_is_called_one_season():
    read(date(2026, 5, 1), 75)
    moisture = expected_moisture("garage", TODAY)
    assert moisture.is_damp
    assert moisture.words.startswith("In the air of “garage” wood comes to about 14.5 %, by 1 read")
    assert "One reading is one season" in moisture.words


def test_several_months_tell_how_far_they_swing():
    for month, humidity in ((3, 60), (4, 70), (5, 80)):
        read(date(2026, month, 1), humidity)
    words = expected_moisture("Garage", TODAY).words
    assert "3 readings that swing from 11 to 16 % with the months" in words
    assert "not of a whole year" in words
