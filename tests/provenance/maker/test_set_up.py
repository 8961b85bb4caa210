"""The first owner's set-up, and the demo's door."""

from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from provenance.maker import doors
from provenance.maker.models import Shop, User

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Saltmarsh Lane Turnery",
    "currency": "EUR",
    "length_unit": "mm",
    "paper": "a4",
    "time_zone": "Europe/Lisbon",
    "username": "turner",
    "password": "a plain ash bowl",
    "password_again": "a plain ash bowl",
}


@pytest.fixture
def link(data_folder: Path) -> str:
    """The path of a set-up link just printed."""
    return f"/set-up/{doors.cut_key(doors.SET_UP)}"


def test_the_first_owner_is_signed_in(client: Client, link: str) -> None:
    assert "Set up the shop" in client.get(link).content.decode()
    assert client.post(link, TYPED)["Location"] == "/bench/"
    assert client.session["_auth_user_id"] == str(User.objects.get(username="turner").pk)
    assert Shop.current().time_zone == "Europe/Lisbon"


def test_the_link_works_once(client: Client, link: str) -> None:
    client.post(link, TYPED)
    for answer in (Client().get(link), Client().post(link, {**TYPED, "username": "stranger"})):
        assert answer.status_code == 410
        assert "This link no longer opens" in answer.content.decode()
    assert User.objects.count() == 1


def test_a_guessed_link_opens_nothing(client: Client, link: str) -> None:
    assert client.get("/set-up/guessed").status_code == 410
    assert client.post("/set-up/guessed", TYPED).status_code == 410
    assert not User.objects.exists()


def test_nothing_is_chosen_for_the_owner(client: Client, link: str) -> None:
    page = client.get(link).content.decode()
    assert "checked" not in page
    assert page.count("selected") == 2  # currency and time zone, both at "Choose…"
    assert page.count('<option value="" selected>Choose…</option>') == 2


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("password_again", "another", "The two passwords differ"),
        ("currency", "XXX", "Select a valid choice"),
        ("time_zone", "Mars/Olympus", "Select a valid choice"),
        ("username", "two words", "Enter a valid username"),
        ("name", "", "Fill this in."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_written(
    client: Client, link: str, field: str, typed: str, sentence: str
) -> None:
    page = client.post(link, {**TYPED, field: typed}).content.decode()
    assert sentence in page
    assert not User.objects.exists()
    assert not Shop.objects.exists()


@pytest.mark.parametrize("word", ["short", "password123", "turner1234"])
def test_weak_passwords_are_refused(client: Client, link: str, word: str) -> None:
    page = client.post(link, {**TYPED, "password": word, "password_again": word}).content.decode()
    assert 'id="id_password_error"' in page
    assert not User.objects.exists()


def test_the_demo_door_signs_the_visitor_in(
    client: Client, owner: User, data_folder: Path, settings: Any
) -> None:
    settings.DEMO = True
    door = f"/demo-door/{doors.cut_key(doors.DEMO)}"
    assert client.get(door)["Location"] == "/bench/"
    assert client.session["_auth_user_id"] == str(owner.pk)
    assert Client().get(door).status_code == 302  # and the next visitor too
    assert Client().get("/demo-door/guessed").status_code == 410


def test_a_real_shop_has_no_such_door(client: Client, owner: User, data_folder: Path) -> None:
    door = f"/demo-door/{doors.cut_key(doors.DEMO)}"
    assert client.get(door).status_code == 404
    assert "_auth_user_id" not in client.session
