"""A weigh round on a phone at the shelf."""

import re
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser import steps
from tests.browser.conftest import SCREENS
from tests.browser.visitor import Visitor

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture
def screen() -> dict[str, Any]:
    """A phone alone: that is where a round is made."""
    return SCREENS["phone"]


def test_two_pieces_a_question_and_a_phone_that_locks_midway(turner: Visitor) -> None:
    tree = steps.register_tree(turner, "white ash", "Weighing Lane")
    steps.add_section(turner, tree)
    numbers = steps.make(turner, (f"{tree} A", "whole"), count=3)
    steps.move_on(turner, *numbers)

    turner.open("/drying/")
    turner.link("Start a weigh round")
    turner.button("Start a round")
    shown, number = turner.main.locator(".on-scale-number"), turner.main.locator("[name=number]")
    mass = turner.main.locator("[name=mass_g]")
    expect(shown).to_have_text(numbers[0])
    turner.type(mass_g="1240")
    turner.button("Next")
    expect(shown).to_have_text(numbers[1])

    # The same piece a second time is asked about; the phone locks over the question.
    turner.type(number=numbers[0].split("-")[1], mass_g="1500")
    turner.button("Next")
    expect(turner.main.locator(".notice")).to_contain_text("more than the 1240 g")
    turner.page.reload(wait_until="load")
    turner.look()
    expect(shown).to_have_text(numbers[1])
    expect(number).to_have_value(numbers[0].split("-")[1])
    expect(mass).to_have_value("1500")
    turner.button("Next")
    turner.button("Keep it")
    expect(turner.main.locator(".notices")).to_contain_text(f"{numbers[0]}: 1500 g")

    # What was kept is forgotten; what is half typed is not.
    expect(mass).to_have_value("")
    expect(shown).to_have_text(numbers[1])
    turner.type(mass_g="99")
    turner.page.goto(f"{turner.origin}/drying/", wait_until="load")
    turner.link("Go on with the round")
    expect(mass).to_have_value("99")
    turner.button("Skip for now")
    expect(shown).to_have_text(numbers[2])
    expect(mass).to_have_value("")

    turner.button("End the round")
    assert turner.says("1 piece weighed")
    turner.page.go_back()
    expect(turner.page).to_have_url(re.compile("/drying/round/"))
