"""The provenance card that goes with a piece, as a business card (`a6_card.py` has the larger one).

It tells where the tree stood, how the piece was made and how to care for it, and carries the code
to its page. Lengths are points unless the name says millimetres.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

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
from provenance.cards.qr import SizedSymbol, sized_symbol
from provenance.cards.sheets import Sheet
from provenance.cards.type import SANS, SERIF, Block

BUSINESS_CARD_SHEETS = ("letter-cards-10", "a4-cards-10")

_LEAST_WORDS = 5.5
# A full stop behind fewer than three letters is more likely an abbreviation.
_SENTENCE_ENDS = re.compile(r"(?<=\w\w\w[.!?]) ")


@dataclass(frozen=True)
class CardFacts:
    """What a card says. `code` is the number without dashes; an empty text is left out.

    `ring_seed` is the tree's number; without one there is no ring mark. `rings` is its count of
    rings, None where unknown.
    """

    number: str
    code: str
    title: str
    subtitle: str = ""
    tree_story: str = ""
    making: str = ""
    care: tuple[str, ...] = ()
    maker: str = ""
    ring_seed: str = ""
    rings: int | None = None

    @property
    def story(self) -> str:
        """The tree and the making in one paragraph."""
        return _joined((self.tree_story, self.making))

    @property
    def care_text(self) -> str:
        return _joined(self.care)


def _joined(sentences: Sequence[str]) -> str:
    printed = (lettering.printable(sentence) for sentence in sentences)
    return " ".join(sentence for sentence in printed if sentence)


def business_cards(
    cards: Sequence[CardFacts],
    sheet: Sheet,
    *,
    first_cell: int = 0,
    public_url: str | None = None,
    maker: str = "",
    title: str = "Provenance cards",
    language: str = "en",
    outlines: bool = False,
) -> bytes:
    """Business cards as a PDF, the first in cell `first_cell` (from 0) of the first sheet."""
    if sheet.slug not in BUSINESS_CARD_SHEETS:
        raise SheetTooSmall("Business cards don't go on this sheet: choose a sheet of ten cards.")

    def draw(canvas: Canvas, box: Box, facts: CardFacts) -> None:
        _draw_business_card(canvas, box, facts, _business_code(public_url, facts.code))

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


_MARGIN = 4.8 * mm
_FIRST_LINE = 5.4 * mm
_CODE_BODY_MM = 19.6


def _business_code(public_url: str | None, code: str) -> SizedSymbol | None:
    """A code whose body stays within its column; the quiet zone reaches into the margins."""
    trial = sized_symbol(public_url, code, 1000)
    if trial is None:
        return None
    modules = trial.symbol
    return sized_symbol(
        public_url, code, _CODE_BODY_MM * modules.modules_with_quiet / modules.modules
    )


def _draw_business_card(
    canvas: Canvas, box: Box, facts: CardFacts, code: SizedSymbol | None
) -> None:
    left, right = box.x + _MARGIN, box.right - _MARGIN
    top = box.top - _FIRST_LINE
    foot = _draw_foot(canvas, Box(left, box.y + 4.2 * mm, right - left, 0), facts)
    if code is not None:
        column = _draw_code_column(canvas, facts, code, right, top)
        words = Box(left, foot, column - left, top - foot)
    else:
        words = Box(left, foot, right - left, top - foot)
    _draw_story(canvas, words, facts, with_number=code is None)


def _draw_foot(canvas: Canvas, area: Box, facts: CardFacts) -> float:
    """Care and maker under a rule; returns the height from which the story stands."""
    maker = lettering.fit_line(facts.maker, SANS, 6.5, area.width * 0.46, least=_LEAST_WORDS)
    room = area.width - (maker.width + 4 * mm if maker.text else 0)
    care = _foot_care(facts, room)
    if not care.lines and not maker.text:
        return area.y
    canvas.setFillColor(SOFT_INK)
    lettering.draw_line(canvas, maker, area.right, area.y, "right")
    height = max(care.height, maker.cap if maker.text else 0)
    lettering.draw_block(canvas, care, area.x, area.y + height)
    canvas.setFillColor(INK)
    rule = area.y + height + 2.2 * mm
    draw_rule(canvas, area.x, area.right, rule)
    return rule + 2.2 * mm


def _foot_care(facts: CardFacts, width: float) -> Block:
    """Care in few lines, each of whole sentences where they fit so."""
    sentences = [text for care in facts.care if (text := lettering.printable(care))]
    for size in (6.5, 6.25, 6.0):
        for count in (1, 2, 3):
            lines = _whole_sentences(sentences, size, count)
            if lines and max(lettering.width_of(line, SANS, size) for line in lines) <= width:
                return Block(tuple(lines), SANS, size, size * 1.28)
    return lettering.fit_block(
        facts.care_text, SANS, 6.5, width, 9.5 * mm, least=_LEAST_WORDS, leading=1.28
    )


def _whole_sentences(sentences: list[str], size: float, count: int) -> list[str]:
    """The sentences on so many lines, the widest of them as narrow as can be; or none."""
    if not count <= len(sentences) <= 8:
        return []
    ways = (
        [" ".join(sentences[start:end]) for start, end in pairwise((0, *cuts, len(sentences)))]
        for cuts in combinations(range(1, len(sentences)), count - 1)
    )
    return min(ways, key=lambda way: max(lettering.width_of(line, SANS, size) for line in way))


def _draw_code_column(
    canvas: Canvas, facts: CardFacts, code: SizedSymbol, right: float, top: float
) -> float:
    """Code, number and address at the right; returns where the words to the left have to end."""
    left = right - code.body
    middle = left + code.body / 2
    code.draw(canvas, left, top)
    number = lettering.fit_whole(facts.number, SERIF, 11.5, code.body)
    baseline = top - code.body - max(code.quiet, 2.4 * mm) - number.cap
    lettering.draw_line(canvas, number, middle, baseline, "centre")
    canvas.setFillColor(SOFT_INK)
    address = address_block(code.address, 5.5, code.body)
    lettering.draw_block(canvas, address, middle, baseline - 1.7 * mm, "centre")
    canvas.setFillColor(INK)
    return left - max(code.quiet, 3.4 * mm)


def address_block(address: str, size: float, width: float) -> Block:
    """The whole address, on two lines when one would make it too small."""
    one = lettering.fit_whole(address, SANS, size, width)
    if one.size >= size * 0.85:
        return Block((one.text,), SANS, one.size, one.size * 1.2)
    host, slash, path = address.partition("/")
    lines = (host, slash + path)
    two = lettering.fit_whole(max(lines, key=len), SANS, size, width)
    return Block(lines, SANS, two.size, two.size * 1.2)


def _draw_story(canvas: Canvas, area: Box, facts: CardFacts, *, with_number: bool) -> None:
    """Title, subtitle, ring mark and paragraph; the number too where no code stands over it."""
    beside, under_number = 0.0, area.top
    if with_number:
        number = lettering.fit_whole(facts.number, SERIF, 11.5, area.width * 0.4)
        lettering.draw_line(canvas, number, area.right, area.top - number.cap, "right")
        beside = number.width + 4 * mm
        under_number = area.top - number.cap - 3.6 * mm
    title = lettering.fit_block(
        facts.title,
        SERIF,
        12.5,
        area.width - beside,
        9.4 * mm,
        least=8,
        leading=1.15,
        most_lines=3,
        even=True,
    )
    baseline = lettering.draw_block(canvas, title, area.x, area.top)
    below = baseline - 2.5 * mm if title.lines else area.top
    canvas.setFillColor(SOFT_INK)
    subtitle = lettering.fit_block(
        facts.subtitle, SANS, 7, area.width - (0 if title.lines else beside), 5.4 * mm,
        least=5.75, leading=1.24, most_lines=2,
    )  # fmt: skip
    baseline = lettering.draw_block(canvas, subtitle, area.x, below)
    canvas.setFillColor(INK)
    below = baseline - 3.6 * mm if subtitle.lines else below - 1.4 * mm
    below = min(below, under_number)
    _draw_paragraph(canvas, Box(area.x, area.y, area.width, below - area.y), facts)


def _draw_paragraph(canvas: Canvas, area: Box, facts: CardFacts) -> None:
    """The ring mark, as high as there is room, and the story beside it."""
    size = min(11.5 * mm, area.height)
    start = area.x
    if facts.ring_seed and size >= 6 * mm:
        draw_ring_mark(canvas, facts.ring_seed, facts.rings, area.x, area.top + 0.3 * mm, size)
        start = area.x + size + 2.6 * mm
    story = _story_block(facts, area.right - start, area.height)
    lettering.draw_block(canvas, story, start, area.top)


def _story_block(facts: CardFacts, width: float, height: float) -> Block:
    """The paragraph; where all of it is too long, the tree's last sentences give way first."""
    sentences = _SENTENCE_ENDS.split(lettering.printable(facts.tree_story))
    for kept in range(len(sentences), 0, -1):
        text = _joined((*sentences[:kept], facts.making))
        block = lettering.fit_block(text, SANS, 7, width, height, least=_LEAST_WORDS, leading=1.34)
        if not block.lines or not block.lines[-1].endswith(lettering.ELLIPSIS):
            break
    return block
