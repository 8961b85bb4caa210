"""The label and card sheets we print on: where each cell lies on its paper.

Figures are in `sheets.csv`, each row with its trust ("read", "memory", "derived") and its source.
Lengths are millimetres from the paper's top left corner.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from importlib import resources

# ISO 216 for the A sizes; Letter is 8.5 × 11 in (ANSI/ASME Y14.1 size A).
PAPERS_MM: dict[str, tuple[float, float]] = {
    "letter": (215.9, 279.4),
    "a4": (210.0, 297.0),
    "a6": (105.0, 148.0),
}
PAPER_NAMES = {"letter": "Letter", "a4": "A4", "a6": "A6"}


@dataclass(frozen=True)
class Cell:
    """One label or card on its sheet, in millimetres from the paper's top left corner."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        return self.top_mm + self.height_mm


@dataclass(frozen=True)
class Sheet:
    """A sheet's geometry and how far it can be trusted."""

    slug: str
    paper: str
    kind: str
    columns: int
    rows: int
    width_mm: float
    height_mm: float
    left_mm: float
    top_mm: float
    pitch_x_mm: float
    pitch_y_mm: float
    trust: str
    source: str

    @property
    def per_page(self) -> int:
        return self.columns * self.rows

    @property
    def page_mm(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return PAPERS_MM[self.paper]

    @property
    def gap_x_mm(self) -> float:
        return self.pitch_x_mm - self.width_mm

    @property
    def gap_y_mm(self) -> float:
        return self.pitch_y_mm - self.height_mm

    @property
    def is_from_memory(self) -> bool:
        """Whether the page that offers this sheet has to say so."""
        return self.trust == "memory"

    @cached_property
    def description(self) -> str:
        """For a list to choose from: "30 labels to a Letter sheet, 66.7 × 25.4 mm"."""
        size = f"{self.width_mm:.1f} × {self.height_mm:.1f}".replace(".0", "")
        paper = PAPER_NAMES[self.paper]
        if self.per_page == 1:
            return f"One {self.kind} to an {paper} page, {size} mm"
        article = "an" if paper.startswith("A") else "a"
        return f"{self.per_page} {self.kind}s to {article} {paper} sheet, {size} mm"

    def cell_box(self, index: int) -> Cell:
        """The cell with this index, counted from 0 along the rows from the top left."""
        if not 0 <= index < self.per_page:
            raise IndexError(f"{self.slug} has cells 0 to {self.per_page - 1}, not {index}")
        row, column = divmod(index, self.columns)
        return Cell(
            left_mm=self.left_mm + column * self.pitch_x_mm,
            top_mm=self.top_mm + row * self.pitch_y_mm,
            width_mm=self.width_mm,
            height_mm=self.height_mm,
        )


def _read_sheets() -> Iterator[Sheet]:
    table = resources.files(__package__).joinpath("sheets.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(table.splitlines()):
        yield Sheet(
            slug=row["slug"],
            paper=row["paper"],
            kind=row["kind"],
            columns=int(row["columns"]),
            rows=int(row["rows"]),
            width_mm=float(row["width_mm"]),
            height_mm=float(row["height_mm"]),
            left_mm=float(row["left_mm"]),
            top_mm=float(row["top_mm"]),
            pitch_x_mm=float(row["pitch_x_mm"]),
            pitch_y_mm=float(row["pitch_y_mm"]),
            trust=row["trust"],
            source=row["source"],
        )


SHEETS: dict[str, Sheet] = {sheet.slug: sheet for sheet in _read_sheets()}
