"""Where everything of a picture of amounts by month lies: columns, names and amounts.

Lengths are units of the picture's own box with y downwards, as SVG has it. The marked, the highest
and the lowest amounts are always written; where a taller neighbour stands in the way the words go
beyond it, and a thin line leads back to their column.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import permutations
from math import ceil

import font_source_sans_pro
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

SANS, SANS_BOLD = "SourceSans", "SourceSans-Semibold"  # the names they have in all our prints

_CAP = 0.66  # a capital's height and a comma's depth, as parts of the size
_DEPTH = 0.14
_GAP = 0.34
_ROW = 1.28
_AIR = 0.1  # at each side of words
_FILLED = 0.64  # the part of its place that a column takes up
_WIDEST = 3.4  # but no more than so many times the size, however few columns there are


@dataclass(frozen=True)
class Column:
    """One month. `value` is in minor units and may be negative; `words` say it as it is shown.

    `label` is the month's name, with or without its year behind a space: "Nov", "Nov 2026". The
    year is written under the first column and wherever it changes.
    """

    label: str
    value: int
    words: str
    is_marked: bool = False


@dataclass(frozen=True)
class Box:
    """A rectangle, y downwards."""

    x0: float
    top: float
    x1: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        across = min(self.x1, other.x1) - max(self.x0, other.x0)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return across > 0 and down > 0


@dataclass(frozen=True)
class Bar:
    """One column's rectangle, from the zero line to its end."""

    box: Box
    is_marked: bool


@dataclass(frozen=True)
class Words:
    """A text centred on x with its baseline at y; `is_extra` shows only where the page is wide."""

    text: str
    x: float
    y: float
    size: float
    is_bold: bool = False
    is_soft: bool = False
    is_extra: bool = False

    @property
    def box(self) -> Box:
        """What the words cover, with a little air at their sides."""
        half = width_of(self.text, self.size, self.is_bold) / 2 + self.size * _AIR
        top, bottom = self.y - self.size * _CAP, self.y + self.size * _DEPTH
        return Box(self.x - half, top, self.x + half, bottom)


@dataclass
class Picture:
    """All that is drawn, and how far down the zero line lies."""

    zero: float
    bars: list[Bar] = field(default_factory=list)
    words: list[Words] = field(default_factory=list)
    leaders: list[Box] = field(default_factory=list)  # thin upright lines, as wide as their air


# -- laying out ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Places:
    """Where the columns stand side by side."""

    count: int
    width: float
    side: float  # kept free at both ends, for the words of the outermost

    @property
    def each(self) -> float:
        return (self.width - 2 * self.side) / max(self.count, 1)

    def middle(self, index: int) -> float:
        return self.side + self.each * (index + 0.5)


def laid_out(
    columns: Sequence[Column], width: float, height: float, size: float, extra_size: float = 0
) -> Picture:
    """The picture in its box. `extra_size`, smaller than `size`, is for words of wide pages."""
    places = _Places(len(columns), width, _side(columns, width, size))
    labels = list(_labels(columns, places, height, size))
    floor = min((words.box.top for words in labels), default=height) - size * 0.5
    has_debts = any(column.value < 0 for column in columns)
    above, below = 1, 1 if has_debts else 0
    while True:
        top, bottom = size * _ROW * above, floor - size * _ROW * below
        picture = _columns(columns, places, size * _WIDEST, top, bottom)
        _write(columns, picture, places, size, extra_size)
        is_high = any(words.box.top < 0 for words in picture.words)
        is_low = has_debts and any(words.box.bottom > floor for words in picture.words)
        if above + below > 6 or not (is_high or is_low):
            picture.words += labels
            return picture
        above, below = above + is_high, below + is_low


def _side(columns: Sequence[Column], width: float, size: float) -> float:
    """What stays free at both ends, so that the outermost amounts stand over their middles."""
    ends = {0, len(columns) - 1} & set(_wanted(columns))
    half = max((width_of(columns[i].words, size, True) for i in ends), default=0) / 2 + size * _AIR
    over = half - width / max(len(columns), 1) / 2
    return max(size * 0.5, min(over, size * 1.3))


def _columns(
    columns: Sequence[Column], places: _Places, widest: float, top: float, bottom: float
) -> Picture:
    """The columns between two heights, to one scale that has nothing (zero) on it."""
    values = [column.value for column in columns]
    most, least = max([0, *values]), min([0, *values])
    scale = (bottom - top) / (most - least) if most > least else 0
    zero = top + most * scale if most > least else bottom
    picture = Picture(zero)
    for index, column in enumerate(columns):
        ends = sorted((zero, zero - column.value * scale))
        middle, half = places.middle(index), min(places.each * _FILLED, widest) / 2
        box = Box(middle - half, ends[0], middle + half, ends[1])
        if column.value:
            picture.bars.append(Bar(box, column.is_marked))
    return picture


def _labels(
    columns: Sequence[Column], places: _Places, height: float, size: float
) -> Iterator[Words]:
    """The months' names, and the years beneath them; each nth name where not all have room."""
    names = [_parted(column.label) for column in columns]
    marked = next((index for index, column in enumerate(columns) if column.is_marked), 0)
    widest = max((width_of(name, size, True) for name, _ in names), default=0) + size * 0.2
    smaller = size * max(0.9, min(1.0, places.each / max(widest, 1)))
    step = max(1, ceil(widest * smaller / size / max(places.each, 1) - 0.001))
    has_years = any(year for _, year in names)
    last = height - size * (_DEPTH + 0.1)
    known, end = "", -size
    for index, (column, (name, year)) in enumerate(zip(columns, names, strict=True)):
        x = places.middle(index)
        if name and (index - marked) % step == 0:
            y = last - smaller * _ROW if has_years else last
            yield _within(Words(name, x, y, smaller, column.is_marked), places.width)
        words = _within(Words(year, x, last, smaller, is_soft=True), places.width)
        if year and year != known and words.box.x0 >= end - size * _AIR:
            yield words
            known, end = year, words.box.x1


def _parted(label: str) -> tuple[str, str]:
    """ "Nov 2026" as its name and its year; a label without a year has none."""
    name, _, year = label.rpartition(" ")
    return (name, year) if name and year.isdigit() else (label, "")


def _within(words: Words, width: float) -> Words:
    """The same words, moved sideways as far as the picture's edge demands."""
    half = (words.box.x1 - words.box.x0) / 2
    x = min(max(words.x, half), max(width - half, half))
    return replace(words, x=x)


# -- writing the amounts -------------------------------------------------------------------------


def _write(
    columns: Sequence[Column], picture: Picture, places: _Places, size: float, extra_size: float
) -> None:
    """Put the amounts on the columns: those that must be there, then what else has room."""
    wanted = _wanted(columns)
    # No wider than two places, so that words over one column leave the next one's middle free.
    widest = max((width_of(columns[i].words, size, True) for i in wanted), default=0) + size * 0.3
    room = max(2 * places.each, min(places.width, size * 5))
    size_written = size * min(1.0, room / max(widest, 1))
    writers = (_Writer(columns, picture, places, size_written) for _ in permutations(wanted))
    best = min(
        (writer.all_of(order) for writer, order in zip(writers, permutations(wanted), strict=True)),
        key=lambda writer: writer.trouble,
    )
    best.the_others(size_written)
    if extra_size:
        best.the_others(size_written * extra_size / size, is_extra=True)
    picture.words += best.words
    picture.leaders += best.leaders


def _wanted(columns: Sequence[Column]) -> list[int]:
    """Places of the columns whose amount is always written; at most the first three marked."""
    if not columns:
        return []
    places = range(len(columns))
    marked = [index for index in places if columns[index].is_marked]
    highest = max(places, key=lambda i: (columns[i].value, columns[i].is_marked))
    lowest = min(places, key=lambda i: (columns[i].value, not columns[i].is_marked))
    return list(dict.fromkeys([*marked[:3], highest, lowest]))


class _Writer:
    """Amounts written one after the other, each clear of the columns and of those before it."""

    def __init__(
        self, columns: Sequence[Column], picture: Picture, places: _Places, size: float
    ) -> None:
        self.words: list[Words] = []
        self.leaders: list[Box] = []
        self.trouble = 0.0
        self._columns, self._places, self._size = columns, places, size
        self._zero = picture.zero
        self._bars = [bar.box for bar in picture.bars]
        self._taken: list[Box] = []  # what the words cover
        self._written: set[int] = set()

    def all_of(self, order: Iterable[int]) -> "_Writer":
        """Write these, however far from their columns they have to go."""
        for index in order:
            self._write(index)
        return self

    def the_others(self, size: float, *, is_extra: bool = False) -> None:
        """Write each amount that has room right at the end of its column, all words so large."""
        self._taken = [replace(words, size=size).box for words in self.words]
        for index in range(len(self._columns)):
            words = self._at_its_column(index, size)
            if index not in self._written and not any(self._in_the_way(words)):
                self._taken.append(words.box)
                self._written.add(index)
                self.words.append(replace(words, size=self._size, is_extra=is_extra))

    def _end(self, index: int) -> float:
        """Where a column ends, away from the line."""
        x = self._places.middle(index)
        for box in self._bars:
            if box.x0 < x < box.x1:
                return box.bottom if self._columns[index].value < 0 else box.top
        return self._zero

    def _at_its_column(self, index: int, size: float) -> Words:
        column, end = self._columns[index], self._end(index)
        away = _GAP + _CAP if column.value < 0 else -_GAP
        baseline = end + self._size * away  # whatever the size, so that neighbours are level
        x = self._places.middle(index)
        words = Words(column.words, x, baseline, size, column.is_marked)
        return _within(words, self._places.width)

    def _in_the_way(self, words: Words) -> Iterator[Box]:
        boxes = (*self._bars, *self._taken, *self.leaders)
        return (box for box in boxes if box.meets(words.box))

    def _write(self, index: int) -> None:
        size, is_down = self._size, self._columns[index].value < 0
        words = self._at_its_column(index, size)
        start = words.y
        while boxes := list(self._in_the_way(words)):
            if is_down:
                y = max(box.bottom for box in boxes) + size * (_GAP + _CAP)
            else:
                y = min(box.top for box in boxes) - size * _GAP
            words = replace(words, y=y)
        if words.y != start:
            self._lead(index, words)
        self.trouble += abs(words.y - start)
        self.words.append(words)
        self._taken.append(words.box)
        self._written.add(index)

    def _lead(self, index: int, words: Words) -> None:
        """A thin line from the column to its words."""
        x, end, air = self._places.middle(index), self._end(index), self._size * 0.16
        box = words.box
        near, far = (end, box.top - air) if box.top > end else (box.bottom + air, end)
        leader = Box(x - air, near, x + air, far)
        self.trouble += 1000 * sum(leader.meets(box) for box in self._taken)
        self.leaders.append(leader)


# -- measuring -----------------------------------------------------------------------------------


@lru_cache(maxsize=2)
def _font(name: str) -> TTFont:
    """The font, made known to reportlab unless it is already."""
    if name not in pdfmetrics.getRegisteredFontNames():
        key = "SourceSansProSemibold" if name == SANS_BOLD else "SourceSansPro"
        pdfmetrics.registerFont(TTFont(name, font_source_sans_pro.font_files_ttf[key]))
    return pdfmetrics.getFont(name)


def width_of(text: str, size: float, is_bold: bool = False) -> float:
    """How wide the words are when set in our sans of that size, in the same units."""
    return float(_font(SANS_BOLD if is_bold else SANS).stringWidth(text, size))
