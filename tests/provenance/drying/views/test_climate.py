"""The air of the stores: readings, and what wood comes to in them."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from provenance.drying import climate
from provenance.drying.models import ShopClimate
from provenance.record.scribe import Scribe
from tests.provenance.drying.shelf import a_rough_out

pytestmark = pytest.mark.django_db

AIR = "/drying/air/"


@pytest.fixture
def today() -> date:
    return Scribe.now().today


def a_reading(store: str, on: date, temperature: str = "18", humidity: str = "55") -> ShopClimate:
    return climate.read_air(store, on, Decimal(temperature), Decimal(humidity), Scribe.now())


def send(client, today, **typed):
    usual = {"store": "The loft", "on": today.isoformat(), "temperature_c": "18"}
    return client.post(reverse("drying:read_air"), {**usual, "humidity_pct": "55", **typed})


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [("18", "18.0"), ("18,5 c", "18.5"), ("64 F", "17.8"), ("64°F", "17.8"), ("-4", "-4.0")],
)
def test_a_temperature_is_read_in_either_scale(owner_client, today, typed, celsius):
    send(owner_client, today, temperature_c=typed, humidity_pct="55 %")
    reading = ShopClimate.objects.get()
    assert (reading.temperature_c, reading.humidity_pct) == (Decimal(celsius), Decimal(55))


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"temperature_c": "64"}, "if it is Fahrenheit, type 64 F."),
        ({"temperature_c": "warm"}, "type one like 18 C or 64 F."),
        ({"temperature_c": "200 F"}, "Enter between -40 and 60 °C"),
        ({"humidity_pct": "101"}, "from 0 to 100."),
        ({"store": " "}, "Name the store"),
        ({"on": "2999-01-01"}, "still to come"),
    ],
)
def test_what_can_not_be_air_is_said_and_stays_typed(owner_client, today, typed, said):
    page = send(owner_client, today, **{"remark": "by the door", **typed}).content.decode()
    assert said in page
    assert 'value="by the door"' in page
    assert not ShopClimate.objects.exists()


def test_sent_twice_it_is_read_once(owner_client, today):
    for _ in range(2):
        send(owner_client, today, token="7d0c1a52-0f3f-4b4e-9a3e-0c2f6a1b7d12")
    assert ShopClimate.objects.count() == 1


def test_a_damp_store_says_why_its_pieces_stop_early(owner_client, today):
    a_reading("The garage", today, "10", "74")
    page = owner_client.get(AIR).content.decode()
    assert "A piece that stops at 14.5 % there isn’t stuck" in page
    assert "Wood Handbook, equation 4-5" in page
    assert "8 to 10 %" in page


def test_a_store_that_was_never_read_is_named(owner_client):
    a_rough_out(stored="Shelf B")
    page = owner_client.get(AIR).content.decode()
    assert "Shelf B" in page
    assert "its air was never read" in page


def test_a_reading_is_put_right_and_its_history_stays(owner_client, today):
    wrong = a_reading("The loft", today, "28")
    url = reverse("drying:correct_air", args=[wrong.pk])
    assert 'value="28 C"' in owner_client.get(url).content.decode()
    typed = {"store": "The loft", "on": today.isoformat(), "temperature_c": "18"}
    owner_client.post(url, {**typed, "humidity_pct": "55"})
    [right] = ShopClimate.objects.standing()
    assert (right.temperature_c, right.corrects) == (18, wrong)
    assert (
        "28 °C" in owner_client.get(reverse("drying:correct_air", args=[right.pk])).content.decode()
    )
    again = owner_client.post(url, {**typed, "humidity_pct": "50"}).content.decode()
    assert "counts no more" in again
    assert ShopClimate.objects.count() == 2


def test_a_reading_is_taken_back_once(owner_client, today):
    wrong = a_reading("The loft", today)
    url = reverse("drying:take_back_air", args=[wrong.pk])
    for _ in range(2):
        owner_client.post(url)
    assert not ShopClimate.objects.standing().exists()
    assert ShopClimate.objects.count() == 2
    assert "No store was read yet." in owner_client.get(AIR).content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_it_takes_a_fixed_number_of_queries(owner_client, today, count, django_assert_num_queries):
    for index in range(count):
        for month in range(count):
            a_reading(f"Shelf {index}", today - timedelta(days=30 * month))
    with django_assert_num_queries(11):
        owner_client.get(AIR)
