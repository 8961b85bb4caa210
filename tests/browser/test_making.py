"""From the section to the finished piece: runs, moves, losses, promises, and steps taken back."""

import re

import pytest

from tests.browser import steps
from tests.browser.visitor import Visitor

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture
def tree(turner: Visitor) -> str:
    """The number of a tree with two sections, A and B."""
    tree = steps.register_tree(turner, "white ash", "Saltmarsh Lane")
    steps.add_section(turner, tree, count=2)
    return tree


def sequence(number: str) -> int:
    return int(number.split("-")[1])


def test_a_run_gets_numbers_that_follow_each_other(turner: Visitor, tree: str) -> None:
    turner.open(f"/trees/{steps.bare(tree)}/")
    turner.link("Make pieces from it")
    steps.pick(turner.main.locator("[name=parts-0-source]"), f"{tree} A")
    steps.pick(turner.main.locator("[name=form]"), "bowl")
    steps.method_named(turner, "twice")
    turner.type(count="3", stored="shelf 2")
    turner.button("Give out the number")
    numbers = steps.numbers_in(turner.main.locator(".numbers"))
    first = sequence(numbers[0])
    assert [sequence(number) for number in numbers] == [first, first + 1, first + 2]
    for number in numbers:
        assert steps.stage_of(turner, number) == "blank"
    assert turner.says(f"{tree} A")


def test_a_vase_of_two_logs_tells_of_both_trees(turner: Visitor, tree: str) -> None:
    other = steps.register_tree(turner, "black walnut", "Chapel Yard")
    steps.add_section(turner, other, kind="limb")
    [vase] = steps.make(
        turner, (f"{tree} A", "body"), (f"{other} A", "neck"), form="vase", method="twice"
    )
    turner.open(f"/pieces/{steps.bare(vase)}/")
    parts = turner.main.locator(".part-row").all_inner_texts()
    assert len(parts) == 2
    assert "Body" in parts[0]
    assert tree in parts[0]
    assert "Neck" in parts[1]
    assert other in parts[1]


def test_one_more_part_is_offered_and_what_was_typed_stays(turner: Visitor, tree: str) -> None:
    turner.open("/pieces/make/")
    turner.unfold("Wood from more than one place")
    rows = turner.main.locator(".part-form")
    before = rows.count()
    steps.pick(turner.main.locator("[name=parts-0-source]"), f"{tree} B")
    turner.press(turner.main.get_by_role("button", name="Add a part"))
    turner.main.locator(f"[name=parts-{before}-source]").wait_for()
    assert rows.count() == before + 1
    chosen = turner.main.locator("[name=parts-0-source] option:checked")
    assert f"{tree} B" in chosen.inner_text()
    turner.look()


def test_several_go_on_together_from_blank_to_finished(turner: Visitor, tree: str) -> None:
    numbers = steps.make(turner, (f"{tree} A", "whole"), count=3)
    for stage in ("drying", "dry", "trued up", "in finish", "finished"):
        steps.move_on(turner, *numbers)
        assert "3 pieces" in turner.notice
        turner.open(f"/pieces/?find={steps.bare(tree)}")
        marks = turner.main.locator(".row .stage-mark").all_inner_texts()
        assert [mark.strip().lower() for mark in marks] == [stage] * 3
    turner.open(f"/pieces/{steps.bare(numbers[0])}/")
    assert len(steps.journal(turner)) >= 6


def test_a_move_takes_sizes_minutes_words_and_a_vague_date(turner: Visitor, tree: str) -> None:
    [number] = steps.make(turner, (f"{tree} A", "whole"))
    turner.open(f"/pieces/{steps.bare(number)}/")
    turner.link("Rough it out")
    turner.type(rough_diameter_mm="ten", minutes="45", words="Bark stayed on.")
    turner.button("Rough it out")
    assert turner.main.locator(".error").count() == 1
    assert turner.main.locator("[name=words]").input_value() == "Bark stayed on."
    turner.type(rough_diameter_mm="10 1/2 in", rough_wall_mm="27 mm")
    turner.button("Rough it out")
    assert steps.stage_of(turner, number) == "drying"
    assert turner.says("267 mm")
    newest = steps.journal(turner)[0]
    assert "Roughed out" in newest
    assert "Bark stayed on." in newest
    assert "45" in newest


def test_pieces_at_different_stages_are_moved_group_by_group(turner: Visitor, tree: str) -> None:
    numbers = steps.make(turner, (f"{tree} A", "whole"), count=2)
    steps.move_on(turner, numbers[0])
    turner.open(f"/pieces/?find={steps.bare(tree)}")
    steps.tick(turner, *numbers)
    turner.button("Move on")
    assert turner.heading == "Not all of these go on together"
    turner.button(f"Call it dry: {numbers[0]}")
    assert turner.says(numbers[0])
    assert turner.heading.startswith("Call it dry")


def test_a_step_is_taken_back_and_the_journal_keeps_both(turner: Visitor, tree: str) -> None:
    [number] = steps.make(turner, (f"{tree} A", "whole"))
    steps.move_on(turner, number)
    assert steps.stage_of(turner, number) == "drying"
    before = len(steps.journal(turner))
    turner.unfold("Take the last step back")
    turner.type(words="Wrong blank.")
    turner.button("Take it back")
    assert steps.stage_of(turner, number) == "blank"
    entries = steps.journal(turner)
    assert len(entries) == before + 1
    assert "Wrong blank." in entries[0]
    assert turner.main.get_by_role("link", name="Rough it out").count() == 1


def test_a_loss_has_its_cause_and_can_be_taken_back(turner: Visitor, tree: str) -> None:
    numbers = steps.make(turner, (f"{tree} B", "whole"), count=2)
    turner.open(f"/pieces/?find={steps.bare(tree)}")
    steps.tick(turner, *numbers)
    turner.button("Record a loss")
    turner.button(re.compile("Record the loss"))
    assert turner.main.locator(".error").count() == 1
    steps.pick(turner.main.locator("[name=cause]"), "crack")
    turner.button(re.compile("Record the loss"))
    assert steps.stage_of(turner, numbers[0]) == "lost"
    assert turner.main.get_by_role("link", name="Rough it out").count() == 0
    turner.unfold("Take the last step back")
    turner.button("Take it back")
    assert steps.stage_of(turner, numbers[0]) == "blank"
    assert turner.main.get_by_role("link", name="Rough it out").count() == 1


def test_a_promise_stops_a_loss_until_a_reason_is_given(turner: Visitor, tree: str) -> None:
    [number] = steps.make(turner, (f"{tree} A", "whole"))
    turner.open(f"/trees/{steps.bare(tree)}/")
    turner.link("Write down a promise")
    turner.type(promised="A bowl for the reading room.", holder_name=f"Ida Marrow of {tree}")
    turner.main.get_by_label(re.compile(f"{tree} A")).check()
    turner.button("Write it down")
    assert turner.says("A bowl for the reading room.")

    turner.open(f"/pieces/{steps.bare(number)}/")
    turner.link("Record its loss")
    steps.pick(turner.main.locator("[name=cause]"), "crack")
    turner.button("Record the loss")
    assert turner.says("is kept for a promise")
    turner.type(reason="The family agreed to another bowl.")
    turner.button("Record the loss")
    assert steps.stage_of(turner, number) == "lost"
    assert "The family agreed to another bowl." in " ".join(steps.journal(turner))


def test_a_piece_from_before_the_book_keeps_its_mark(turner: Visitor) -> None:
    turner.open("/bench/")
    turner.taps = 0
    turner.room("Pieces")
    turner.link("From before the book")
    assert turner.taps == 2
    steps.pick(turner.main.locator("[name=form]"), "bowl")
    steps.method_named(turner, "single")
    turner.type(old_mark="No. 14 / plum", done="about 1998")
    turner.button(re.compile("Enter"))
    assert turner.says("marked “No. 14 / plum”")
    assert turner.says("about 1998")
    assert turner.says("Not known")
