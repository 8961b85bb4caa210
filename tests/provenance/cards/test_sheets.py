"""The sheets' table against the figures it was made from, and cells where it says they are."""

import pytest

from provenance.cards.sheets import PAPERS_MM, SHEETS, Sheet

# Geometry as gathered from publications: columns, rows, width, height, left, top, pitch x, pitch y.
PUBLISHED = {
    "letter-30": (3, 10, 66.675, 25.4, 4.7625, 12.7, 69.85, 25.4),
    "letter-80": (4, 20, 44.45, 12.7, 7.14375, 12.7, 52.3875, 12.7),
    "letter-10": (2, 5, 101.6, 50.8, 3.96875, 12.7, 106.3625, 50.8),
    "letter-cards-10": (2, 5, 88.9, 50.8, 19.05, 12.7, 88.9, 50.8),
    "a4-21": (3, 7, 63.5, 38.1, 7.21, 15.15, 66.04, 38.1),
    "a4-65": (5, 13, 38.1, 21.2, 4.75, 10.7, 40.6, 21.2),
    "a4-cards-10": (2, 5, 85, 54, 15, 13.5, 95, 54),
    "a4-postcards-4": (2, 2, 105, 148.5, 0, 0, 105, 148.5),
}

every_sheet = pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)


@pytest.mark.parametrize(("slug", "figures"), PUBLISHED.items(), ids=PUBLISHED)
def test_geometry_is_the_published_one(slug: str, figures: tuple[float, ...]) -> None:
    sheet = SHEETS[slug]

    assert figures == (
        sheet.columns,
        sheet.rows,
        sheet.width_mm,
        sheet.height_mm,
        sheet.left_mm,
        sheet.top_mm,
        sheet.pitch_x_mm,
        sheet.pitch_y_mm,
    )


@every_sheet
def test_margins_labels_and_gaps_add_up_to_the_paper(sheet: Sheet) -> None:
    width = 2 * sheet.left_mm + (sheet.columns - 1) * sheet.pitch_x_mm + sheet.width_mm
    height = 2 * sheet.top_mm + (sheet.rows - 1) * sheet.pitch_y_mm + sheet.height_mm

    assert (width, height) == pytest.approx(sheet.page_mm, abs=0.01)


@every_sheet
def test_cells_lie_on_the_paper_and_never_on_each_other(sheet: Sheet) -> None:
    cells = [sheet.cell_box(index) for index in range(sheet.per_page)]

    for index, cell in enumerate(cells):
        assert cell.left_mm >= 0
        assert cell.top_mm >= 0
        assert cell.right_mm <= sheet.page_mm[0] + 1e-6
        assert cell.bottom_mm <= sheet.page_mm[1] + 1e-6
        for other in cells[index + 1 :]:
            beside = other.left_mm >= cell.right_mm - 1e-6 or cell.left_mm >= other.right_mm - 1e-6
            below = other.top_mm >= cell.bottom_mm - 1e-6 or cell.top_mm >= other.bottom_mm - 1e-6
            assert beside or below


def test_cells_are_counted_along_the_rows() -> None:
    sheet = SHEETS["letter-30"]

    assert (sheet.cell_box(0).left_mm, sheet.cell_box(0).top_mm) == (4.7625, 12.7)
    assert sheet.cell_box(2).left_mm == pytest.approx(4.7625 + 2 * 69.85)
    assert sheet.cell_box(3).left_mm == 4.7625
    assert sheet.cell_box(3).top_mm == pytest.approx(12.7 + 25.4)


@pytest.mark.parametrize("index", [-1, 30])
def test_a_cell_off_the_sheet_is_refused(index: int) -> None:
    with pytest.raises(IndexError):
        SHEETS["letter-30"].cell_box(index)


@every_sheet
def test_every_row_says_how_far_it_can_be_trusted(sheet: Sheet) -> None:
    assert sheet.trust in {"read", "memory", "derived"}
    assert sheet.source
    assert sheet.is_from_memory == ("common practice" in sheet.source)


def test_descriptions_tell_the_sheets_apart() -> None:
    assert SHEETS["letter-30"].description == "30 labels to a Letter sheet, 66.7 × 25.4 mm"
    assert SHEETS["a4-cards-10"].description == "10 cards to an A4 sheet, 85 × 54 mm"
    assert SHEETS["a6-page"].description == "One card to an A6 page, 105 × 148 mm"
    assert len({sheet.description for sheet in SHEETS.values()}) == len(SHEETS)


def test_gaps_are_what_the_pitch_leaves() -> None:
    assert SHEETS["a4-cards-10"].gap_x_mm == 10
    assert SHEETS["a4-cards-10"].gap_y_mm == 0


def test_papers_are_those_of_the_standards() -> None:
    # ISO 216; Letter is 8.5 × 11 in.
    assert PAPERS_MM["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert PAPERS_MM["a4"] == (210, 297)
    assert PAPERS_MM["a6"] == (105, 148)
