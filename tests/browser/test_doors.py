"""A newcomer's first minutes, and the doors in and out."""

from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import PROFILE, RunningShop

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


def sign_in(visitor: Visitor, password: str = PROFILE["password"]) -> None:
    visitor.type(username=PROFILE["username"], password=password)
    visitor.button("Sign in")


def test_the_printed_link_opens_the_book_once(enter: Enter, tmp_path: Path) -> None:
    with RunningShop(tmp_path / "book") as shop:
        newcomer = enter(shop)
        newcomer.open(shop.link)
        assert newcomer.heading == "Set up the shop"
        newcomer.type(name=PROFILE["name"], username="turner", password="short")
        newcomer.type(password_again="short")
        newcomer.page.locator("[name=currency]").select_option("USD")
        newcomer.page.locator("[name=time_zone]").select_option("America/New_York")
        newcomer.tick("length_unit", "mm")
        newcomer.tick("paper", "letter")
        newcomer.button("Open the book")
        assert newcomer.says("This password is too short")

        newcomer.type(password=PROFILE["password"], password_again=PROFILE["password_again"])
        newcomer.button("Open the book")
        assert newcomer.path == "/bench/"
        assert newcomer.says("The book is open and empty.")

        with newcomer.expecting(410):
            newcomer.open(shop.link)
        assert newcomer.heading == "This link no longer opens"


def test_the_owner_goes_out_and_comes_in_again(stranger: Visitor) -> None:
    visitor = stranger
    visitor.open("/people/add/")
    assert visitor.heading == "Sign in"
    sign_in(visitor, "not this one")
    assert visitor.says("Name and password do not belong together.")
    sign_in(visitor)
    assert visitor.path == "/people/add/"

    visitor.follow(visitor.page.get_by_role("button", name="Sign out"))
    assert visitor.heading == "Sign in"
    visitor.open("/bench/")
    assert urlsplit(visitor.page.url).path == "/sign-in"


def test_back_after_signing_out_shows_nothing_private(stranger: Visitor) -> None:
    visitor = stranger
    phone = f"555-01{20 + visitor.is_phone}"
    visitor.open("/people/add/")
    sign_in(visitor)
    visitor.type(name=f"Orla Quill {phone}", phone=phone)
    visitor.button("Add")
    assert visitor.path != "/people/add/"
    assert visitor.says(phone)
    visitor.follow(visitor.page.get_by_role("button", name="Sign out"))
    for _ in range(3):
        visitor.page.go_back(wait_until="load")
        assert phone not in visitor.page.content()
        assert visitor.heading == "Sign in"
    kept = visitor.page.evaluate("JSON.stringify({...sessionStorage, ...localStorage})")
    assert phone not in kept
