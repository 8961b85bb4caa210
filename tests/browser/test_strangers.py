"""Somebody who holds a bowl: no sign-in, no script, no cookie, and nothing that is not theirs."""

import pytest

from tests.browser import steps
from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import RunningShop

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture
def published(turner: Visitor) -> str:
    """The number of a bowl that strangers may read about, and whose price they may not."""
    number = steps.enter_old(turner, "Ferry bowl", "123.45")
    steps.publish(turner, number)
    assert turner.says("Strangers can read its page")
    return number


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def reader(request: pytest.FixtureRequest, enter: Enter, book: RunningShop) -> Visitor:
    """A stranger, whose browser runs scripts or doesn't."""
    return enter(book, java_script_enabled=request.param)


def test_the_page_behind_the_code_is_read_without_cookies(published: str, reader: Visitor) -> None:
    reader.open(f"/p/{steps.bare(published)}")
    assert reader.heading == "Ferry bowl"
    assert reader.says("From tree to today")
    assert reader.says("Caring for it")
    assert "123.45" not in reader.page.content()
    assert reader.page.locator("script").count() == 0
    assert reader.context.cookies() == []


def test_the_front_page_asks_for_the_number_on_the_foot(published: str, reader: Visitor) -> None:
    reader.open("/")
    wrong = published[:-1] + ("0" if published[-1] != "0" else "1")
    reader.type(number=wrong)
    reader.button("Read its story")
    assert reader.says("check the last character")
    assert published not in reader.page.content()
    reader.type(number=steps.bare(published).lower())
    reader.button("Read its story")
    assert reader.heading == "Ferry bowl"
    assert reader.context.cookies() == []


def test_an_unpublished_number_and_an_unknown_one_look_alike(
    turner: Visitor, stranger: Visitor
) -> None:
    secret = steps.bare(steps.enter_old(turner, "Not yet"))
    with stranger.expecting(404):
        stranger.open(f"/P/{secret}")
        unpublished = stranger.page.content()
        stranger.open("/P/00001X")
        assert stranger.page.content() == unpublished
    assert stranger.heading == "There is no page here"
    turner.open(f"/P/{secret}")
    assert turner.says("Only you see this: it is not published yet.")


def test_a_closed_page_is_gone(turner: Visitor, stranger: Visitor, published: str) -> None:
    turner.open(f"/pieces/{steps.bare(published)}/")
    turner.unfold("Close its public page")
    turner.button("Close the page")
    with stranger.expecting(404):
        stranger.open(f"/P/{steps.bare(published)}")
    assert stranger.heading == "There is no page here"
