"""The type of everything printed: the fonts, and text that fits its place whatever its length.

Source Serif and Source Sans come as TrueType from their PyPI packages (SIL Open Font Licence 1.1)
and are embedded in every file. All lengths here are points.

Text that is too long is first set a step smaller, then wrapped, then ended with "…". What must
never be cut (numbers, prices) goes through `fit_whole`, which only ever shrinks.
"""

import re
import unicodedata
from dataclasses import dataclass
from functools import lru_cache

import font_source_sans_pro
import font_source_serif_pro
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

SERIF = "SourceSerif-Semibold"
SANS = "SourceSans"
SANS_BOLD = "SourceSans-Semibold"

_FILES = {
    SERIF: (font_source_serif_pro.font_files_ttf, "SourceSerifProSemibold"),
    SANS: (font_source_sans_pro.font_files_ttf, "SourceSansPro"),
    SANS_BOLD: (font_source_sans_pro.font_files_ttf, "SourceSansProSemibold"),
}

ELLIPSIS = "…"
# A quarter point: the eye takes two sizes this close for one, so labels side by side still match.
STEP = 0.25

# A compound may be parted behind its hyphen, a number not.
_HYPHENS = re.compile(r"(?<=[^\W\d_]-)(?=[^\W\d_])")
# A figure keeps its unit, and a size its cross, on one line.
_FIGURES = re.compile(r"(?<=\d) (?=(?:mm|cm|m|in|g|kg|oz|lb|%|°C|°F)\b)| (?=× )|(?<=×) ")
_SPACES = re.compile("[ \t\n\r\f\v\x1c-\x1f\x85\u2028\u2029]+")
# What the fonts lack but have a plain equal for.
_EQUALS = {"\u2011": "-", "\u202f": "\u00a0", "\u2010": "-"}


@lru_cache(maxsize=1)
def register_fonts() -> frozenset[int]:
    """Make the fonts known to reportlab; returns the code points that all of them can draw."""
    drawable: frozenset[int] | None = None
    for name, (files, key) in _FILES.items():
        font = TTFont(name, files[key])
        pdfmetrics.registerFont(font)
        glyphs = frozenset(font.face.charToGlyph)
        drawable = glyphs if drawable is None else drawable & glyphs
    return drawable or frozenset()


def _drawn(character: str, drawable: frozenset[int]) -> str:
    """What stands for a character on paper: itself, a plain equal, or nothing."""
    character = _EQUALS.get(character, character)
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn"):
        return ""
    if ord(character) in drawable:
        return character
    plain = unicodedata.normalize("NFKC", character)
    if all(ord(part) in drawable for part in plain):
        return plain
    bare = unicodedata.normalize("NFKD", character)[0]
    return bare if ord(bare) in drawable else ""


@lru_cache(maxsize=4096)
def printable(text: str) -> str:
    """The text on one line in composed form, without the characters that our fonts lack."""
    drawable = register_fonts()
    composed = _SPACES.sub(" ", unicodedata.normalize("NFC", text))
    kept = "".join(_drawn(character, drawable) for character in composed)
    return _SPACES.sub(" ", kept).strip(" ")


def unprintable(text: str) -> str:
    """The characters, each once and in order, that a print of this text would leave out."""
    drawable = register_fonts()
    composed = _SPACES.sub(" ", unicodedata.normalize("NFC", text))
    # Invisible controls and joiners are no loss to anyone.
    seen = (c for c in composed if unicodedata.category(c) not in ("Cc", "Cf"))
    return "".join(dict.fromkeys(c for c in seen if not _drawn(c, drawable)))


def width_of(text: str, font: str, size: float) -> float:
    """Width in points of text that is already printable."""
    register_fonts()
    return float(pdfmetrics.stringWidth(text, font, size))


def cap_height(font: str, size: float) -> float:
    """Height of a capital above the baseline, in points."""
    register_fonts()
    return float(pdfmetrics.getFont(font).face.capHeight) * size / 1000


def descent(font: str, size: float) -> float:
    """Depth of the font below the baseline, in points, as a positive figure."""
    register_fonts()
    return -float(pdfmetrics.getFont(font).face.descent) * size / 1000


@dataclass(frozen=True)
class Line:
    """One line of text that fits."""

    text: str
    font: str
    size: float

    @property
    def width(self) -> float:
        return width_of(self.text, self.font, self.size)

    @property
    def cap(self) -> float:
        return cap_height(self.font, self.size)


@dataclass(frozen=True)
class Block:
    """Lines of text that fit: `height` runs from the first capitals' top to the last baseline."""

    lines: tuple[str, ...]
    font: str
    size: float
    leading: float

    @property
    def cap(self) -> float:
        return cap_height(self.font, self.size)

    @property
    def height(self) -> float:
        return self.cap + (len(self.lines) - 1) * self.leading if self.lines else 0.0

    @property
    def width(self) -> float:
        return max((width_of(line, self.font, self.size) for line in self.lines), default=0.0)


def _bound(text: str) -> str:
    return _FIGURES.sub("\u00a0", text)


def shortened(text: str, font: str, size: float, width: float) -> str:
    """The text, or as much of its beginning as fits the width with "…" behind it, or ""."""
    if width_of(text, font, size) <= width:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        candidate = text[:middle].rstrip(" ,.;:·–-") + ELLIPSIS
        if width_of(candidate, font, size) <= width:
            low = middle
        else:
            high = middle - 1
    head = text[:low].rstrip(" ,.;:·–-")
    start, space, rest = head.rpartition(" ")
    if space and len(rest) < 14 and text[low : low + 1] not in ("", " "):
        head = start.rstrip(" ,.;:·–-")  # better a word less than half a word
    return head + ELLIPSIS if head else ""


def _sizes(size: float, least: float) -> list[float]:
    steps = max(0, int((size - least) / STEP + 1e-6))
    sizes = [size - STEP * step for step in range(steps + 1)]
    return sizes if sizes[-1] <= least else [*sizes, least]


def fit_line(text: str, font: str, size: float, width: float, *, least: float) -> Line:
    """One line: at `size`, or smaller down to `least`, then shortened with "…"."""
    text = printable(text)
    for smaller in _sizes(size, least):
        if width_of(text, font, smaller) <= width:
            return Line(text, font, smaller)
    return Line(shortened(text, font, least, width), font, least)


def fit_whole(text: str, font: str, size: float, width: float) -> Line:
    """One line that is never cut, however small it has to become: for numbers and prices."""
    text = printable(text)
    natural = width_of(text, font, size)
    if natural <= width or natural == 0:
        return Line(text, font, size)
    # A hair less than exact, so that rounding in the file can't push it over the edge.
    return Line(text, font, max(size * width / natural * 0.999, 0.1))


def _pieces_of(word: str, font: str, size: float, width: float) -> list[str]:
    """A word broken wherever it must, when no line could hold it."""
    pieces, piece = [], ""
    for character in word:
        if piece and width_of(piece + character, font, size) > width:
            pieces.append(piece)
            piece = character
        else:
            piece += character
    return [*pieces, piece]


def _parts(text: str, font: str, size: float, width: float) -> list[str]:
    """The text cut where a line may end: at spaces, which belong to the part before them.

    A compound is parted behind its hyphen only when no line could hold it whole.
    """
    parts: list[str] = []
    for word in re.findall("[^ ]+ ?", text):
        is_whole = width_of(word.rstrip(" "), font, size) <= width
        parts.extend([word] if is_whole else _HYPHENS.split(word))
    return parts


def wrap(text: str, font: str, size: float, width: float) -> list[str]:
    """Printable text in lines no wider than the width, parted at spaces and hyphens if it can."""
    lines: list[str] = []
    line = ""
    for part in _parts(text, font, size, width):
        if width_of((line + part).rstrip(" "), font, size) <= width:
            line += part
            continue
        if line:
            lines.append(line.rstrip(" "))
        *full, line = _pieces_of(part, font, size, width)
        lines.extend(full)
    line = line.rstrip(" ")
    return [*lines, line] if line else lines


def _longest_part(text: str, font: str, size: float, width: float) -> float:
    """Width of what has to stay on one line."""
    parts = _parts(text, font, size, width)
    return max((width_of(part.rstrip(" "), font, size) for part in parts), default=0.0)


def balanced(text: str, font: str, size: float, width: float) -> list[str]:
    """As many lines as `wrap` makes, as even in length as they can be without parting words."""
    count = len(wrap(text, font, size, width))
    if count < 2:
        return wrap(text, font, size, width)
    narrow, wide = min(_longest_part(text, font, size, width), width), width
    for _ in range(12):
        middle = (narrow + wide) / 2
        if len(wrap(text, font, size, middle)) <= count:
            wide = middle
        else:
            narrow = middle
    return wrap(text, font, size, wide)


def _ends_in_a_scrap(lines: list[str], font: str, size: float, width: float) -> bool:
    """Whether a word or two would stand alone at the end of a paragraph."""
    return len(lines) > 1 and width_of(lines[-1], font, size) < 0.25 * width


def fit_block(
    text: str,
    font: str,
    size: float,
    width: float,
    height: float,
    *,
    least: float,
    leading: float = 1.32,
    most_lines: int | None = None,
    even: bool | None = None,
) -> Block:
    """Lines within width and height, shrunk down to `least` before the last line is shortened.

    `height` is from the top of the first line's capitals to the last baseline; `leading` is a
    multiple of the size; `even` makes lines of like length, unsaid only when the
    last would be a scrap. No line fits a place lower than a capital: the block is then empty.
    """
    text = _bound(printable(text))
    if not text or width <= 0:
        return Block((), font, size, size * leading)
    for smaller in _sizes(size, least):
        room = _room(font, smaller, height, leading, most_lines)
        if _longest_part(text, font, smaller, width) > width:
            continue
        lines = wrap(text, font, smaller, width)
        if len(lines) <= room:
            if even is None:
                even = _ends_in_a_scrap(lines, font, smaller, width)
            if even:
                lines = balanced(text, font, smaller, width)
            return Block(tuple(lines), font, smaller, smaller * leading)
    room = _room(font, least, height, leading, most_lines)
    lines = wrap(text, font, least, width)
    kept = lines[:room]
    if kept and len(lines) > room:
        kept[-1] = shortened(" ".join(lines[room - 1 :]), font, least, width)
    kept = [shortened(line, font, least, width) for line in kept]
    return Block(tuple(line for line in kept if line), font, least, least * leading)


def _room(font: str, size: float, height: float, leading: float, most_lines: int | None) -> int:
    """How many lines of this size the height holds."""
    spare = height - cap_height(font, size)
    if spare < -1e-6:
        return 0
    room = 1 + int(spare / (size * leading) + 1e-6)
    return room if most_lines is None else min(room, most_lines)


def draw_line(canvas: Canvas, line: Line, x: float, baseline: float, align: str = "left") -> None:
    """Draw at the baseline, with x at the line's left end, centre or right end."""
    if not line.text:
        return
    canvas.setFont(line.font, line.size)
    text = line.text.replace("\u00a0", " ")  # it has done its work; a search finds plain spaces
    if align == "right":
        canvas.drawRightString(x, baseline, text)
    elif align == "centre":
        canvas.drawCentredString(x, baseline, text)
    else:
        canvas.drawString(x, baseline, text)


def draw_block(canvas: Canvas, block: Block, x: float, top: float, align: str = "left") -> float:
    """Draw with the first line's capitals reaching to `top`; returns the last baseline."""
    if not block.lines:
        return top
    baseline = top - block.cap
    for index, text in enumerate(block.lines):
        place = baseline - index * block.leading
        draw_line(canvas, Line(text, block.font, block.size), x, place, align)
    return top - block.height
