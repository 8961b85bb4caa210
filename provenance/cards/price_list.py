"""The price list for the booth: a box to tick, number, what it is, species, size and price.

Lengths are points unless the name says millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import (
    INK,
    SOFT_INK,
    NothingToPrint,
    draw_rule,
    open_document,
)
from provenance.cards.sheets import PAPERS_MM
from provenance.cards.type import SANS, SANS_BOLD, SERIF, Block, Line

_SIDE = 17 * mm
_TOP = 17 * mm
_FOOT = 16 * mm
_BOX = 3.6 * mm
_WORDS = 9.5
_LEAST = 7.5
_PADDING = 2.1 * mm
_GAP = 4 * mm
_CAP = 0.66 * _WORDS


@dataclass(frozen=True)
class PriceRow:
    """One piece on the list; an empty text leaves its place free."""

    number: str
    what: str
    species: str = ""
    size: str = ""
    price: str = ""


@dataclass(frozen=True)
class _Columns:
    """Where the columns begin and how wide they are."""

    left: float
    number: float
    number_width: float
    what: float
    what_width: float
    species: float
    species_width: float
    size: float
    size_width: float
    right: float
    price_width: float


@dataclass(frozen=True)
class _SetRow:
    """A row whose texts are fitted to their columns."""

    number: Line
    what: Block
    species: Block
    size: Block
    price: Line

    @property
    def height(self) -> float:
        tallest = max(self.what.height, self.species.height, self.size.height, _CAP)
        return max(tallest + _BOX - _CAP, _BOX) + 2 * _PADDING


def _columns(width: float) -> _Columns:
    left, right = _SIDE, width - _SIDE
    number = left + _BOX + 4 * mm
    number_width, price_width, size_width = 20 * mm, 24 * mm, 33 * mm
    what = number + number_width + _GAP
    size = right - price_width - _GAP - size_width
    free = size - _GAP - what - _GAP
    what_width = free * 0.56
    species = what + what_width + _GAP
    return _Columns(
        left=left,
        number=number,
        number_width=number_width,
        what=what,
        what_width=what_width,
        species=species,
        species_width=free - what_width,
        size=size,
        size_width=size_width,
        right=right,
        price_width=price_width,
    )


def counted(count: int) -> str:
    """ "1 piece", "34 pieces" """
    return "1 piece" if count == 1 else f"{count} pieces"


def price_list(
    rows: Sequence[PriceRow],
    *,
    paper: str = "a4",
    maker: str = "",
    title: str = "Price list",
    subtitle: str = "",
    language: str = "en",
) -> bytes:
    """The list as a PDF on "a4" or "letter", its heading on each page and the count at the end.

    `subtitle` is the market and its date in the owner's words, or empty.
    """
    if not rows:
        raise NothingToPrint("Nothing is chosen: choose at least one piece to print.")
    page_mm = PAPERS_MM[paper]
    canvas, buffer = open_document(page_mm, title=title, maker=maker, language=language)
    width, height = page_mm[0] * mm, page_mm[1] * mm
    columns = _columns(width)
    set_rows = [_set(row, columns) for row in rows]
    head = _Head(title, subtitle, maker, counted(len(rows)))
    pages = _pages(set_rows, height - _TOP - _HEAD - _FOOT - 8 * mm)
    for page, page_rows in enumerate(pages, start=1):
        y = _draw_head(canvas, columns, head, height - _TOP)
        for row in page_rows:
            y = _draw_row(canvas, columns, row, y)
        if page == len(pages):
            total = Line(head.count, SANS_BOLD, _WORDS)
            lettering.draw_line(canvas, total, columns.right, y - 6 * mm, "right")
        _draw_foot(canvas, columns, head, f"Page {page} of {len(pages)}")
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _pages(rows: list[_SetRow], room: float) -> list[list[_SetRow]]:
    """The rows shared out over pages of so much room."""
    pages: list[list[_SetRow]] = [[]]
    used = 0.0
    for row in rows:
        if pages[-1] and used + row.height > room:
            pages.append([])
            used = 0.0
        pages[-1].append(row)
        used += row.height
    return pages


def _set(row: PriceRow, columns: _Columns) -> _SetRow:
    def block(text: str, width: float) -> Block:
        return lettering.fit_block(
            text, SANS, _WORDS, width, _CAP + _WORDS * 2.6, least=_LEAST, leading=1.26
        )

    return _SetRow(
        number=lettering.fit_whole(row.number, SERIF, 10.5, columns.number_width),
        what=block(row.what, columns.what_width),
        species=block(row.species, columns.species_width),
        size=block(row.size, columns.size_width),
        price=lettering.fit_whole(row.price, SANS_BOLD, 10.5, columns.price_width),
    )


# -- drawing -------------------------------------------------------------------------------------

_HEAD = 25 * mm


@dataclass(frozen=True)
class _Head:
    title: str
    subtitle: str
    maker: str
    count: str


def _draw_head(canvas: Canvas, columns: _Columns, head: _Head, top: float) -> float:
    """Title, maker and the columns' names; returns where the first row begins."""
    width = columns.right - columns.left
    maker = lettering.fit_line(head.maker, SANS, 9.5, width * 0.45, least=7)
    title = lettering.fit_line(head.title, SERIF, 20, width - maker.width - _GAP, least=11)
    baseline = top - lettering.cap_height(SERIF, 20)
    canvas.setFillColor(INK)
    lettering.draw_line(canvas, title, columns.left, baseline)
    canvas.setFillColor(SOFT_INK)
    lettering.draw_line(canvas, maker, columns.right, baseline, "right")
    under = lettering.fit_line(
        " · ".join(text for text in (head.subtitle, head.count) if text),
        SANS, 9.5, width, least=7,
    )  # fmt: skip
    lettering.draw_line(canvas, under, columns.left, baseline - 5.4 * mm)
    names = top - _HEAD + 2.4 * mm
    for text, x in (
        ("Number", columns.number),
        ("What it is", columns.what),
        ("Wood", columns.species),
        ("Size", columns.size),
    ):
        lettering.draw_line(canvas, Line(text, SANS, 8), x, names)
    lettering.draw_line(canvas, Line("Price", SANS, 8), columns.right, names, "right")
    canvas.setFillColor(INK)
    draw_rule(canvas, columns.left, columns.right, top - _HEAD)
    return top - _HEAD


def _draw_row(canvas: Canvas, columns: _Columns, row: _SetRow, top: float) -> float:
    """One row with its box and the rule under it; returns where the next begins."""
    first = top - _PADDING - max(0, (_BOX - _CAP) / 2)
    baseline = first - _CAP
    canvas.setStrokeColor(SOFT_INK)
    canvas.setLineWidth(0.7)
    canvas.rect(columns.left, top - _PADDING - _BOX, _BOX, _BOX, stroke=1, fill=0)
    canvas.setFillColor(INK)
    lettering.draw_line(canvas, row.number, columns.number, baseline)
    lettering.draw_block(canvas, row.what, columns.what, first)
    lettering.draw_line(canvas, row.price, columns.right, baseline, "right")
    canvas.setFillColor(SOFT_INK)
    lettering.draw_block(canvas, row.species, columns.species, first)
    lettering.draw_block(canvas, row.size, columns.size, first)
    canvas.setFillColor(INK)
    draw_rule(canvas, columns.left, columns.right, top - row.height)
    return top - row.height


def _draw_foot(canvas: Canvas, columns: _Columns, head: _Head, page: str) -> None:
    canvas.setFillColor(SOFT_INK)
    lettering.draw_line(canvas, Line(page, SANS, 8), columns.right, 9 * mm, "right")
    canvas.setFillColor(INK)
