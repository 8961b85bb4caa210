"""What all printed sheets share: inks, the document, its cells, cut marks and outlines."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from io import BytesIO
from itertools import pairwise
from typing import TypeVar

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing
from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards.sheets import Sheet
from provenance.cards.type import SANS, printable, register_fonts
from provenance.drawing.ring_mark import ring_mark
from provenance.record.errors import RecordError

INK = HexColor("#2B211A")
SOFT_INK = HexColor("#6B5B4E")
LINE = HexColor("#D8CCBA")
# A hairline that office printers still lay down.
HAIRLINE = 0.4
# How far a sheet may be fed askew before a label loses something; common practice.
DRIFT_MM = 1.0

_Facts = TypeVar("_Facts")


class NothingToPrint(RecordError):
    """No piece was chosen."""


class NoSuchCell(RecordError):
    """The first free cell lies outside the sheet."""


class SheetTooSmall(RecordError):
    """This kind of print does not go on this sheet."""


@dataclass(frozen=True)
class Box:
    """A rectangle on the page in points; x and y are its lower left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        return self.x + self.width

    @property
    def top(self) -> float:
        return self.y + self.height

    def inset(self, horizontal: float, vertical: float) -> "Box":
        """The rectangle that is so much smaller on each side, in points."""
        return Box(
            self.x + horizontal,
            self.y + vertical,
            self.width - 2 * horizontal,
            self.height - 2 * vertical,
        )


def open_document(
    page_mm: tuple[float, float], *, title: str, maker: str, language: str
) -> tuple[Canvas, BytesIO]:
    """A canvas whose bytes depend on nothing but what is drawn, and the buffer it writes to."""
    register_fonts()
    buffer = BytesIO()
    canvas = Canvas(
        buffer,
        pagesize=(page_mm[0] * mm, page_mm[1] * mm),
        invariant=1,
        pageCompression=1,
        initialFontName=SANS,  # else reportlab refers to a font that it doesn't embed
        lang=language,
    )
    canvas.setTitle(printable(title))
    canvas.setAuthor(printable(maker))
    canvas.setCreator("Bolebook")
    return canvas, buffer


def cell_on_page(sheet: Sheet, index: int) -> Box:
    """The sheet's cell as points from the page's lower left corner."""
    cell = sheet.cell_box(index)
    page_height = sheet.page_mm[1]
    return Box(
        cell.left_mm * mm,
        (page_height - cell.bottom_mm) * mm,
        cell.width_mm * mm,
        cell.height_mm * mm,
    )


def placed(
    facts: Sequence[_Facts], sheet: Sheet, first_cell: int
) -> Iterator[tuple[int, int, _Facts]]:
    """(page, cell, fact) for each fact, beginning at `first_cell` of the first page."""
    if not facts:
        raise NothingToPrint("Nothing is chosen: choose at least one piece to print.")
    if not 0 <= first_cell < sheet.per_page:
        raise NoSuchCell(
            f"This sheet has {sheet.per_page} {sheet.kind}s: "
            f"choose the first free one from 1 to {sheet.per_page}."
        )
    for number, fact in enumerate(facts, start=first_cell):
        page, cell = divmod(number, sheet.per_page)
        yield page, cell, fact


def fill_sheets(
    facts: Sequence[_Facts],
    sheet: Sheet,
    draw: Callable[[Canvas, Box, _Facts], None],
    *,
    first_cell: int,
    title: str,
    maker: str,
    language: str,
    outlines: bool,
) -> bytes:
    """Draw each fact in its cell, on as many pages as it takes; returns the PDF.

    `outlines` draws each used cell's edge, for a trial on plain paper.
    """
    places = list(placed(facts, sheet, first_cell))
    canvas, buffer = open_document(sheet.page_mm, title=title, maker=maker, language=language)
    current = -1
    for page, cell, fact in places:
        if page != current:
            if current >= 0:
                canvas.showPage()
            current = page
            if sheet.kind == "card":
                draw_cut_marks(canvas, sheet)
        box = cell_on_page(sheet, cell)
        if outlines:
            draw_outline(canvas, box)
        canvas.saveState()
        canvas.setFillColor(INK)
        draw(canvas, box, fact)
        canvas.restoreState()
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def draw_outline(canvas: Canvas, box: Box) -> None:
    """The cell's edge as a hairline."""
    canvas.saveState()
    canvas.setStrokeColor(SOFT_INK)
    canvas.setLineWidth(HAIRLINE)
    canvas.rect(box.x, box.y, box.width, box.height, stroke=1, fill=0)
    canvas.restoreState()


def draw_cut_marks(canvas: Canvas, sheet: Sheet) -> None:
    """Hairlines that show where to cut, kept off the cards.

    They stand in the paper's margins and in gutters wide enough to hold them. Where the cards fill
    the whole paper they lie on the cut itself, short, and clear of what printers can't reach.
    """
    lines = [*_marks(sheet, 0), *_marks(sheet, 1)]
    if not lines:
        return
    canvas.saveState()
    canvas.setStrokeColor(SOFT_INK)
    canvas.setLineWidth(0.25)
    page_height = sheet.page_mm[1]
    for x1, y1, x2, y2 in lines:
        canvas.line(x1 * mm, (page_height - y1) * mm, x2 * mm, (page_height - y2) * mm)
    canvas.restoreState()


_MARK_MM = 4.0
_MARK_GAP_MM = 1.0
_UNPRINTED_MM = 4.5


def _marks(sheet: Sheet, axis: int) -> list[tuple[float, float, float, float]]:
    """Marks across one axis (0: at the cards' left and right edges) as lines in millimetres."""
    spans = [_edges(sheet, 0), _edges(sheet, 1)]
    page = sheet.page_mm[axis], sheet.page_mm[1 - axis]
    cuts = sorted({edge for span in spans[axis] for edge in span})
    cuts = [cut for cut in cuts if 0.01 < cut < page[0] - 0.01]
    across = spans[1 - axis]
    reaches = _reaches(across, page[1])
    marks = []
    for cut in cuts:
        for start, end in reaches:
            marks.append((cut, start, cut, end) if axis == 0 else (start, cut, end, cut))
    return marks


def _edges(sheet: Sheet, axis: int) -> list[tuple[float, float]]:
    """Where each column (axis 0) or row (axis 1) of cards begins and ends, in millimetres."""
    first, pitch, size, count = (
        (sheet.left_mm, sheet.pitch_x_mm, sheet.width_mm, sheet.columns),
        (sheet.top_mm, sheet.pitch_y_mm, sheet.height_mm, sheet.rows),
    )[axis]
    return [(round(first + pitch * n, 4), round(first + pitch * n + size, 4)) for n in range(count)]


def _reaches(spans: list[tuple[float, float]], page: float) -> list[tuple[float, float]]:
    """The stretches along a cut where a mark may stand."""
    first, last = spans[0][0], spans[-1][1]
    if first < _UNPRINTED_MM:  # no margin: on the cut, at the paper's ends and at each crossing
        inner = [(b - _MARK_MM / 2, b + _MARK_MM / 2) for _, b in spans[:-1]]
        ends = [
            (_UNPRINTED_MM, _UNPRINTED_MM + _MARK_MM),
            (page - _UNPRINTED_MM - _MARK_MM, page - _UNPRINTED_MM),
        ]
        return [*ends, *inner] if inner else []
    reaches = [
        (max(_UNPRINTED_MM, first - _MARK_GAP_MM - _MARK_MM), first - _MARK_GAP_MM),
        (last + _MARK_GAP_MM, min(page - _UNPRINTED_MM, last + _MARK_GAP_MM + _MARK_MM)),
    ]
    for (_, end), (start, _) in pairwise(spans):
        if start - end >= _MARK_MM + 2 * _MARK_GAP_MM:
            middle = (start + end) / 2
            reaches.append((middle - _MARK_MM / 2, middle + _MARK_MM / 2))
    return reaches


def draw_rule(canvas: Canvas, x1: float, x2: float, y: float) -> None:
    """A thin line across, in the quiet line colour."""
    canvas.saveState()
    canvas.setStrokeColor(LINE)
    canvas.setLineWidth(HAIRLINE)
    canvas.line(x1, y, x2, y)
    canvas.restoreState()


def draw_ring_mark(
    canvas: Canvas, seed: str, rings: int | None, x: float, top: float, size: float
) -> None:
    """The tree's ring mark with its upper left corner at (x, top), so many points wide."""
    draw_picture(canvas, ring_mark(seed, rings, size), x, top - size)


def draw_picture(canvas: Canvas, picture: Drawing, x: float, y: float) -> None:
    """A drawing with its lower left corner at (x, y)."""
    # Even a picture without words sets a font, by default one that reportlab doesn't embed.
    picture.initialFontName = SANS
    renderPDF.draw(picture, canvas, x, y)
