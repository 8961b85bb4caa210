"""Tags for rough-outs on the drying shelf: the number large, and lines to pencil weighings on.

A rough-out tag carries no code: to print one would publish a piece that is not made yet.
Lengths are points unless the name says millimetres.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import HAIRLINE, INK, SOFT_INK, Box, SheetTooSmall, fill_sheets
from provenance.cards.sheets import Sheet
from provenance.cards.type import SANS, SERIF, Block
from provenance.record.partial_dates import MONTHS

ROUGH_OUT_SHEETS = ("letter-10", "letter-30", "letter-cards-10", "a4-21", "a4-cards-10")

# The least that a hand with a pencil writes legibly between two lines; common practice.
LEAST_ROW_MM = 5.2
_MOST_ROW_MM = 8.0
_LEAST_WORDS = 5.5
_LEAST_LISTED = 6.25
_LEADING = 1.28
# Before figures are set smaller than this, the month is shortened.
_LEAST_PARAGRAPH = 6.25
_MOST_GROWTH = 1.3
_LONG_MONTHS = re.compile(rf"\b({'|'.join(MONTHS)})\b")


@dataclass(frozen=True)
class RoughOutFacts:
    """What a rough-out's tag says; an empty text is left out."""

    number: str
    what: str
    species: str
    tree_number: str = ""
    roughed: str = ""
    wall: str = ""
    diameter: str = ""
    mass: str = ""

    @property
    def description(self) -> str:
        """ "Salad bowl, bigleaf maple" """
        words = (lettering.printable(self.what), lettering.printable(self.species))
        return ", ".join(word for word in words if word)

    @property
    def figures(self) -> tuple[tuple[str, str], ...]:
        """(name, figure) of what is known."""
        named = (
            ("Tree", self.tree_number),
            ("Roughed", self.roughed),
            ("Wall", self.wall),
            ("Across", self.diameter),
            ("Mass", self.mass),
        )
        return tuple((name, figure) for name, figure in named if lettering.printable(figure))

    @property
    def with_short_date(self) -> "RoughOutFacts":
        """The same with "25 Nov 2026" for "25 November 2026"."""
        return replace(self, roughed=_LONG_MONTHS.sub(lambda month: month[0][:3], self.roughed))

    @property
    def figures_text(self) -> str:
        """ "T26-014-5 B, April 2026, wall 29 mm", parted only between the figures."""
        worded = {"Wall": "wall {}", "Across": "{} across"}
        parts = (worded.get(name, "{}").format(figure) for name, figure in self.figures)
        return ", ".join(part.replace(" ", "\u00a0") for part in parts)


def rough_out_tags(
    tags: Sequence[RoughOutFacts],
    sheet: Sheet,
    *,
    first_cell: int = 0,
    maker: str = "",
    title: str = "Rough-out tags",
    language: str = "en",
    outlines: bool = False,
) -> bytes:
    """The tags as a PDF, the first in cell `first_cell` (from 0) of the first sheet."""
    if sheet.slug not in ROUGH_OUT_SHEETS:
        raise SheetTooSmall("Rough-out tags don't go on this sheet: choose one with larger labels.")
    return fill_sheets(
        tags,
        sheet,
        _draw_rough_out,
        first_cell=first_cell,
        title=title,
        maker=maker,
        language=language,
        outlines=outlines,
    )


def _draw_rough_out(canvas: Canvas, box: Box, facts: RoughOutFacts) -> None:
    """Facts on the left, lines for date and mass on the right."""
    factor = (box.width / (66.675 * mm) * box.height / (25.4 * mm)) ** 0.5
    pad = min(max(box.height * 0.12, 2.4 * mm), 5 * mm)
    area = box.inset(max(min(pad, box.width * 0.05), 2.8 * mm), pad)
    gap = max(3 * mm, area.width * 0.05)
    table_width = max(area.width * 0.42, 25 * mm)
    left = Box(area.x, area.y, area.width - table_width - gap, area.height)
    _draw_facts(canvas, left, facts, factor)
    _draw_lines(canvas, Box(left.right + gap, area.y, table_width, area.height))


def _draw_facts(canvas: Canvas, area: Box, facts: RoughOutFacts, factor: float) -> None:
    """Number, description, and the figures as a list, or in a paragraph where that is too high."""
    size = min(max(7 * factor, 6.25), 9.5)
    number = lettering.fit_whole(facts.number, SERIF, 15 * factor, area.width)
    lettering.draw_line(canvas, number, area.x, area.top - number.cap)
    below = Box(area.x, area.y, area.width, area.height - number.cap - size * 0.9)
    if area.height <= 26 * mm or not _drew_list(canvas, below, facts, size):
        _draw_paragraph(canvas, below, facts, size)


def _drew_list(canvas: Canvas, area: Box, facts: RoughOutFacts, size: float) -> bool:
    """Draw description and list as large as they go on whole, if they do."""
    at = size
    while at >= _LEAST_LISTED:
        room = area.height - len(facts.figures) * at * _LEADING - at * 0.4
        words = _description(facts, at, area.width, room, least=at)
        for told in (facts, facts.with_short_date):
            if _is_whole(words, told.description) and _is_list_whole(told, at, area.width):
                lettering.draw_block(canvas, words, area.x, area.top)
                _draw_figures(canvas, area, told.figures, at)
                return True
        at -= lettering.STEP
    return False


def _is_list_whole(facts: RoughOutFacts, size: float, width: float) -> bool:
    room = width - _name_column(facts.figures, size)
    figures = (lettering.printable(figure) for _, figure in facts.figures)
    return all(lettering.width_of(figure, SANS, size) <= room for figure in figures)


def _draw_paragraph(canvas: Canvas, area: Box, facts: RoughOutFacts, size: float) -> None:
    """Description, then the figures one behind the other, larger where there is room."""
    at = size * _MOST_GROWTH
    while at > size and not _is_whole_at(at, area, facts):
        at -= lettering.STEP
    if at > size:
        words = _description(facts, at, area.width, area.height, least=at)
    else:
        at = size
        room = area.height - min(len(facts.figures), 3) * size * _LEADING
        words = _description(facts, size, area.width, room, least=_LEAST_WORDS)
    lettering.draw_block(canvas, words, area.x, area.top)
    place = _under(words, area, at)
    block = _paragraph(facts.figures_text, place, at, _LEAST_PARAGRAPH)
    if not _is_whole(block, facts.figures_text):
        block = _paragraph(facts.with_short_date.figures_text, place, at, 5)
    canvas.setFillColor(SOFT_INK)
    lettering.draw_block(canvas, block, area.x, place.top)
    canvas.setFillColor(INK)


def _is_whole_at(size: float, area: Box, facts: RoughOutFacts) -> bool:
    """Whether everything goes on in this size, and the description in a line or two."""
    words = _description(facts, size, area.width, area.height, least=size)
    figures = _paragraph(facts.figures_text, _under(words, area, size), size, size)
    return (
        len(words.lines) < 3
        and _is_whole(words, facts.description)
        and _is_whole(figures, facts.figures_text)
    )


def _under(words: Block, area: Box, size: float) -> Box:
    """The place below the description."""
    taken = words.height + size * 0.8 if words.lines else 0
    return Box(area.x, area.y, area.width, area.height - taken)


def _paragraph(text: str, area: Box, size: float, least: float) -> Block:
    size = size - 0.5
    return lettering.fit_block(
        text,
        SANS,
        size,
        area.width,
        area.height,
        least=min(least, size),
        leading=1.22,
        even=False,
    )


def _is_whole(block: Block, text: str) -> bool:
    whole = lettering.printable(text).replace("\u00a0", " ")
    return " ".join(block.lines).replace("\u00a0", " ") == whole


def _description(
    facts: RoughOutFacts, size: float, width: float, room: float, *, least: float
) -> Block:
    return lettering.fit_block(
        facts.description,
        SANS,
        size,
        width,
        max(room, lettering.cap_height(SANS, least)),
        least=least,
        leading=1.24,
        even=True,
    )


def _draw_figures(
    canvas: Canvas, area: Box, rows: tuple[tuple[str, str], ...], size: float
) -> None:
    """Names in soft ink and figures beside them, standing on the area's foot."""
    column = _name_column(rows, size)
    for index, (name, figure) in enumerate(reversed(rows)):
        baseline = area.y + index * size * _LEADING
        canvas.setFillColor(SOFT_INK)
        lettering.draw_line(canvas, lettering.Line(name, SANS, size), area.x, baseline)
        canvas.setFillColor(INK)
        line = lettering.fit_line(figure, SANS, size, area.width - column, least=_LEAST_WORDS)
        lettering.draw_line(canvas, line, area.x + column, baseline)


def _name_column(rows: tuple[tuple[str, str], ...], size: float) -> float:
    """Width of the names with the space behind them."""
    return max((lettering.width_of(name, SANS, size) for name, _ in rows), default=0) + 1.5 * mm


def written_rows(height: float) -> int:
    """How many lines to write on fit under the heading in so many points."""
    return max(1, int((height - _HEADING) / (LEAST_ROW_MM * mm) + 1e-6))


_HEADING = 3.2 * mm


def _draw_lines(canvas: Canvas, area: Box) -> None:
    """Headings and ruled lines for date and mass."""
    count = written_rows(area.height)
    row = min((area.height - _HEADING) / count, _MOST_ROW_MM * mm)
    middle = area.x + area.width * 0.48
    gutter = 1.2 * mm
    size = 6.0
    base = area.top - lettering.cap_height(SANS, size)
    canvas.setFillColor(SOFT_INK)
    for text, x in (("Date", area.x), ("Mass", middle + gutter)):
        lettering.draw_line(canvas, lettering.Line(text, SANS, size), x, base)
    canvas.setFillColor(INK)
    canvas.setStrokeColor(SOFT_INK)
    canvas.setLineWidth(HAIRLINE)
    for index in range(1, count + 1):
        y = area.top - _HEADING - index * row
        canvas.line(area.x, y, middle - gutter, y)
        canvas.line(middle + gutter, y, area.right, y)
