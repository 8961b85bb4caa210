"""A receipt on paper: what was bought, what it came to, what was paid.

A pure function from ready texts to a PDF. Lengths are points unless the name says millimetres.
Words wrap and may at last be shortened; numbers and amounts are never cut.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import INK, SOFT_INK, draw_rule, open_document
from provenance.cards.sheets import PAPERS_MM
from provenance.cards.stack import Part, draw_parts, shared_out, space
from provenance.cards.type import SANS, SANS_BOLD, SERIF, Block, Line

_SIDE = 17 * mm
_TOP = 17 * mm
_FOOT = 16 * mm
_WORDS = 9.5
_LEAST = 7.5
_CAP = 0.66 * _WORDS
_PADDING = 2.6 * mm
_GAP = 5 * mm
_VOID_INK = HexColor("#EBE1D1")  # light enough to read the amounts that stand on it


@dataclass(frozen=True)
class PaperLine:
    """One line: a piece with its number, or anything else sold. Amounts are ready texts."""

    words: str
    number: str
    quantity: int
    unit: str
    discount: str
    amount: str


@dataclass(frozen=True)
class ReceiptPaper:
    """Everything that stands on a receipt, as it is to be read; an empty text is left out.

    `place` is the market, or "sold by …". `sums` stand above the total, `below` under it: what was
    paid, what is still owed. `remarks` are what happened since; `closing` is the owner's word.
    """

    shop_name: str
    shop_place: str
    shop_contact: str
    tax_registration: str
    code: str
    day: str
    buyer: str
    place: str
    lines: tuple[PaperLine, ...]
    sums: tuple[tuple[str, str], ...]
    total: tuple[str, str]
    below: tuple[tuple[str, str], ...]
    remarks: tuple[str, ...]
    closing: str
    is_void: bool = False


def receipt_pdf(paper: ReceiptPaper, *, size: str = "a4", language: str = "en") -> bytes:
    """The receipt as a PDF on "a4" or "letter", its code and the page's number on each page."""
    page_mm = PAPERS_MM[size]
    title = lettering.printable(f"Receipt {paper.code}") + (", void" if paper.is_void else "")
    canvas, buffer = open_document(page_mm, title=title, maker=paper.shop_name, language=language)
    width, height = page_mm[0] * mm, page_mm[1] * mm
    sheet = _Sheet(paper, width - _SIDE)
    first = sheet.head()
    room = height - _TOP - _FOOT
    pages = shared_out(list(sheet.parts()), room - first.height, room - _NEXT_HEAD)
    for number, parts in enumerate(pages, start=1):
        if paper.is_void:
            _draw_void(canvas, width, height)
        head = first if number == 1 else sheet.next_head()
        draw_parts(canvas, [head, *parts], height - _TOP)
        canvas.setFillColor(SOFT_INK)
        page = Line(f"Page {number} of {len(pages)}", SANS, 8)
        lettering.draw_line(canvas, page, sheet.right, 9 * mm, "right")
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _draw_void(canvas: Canvas, width: float, height: float) -> None:
    """The word across the page, under everything else."""
    canvas.saveState()
    canvas.setFillColor(_VOID_INK)
    canvas.setFont(SANS_BOLD, 190)
    canvas.translate(width / 2, height / 2)
    canvas.rotate(40)
    canvas.drawCentredString(0, -lettering.cap_height(SANS_BOLD, 190) / 2, "VOID")
    canvas.restoreState()


# -- the columns of the lines --------------------------------------------------------------------


@dataclass(frozen=True)
class _Columns:
    """Where the columns end (number, words: begin); a width of 0 leaves a column out."""

    number_width: float
    words: float
    words_width: float
    quantity: float
    quantity_width: float
    unit: float
    unit_width: float
    discount: float
    discount_width: float
    amount_width: float


_QUANTITY_WIDTH = 15 * mm
_WIDEST_NUMBER = 28 * mm
_WIDEST_AMOUNT = 27 * mm


def _columns(lines: Sequence[PaperLine], right: float) -> _Columns:
    """Columns as wide as their texts ask for; those that would say nothing are left out."""
    number = _widest([line.number for line in lines], SERIF, "Number", _WIDEST_NUMBER)
    amount = _widest([line.amount for line in lines], SANS_BOLD, "Amount", _WIDEST_AMOUNT)
    discount = _widest([line.discount for line in lines], SANS, "Discount", _WIDEST_AMOUNT)
    is_plain = not discount and all(
        line.quantity == 1 and line.unit in ("", line.amount) for line in lines
    )
    units = [] if is_plain else [line.unit for line in lines]
    unit = _widest(units, SANS, "Each", _WIDEST_AMOUNT)
    quantity = 0 if is_plain else _QUANTITY_WIDTH
    discount_end = right - (amount + _GAP if amount else 0)
    unit_end = discount_end - (discount + _GAP if discount else 0)
    quantity_end = unit_end - (unit + _GAP if unit else 0)
    words = _SIDE + (number + _GAP if number else 0)
    return _Columns(
        number_width=number,
        words=words,
        words_width=quantity_end - quantity - words,
        quantity=quantity_end,
        quantity_width=quantity,
        unit=unit_end,
        unit_width=unit,
        discount=discount_end,
        discount_width=discount,
        amount_width=amount,
    )


def _widest(texts: list[str], font: str, name: str, most: float) -> float:
    """The width of a column named so, or 0 when all its texts are empty."""
    size = 10.5 if font == SERIF else _WORDS
    printed = [lettering.printable(text) for text in texts if text]
    if not printed:
        return 0
    natural = max(lettering.width_of(text, font, size) for text in printed)
    return min(max(natural + 0.5, lettering.width_of(name, SANS, 8)), most)


# -- the parts of the paper ----------------------------------------------------------------------

_NEXT_HEAD = 15 * mm
_SUM = 5.6 * mm
_TOTAL = 10 * mm


class _Sheet:
    """The receipt's parts for a page that ends at `right`."""

    def __init__(self, paper: ReceiptPaper, right: float) -> None:
        self.paper, self.right = paper, right
        self.width = right - _SIDE
        self.columns = _columns(paper.lines, right)

    def head(self) -> Part:
        """What the receipt is on the left, whose it is on the right; both wrap."""
        paper, half = self.paper, self.width * 0.52
        under_shop = (paper.shop_place, paper.shop_contact, paper.tax_registration)
        name = _blocks([(paper.shop_name, SERIF, 11.5)], self.width - half - _GAP)
        shop = _blocks([(text, SANS, 9) for text in under_shop], self.width - half - _GAP)
        when_and_where = [lettering.printable(text) for text in (paper.day, paper.place)]
        buyer = lettering.printable(paper.buyer)
        facts = _blocks(
            [
                (" · ".join(text for text in when_and_where if text), SANS, _WORDS),
                (f"For {buyer}" if buyer else "", SANS, _WORDS),
            ],
            half,
        )
        title = self._title(20, half)
        cap = lettering.cap_height(SERIF, 20)
        facts_top = cap + 4.2 * mm
        tall = max(facts_top + _height(facts), _height([*name, *shop]))

        def draw(canvas: Canvas, top: float) -> None:
            canvas.setFillColor(INK)
            _draw_title(canvas, title, top - cap)
            y = top - (cap - lettering.cap_height(SERIF, 11.5))  # on the title's baseline
            y = _draw_blocks(canvas, name, self.right, y, "right")
            canvas.setFillColor(SOFT_INK)
            _draw_blocks(canvas, shop, self.right, y, "right")
            _draw_blocks(canvas, facts, _SIDE, top - facts_top)

        return Part(tall + 11 * mm, draw)

    def next_head(self) -> Part:
        """The code again, and the shop, on the pages that follow."""
        title = self._title(12, self.width * 0.6)
        shop = lettering.fit_line(self.paper.shop_name, SANS, 9, self.width * 0.35, least=7)

        def draw(canvas: Canvas, top: float) -> None:
            baseline = top - lettering.cap_height(SERIF, 12)
            canvas.setFillColor(INK)
            _draw_title(canvas, title, baseline)
            canvas.setFillColor(SOFT_INK)
            lettering.draw_line(canvas, shop, self.right, baseline, "right")

        return Part(_NEXT_HEAD, draw)

    def _title(self, size: float, width: float) -> list[Line]:
        void = [Line("VOID", SANS_BOLD, size * 0.8)] if self.paper.is_void else []
        room = width - sum(line.width + _GAP for line in void)
        return [lettering.fit_whole(f"Receipt {self.paper.code}", SERIF, size, room), *void]

    def parts(self) -> Iterator[Part]:
        """Everything below the heading, from the first line to the owner's words."""
        names = self._names()
        if self.paper.lines:
            yield names
        *others, last = [self._line(line, names) for line in self.paper.lines] or [space(0)]
        yield from others
        yield Part(last.height, last.draw, True, last.heading, last.is_space)
        yield from self._sums()
        for index, text in enumerate(self.paper.remarks):
            if index == 0:
                yield space(9 * mm)
            yield from self._paragraph(text, INK)
        if lettering.printable(self.paper.closing):
            yield space(11 * mm)
            yield from self._paragraph(self.paper.closing, SOFT_INK)

    def _names(self) -> Part:
        """The columns' names with the rule under them."""
        columns = self.columns
        ends = [
            (columns.quantity, "Quantity", columns.quantity_width),
            (columns.unit, "Each", columns.unit_width),
            (columns.discount, "Discount", columns.discount_width),
            (self.right, "Amount", columns.amount_width),
        ]

        def draw(canvas: Canvas, top: float) -> None:
            baseline = top - 3 * mm
            canvas.setFillColor(SOFT_INK)
            if columns.number_width:
                lettering.draw_line(canvas, Line("Number", SANS, 8), _SIDE, baseline)
            lettering.draw_line(canvas, Line("What it is", SANS, 8), columns.words, baseline)
            for x, name, wide in ends:
                if wide:
                    lettering.draw_line(canvas, Line(name, SANS, 8), x, baseline, "right")
            draw_rule(canvas, _SIDE, self.right, top - 5.4 * mm)

        return Part(5.4 * mm, draw, keeps_next=True)

    def _line(self, line: PaperLine, names: Part) -> Part:
        columns = self.columns
        number = lettering.fit_whole(line.number, SERIF, 10.5, columns.number_width or 1)
        words = lettering.fit_block(
            line.words, SANS, _WORDS, columns.words_width, _CAP + _WORDS * 6.6,
            least=_LEAST, leading=1.3,
        )  # fmt: skip
        quiet = []
        if columns.quantity_width:
            quantity = lettering.fit_whole(f"{line.quantity}", SANS, _WORDS, 12 * mm)
            quiet.append((quantity, columns.quantity))
        if columns.unit_width:
            each = lettering.fit_whole(line.unit, SANS, _WORDS, columns.unit_width)
            quiet.append((each, columns.unit))
        if columns.discount_width:
            discount = lettering.fit_whole(line.discount, SANS, _WORDS, columns.discount_width)
            quiet.append((discount, columns.discount))
        amount = lettering.fit_whole(line.amount, SANS_BOLD, _WORDS, columns.amount_width or 1)
        height = max(words.height, _CAP) + 2 * _PADDING

        def draw(canvas: Canvas, top: float) -> None:
            first = top - _PADDING
            canvas.setFillColor(INK)
            lettering.draw_line(canvas, number, _SIDE, first - _CAP)
            lettering.draw_block(canvas, words, columns.words, first)
            lettering.draw_line(canvas, amount, self.right, first - _CAP, "right")
            canvas.setFillColor(SOFT_INK)
            for text, end in quiet:
                lettering.draw_line(canvas, text, end, first - _CAP, "right")
            draw_rule(canvas, _SIDE, self.right, top - height)

        return Part(height, draw, heading=names)

    def _sums(self) -> Iterator[Part]:
        """The sums, the total under its rule and what was paid: all together if a page holds it."""
        paper = self.paper
        yield space(3 * mm, keeps_next=True)
        for label, amount in paper.sums:
            yield self._sum(label, amount, SOFT_INK, keeps_next=True)
        yield self._total(keeps_next=bool(paper.below))
        for index, (label, amount) in enumerate(paper.below, start=1):
            yield self._sum(label, amount, INK, keeps_next=index < len(paper.below))

    @property
    def _sums_left(self) -> float:
        return self.right - self.width * 0.5

    def _sum(self, label: str, amount: str, ink: HexColor, *, keeps_next: bool) -> Part:
        room = self.right - self._sums_left
        figure = lettering.fit_whole(amount, SANS, _WORDS, room * 0.55)
        words = lettering.fit_block(
            label, SANS, _WORDS, room - figure.width - _GAP, _CAP + _WORDS * 2.6,
            least=_LEAST, leading=1.3,
        )  # fmt: skip

        def draw(canvas: Canvas, top: float) -> None:
            first = top - (_SUM - _CAP) / 2
            canvas.setFillColor(ink)
            lettering.draw_block(canvas, words, self._sums_left, first)
            lettering.draw_line(canvas, figure, self.right, first - _CAP, "right")

        return Part(max(words.height, _CAP) + _SUM - _CAP, draw, keeps_next)

    def _total(self, *, keeps_next: bool) -> Part:
        room = self.right - self._sums_left
        figure = lettering.fit_whole(self.paper.total[1], SERIF, 15, room * 0.65)
        words = lettering.fit_line(
            self.paper.total[0], SERIF, 15, room - figure.width - _GAP, least=8
        )

        def draw(canvas: Canvas, top: float) -> None:
            if self.paper.sums:
                draw_rule(canvas, self._sums_left, self.right, top - 1.2 * mm)
            baseline = top - 1.2 * mm - (_TOTAL - 1.2 * mm + lettering.cap_height(SERIF, 15)) / 2
            canvas.setFillColor(INK)
            lettering.draw_line(canvas, words, self._sums_left, baseline)
            lettering.draw_line(canvas, figure, self.right, baseline, "right")

        return Part(_TOTAL + 1.2 * mm, draw, keeps_next)

    def _paragraph(self, text: str, ink: HexColor) -> Iterator[Part]:
        """A paragraph's lines, each a part of its own: a long one may run over the page."""
        width = min(self.width, 125 * mm)
        lines = [
            line
            for own_line in text.splitlines()
            for line in lettering.wrap(lettering.printable(own_line), SANS, _WORDS, width)
        ]
        for index, words in enumerate(lines):
            yield _words_part(
                Line(words, SANS, _WORDS), ink, keeps_next=index == 0 < len(lines) - 1
            )
        if lines:
            yield space(1.6 * mm)


def _words_part(line: Line, ink: HexColor, *, keeps_next: bool) -> Part:
    def draw(canvas: Canvas, top: float) -> None:
        canvas.setFillColor(ink)
        lettering.draw_line(canvas, line, _SIDE, top - line.cap)

    return Part(line.size * 1.36, draw, keeps_next)


def _draw_title(canvas: Canvas, title: list[Line], baseline: float) -> None:
    x = _SIDE
    for line in title:
        lettering.draw_line(canvas, line, x, baseline)
        x += line.width + _GAP


# -- short texts under each other ----------------------------------------------------------------

_BETWEEN = 2.4 * mm


def _blocks(texts: list[tuple[str, str, float]], width: float) -> list[Block]:
    """Each (text, font, size) in at most three lines; empty ones left out."""
    blocks = [
        lettering.fit_block(
            text, font, size, width, size * 4, least=7, leading=1.3, most_lines=3, even=False
        )
        for text, font, size in texts
    ]
    return [block for block in blocks if block.lines]


def _height(blocks: list[Block]) -> float:
    return sum(block.height for block in blocks) + _BETWEEN * max(len(blocks) - 1, 0)


def _draw_blocks(
    canvas: Canvas, blocks: list[Block], x: float, top: float, align: str = "left"
) -> float:
    """Draw them below each other; returns where the next would begin."""
    for block in blocks:
        top = lettering.draw_block(canvas, block, x, top, align) - _BETWEEN
    return top
