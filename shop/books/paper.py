"""The month on paper: its figures beside other months, the year in a picture, what it came from.

A pure function from ready texts to a PDF. Lengths are points unless the name says millimetres.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import INK, SOFT_INK, draw_picture, draw_rule, open_document
from provenance.cards.sheets import PAPERS_MM
from provenance.cards.stack import Part, draw_parts, shared_out, space
from provenance.cards.type import SANS, SANS_BOLD, SERIF, Block, Line
from provenance.drawing.columns import Column, columns_drawing

_SIDE = 17 * mm
_TOP = 17 * mm
_FOOT = 16 * mm
_HEAD = 21 * mm
_NEXT_HEAD = 13 * mm
_PICTURE = 48 * mm
_FLAT_PICTURE = 16 * mm  # of months that all came to nothing
_WORDS = 9.5
_SUM_MARK = "="


@dataclass(frozen=True)
class Breakdown:
    """One table: in each row words first, then amounts. An empty `total` leaves that row out."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    total: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True)
class MonthPaper:
    """Everything that stands on a month's paper, as it is to be read.

    A row of `figures` whose words begin with "=" is a sum: bold, under a rule.
    """

    shop_name: str
    month: str
    heads: tuple[str, ...]
    figures: tuple[tuple[str, ...], ...]
    columns: tuple[Column, ...]
    picture_title: str
    breakdowns: tuple[Breakdown, ...]
    notes: tuple[str, ...]


def month_pdf(paper: MonthPaper, *, size: str = "a4", language: str = "en") -> bytes:
    """The month as a PDF on "a4" or "letter", its name and the page's number on each page."""
    page_mm = PAPERS_MM[size]
    title = lettering.printable(paper.month)
    canvas, buffer = open_document(page_mm, title=title, maker=paper.shop_name, language=language)
    right, top = page_mm[0] * mm - _SIDE, page_mm[1] * mm - _TOP
    room = top - _FOOT
    pages = shared_out(list(_parts(paper, right)), room - _HEAD, room - _NEXT_HEAD)
    for number, parts in enumerate(pages, start=1):
        head = _head(paper, right, is_first=number == 1)
        draw_parts(canvas, [head, *parts], top)
        canvas.setFillColor(SOFT_INK)
        page = Line(f"Page {number} of {len(pages)}", SANS, 8)
        lettering.draw_line(canvas, page, right, 9 * mm, "right")
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _head(paper: MonthPaper, right: float, *, is_first: bool) -> Part:
    """The month on the left, whose it is on the right."""
    size = 20 if is_first else 12
    width = right - _SIDE
    shop = lettering.fit_line(paper.shop_name, SANS, _WORDS, width * 0.5, least=7)
    month = lettering.fit_line(paper.month, SERIF, size, width - shop.width - 5 * mm, least=9)

    def draw(canvas: Canvas, top: float) -> None:
        baseline = top - lettering.cap_height(SERIF, size)
        canvas.setFillColor(INK)
        lettering.draw_line(canvas, month, _SIDE, baseline)
        canvas.setFillColor(SOFT_INK)
        lettering.draw_line(canvas, shop, right, baseline, "right")

    return Part(_HEAD if is_first else _NEXT_HEAD, draw)


def _parts(paper: MonthPaper, right: float) -> Iterator[Part]:
    figures = [
        _Row((row[0].removeprefix(_SUM_MARK).lstrip(), *row[1:]), row[0].startswith(_SUM_MARK))
        for row in paper.figures
        if row
    ]
    if figures:
        yield from _Table(paper.heads, figures, right).parts()
    if paper.columns:
        yield space(9 * mm)
        yield _title(paper.picture_title, right)
        yield _picture(paper.columns, right)
    for breakdown in paper.breakdowns:
        yield space(10 * mm)
        yield _title(breakdown.title, right)
        rows = [_Row(row) for row in breakdown.rows]
        sums = [_Row(breakdown.total, is_sum=True)] if breakdown.total else []
        table = _Table(breakdown.heads, rows + sums, right)
        yield from table.parts(keeps_next=bool(breakdown.note))
        if breakdown.note:
            yield space(1.5 * mm, keeps_next=True)
            yield from _paragraph(breakdown.note, right)
    for index, note in enumerate(paper.notes):
        yield space(10 * mm if index == 0 else 1.5 * mm)
        yield from _paragraph(note, right)


def _title(text: str, right: float) -> Part:
    """A title, which never stands alone at a page's foot."""
    block = lettering.fit_block(text, SERIF, 12, right - _SIDE, 32, least=9, most_lines=2)

    def draw(canvas: Canvas, top: float) -> None:
        canvas.setFillColor(INK)
        lettering.draw_block(canvas, block, _SIDE, top)

    return Part(block.height + 4.2 * mm, draw, keeps_next=True)


def _picture(columns: Sequence[Column], right: float) -> Part:
    printed = [
        replace(
            column,
            label=lettering.printable(column.label).replace("\u00a0", " "),
            words=lettering.printable(column.words),
        )
        for column in columns
    ]

    height = _PICTURE if any(column.value for column in columns) else _FLAT_PICTURE
    picture = columns_drawing(printed, right - _SIDE, height)

    def draw(canvas: Canvas, top: float) -> None:
        draw_picture(canvas, picture, _SIDE, top - height)

    return Part(height, draw)


def _paragraph(text: str, right: float) -> Iterator[Part]:
    """A note's lines, each a part of its own, so that a long one may run over the page."""
    width = min(right - _SIDE, 140 * mm)
    lines = lettering.wrap(lettering.printable(text), SANS, 8.5, width)
    for index, words in enumerate(lines):
        yield _note_line(Line(words, SANS, 8.5), keeps_next=index == 0 < len(lines) - 1)


def _note_line(line: Line, *, keeps_next: bool) -> Part:
    def draw(canvas: Canvas, top: float) -> None:
        canvas.setFillColor(SOFT_INK)
        lettering.draw_line(canvas, line, _SIDE, top - line.cap)

    return Part(line.size * 1.36, draw, keeps_next)


# -- tables --------------------------------------------------------------------------------------

_HEAD_SIZE = 8.0
_PADDING = 1.9 * mm
_EVEN = 27 * mm  # columns of amounts are this far apart where there is room
_LEAST_WORDS = 32 * mm
_LEAST_SIZE = 6.5


@dataclass(frozen=True)
class _Row:
    cells: tuple[str, ...]
    is_sum: bool = False


class _Table:
    """Words in the first column, amounts in the others, as large as the paper's width allows."""

    def __init__(self, heads: Sequence[str], rows: Sequence[_Row], right: float) -> None:
        count = max([len(heads), *(len(row.cells) for row in rows)])
        self.heads = _padded(heads, count)
        self.rows = [replace(row, cells=_padded(row.cells, count)) for row in rows]
        self.right = right
        self.size, self.gap, self.widths = self._fitted()

    def parts(self, *, keeps_next: bool = False) -> Iterator[Part]:
        """The heads, said again on each page, and the rows.

        A sum stays with the row above it, the first row with the second.
        """
        heads = self._head_part()
        yield heads
        for index, row in enumerate(self.rows):
            following = self.rows[index + 1 : index + 2]
            is_tied = index == 0 if following else keeps_next
            is_tied = is_tied or any(after.is_sum for after in following)
            yield self._row_part(row, heads, keeps_next=is_tied)

    def _fitted(self) -> tuple[float, float, list[float]]:
        """The size of type, the gap, and the width of each column of amounts."""
        count = max(len(self.heads) - 1, 0)
        width = self.right - _SIDE
        gap = 5 * mm if count < 5 else 2.6 * mm
        room = width - _LEAST_WORDS - gap * count
        size = _WORDS
        widths = self._widths(size)
        while sum(widths) > room and size > _LEAST_SIZE:
            size -= lettering.STEP
            widths = self._widths(size)
        if sum(widths) > room:  # amounts shrink on their own in what there is
            widths = [natural * room / sum(widths) for natural in widths]
        widest = max(widths, default=0)
        even = max(widest, min(_EVEN - gap, room / max(count, 1)))
        if even * count <= room:
            widths = [even] * count
        return size, gap, widths

    def _widths(self, size: float) -> list[float]:
        """The width that each column of amounts asks for; a head may wrap between its words."""
        widths = []
        for column in range(1, len(self.heads)):
            figures = [
                lettering.width_of(
                    lettering.printable(row.cells[column]), SANS_BOLD if row.is_sum else SANS, size
                )
                for row in self.rows
            ]
            words = [
                lettering.width_of(word, SANS, min(_HEAD_SIZE, size))
                for word in lettering.printable(self.heads[column]).split()
            ]
            widths.append(max([0, *figures, *words]) + 0.5)
        return widths

    def _ends(self) -> list[float]:
        """Where each column of amounts ends, from left to right."""
        ends, end = [], self.right
        for width in reversed(self.widths):
            ends.append(end)
            end -= width + self.gap
        return ends[::-1]

    @property
    def _words_width(self) -> float:
        return self.right - _SIDE - sum(self.widths) - self.gap * len(self.widths)

    def _head_part(self) -> Part:
        size = min(_HEAD_SIZE, self.size)

        def block(text: str, width: float) -> Block:
            return lettering.fit_block(
                text, SANS, size, width, size * 3.6, least=5.5, leading=1.2, even=True
            )

        words = block(self.heads[0] if self.heads else "", self._words_width)
        figures = [
            block(text, width) for text, width in zip(self.heads[1:], self.widths, strict=True)
        ]
        tall = max([0, *(each.height for each in (words, *figures))])
        foot = 2.2 * mm

        def draw(canvas: Canvas, top: float) -> None:
            canvas.setFillColor(SOFT_INK)
            # All stand on the line of the lowest, as figures under them do.
            lettering.draw_block(canvas, words, _SIDE, top - tall + words.height)
            for each, end in zip(figures, self._ends(), strict=True):
                lettering.draw_block(canvas, each, end, top - tall + each.height, "right")
            draw_rule(canvas, _SIDE, self.right, top - tall - foot)

        return Part(tall + foot, draw, keeps_next=True)

    def _row_part(self, row: _Row, heads: Part, *, keeps_next: bool) -> Part:
        font = SANS_BOLD if row.is_sum else SANS
        cap = lettering.cap_height(font, self.size)
        words = lettering.fit_block(
            row.cells[0], font, self.size, self._words_width, cap + self.size * 2.6,
            least=min(7, self.size), leading=1.26,
        )  # fmt: skip
        figures = [
            lettering.fit_whole(text, font, self.size, width)
            for text, width in zip(row.cells[1:], self.widths, strict=True)
        ]
        height = max(words.height, cap) + 2 * _PADDING

        def draw(canvas: Canvas, top: float) -> None:
            if row.is_sum:
                canvas.setStrokeColor(INK)
                canvas.setLineWidth(0.7)
                canvas.line(_SIDE, top, self.right, top)
            canvas.setFillColor(INK)
            lettering.draw_block(canvas, words, _SIDE, top - _PADDING)
            for figure, end in zip(figures, self._ends(), strict=True):
                lettering.draw_line(canvas, figure, end, top - _PADDING - cap, "right")
            draw_rule(canvas, _SIDE, self.right, top - height)

        return Part(height, draw, keeps_next, heads)


def _padded(cells: Sequence[str], count: int) -> tuple[str, ...]:
    return (*cells, *[""] * (count - len(cells)))
