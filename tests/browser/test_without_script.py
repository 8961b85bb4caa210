"""The owner's work in a browser that runs no script: slower, but all of it."""

import pytest

from tests.browser import steps
from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import RunningShop

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture
def plain(enter: Enter, book: RunningShop) -> Visitor:
    """The owner, whose browser runs no script."""
    return enter(book, is_owner=True, java_script_enabled=False)


def test_a_tree_its_section_a_piece_and_its_first_move(plain: Visitor) -> None:
    place = f"Scriptless Row {plain.is_phone}"
    plain.open("/bench/")
    plain.link("Register a tree")
    plain.type(species="white ash", public_place=place)
    plain.button("Save the tree")
    assert "ash" in plain.heading
    assert plain.says("Fraxinus americana")
    tree = plain.main.locator(".page-head .number").first.inner_text()

    plain.link("Add a section")
    plain.tick("kind", "trunk")
    plain.button("Save")
    [number] = steps.make(plain, (f"{tree} A", "whole"))
    steps.move_on(plain, number)
    assert steps.stage_of(plain, number) == "drying"
    plain.unfold("Take the last step back")
    plain.button("Take it back")
    assert steps.stage_of(plain, number) == "blank"


def test_lists_are_filtered_by_a_button(plain: Visitor) -> None:
    steps.register_tree(plain, "plum", f"Button Row {plain.is_phone}")
    plain.open("/trees/")
    plain.type(find=f"Button Row {plain.is_phone}")
    plain.button("Show")
    assert plain.main.locator(".rows > .row").count() == 1


def test_a_sheet_is_laid_out_and_made(plain: Visitor) -> None:
    number = steps.enter_old(plain, "A plain bowl", "40")
    plain.link("Booth tag")
    plain.button("Go on with those ticked")
    plain.main.locator("[name=sheet]").select_option("a4-21")
    plain.button("Show it so")
    assert plain.main.locator(".cell").count() == 21
    plain.main.locator(".cell input").nth(4).check()
    plain.button("Make the sheet without codes")
    assert plain.main.get_by_role("link", name="Open the sheet").count() >= 1
    assert plain.says(number)


def test_one_more_part_is_offered(plain: Visitor) -> None:
    plain.open("/pieces/make/")
    plain.unfold("Wood from more than one place")
    before = plain.main.locator(".part-form").count()
    plain.type(stored="shelf 3")
    plain.button("Add a part")
    assert plain.main.locator(".part-form").count() == before + 1
    assert plain.main.locator("[name=stored]").input_value() == "shelf 3"
