"""Tags for the market booth: number, what it is, size, price, and the code where one fits.

Three arrangements, chosen by the cell: code beside the words, words alone, and a standing sign on
cells higher than wide. Lengths are points unless the name says millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import DRIFT_MM, INK, SOFT_INK, Box, fill_sheets
from provenance.cards.qr import SizedSymbol, sized_symbol
from provenance.cards.sheets import SHEETS, Sheet
from provenance.cards.type import SANS, SANS_BOLD, SERIF, Block, Line

BOOTH_TAG_SHEETS = tuple(slug for slug, sheet in SHEETS.items() if sheet.paper != "a6")

# The part of a cell's width that the code with its quiet zone may take.
_CODE_SHARE = 0.46
# A number of seven characters, the longest for years to come, to ask whether codes fit at all.
_LONGEST_CODE = "2600000"
_SIGN_ROOM_MM = 42.0


@dataclass(frozen=True)
class TagFacts:
    """What a booth tag says. `code` is the number without dashes; an empty text is left out."""

    number: str
    code: str
    what: str
    species: str
    size: str = ""
    price: str = ""

    @property
    def description(self) -> str:
        """ "Salad bowl, bigleaf maple" """
        words = (lettering.printable(self.what), lettering.printable(self.species))
        return ", ".join(word for word in words if word)


@dataclass(frozen=True)
class _Sizes:
    """Type sizes for one cell."""

    number: float
    words: float
    price: float

    @property
    def address(self) -> float:
        return max(self.words * 0.74, LEAST_ADDRESS)


# Smallest sizes that a sharp eye still reads at arm's length; common practice.
LEAST_WORDS = 5.25
LEAST_ADDRESS = 4.75
_LEADING = 1.28


def _sizes(box: Box) -> _Sizes:
    """Sizes that grow with the cell: those of a 66.7 × 25.4 mm label times a factor."""
    factor = (box.width / (66.675 * mm) * box.height / (25.4 * mm)) ** 0.5
    return _Sizes(max(12.5 * factor, 8.5), max(7.8 * factor, 5.75), max(13.5 * factor, 9))


def _code_room_mm(sheet: Sheet) -> float:
    """Side of the square in which a code and its quiet zone may stand on a booth tag."""
    if sheet.height_mm > sheet.width_mm:
        return _SIGN_ROOM_MM
    return min(sheet.height_mm - 2 * DRIFT_MM, sheet.width_mm * _CODE_SHARE - DRIFT_MM)


def qr_fits(sheet: Sheet, public_url: str | None) -> bool:
    """Whether booth tags on this sheet can carry a code for this public address."""
    return sized_symbol(public_url, _LONGEST_CODE, _code_room_mm(sheet)) is not None


def booth_tags(
    tags: Sequence[TagFacts],
    sheet: Sheet,
    *,
    first_cell: int = 0,
    public_url: str | None = None,
    maker: str = "",
    title: str = "Booth tags",
    language: str = "en",
    outlines: bool = False,
) -> bytes:
    """The tags as a PDF, the first in cell `first_cell` (from 0) of the first sheet.

    Without a usable public address, or where it would be too small to read, there is no code.
    """
    room_mm = _code_room_mm(sheet)

    def draw(canvas: Canvas, box: Box, facts: TagFacts) -> None:
        code = sized_symbol(public_url, facts.code, room_mm)
        if box.height > box.width:
            _draw_sign(canvas, box, facts, code)
        elif code is not None:
            _draw_with_code(canvas, box, facts, code)
        else:
            _draw_words_alone(canvas, box, facts)

    return fill_sheets(
        tags,
        sheet,
        draw,
        first_cell=first_cell,
        title=title,
        maker=maker,
        language=language,
        outlines=outlines,
    )


def _draw_with_code(canvas: Canvas, box: Box, facts: TagFacts, code: SizedSymbol) -> None:
    """Code on the left; number level with its top, price with its foot or the address's."""
    sizes = _sizes(box)
    edge = max(code.quiet + DRIFT_MM * mm, 2.4 * mm)
    address = _address_under(code, sizes)
    under = code.quiet + address.height
    is_stacked = bool(address.lines) and box.height - 2 * edge - code.body >= under
    margin = edge if is_stacked else (box.height - code.body) / 2
    left = box.x + min(margin, edge * 1.3)
    top = box.top - margin
    code.draw(canvas, left, top)
    if is_stacked:
        canvas.setFillColor(SOFT_INK)
        place = box.y + margin + address.height
        lettering.draw_block(canvas, address, left, place)
        canvas.setFillColor(INK)
    start = left + code.body + max(code.quiet, 2.4 * mm)
    # A code much lower than its label would cramp the words, so they keep to the label's edges.
    inset = margin if is_stacked or code.body > 0.6 * box.height else 2.6 * mm
    width = box.right - max(2 * mm, box.width * 0.045) - start
    words = Box(start, box.y + inset, width, box.height - 2 * inset)
    _draw_words(canvas, words, facts, sizes, "" if is_stacked else code.address)


def _address_under(code: SizedSymbol, sizes: _Sizes) -> Block:
    """The address no wider than the code, broken before the path if need be; or nothing."""
    width = code.body
    line = lettering.fit_line(code.address, SANS, sizes.address, width, least=LEAST_ADDRESS)
    if line.text == lettering.printable(code.address):
        return Block((line.text,), SANS, line.size, line.size * 1.2)
    host, slash, path = code.address.partition("/")
    whole = lettering.fit_whole(max(host, slash + path, key=len), SANS, LEAST_ADDRESS, width)
    if whole.size < LEAST_ADDRESS * 0.8:
        return Block((), SANS, LEAST_ADDRESS, LEAST_ADDRESS)
    return Block((host, slash + path), SANS, whole.size, whole.size * 1.2)


def _draw_words(
    canvas: Canvas, area: Box, facts: TagFacts, sizes: _Sizes, address: str = ""
) -> None:
    """Number at the top, price and address on the bottom line, the rest between."""
    number = lettering.fit_whole(facts.number, SERIF, sizes.number, area.width)
    price = lettering.fit_whole(facts.price, SANS_BOLD, sizes.price, area.width)
    lettering.draw_line(canvas, number, area.x, area.top - number.cap)
    bottom = area.y
    if address:
        bottom = _draw_address(canvas, area, price, address, sizes)
    if price.text:
        lettering.draw_line(canvas, price, area.x, bottom)
        bottom += price.cap + sizes.words * 0.75
    top = area.top - number.cap - sizes.words * 0.72
    _draw_between(canvas, Box(area.x, bottom, area.width, top - bottom), facts, sizes)


def _draw_address(canvas: Canvas, area: Box, price: Line, address: str, sizes: _Sizes) -> float:
    """The address at the right of the price's line, or on a line of its own under it.

    Returns the baseline left for the price.
    """
    beside = area.width - price.width - (2 * mm if price.text else 0)
    line = lettering.fit_line(address, SANS, sizes.address, beside, least=LEAST_ADDRESS)
    canvas.setFillColor(SOFT_INK)
    if line.text == address and price.text:
        lettering.draw_line(canvas, line, area.right, area.y, "right")
        canvas.setFillColor(INK)
        return area.y
    whole = lettering.fit_whole(address, SANS, sizes.address, area.width)
    lettering.draw_line(canvas, whole, area.x, area.y)
    canvas.setFillColor(INK)
    return area.y + whole.cap + sizes.words * 0.6


def _draw_between(canvas: Canvas, area: Box, facts: TagFacts, sizes: _Sizes) -> None:
    """Description in ink and size in soft ink, from the top; the size gives way first."""
    words, size = _between(area, facts, sizes)
    baseline = lettering.draw_block(canvas, words, area.x, area.top)
    canvas.setFillColor(SOFT_INK)
    below = baseline - words.leading if words.lines else area.top - size.cap
    lettering.draw_line(canvas, size, area.x, below)
    canvas.setFillColor(INK)


def _between(area: Box, facts: TagFacts, sizes: _Sizes) -> tuple[Block, Line]:
    """Description and size in like type, unless that would make both too small to like."""
    at = sizes.words
    while at >= max(sizes.words * 0.78, LEAST_WORDS):
        size = lettering.fit_line(facts.size, SANS, at, area.width, least=LEAST_WORDS)
        room = area.height - at * _LEADING if size.text else area.height
        lines = lettering.balanced(facts.description, SANS, at, area.width)
        block = Block(tuple(lines), SANS, at, at * _LEADING)
        # A lone size line needs no description's room.
        if block.height <= room and (lines or area.height >= size.cap):
            return block, size
        at -= lettering.STEP
    block = lettering.fit_block(
        facts.description,
        SANS,
        sizes.words,
        area.width,
        area.height,
        least=LEAST_WORDS,
        leading=_LEADING,
        even=True,
    )
    return block, Line("", SANS, sizes.words)


def _draw_words_alone(canvas: Canvas, box: Box, facts: TagFacts) -> None:
    """Number and price on opposite ends; on low labels both on the first line."""
    sizes = _sizes(box)
    pad = min(max(box.height * 0.15, 2.1 * mm), 6 * mm)
    area = box.inset(max(pad, 2.6 * mm), pad)
    is_low = box.height < 16 * mm
    price = lettering.fit_whole(facts.price, SANS_BOLD, sizes.price, area.width * 0.5)
    beside = price.width + 2 * mm if price.text and is_low else 0
    number = lettering.fit_whole(facts.number, SERIF, sizes.number, area.width - beside)
    first = area.top - number.cap
    lettering.draw_line(canvas, number, area.x, first)
    lettering.draw_line(canvas, price, area.right, first if is_low else area.y, "right")
    top = first - sizes.words * (0.72 if is_low else 0.9)
    if is_low:
        _draw_between(canvas, Box(area.x, area.y, area.width, top - area.y), facts, sizes)
        return
    room = area.width - (price.width + 3 * mm if price.text else 0)
    size = lettering.fit_line(facts.size, SANS, sizes.words, room, least=LEAST_WORDS)
    is_beside = size.text == lettering.printable(facts.size)
    if is_beside:
        canvas.setFillColor(SOFT_INK)
        lettering.draw_line(canvas, size, area.x, area.y)
        canvas.setFillColor(INK)
        facts = replace(facts, size="")
    bottom = area.y + max(size.cap if is_beside else 0, price.cap) + sizes.words * 0.6
    _draw_between(canvas, Box(area.x, bottom, area.width, top - bottom), facts, sizes)


def _draw_sign(canvas: Canvas, box: Box, facts: TagFacts, code: SizedSymbol | None) -> None:
    """A sign that stands on the table: the name large, price and code at the foot."""
    area = box.inset(11 * mm, 13 * mm)
    number = lettering.fit_whole(facts.number, SERIF, 17, area.width)
    lettering.draw_line(canvas, number, area.x, area.top - number.cap)
    foot = area.y
    if code is not None:
        foot = _draw_sign_code(canvas, area, code)
    price_room = area.width - (code.body + code.quiet + 3 * mm if code else 0)
    price = lettering.fit_whole(facts.price, SANS_BOLD, 36, price_room)
    lettering.draw_line(canvas, price, area.right, area.y, "right")
    foot = max(foot, area.y + price.cap) + 8 * mm
    top = area.top - number.cap - 13 * mm
    name = lettering.fit_block(
        facts.what, SERIF, 32, area.width, (top - foot) * 0.62, least=13, leading=1.15,
        even=True,
    )  # fmt: skip
    baseline = lettering.draw_block(canvas, name, area.x, top)
    below = baseline - 7 * mm if name.lines else top
    words = lettering.fit_block(
        facts.species, SANS, 17, area.width, (below - foot) * 0.6, least=9, leading=1.25
    )
    baseline = lettering.draw_block(canvas, words, area.x, below)
    below = baseline - 4 * mm if words.lines else below
    canvas.setFillColor(SOFT_INK)
    size = lettering.fit_block(facts.size, SANS, 14, area.width, below - foot, least=9)
    lettering.draw_block(canvas, size, area.x, below)


def _draw_sign_code(canvas: Canvas, area: Box, code: SizedSymbol) -> float:
    """Code and address at the lower left; returns the height that they reach to."""
    address = lettering.fit_whole(code.address, SANS, 8, area.width)
    canvas.setFillColor(SOFT_INK)
    lettering.draw_line(canvas, address, area.x, area.y - code.quiet - address.cap)
    canvas.setFillColor(INK)
    top = area.y + code.body
    code.draw(canvas, area.x, top)
    return top + code.quiet
