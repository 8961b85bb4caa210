from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import DatabaseError, transaction

from provenance.drying import climate
from provenance.drying.models import ShopClimate
from provenance.record import journal
from tests.factories import a_scribe
from tests.provenance.drying.shelf import TODAY, a_rough_out

pytestmark = pytest.mark.django_db


def air(store="loft", temperature="18", humidity="55", on=TODAY, **also):
    return climate.read_air(store, on, Decimal(temperature), Decimal(humidity), a_scribe(), **also)


def test_a_target_is_the_moisture_that_the_handbook_gives():
    air(temperature="21.1", humidity="50")  # Wood Handbook, Table 4-2: 70 °F and 50 % give 9.2 %
    assert climate.target_of("Loft ", TODAY).moisture_pct == pytest.approx(9.2, abs=0.1)


def test_each_month_counts_once_in_the_mean_of_the_year():
    for day in (1, 2, 3):
        air(humidity="80", on=date(2026, 6, day))
    air(humidity="40", on=date(2026, 1, 5))
    target = climate.target_of("loft", TODAY)
    means = [climate.moisture_of(r) for r in ShopClimate.objects.filter(humidity_pct__in=(80, 40))]
    assert target.moisture_pct == pytest.approx((max(means) + min(means)) / 2)
    assert (target.count, target.months, target.is_of_a_year) == (4, 2, False)
    assert target.newest.measured_on == date(2026, 6, 3)


def test_what_is_older_than_a_year_counts_only_where_nothing_is_newer():
    air(humidity="80", on=TODAY - timedelta(days=500))
    assert climate.target_of("loft", TODAY).count == 1
    air(humidity="40", on=TODAY)
    target = climate.target_of("loft", TODAY)
    assert (target.count, target.newest.humidity_pct) == (1, 40)


def test_a_store_that_was_never_read_has_no_target():
    air()
    assert climate.target_of("garage", TODAY) is None


def test_a_correction_and_a_taking_back_are_rows_of_their_own():
    wrong = air(humidity="95")
    right = climate.correct(
        wrong,
        a_scribe(),
        store="loft",
        on=TODAY,
        temperature_c=Decimal(18),
        humidity_pct=Decimal(59),
    )
    assert list(ShopClimate.objects.standing()) == [right]
    with pytest.raises(climate.NoSuchAir, match="changed already"):
        climate.take_back(wrong, a_scribe())
    climate.take_back(right, a_scribe())
    assert climate.target_of("loft", TODAY) is None
    assert ShopClimate.objects.count() == 3


def test_the_database_keeps_a_reading_as_it_was():
    reading = air()
    with pytest.raises(DatabaseError), transaction.atomic():
        ShopClimate.objects.filter(pk=reading.pk).update(humidity_pct=1)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"humidity": "101"}, "100 %"),
        ({"temperature": "64"}, "60 °C"),
        ({"store": "  "}, "Name the store"),
        ({"on": TODAY + timedelta(days=1)}, "still to come"),
    ],
)
def test_air_that_is_none_is_refused(given, words):
    with pytest.raises(climate.NoSuchAir, match=words):
        air(**given)


def test_stores_are_those_read_and_those_where_pieces_dry():
    air("Loft")
    journal.amend(a_rough_out(), {"stored": "loft"}, a_scribe())
    journal.amend(a_rough_out(), {"stored": "Garage, top shelf"}, a_scribe())
    assert climate.stores() == ["Garage, top shelf", "Loft"]


def test_all_targets_come_in_one_query(django_assert_num_queries):
    for store in ("loft", "garage", "cellar"):
        air(store)
    with django_assert_num_queries(1):
        assert set(climate.targets(TODAY)) == {"loft", "garage", "cellar"}
