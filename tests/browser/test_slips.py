"""What hands do: press twice, go back, keep two windows open, come back after weeks, mistype."""

import re
from urllib.parse import urlsplit

import pytest

from tests.browser import steps
from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import RunningShop

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def hasty(request: pytest.FixtureRequest, enter: Enter, book: RunningShop) -> Visitor:
    """The owner, in a browser that runs scripts or doesn't."""
    return enter(book, is_owner=True, java_script_enabled=request.param)


def trees_at(turner: Visitor, place: str) -> int:
    """How many trees the list finds for that place."""
    turner.open(f"/trees/?find={place.replace(' ', '+')}")
    return turner.main.locator(".rows > .row").count()


def press_twice(visitor: Visitor, name: str) -> None:
    """Press a button as nervous fingers do."""
    button = visitor.main.get_by_role("button", name=name)
    button.dblclick(no_wait_after=True)
    visitor.page.wait_for_url(lambda address: "register" not in address and "make" not in address)
    visitor.page.wait_for_load_state("load")


def test_a_button_pressed_twice_registers_one_tree(hasty: Visitor) -> None:
    place = f"Twice Lane {hasty.is_phone} {hasty.has_script}"
    hasty.open("/trees/register/")
    hasty.type(species="plum", public_place=place)
    press_twice(hasty, "Save the tree")
    assert trees_at(hasty, place) == 1


def test_a_button_pressed_twice_makes_one_run(hasty: Visitor) -> None:
    [before] = steps.make(hasty, ("Not known", "whole"))
    hasty.open("/pieces/make/")
    steps.pick(hasty.main.locator("[name=parts-0-source]"), "Not known")
    steps.pick(hasty.main.locator("[name=form]"), "bowl")
    steps.method_named(hasty, "twice")
    hasty.type(count="4")
    press_twice(hasty, "Give out the number")
    made = steps.numbers_in(hasty.main.locator(".numbers"))
    hasty.open("/pieces/")
    rows = hasty.main.locator(".rows .row-name .number").all_inner_texts()
    assert rows[:5] == [*reversed(made), before]
    assert len(made) == 4


def test_back_after_saving_and_saving_again_keeps_one_tree(turner: Visitor) -> None:
    place = f"Backwater {turner.is_phone}"
    turner.open("/trees/register/")
    turner.type(species="plum", public_place=place)
    steps.settled(turner)
    turner.button("Save the tree")
    saved = turner.path
    turner.page.go_back(wait_until="load")
    assert urlsplit(turner.page.url).path == "/trees/register/"
    turner.button("Save the tree")
    assert turner.path == saved or turner.main.locator(".error").count() == 2
    assert trees_at(turner, place) == 1


def test_what_another_window_changed_is_not_written_over_unseen(
    turner: Visitor, enter: Enter, book: RunningShop
) -> None:
    tree = steps.register_tree(turner, "plum", "Two Windows")
    other = enter(book, is_owner=True)
    for window in (turner, other):
        window.open(f"/trees/{steps.bare(tree)}/edit/")
        window.unfold("Its story")
    turner.type(story="It shaded the ferry landing.")
    turner.button(re.compile("Save|Write|Keep"))
    other.type(story="It stood by the weir.")
    other.button(re.compile("Save|Write|Keep"))
    assert other.says("This was changed in another window since you opened it.")
    assert other.main.locator("[name=story]").input_value() == "It stood by the weir."
    turner.open(f"/trees/{steps.bare(tree)}/")
    assert turner.says("It shaded the ferry landing.")
    other.button(re.compile("Save|Write|Keep"))
    assert other.says("It stood by the weir.")


@pytest.mark.parametrize("is_ticked", [False, True], ids=["from its page", "from the list"])
def test_a_move_made_in_another_window_is_not_made_again(
    turner: Visitor, enter: Enter, book: RunningShop, is_ticked: bool
) -> None:
    [number] = steps.make(turner, ("Not known", "whole"))
    other = enter(book, is_owner=True)
    for window in (turner, other):
        if is_ticked:
            window.open("/pieces/")
            steps.tick(window, number)
            window.button("Move on")
        else:
            window.open(f"/pieces/{steps.bare(number)}/")
            window.link("Rough it out")
    turner.button("Rough it out")
    other.button("Rough it out")
    assert other.says("is not its next step. It may have been moved already.")
    assert steps.stage_of(turner, number) == "drying"


def test_after_weeks_a_fragment_leads_to_the_sign_in_page(turner: Visitor) -> None:
    steps.register_tree(turner, "plum", "Long Ago")
    turner.open("/trees/")
    turner.context.clear_cookies()
    turner.main.locator("#id_find").press_sequentially("Long")
    turner.page.wait_for_url("**/sign-in?**")
    turner.page.wait_for_load_state("load")
    assert turner.heading == "Sign in"
    assert not turner.says("Long Ago")
    turner.look()


def test_after_weeks_a_form_asks_for_the_password_and_saves_nothing(turner: Visitor) -> None:
    turner.open("/trees/register/")
    turner.type(species="plum", public_place="Nowhere yet")
    steps.settled(turner)
    session = [c for c in turner.context.cookies() if "form" not in str(c.get("name"))]
    for cookie in session:
        turner.context.clear_cookies(name=str(cookie.get("name")))
    turner.button("Save the tree")
    assert turner.heading == "Sign in"


def test_a_slip_in_the_number_offers_the_near_one(turner: Visitor) -> None:
    number = steps.enter_old(turner, "Weir bowl")
    wrong = number[:-1] + ("0" if number[-1] != "0" else "1")
    turner.open("/bench/")
    turner.page.locator("#find").fill(wrong)
    with turner.page.expect_navigation(wait_until="load"):
        turner.page.locator("#find").press("Enter")
    turner.look()
    assert turner.says(f"{wrong} is not a number of ours: check the last character.")
    turner.follow(turner.main.get_by_role("link", name=re.compile(number)).first)
    assert number in turner.heading

    turner.page.locator("#find").fill(steps.bare(number))
    with turner.page.expect_navigation(wait_until="load"):
        turner.page.locator("#find").press("Enter")
    assert turner.path == f"/pieces/{steps.bare(number)}/"
