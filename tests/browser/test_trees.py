"""A tree at pick-up, with one thumb; its sections; stock that was bought."""

import io
import re

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser import steps
from tests.browser.visitor import Visitor

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


def a_photo(colour: str = "sienna") -> bytes:
    data = io.BytesIO()
    Image.new("RGB", (800, 600), colour).save(data, "JPEG")
    return data.getvalue()


def test_a_tree_is_registered_two_taps_from_the_bench(turner: Visitor) -> None:
    turner.open("/bench/")
    turner.link("Register a tree")
    turner.type(species="acer macroph")
    maple = turner.main.locator("label", has_text="Acer macrophyllum")
    maple.locator("input").check()
    turner.tick("certainty", "likely")
    turner.type(public_place="The ferry landing, Hollin Ferry")
    turner.main.locator("input[type=file]").last.set_input_files(
        {"name": "stump.jpg", "mimeType": "image/jpeg", "buffer": a_photo()}
    )
    turner.unfold("Who gives it")
    turner.type(donor_name="Ida Marrow", promised="A bowl for the reading room.")
    turner.unfold("Why and when it came down")
    turner.main.get_by_role("radio", name="Storm").check()
    turner.type(felled="March 2024", collected="yesterday")
    steps.settled(turner)
    turner.look()
    turner.button("Save the tree")

    assert turner.taps == 2
    assert "maple" in turner.heading
    assert "The ferry landing, Hollin Ferry" in turner.heading
    assert re.search(r"T\d\d-\d{3,}-[\dX]", turner.notice)
    for words in ("March 2024", "Ida Marrow", "A bowl for the reading room.", "Acer macrophyllum"):
        assert turner.says(words)
    photo = turner.main.locator(".photo img")
    photo.scroll_into_view_if_needed()
    expect(photo).to_have_js_property("naturalWidth", 480)
    assert turner.says("Still to find out")

    donor = turner.link("Ida Marrow")
    assert donor.locator("h1").inner_text() == "Ida Marrow"


def test_a_guess_and_a_place_are_enough_and_the_page_says_what_is_missing(turner: Visitor) -> None:
    turner.open("/trees/register/")
    turner.button("Save the tree")
    assert turner.path == "/trees/register/"
    assert turner.main.locator(".error").count() == 2
    assert turner.page.locator("[data-focus]").evaluate("it => it === document.activeElement")

    turner.type(species="some sort of plum", public_place="Wren Lane")
    steps.settled(turner)
    turner.button("Save the tree")
    assert turner.says("some sort of plum")
    missing = turner.main.locator(".missing").inner_text()
    assert missing
    turner.link("Fill in")
    turner.unfold("Why and when it came down")
    turner.type(felled="3/4/2023")
    turner.button(re.compile("Save|Write|Keep"))
    assert turner.main.locator("details[open] .error").is_visible()
    turner.type(felled="about 1998")
    turner.button(re.compile("Save|Write|Keep"))
    assert turner.says("about 1998")
    assert turner.main.locator(".missing").inner_text() != missing


def test_sections_get_their_letters(turner: Visitor) -> None:
    tree = steps.register_tree(turner, "white ash", "Millrace Road")
    turner.open("/bench/")
    turner.taps = 0
    turner.follow(turner.main.locator(f"a[href='/trees/{steps.bare(tree)}/']"))
    turner.link("Add a section")
    assert turner.taps == 2
    turner.tick("kind", "crotch")
    turner.type(small_end_mm="10 1/2 in", length_mm="42 cm", count="2", stored="north wall")
    turner.button("Save")
    rows = turner.main.locator(".sections .row").all_inner_texts()
    assert [row.split()[0].strip(":") for row in rows] == ["A", "B"]
    assert all("420 mm" in row and "267 mm" in row for row in rows)

    turner.button("Sealed today")
    assert "ends sealed" in turner.main.locator(".sections .row").first.inner_text()


def test_bought_stock_stands_beside_the_trees(turner: Visitor) -> None:
    turner.open("/bench/")
    turner.room("Trees")
    turner.link("Bought stock")
    turner.link(re.compile("Enter|Add"))
    turner.type(name="Pen blanks", species="cocobolo", supplier_name="Gale & Dunlin Timber")
    steps.settled(turner)
    turner.type(quantity="12", bought="March 2024")
    turner.button(re.compile("Save|Enter|Add"))
    assert turner.says("Pen blanks")
    assert turner.says("Gale & Dunlin Timber")


def test_the_list_is_filtered_by_typing(turner: Visitor) -> None:
    tree = steps.register_tree(turner, "hornbeam", "Quernstone Green")
    turner.open("/trees/")
    turner.main.locator("#id_find").press_sequentially("Quernstone")
    turner.page.wait_for_url("**find=Quernstone")
    steps.settled(turner)
    assert turner.says(tree)
    turner.look()
    turner.main.locator("#id_find").fill("no such place anywhere")
    turner.page.wait_for_url("**find=no**")
    steps.settled(turner)
    assert turner.says("No tree matches")
    turner.look()
    turner.page.go_back()
    turner.main.get_by_text(tree).first.wait_for()
    assert turner.heading == "Trees"
    assert turner.main.locator("#id_find").input_value() == "Quernstone"
    turner.look()


def test_too_many_photos_are_refused_before_they_are_sent(turner: Visitor) -> None:
    turner.open("/trees/register/")
    turner.type(species="cherry", public_place="Wren Lane")
    steps.settled(turner)
    large = a_photo() + bytes(16 * 1024 * 1024)
    for name in ("stump.jpg", "crown.jpg"):
        turner.main.locator("#shot-album").set_input_files(
            {"name": name, "mimeType": "image/jpeg", "buffer": large}
        )
    alert = turner.main.get_by_role("alert")
    expect(alert).to_contain_text("33 MB together: send at most 30 MB at once")
    turner.look()

    turner.press(turner.main.get_by_role("button", name="Save the tree"))
    expect(alert).to_be_focused()
    assert turner.path == "/trees/register/"
    assert turner.main.locator('[name="public_place"]').input_value() == "Wren Lane"

    turner.press(turner.main.get_by_role("button", name="Not this one").last)
    expect(alert).to_be_hidden()
    turner.button("Save the tree")
    assert "Wren Lane" in turner.heading
    assert turner.main.locator(".photo img").count() == 1


def test_one_photo_too_large_is_named(turner: Visitor) -> None:
    turner.open("/trees/register/")
    turner.main.locator("#shot-album").set_input_files(
        {"name": "stump.jpg", "mimeType": "image/jpeg", "buffer": bytes(26 * 1024 * 1024)}
    )
    expect(turner.main.get_by_role("alert")).to_contain_text("stump.jpg is 26 MB")
