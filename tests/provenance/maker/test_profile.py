"""The shop's profile and the owner's password."""

from typing import Any

import pytest
from django.test import Client

from provenance.maker.models import Shop, User

pytestmark = pytest.mark.django_db
TYPED = {
    "name": "Saltmarsh Lane Turnery",
    "place": "Hollin Ferry, Wrenshire",
    "public_words": "Bowls from fallen trees.",
    "public_contact": "turner@example.org",
    "public_url": "https://Bowls.example.org/",
    "currency": "GBP",
    "length_unit": "in",
    "mass_unit": "lb",
    "paper": "letter",
    "time_zone": "Europe/London",
}


def test_the_profile_is_written(owner_client: Client) -> None:
    assert owner_client.post("/shop/", TYPED)["Location"] == "/shop/"
    shop = Shop.objects.get()
    assert {name: getattr(shop, name) for name in TYPED} == {
        **TYPED,
        "public_url": "https://bowls.example.org",
    }
    assert "The shop&#x27;s profile is written." in owner_client.get("/shop/").content.decode()


def test_a_path_in_the_public_address_is_refused(owner_client: Client) -> None:
    typed = {**TYPED, "public_url": "https://example.org/bowls"}
    page = owner_client.post("/shop/", typed).content.decode()
    assert "Type the public address without a path" in page
    assert 'value="https://example.org/bowls"' in page
    assert Shop.objects.get().public_url == ""


def test_the_page_says_when_the_server_overrides_the_address(
    owner_client: Client, settings: Any
) -> None:
    assert "PUBLIC_URL" not in owner_client.get("/shop/").content.decode()
    settings.PUBLIC_URL = "https://turnery.example.org"
    page = owner_client.get("/shop/").content.decode()
    assert "codes lead to https://turnery.example.org" in page


def test_the_password_is_changed_and_this_browser_stays_in(
    owner_client: Client, owner: User
) -> None:
    other = Client()
    other.force_login(owner)
    typed = {
        "old_password": "a long invented one",
        "new_password1": "a quartersawn oak",
        "new_password2": "a quartersawn oak",
    }
    assert owner_client.post("/shop/password", typed)["Location"] == "/shop/"
    owner.refresh_from_db()
    assert owner.check_password("a quartersawn oak")
    assert owner_client.get("/shop/").status_code == 200
    assert other.get("/shop/").status_code == 302


def test_the_old_password_must_be_known(owner_client: Client, owner: User) -> None:
    typed = {
        "old_password": "guessed",
        "new_password1": "a quartersawn oak",
        "new_password2": "a quartersawn oak",
    }
    page = owner_client.post("/shop/password", typed).content.decode()
    assert "This is not your password as it is now." in page
    owner.refresh_from_db()
    assert owner.check_password("a long invented one")
