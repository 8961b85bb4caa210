"""A real Chromium before a real shop, started as its owner starts it.

The shop runs in a process of its own, on SQLite, whatever the other tests run on.
"""

import os
import shutil
import urllib.request
from collections.abc import Callable, Iterator
from typing import Any, cast
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Playwright, sync_playwright

from tests.browser.visitor import Visitor, a_window
from tests.shop.keeping.running_shop import PROFILE, RunningShop

SCREENS: dict[str, dict[str, Any]] = {
    "phone": {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True},
    "desk": {"viewport": {"width": 1280, "height": 900}},
}
QUIET = [
    "--no-sandbox",  # Chromium as root wants it
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--no-first-run",
]

Enter = Callable[..., Visitor]


@pytest.fixture(scope="session")
def chromium() -> str:
    """Where Chromium is: what CHROMIUM says, or the one on the path."""
    names = ("chromium", "chromium-browser", "google-chrome")
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, names)), None)
    if not found:
        pytest.skip("There is no Chromium here: install it, or set CHROMIUM to where it is.")
    return found


# Playwright's loop counts as running until it is stopped, and Django refuses its database under a
# running loop: so it is stopped at the end of each file, before a test of another kind may follow.
@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="module")
def browser(playwright: Playwright, chromium: str) -> Iterator[Browser]:
    """Chromium, with the cache of pages for its Back button, which Playwright would take away."""
    with playwright.chromium.launch(
        executable_path=chromium,
        args=QUIET,
        ignore_default_args=["--disable-back-forward-cache"],
    ) as browser:
        yield browser


@pytest.fixture(scope="session")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[RunningShop]:
    """A shop with an owner and empty shelves; each test puts its own things there."""
    with RunningShop(tmp_path_factory.mktemp("browser") / "book") as shop:
        shop.send(urlsplit(shop.link).path, **PROFILE)
        yield shop


@pytest.fixture(params=SCREENS)
def screen(request: pytest.FixtureRequest) -> dict[str, Any]:
    """Each test at both: a phone, a desk."""
    return SCREENS[request.param]


@pytest.fixture
def enter(browser: Browser, screen: dict[str, Any]) -> Iterator[Enter]:
    """Open windows before a shop; afterwards, nothing may have gone wrong in any of them."""
    visitors: list[Visitor] = []

    def enter(shop: RunningShop, *, is_owner: bool = False, **more: Any) -> Visitor:
        context = browser.new_context(**a_window(**{**screen, **more}))
        if is_owner:
            context.add_cookies([{**cookie, "url": shop.origin} for cookie in cookies_of(shop)])
        has_script = more.get("java_script_enabled", True)
        is_phone = screen.get("has_touch", False)
        visitors.append(Visitor(context, shop.origin, is_phone=is_phone, has_script=has_script))
        return visitors[-1]

    yield enter
    for visitor in visitors:
        visitor.context.close()
    complaints = [words for visitor in visitors for words in visitor.complaints]
    assert not complaints, "\n".join(dict.fromkeys(complaints))


def cookies_of(shop: RunningShop) -> list[Any]:
    """The cookies of the browser in which the shop was set up."""
    [keeper] = [
        handler
        for handler in cast("Any", shop.browser).handlers  # which its stubs leave out
        if isinstance(handler, urllib.request.HTTPCookieProcessor)
    ]
    return [{"name": cookie.name, "value": cookie.value or ""} for cookie in keeper.cookiejar]


@pytest.fixture
def turner(enter: Enter, book: RunningShop) -> Visitor:
    """The owner, signed in."""
    return enter(book, is_owner=True)


@pytest.fixture
def stranger(enter: Enter, book: RunningShop) -> Visitor:
    """Somebody who holds a bowl."""
    return enter(book)
