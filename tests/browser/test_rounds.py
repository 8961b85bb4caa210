"""A walk through every room of a furnished shop, by its own links, on each kind of screen."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import ROOT, RunningShop, bare_environment

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]

#: What a turner comes to the bench for, as the page that it is done on.
USES = {
    "register a tree": "/trees/register/",
    "see a tree and what is missing": "/trees/N/",
    "add a section": "/trees/N/sections/add/",
    "see bought stock": "/stock/",
    "look a wood up": "/woods/",
    "make pieces": "/pieces/make/",
    "enter a piece from before the book": "/pieces/enter-old/",
    "tick pieces to move on": "/pieces/",
    "move one piece on": "/pieces/N/move/",
    "record a loss": "/pieces/N/lose/",
    "see a piece": "/pieces/N/",
    "hand a piece over": "/pieces/N/hands/",
    "see a promise": "/promises/N/",
    "write a promise down": "/promises/add/",
    "record a sale": "/sales/new/",
    "see a receipt": "/sales/R/",
    "see the month": "/month/M/",
    "take a commission": "/commissions/add/",
    "see a commission": "/commissions/N/",
    "look somebody up": "/people/",
    "choose what to print": "/print/choose/",
    "print again": "/print/N/",
    "add a person": "/people/add/",
    "see a person": "/people/N/",
    "change the shop's profile": "/shop/",
    "enter the chuck's jaws": "/shop/jaws/",
    "see what is ready on the shelf": "/drying/",
    "weigh the shelf": "/drying/round/N/",
    "read the air of a store": "/drying/air/",
    "enter a scale": "/drying/scales/",
    "see whether all is well": "/health/",
}
#: What a walk doesn't open: files, and what is said elsewhere.
NOT_PAGES = re.compile(r"\.(pdf|webp|csv)|/original")
#: As many pages of one kind are opened; one in the gate, which has a quarter of an hour.
OF_A_KIND = 1 if os.environ.get("CI") else 2

LINKS = """() => [...document.querySelectorAll("a[href]")]
  .filter((link) => link.checkVisibility()).map((link) => link.href)"""
ALL_LINKS = '() => [...document.querySelectorAll("a[href]")].map((link) => link.href)'


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningShop]:
    """A shop with something of everything in it."""
    data = tmp_path_factory.mktemp("furnished") / "book"
    with RunningShop(data) as shop:
        around = bare_environment(BOLEBOOK_DATA=str(data), DJANGO_SETTINGS_MODULE="shop.settings")
        furnish = [sys.executable, "-m", "tests.browser.furnished"]
        subprocess.run(furnish, check=True, cwd=ROOT, env=around, timeout=120)
        owner = (data / "owner").read_text(encoding="utf-8")
        shop.send("/sign-in", username=owner, password="a long invented one")
        yield shop


def kind_of(address: str) -> str:
    """Return what kind of page an address leads to: numbers and choices don't matter."""
    path = urlsplit(address).path
    path = re.sub(r"/(T?\d{5,}X?|\d+)(?=/|$)", "/N", path)
    path = re.sub(r"/sections/[A-Z]+/", "/sections/A/", path)
    path = re.sub(r"/woods/[a-z0-9-]+/", "/woods/W/", path)
    path = re.sub(r"/R\d\d-\d+/", "/R/", path)
    path = re.sub(r"/month/\d{4}-\d\d/", "/month/M/", path)
    return re.sub(r"/move/[a-z-]+/", "/move/", path)


def links_on(visitor: Visitor, script: str) -> list[str]:
    """Return the addresses of ours that the page links to, each kind of page once or twice."""
    links: list[str] = visitor.page.evaluate(script)
    ours = [link.partition("#")[0] for link in links if link.startswith(visitor.origin + "/")]
    return [link for link in dict.fromkeys(ours) if not NOT_PAGES.search(link)]


def test_each_use_is_at_most_two_taps_from_the_bench(enter: Enter, furnished: RunningShop) -> None:
    turner = enter(furnished, is_owner=True)
    turner.page.goto(f"{furnished.origin}/bench/")
    first = {kind_of(link): link for link in links_on(turner, LINKS)}
    within = set(first)
    for link in first.values():
        turner.page.goto(link)
        within |= {kind_of(link) for link in links_on(turner, LINKS)}
    assert {use for use, page in USES.items() if page not in within} == set()


def test_every_room_holds_by_day_and_in_the_dark(enter: Enter, furnished: RunningShop) -> None:
    turner = enter(furnished, is_owner=True)
    waiting = [f"{furnished.origin}{path}" for path in ("/bench/", "/", "/bench/find?q=landing")]
    opened: dict[str, int] = {}
    while waiting:
        address = waiting.pop(0)
        kind = kind_of(address)
        if opened.get(kind, 0) >= OF_A_KIND:
            continue
        opened[kind] = opened.get(kind, 0) + 1
        turner.open(address)
        if opened[kind] == 1:
            turner.look_in_the_dark()
            turner.look_narrow()
        waiting += links_on(turner, ALL_LINKS)
    assert set(USES.values()) <= set(opened)
    assert {"/P/N", "/T/N"} <= set(opened)


def test_the_keyboard_alone_gets_about_and_writes(enter: Enter, book: RunningShop) -> None:
    turner = enter(book, is_owner=True)
    keyboard = turner.page.keyboard
    turner.open("/trees/register/")
    keyboard.press("Tab")
    skip = turner.page.locator(".skip")
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    keyboard.press("Enter")
    keyboard.press("Tab")
    expect(turner.main.locator("[name=species]")).to_be_focused()
    keyboard.type("some conifer")
    turner.main.locator("[name=public_place]").focus()
    keyboard.type("Keyboard Lane")
    with turner.page.expect_navigation(url=re.compile("/trees/T"), wait_until="load"):
        keyboard.press("Enter")
    turner.look()
    assert turner.says("Keyboard Lane")
