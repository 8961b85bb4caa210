"""What a turner does over and over. Each starts on any page and ends on the one that it made."""

import re

from playwright.sync_api import Locator, expect

from tests.browser.visitor import Visitor


def register_tree(turner: Visitor, wood: str, place: str) -> str:
    """Register a tree in the fewest words; return its number, with dashes."""
    turner.open("/trees/register/")
    turner.type(species=wood, public_place=place)
    settled(turner)
    turner.button("Save the tree")
    return turner.main.locator(".page-head .number").first.inner_text()


def add_section(turner: Visitor, tree: str, kind: str = "trunk", count: int = 1) -> None:
    """Cut sections from the tree of that number."""
    turner.open(f"/trees/{bare(tree)}/sections/add/")
    turner.tick("kind", kind)
    turner.type(count=str(count))
    turner.button("Save")


def make(
    turner: Visitor,
    *sources: tuple[str, str],
    form: str = "bowl",
    method: str = "twice-turned",
    count: int = 1,
) -> list[str]:
    """Make pieces of sections (each with its role); return their numbers, with dashes."""
    turner.open("/pieces/make/")
    if len(sources) > 1:
        turner.unfold("Wood from more than one place")
    for row, (source, role) in enumerate(sources):
        pick(turner.main.locator(f"[name=parts-{row}-source]"), source)
        pick(turner.main.locator(f"[name=parts-{row}-role]"), role)
    pick(turner.main.locator("[name=form]"), form)
    turner.type(count=str(count))
    method_named(turner, method)
    turner.button("Give out the number")
    return numbers_in(turner.main.locator(".numbers"))


def enter_old(turner: Visitor, title: str, price: str = "") -> str:
    """Enter a finished bowl from before the book; return its number, with dashes."""
    turner.open("/pieces/enter-old/")
    pick(turner.main.locator("[name=form]"), "bowl")
    method_named(turner, "single")
    turner.unfold("Title, edge, grain, price")
    turner.type(title=title, price_minor=price)
    turner.button("Enter it")
    return numbers_in(turner.page.locator("h1"))[0]


def publish(turner: Visitor, number: str) -> None:
    """Open the public page of a piece."""
    turner.open(f"/pieces/{bare(number)}/")
    turner.unfold("Open its public page")
    turner.button("Open the page")


def method_named(turner: Visitor, words: str) -> None:
    """Choose the method whose label begins with these words."""
    label = turner.main.locator("fieldset label", has_text=re.compile(words, re.IGNORECASE))
    label.locator("input").first.check()


def move_on(turner: Visitor, *numbers: str) -> None:
    """Make the next move with the pieces of these numbers, found in the list and ticked."""
    turner.open("/pieces/")
    tick(turner, *numbers)
    turner.button("Move on")
    turner.main.locator("form button.button-main").scroll_into_view_if_needed()
    turner.follow(turner.main.locator("form button.button-main"))


def tick(turner: Visitor, *numbers: str) -> None:
    """Tick pieces in the list."""
    for number in numbers:
        turner.main.get_by_label(f"Tick {number}").check()


def stage_of(turner: Visitor, number: str) -> str:
    """Return the stage that the piece's page shows."""
    turner.open(f"/pieces/{bare(number)}/")
    return turner.main.locator(".page-head .stage-mark").inner_text().strip().lower()


def journal(turner: Visitor) -> list[str]:
    """Return the entries of the journal on this page, the newest first."""
    entries = turner.main.locator("h2:has-text('Journal') ~ ol.line, .journal").last
    return [re.sub(r"\s+", " ", text) for text in entries.locator("> li").all_inner_texts()]


def pick(choice: Locator, words: str) -> None:
    """Choose the first entry of a list that holds these words."""
    entry = choice.locator("option", has_text=words).first
    choice.select_option(entry.get_attribute("value") or "")


def settled(turner: Visitor) -> None:
    """Wait until no fragment is on its way."""
    if not turner.has_script:
        return
    turner.page.wait_for_timeout(300)  # longer than a field waits for the next letter
    expect(turner.page.locator(".htmx-request")).to_have_count(0)


def numbers_in(place: Locator) -> list[str]:
    """Return the piece numbers that stand there."""
    return numbers_in_text(place.inner_text())


def bare(number: str) -> str:
    """Return a number as it stands in an address."""
    return number.replace("-", "")


def numbers_in_text(words: str) -> list[str]:
    """Return the piece numbers in these words, in order."""
    return re.findall(r"\b\d\d-\d{3,}-[\dX]\b", words)
