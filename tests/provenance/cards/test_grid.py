"""The picture of the sheet."""

from provenance.cards.grid import grid, page_count
from provenance.cards.sheets import SHEETS

SHEET = SHEETS["a4-21"]


def test_places_before_the_first_are_used_and_those_after_the_last_left():
    cells = grid(SHEET, 4, ["26-001-4", "26-002-2"])
    assert [cell.state for cell in cells] == ["used"] * 4 + ["first", "taken"] + ["left"] * 15
    assert [cell.number for cell in cells[4:7]] == ["26-001-4", "26-002-2", ""]
    assert (cells[4].place, cells[4].row, cells[4].column) == (5, 2, 2)


def test_a_print_longer_than_the_sheet_fills_it():
    cells = grid(SHEET, 0, [f"26-{n}" for n in range(30)])
    assert len(cells) == 21
    assert {cell.state for cell in cells[1:]} == {"taken"}


def test_pages_count_the_places_that_are_passed_over():
    assert page_count(SHEET, 0, 21) == 1
    assert page_count(SHEET, 1, 21) == 2
    assert page_count(SHEET, 20, 300) == 16
