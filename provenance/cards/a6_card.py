"""The provenance card on A6, each on a page of its own or four to an A4 sheet.

The same facts as on the business card with room to breathe: name, tree, making and care from top to
bottom, code and number at the foot. Lengths are points unless the name says millimetres.
"""

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from provenance.cards import type as lettering
from provenance.cards.layout import (
    INK,
    SOFT_INK,
    Box,
    SheetTooSmall,
    draw_ring_mark,
    draw_rule,
    fill_sheets,
)
from provenance.cards.provenance_card import CardFacts, address_block
from provenance.cards.qr import SizedSymbol, sized_symbol
from provenance.cards.sheets import SHEETS, Sheet
from provenance.cards.type import SANS, SANS_BOLD, SERIF, Block

A6_SHEETS = ("a4-postcards-4", "a6-page")

_A6_SIDE = 11 * mm
_A6_WORDS = 9.5
_A6_EASY = 8.5
_A6_LEAST = 6.5
_BESIDE_RING = 5 * mm
_RING_SIZES = (29 * mm, 23 * mm, 18 * mm)
_CARE_HEIGHT = 22 * mm
_OVER_HEADING = 6.5 * mm
_UNDER_HEADING = 2.6 * mm
_PARAGRAPH_GAP = 3.4 * mm


def a6_cards(
    cards: Sequence[CardFacts],
    sheet: Sheet = SHEETS["a6-page"],
    *,
    first_cell: int = 0,
    public_url: str | None = None,
    maker: str = "",
    title: str = "Provenance cards",
    language: str = "en",
    outlines: bool = False,
) -> bytes:
    """A6 cards as a PDF, each on a page of its own or four to an A4 sheet."""
    if sheet.slug not in A6_SHEETS:
        raise SheetTooSmall("A6 cards don't go on this sheet: choose A6 or four to an A4 sheet.")

    def draw(canvas: Canvas, box: Box, facts: CardFacts) -> None:
        _draw_a6(canvas, box, facts, sized_symbol(public_url, facts.code, 34))

    return fill_sheets(
        cards,
        sheet,
        draw,
        first_cell=first_cell,
        title=title,
        maker=maker,
        language=language,
        outlines=outlines,
    )


def _draw_a6(canvas: Canvas, box: Box, facts: CardFacts, code: SizedSymbol | None) -> None:
    """Name, tree, making and care from top to bottom, with code and number at the foot."""
    area = Box(box.x + _A6_SIDE, box.y + 11 * mm, box.width - 2 * _A6_SIDE, box.height - 24 * mm)
    foot = _draw_a6_foot(canvas, area, facts, code)
    top = _draw_a6_head(canvas, area, facts)
    room = Box(area.x, foot, area.width, top - foot)
    heading = lettering.Line("Caring for it", SERIF, 10)
    care = _care_list(facts, area.width)
    over_care = care.height + heading.cap + _UNDER_HEADING + _OVER_HEADING
    if not care.lines or _is_cramped(_a6_story(facts, _above(room, over_care))[1]):
        care = _care_paragraph(facts, area.width)
        over_care = care.height + heading.cap + _UNDER_HEADING + _OVER_HEADING
    below = _draw_a6_story(canvas, _above(room, over_care if care.lines else 0), facts)
    if care.lines:
        baseline = below - _OVER_HEADING - heading.cap
        lettering.draw_line(canvas, heading, area.x, baseline)
        lettering.draw_block(canvas, care, area.x, baseline - _UNDER_HEADING)


def _above(box: Box, height: float) -> Box:
    """What is left of the box over so much of its foot."""
    return Box(box.x, box.y + height, box.width, box.height - height)


def _care_list(facts: CardFacts, width: float) -> Block:
    """Each sentence of the care on a line of its own; empty where that is too high."""
    size = 9.0
    sentences = [text for care in facts.care if (text := lettering.printable(care))]
    lines = [line for text in sentences for line in lettering.balanced(text, SANS, size, width)]
    block = Block(tuple(lines), SANS, size, size * 1.4)
    return block if block.height <= _CARE_HEIGHT else Block((), SANS, size, size)


def _care_paragraph(facts: CardFacts, width: float) -> Block:
    return lettering.fit_block(
        facts.care_text, SANS, 8, width, _CARE_HEIGHT, least=6.5, leading=1.36
    )


def _draw_a6_head(canvas: Canvas, area: Box, facts: CardFacts) -> float:
    """Title and subtitle; returns the height under them and their rule."""
    title = lettering.fit_block(
        facts.title,
        SERIF,
        20,
        area.width,
        19 * mm,
        least=12,
        leading=1.14,
        most_lines=3,
        even=True,
    )
    baseline = lettering.draw_block(canvas, title, area.x, area.top)
    below = baseline - 3.6 * mm if title.lines else area.top
    canvas.setFillColor(SOFT_INK)
    subtitle = lettering.fit_block(
        facts.subtitle, SANS, 9.5, area.width, 8 * mm, least=7, leading=1.3, most_lines=2
    )
    baseline = lettering.draw_block(canvas, subtitle, area.x, below)
    canvas.setFillColor(INK)
    rule = (baseline if subtitle.lines or title.lines else area.top) - 4.6 * mm
    draw_rule(canvas, area.x, area.right, rule)
    return rule - 5 * mm


def _draw_a6_story(canvas: Canvas, area: Box, facts: CardFacts) -> float:
    """Ring mark with the story and the making beside it; returns the height of their foot."""
    ring, blocks = _a6_story(facts, area)
    if ring:
        draw_ring_mark(canvas, facts.ring_seed, facts.rings, area.x, area.top, ring)
    start = area.x + (ring + _BESIDE_RING if ring else 0)
    top = last = area.top
    for block in blocks:
        last = lettering.draw_block(canvas, block, start, top)
        top = last - _PARAGRAPH_GAP
    return min(last, area.top - ring)


def _a6_story(facts: CardFacts, area: Box) -> tuple[float, list[Block]]:
    """The ring mark's width and the paragraphs: a long story gets a smaller mark, then type."""
    sizes = [size for size in _RING_SIZES if size <= area.height] if facts.ring_seed else []
    ring = sizes[0] if sizes else 0.0
    blocks = _a6_paragraphs(facts, area, ring)
    for size in sizes[1:]:
        if not _is_cramped(blocks):
            break
        ring = size
        blocks = _a6_paragraphs(facts, area, ring)
    return ring, blocks


def _is_cramped(blocks: list[Block]) -> bool:
    """Whether the story is set smaller than reads easily."""
    return any(block.lines and block.size < _A6_EASY for block in blocks)


def _a6_paragraphs(facts: CardFacts, area: Box, ring: float) -> list[Block]:
    """The tree's story and the making, in one size of type, in the room beside the ring mark."""
    texts = [text for text in (facts.tree_story, facts.making) if lettering.printable(text)]
    width = area.width - (ring + _BESIDE_RING if ring else 0)
    size = _A6_WORDS
    while size >= _A6_LEAST:
        blocks = [
            lettering.fit_block(text, SANS, size, width, area.height, least=size, leading=1.38)
            for text in texts
        ]
        height = sum(block.height for block in blocks) + _PARAGRAPH_GAP * (len(blocks) - 1)
        cut = any(block.lines and block.lines[-1].endswith(lettering.ELLIPSIS) for block in blocks)
        if blocks and height <= area.height and not cut:
            return blocks
        size -= lettering.STEP
    joined = lettering.fit_block(
        facts.story, SANS, _A6_LEAST, width, area.height, least=_A6_LEAST, leading=1.34
    )
    return [joined]


def _draw_a6_foot(canvas: Canvas, area: Box, facts: CardFacts, code: SizedSymbol | None) -> float:
    """Code with number, address and maker beside it; returns the height above them."""
    start = area.x
    if code is not None:
        code.draw(canvas, area.x, area.y + code.body)
        start += code.body + max(code.quiet, 4.5 * mm)
    width = area.right - start
    number = lettering.fit_whole(facts.number, SERIF, 17, width if code else width * 0.4)
    maker = lettering.fit_line(
        facts.maker, SANS_BOLD, 9, width if code else width * 0.55, least=6.5
    )
    if code is None:
        lettering.draw_line(canvas, number, area.right, area.y, "right")
        lettering.draw_line(canvas, maker, area.x, area.y)
        rule = area.y + number.cap + 4.6 * mm
        draw_rule(canvas, area.x, area.right, rule)
        return rule + 5 * mm
    lettering.draw_line(canvas, number, start, area.y + code.body - number.cap)
    canvas.setFillColor(SOFT_INK)
    address = address_block(code.address, 8, width)
    lettering.draw_block(canvas, address, start, area.y + code.body - number.cap - 2.6 * mm)
    canvas.setFillColor(INK)
    lettering.draw_line(canvas, maker, start, area.y)
    return area.y + code.body + max(code.quiet, 6 * mm)
