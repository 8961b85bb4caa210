"""Reading prints back: text, boxes, fonts and codes of a PDF as others' libraries see them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp

from provenance.cards.sheets import Cell

MM = 72 / 25.4
# reportlab writes coordinates with six decimals at most; a hundredth of a point is 4 µm.
CLOSE = 0.01


@dataclass(frozen=True)
class Area:
    """A rectangle in points from the page's top left corner."""

    x0: float
    top: float
    x1: float
    bottom: float

    def holds(self, other: "Area") -> bool:
        return (
            self.x0 - CLOSE <= other.x0
            and self.top - CLOSE <= other.top
            and other.x1 <= self.x1 + CLOSE
            and other.bottom <= self.bottom + CLOSE
        )

    def meets(self, other: "Area") -> bool:
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > CLOSE
            and min(self.bottom, other.bottom) - max(self.top, other.top) > CLOSE
        )

    def grown(self, by: float) -> "Area":
        return Area(self.x0 - by, self.top - by, self.x1 + by, self.bottom + by)

    @classmethod
    def around(cls, areas: "list[Area]") -> "Area":
        return cls(
            min(area.x0 for area in areas),
            min(area.top for area in areas),
            max(area.x1 for area in areas),
            max(area.bottom for area in areas),
        )

    @classmethod
    def of(cls, thing: dict[str, Any]) -> "Area":
        return cls(thing["x0"], thing["top"], thing["x1"], thing["bottom"])

    @classmethod
    def of_cell(cls, cell: Cell) -> "Area":
        return cls(cell.left_mm * MM, cell.top_mm * MM, cell.right_mm * MM, cell.bottom_mm * MM)


class Printed:
    """A PDF read back."""

    def __init__(self, pdf: bytes) -> None:
        self.pdf = pdf
        with pdfplumber.open(BytesIO(pdf)) as document:
            self.pages: list[dict[str, Any]] = [
                {
                    "width": page.width,
                    "height": page.height,
                    "chars": page.chars,
                    "rects": page.rects,
                    "curves": page.curves,
                    "lines": page.lines,
                }
                for page in document.pages
            ]

    @property
    def reader(self) -> pypdf.PdfReader:
        return pypdf.PdfReader(BytesIO(self.pdf))

    def text(self, page: int = 0) -> str:
        return " ".join(self.reader.pages[page].extract_text().split())

    def squeezed(self, page: int = 0) -> str:
        """The page's characters in drawn order, without any spaces."""
        return "".join("".join(c["text"] for c in self.pages[page]["chars"]).split())

    def fonts(self) -> dict[str, bool]:
        """Each font's name, and whether its file is embedded."""
        found: dict[str, bool] = {}
        for page in self.reader.pages:
            resources: Any = page["/Resources"]
            for font in resources.get("/Font", {}).values():
                font = font.get_object()
                descriptor = font.get("/FontDescriptor")
                found[font["/BaseFont"]] = bool(
                    descriptor and "/FontFile2" in descriptor.get_object()
                )
        return found

    def codes(self, dpi: int, page: int = 0) -> list[str]:
        """The text of each QR code that a scanner finds in the page rendered at so many dpi."""
        document = pypdfium2.PdfDocument(self.pdf)
        try:
            image = document[page].render(scale=dpi / 72, grayscale=True).to_pil()
        finally:
            document.close()
        return [code.text for code in zxingcpp.read_barcodes(image)]

    def outlines(self, page: int = 0) -> list[Area]:
        """The cells' edges, in the order they were drawn."""
        return [
            Area.of(rect)
            for rect in self.pages[page]["rects"]
            if rect["stroke"] and not rect["fill"]
        ]

    def modules(self, page: int = 0) -> list[Area]:
        """The dark runs of all codes on the page."""
        return [Area.of(rect) for rect in self.pages[page]["rects"] if rect["fill"]]

    def marks(self, page: int = 0) -> list[Area]:
        """What is drawn with curves: the parts of ring marks."""
        return [Area.of(curve) for curve in self.pages[page]["curves"]]

    def runs(self, page: int = 0) -> Iterator[Area]:
        """Stretches of text as high as their capitals, from the baseline up."""
        height = self.pages[page]["height"]
        rows: dict[tuple[float, float], list[dict]] = {}
        for char in self.pages[page]["chars"]:
            key = (round(char["matrix"][5], 2), round(char["size"], 2))
            rows.setdefault(key, []).append(char)
        for (baseline, size), chars in rows.items():
            bottom = height - baseline
            run: list[dict] = []
            for char in sorted(chars, key=lambda c: c["x0"]):
                if run and char["x0"] - run[-1]["x1"] > size * 0.6:
                    yield Area(run[0]["x0"], bottom - size * 0.66, run[-1]["x1"], bottom)
                    run = []
                run.append(char)
            yield Area(run[0]["x0"], bottom - size * 0.66, run[-1]["x1"], bottom)

    def assert_sound(self, cell: Area, page: int = 0, quiet_margin: float = 0) -> None:
        """All lies within the cell, and nothing lies on something else or in a quiet zone.

        `quiet_margin` (points) is how far within the cell the quiet zone has to keep.
        """
        runs = list(self.runs(page))
        marks, modules = self.marks(page), self.modules(page)
        chars = [Area.of(char) for char in self.pages[page]["chars"]]
        for area in (*chars, *marks, *modules):
            assert cell.holds(area), (cell, area)
        for index, run in enumerate(runs):
            assert not any(run.meets(other) for other in runs[index + 1 :]), (run, runs)
            assert not any(run.meets(mark) for mark in marks)
        if modules:
            code = Area.around(modules)
            module = min(area.bottom - area.top for area in modules)
            quiet = code.grown(4 * module)
            assert cell.grown(-quiet_margin).holds(quiet)
            assert not any(quiet.meets(other) for other in (*runs, *marks)), quiet


@pytest.fixture
def printed() -> Callable[[bytes], Printed]:
    return Printed


@pytest.fixture
def area_of() -> Callable[[Cell], Area]:
    return Area.of_cell
