"""The picture of a sheet on screen: which places are used up, taken by this print, or left over."""

from collections.abc import Sequence
from dataclasses import dataclass

from provenance.cards.sheets import Sheet


@dataclass(frozen=True)
class GridCell:
    """One place on the first page. `state` is "used", "first", "taken" or "left"."""

    index: int
    row: int
    column: int
    state: str
    number: str = ""

    @property
    def place(self) -> int:
        """The place as people count it, from 1."""
        return self.index + 1


def grid(sheet: Sheet, first_cell: int, numbers: Sequence[str]) -> list[GridCell]:
    """Return the places of the first page in rows, with the numbers that this print puts there."""
    cells = []
    for index in range(sheet.per_page):
        row, column = divmod(index, sheet.columns)
        taken = index - first_cell
        number = numbers[taken] if 0 <= taken < len(numbers) else ""
        state = "used" if taken < 0 else "first" if taken == 0 else "taken" if number else "left"
        cells.append(GridCell(index, row + 1, column + 1, state, number))
    return cells


def page_count(sheet: Sheet, first_cell: int, count: int) -> int:
    """Return how many pages so many labels or cards take."""
    return -(-(first_cell + count) // sheet.per_page)
