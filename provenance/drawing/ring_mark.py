"""The ring mark: a tree's own cross-section, drawn from its number and its count of rings.

The number alone decides the outline, the place of the pith and the character of the growth, so a
tree keeps its mark for ever; the count decides how many rings are drawn. It is an emblem and
claims nothing about the tree but what the record says: where the count is unknown, bark and pith
are all there is.

Everything lies on a grid of 1000 by 1000 (see `curves`). Towards the pith a ring is a circle about
it, towards the bark it follows the outline, as rings do.
"""

import hashlib
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Literal
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Group, Path
from reportlab.lib.colors import Color, HexColor

from provenance.drawing.curves import Curve, smooth

GRID = 1000
INK = "#2B211A"
ACCENT = "#9A4B1F"
MOST_RINGS = {"full": 14, "small": 5}

# Turning by it again and again spreads directions evenly, as leaves stand round a stem.
_GOLDEN_ANGLE = math.pi * (3 - math.sqrt(5))

Detail = Literal["full", "small"]
Place = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    """A line of even width, in grid units."""

    curve: Curve
    width: int


@dataclass(frozen=True)
class RingMark:
    """The parts of a mark. `outer` and `inner` enclose the bark; a ring may be in two strokes.

    `rings` run from the pith outwards. `checks` and `pith` are filled outlines.
    """

    outer: Curve
    inner: Curve
    rings: tuple[tuple[Stroke, ...], ...]
    checks: tuple[Curve, ...]
    pith: tuple[Curve, ...]

    @property
    def bark(self) -> tuple[Curve, ...]:
        """The bark as a filled shape: its outside with the inside cut out."""
        return (self.outer, self.inner.backwards())


def drawn_rings(rings: int | None, detail: Detail = "full") -> int:
    """How many rings are drawn for a tree of so many: each year while young, then fewer and fewer.

    Unknown, nought or less gives none; the count never falls as the tree grows older.
    """
    if rings is None or rings < 1:
        return 0
    most = MOST_RINGS[detail]
    each_year = 5 if detail == "full" else 2
    if rings <= each_year:
        return rings
    return each_year + round((most - each_year) * (1 - math.exp((each_year - rings) / 45)))


def ring_mark(
    seed: str,
    rings: int | None,
    size: float = 100,
    *,
    ink: str | Color = INK,
    accent: str | Color = ACCENT,
    detail: Detail = "full",
    pith_offset: Place | None = None,
) -> Drawing:
    """The mark as a reportlab drawing, `size` points square.

    `seed` is the tree's number, `rings` its count (None: unknown). Colours are reportlab's or
    "#RRGGBB". `pith_offset` places the pith right and down of the middle, in parts of the radius.
    """
    mark = cross_section(seed, rings, detail=detail, pith_offset=pith_offset)
    scale = size / GRID
    drawing = Drawing(size, size)
    group = Group()
    ink_colour, accent_colour = _colour(ink), _colour(accent)
    group.add(_filled(mark.bark, ink_colour, scale, size))
    for check in mark.checks:
        group.add(_filled((check,), ink_colour, scale, size))
    for ring in mark.rings:
        for stroke in ring:
            path = Path(
                fillColor=None,
                strokeColor=ink_colour,
                strokeWidth=stroke.width * scale,
                strokeLineCap=1,
                strokeLineJoin=1,
            )
            stroke.curve.add_to(path, scale=scale, height=size)
            group.add(path)
    group.add(_filled(mark.pith, accent_colour, scale, size))
    drawing.add(group)
    return drawing


def ring_mark_svg(
    seed: str,
    rings: int | None,
    *,
    title: str = "",
    detail: Detail = "full",
    size: int = 80,
    pith_offset: Place | None = None,
) -> str:
    """The mark as inline SVG, the same lines as `ring_mark` draws.

    Ink is the text's colour; the pith has class "pith" for the style sheet to colour. With a title
    it is an image to screen readers, without one it is decoration. `size` is the width in pixels
    where no style sheet says otherwise.
    """
    shown = f'role="img"><title>{escape(title)}</title>' if title else 'aria-hidden="true">'
    return (
        f'<svg class="ring-mark" viewBox="0 0 {GRID} {GRID}" width="{size}" height="{size}"'
        f' fill="currentColor" {shown}{_lines_svg(seed, rings, detail, pith_offset)}</svg>'
    )


@lru_cache(maxsize=1024)  # a list shows the same trees again and again; 2 to 4 KB each
def _lines_svg(seed: str, rings: int | None, detail: Detail, pith_offset: Place | None) -> str:
    mark = cross_section(seed, rings, detail=detail, pith_offset=pith_offset)
    checks = "".join(f'<path d="{check.path_data()}"/>' for check in mark.checks)
    return (
        f'<path d="{_path_data(mark.bark)}"/>{checks}{_rings_svg(mark)}'
        f'<path class="pith" d="{_path_data(mark.pith)}"/>'
    )


@lru_cache(maxsize=256)
def cross_section(
    seed: str,
    rings: int | None,
    *,
    detail: Detail = "full",
    pith_offset: Place | None = None,
) -> RingMark:
    """The geometry behind both pictures, on the grid of 1000 by 1000."""
    trunk = _Trunk(seed, pith_offset)
    count = drawn_rings(rings, detail)
    return RingMark(
        outer=smooth([trunk.bark(turn) for turn in _turns(30)]),
        inner=smooth([trunk.wood(turn) for turn in _turns(30)]),
        rings=tuple(_rings(trunk, count, detail)),
        checks=tuple(_checks(trunk)) if count > 2 and detail == "full" else (),
        pith=tuple(_pith(trunk, detail)),
    )


class _Chance:
    """Numbers between 0 and 1 that follow from a text and from nothing else, on any machine.

    Python promises no such thing for `random` from one version to the next, and a mark that is
    printed once has to be the same in twenty years.
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._drawn = 0

    def between(self, low: float, high: float) -> float:
        digest = hashlib.sha256(f"{self._text}|{self._drawn}".encode()).digest()
        self._drawn += 1
        return low + (high - low) * int.from_bytes(digest[:7], "big") / 2**56


class _Trunk:
    """The outline of one trunk, the pith in it, and where a ring lies between the two."""

    def __init__(self, seed: str, pith_offset: Place | None) -> None:
        self.seed = seed
        chance = _Chance(f"{seed}|outline")
        self._waves = [
            (number, most * chance.between(0.35, 1), chance.between(0, math.tau))
            for number, most in ((2, 0.062), (3, 0.042), (4, 0.026), (5, 0.018), (6, 0.01))
        ]
        self._bulges = [
            (
                chance.between(0, math.tau),
                chance.between(0.42, 0.65),
                chance.between(0.035, 0.075) * (-1 if chance.between(0, 1) < 0.45 else 1),
            )
            for _ in range(2)
        ]
        self._bark_waves = [
            (number, chance.between(0.1, 0.26), chance.between(0, math.tau)) for number in (1, 3, 5)
        ]
        self._fit()
        away, towards = chance.between(0.06, 0.16), chance.between(0, math.tau)
        offset = pith_offset
        if offset is None:
            offset = (away * math.cos(towards), away * math.sin(towards))
        reach = min(1.0, 0.5 / max(math.hypot(*offset), 0.01))
        radius = GRID * 0.46
        self.pith = (
            GRID / 2 + offset[0] * reach * radius,
            GRID / 2 + offset[1] * reach * radius,
        )
        reaches = [math.dist(self.pith, self.wood(turn)) for turn in _turns(48)]
        # A little more than the shortest way out: so wide the rings are near the pith, where
        # they are circles yet; the long side catches up as they turn to the outline.
        self._circle = min(reaches) * 0.65 + (sum(reaches) / len(reaches)) * 0.35

    def _plain(self, turn: float) -> Place:
        """The outline about the origin, before it is fitted to the grid."""
        radius = 1.0
        for number, height, phase in self._waves:
            radius += height * math.cos(number * turn + phase)
        for middle, width, height in self._bulges:
            apart = math.remainder(turn - middle, math.tau)
            radius += height * math.exp(-((apart / width) ** 2))
        return radius * math.cos(turn), radius * math.sin(turn)

    def _fit(self) -> None:
        points = [self._plain(turn) for turn in _turns(120)]
        across, down = zip(*points, strict=True)
        width, height = max(across) - min(across), max(down) - min(down)
        self._scale = (GRID - 24) / max(width, height)
        self._middle = ((max(across) + min(across)) / 2, (max(down) + min(down)) / 2)

    def bark(self, turn: float) -> Place:
        """A point of the outer outline."""
        x, y = self._plain(turn)
        return (
            GRID / 2 + (x - self._middle[0]) * self._scale,
            GRID / 2 + (y - self._middle[1]) * self._scale,
        )

    def wood(self, turn: float) -> Place:
        """A point on the inside of the bark, whose thickness varies as a brush's line does."""
        thickness = 29.0
        for number, height, phase in self._bark_waves:
            thickness += 29 * height * math.cos(number * turn + phase)
        x, y = self.bark(turn)
        return x - thickness * math.cos(turn), y - thickness * math.sin(turn)

    def at(self, turn: float, share: float) -> Place:
        """A point `share` of the way from the pith (0) to the inside of the bark (1)."""
        edge = self.wood(turn)
        dx, dy = edge[0] - self.pith[0], edge[1] - self.pith[1]
        reach = math.hypot(dx, dy)
        follows = share**1.6
        distance = share * ((1 - follows) * self._circle / reach + follows)
        return self.pith[0] + dx * distance, self.pith[1] + dy * distance


def _rings(trunk: _Trunk, count: int, detail: Detail) -> Iterator[tuple[Stroke, ...]]:
    """Rings from the pith outwards: wide apart in youth, closer in age, no two quite alike."""
    chance = _Chance(f"{trunk.seed}|rings")
    first = 0.12 if detail == "full" else 0.2
    widths = [
        (1.2 - 0.45 * index / max(count, 1)) * chance.between(0.65, 1.35)
        for index in range(count + 1)
    ]
    unit = (1 - first) / sum(widths)
    sway = [(number, chance.between(0, math.tau)) for number in (2, 3, 5)]
    share, begin = first, chance.between(0, math.tau)
    for index in range(count):
        share += widths[index] * unit
        begin += _GOLDEN_ANGLE + chance.between(-0.3, 0.3)  # no two gaps side by side
        slack = min(widths[index], widths[index + 1]) * unit
        sway = [(number, phase + chance.between(-0.5, 0.5)) for number, phase in sway]
        wobble = [(number, phase, min(slack * 0.06, 0.006)) for number, phase in sway]
        yield tuple(_ring(trunk, chance, share, begin, wobble, detail, may_break=count > 4))


def _ring(
    trunk: _Trunk,
    chance: _Chance,
    share: float,
    begin: float,
    wobble: list[tuple[int, float, float]],
    detail: Detail,
    *,
    may_break: bool,
) -> Iterator[Stroke]:
    heavy, open_to = chance.between(0, 1), chance.between(0, 1)
    gap, parts = chance.between(0.08, 0.24), chance.between(0, 1)

    def place(turn: float) -> Place:
        swayed = share + sum(height * math.cos(n * turn + phase) for n, phase, height in wobble)
        return trunk.at(turn, swayed)

    knots = 9 + round(10 * share)
    if detail == "small":
        yield Stroke(smooth([place(begin + turn) for turn in _turns(knots)]), 24)
        return
    width = 14 if heavy > 0.84 else 11 if heavy > 0.58 else 8
    if open_to > 0.42 or share < 0.25 or not may_break:
        yield Stroke(smooth([place(begin + turn) for turn in _turns(knots)]), width)
        return
    # The pen is lifted: once, or twice for a ring in two strokes.
    ends = [0.0, math.tau] if parts < 0.6 else [0.0, math.tau * (0.3 + 0.3 * parts), math.tau]
    for start, stop in pairwise(ends):
        from_turn, to_turn = begin + start + gap / 2, begin + stop - gap / 2
        steps = max(3, round(knots * (to_turn - from_turn) / math.tau))
        along = [from_turn + (to_turn - from_turn) * step / steps for step in range(steps + 1)]
        yield Stroke(smooth([place(turn) for turn in along], closed=False), width)


def _checks(trunk: _Trunk) -> Iterator[Curve]:
    """At most two cracks, as a drying end has them: widest at the bark, running out inwards."""
    chance = _Chance(f"{trunk.seed}|checks")
    number = (0, 0, 1, 1, 2)[int(chance.between(0, 4.999))]
    turn = chance.between(0, math.tau)
    for _ in range(number):
        depth, half = chance.between(0.2, 0.4), chance.between(0.011, 0.018)
        bend = chance.between(-0.05, 0.05)
        shape = ((1.0, 0.0, 1.0), (1 - depth * 0.35, 0.6, 0.62), (1 - depth * 0.7, 0.7, 0.34))
        sides = [
            [
                trunk.at(turn + bend * along + side * half * wide, share)
                for share, along, wide in shape
            ]
            for side in (-1, 1)
        ]
        tip = trunk.at(turn + bend, 1 - depth)
        yield smooth([*sides[1], tip, *reversed(sides[0])])
        turn += chance.between(1.6, 4.2)


def _pith(trunk: _Trunk, detail: Detail) -> Iterator[Curve]:
    chance = _Chance(f"{trunk.seed}|pith")
    dot, halo, line = (17, 37, 10) if detail == "full" else (52, 0, 0)
    phase = chance.between(0, math.tau)

    def around(radius: float) -> Curve:
        return smooth(
            [
                (
                    trunk.pith[0] + radius * (1 + 0.1 * math.cos(2 * t + phase)) * math.cos(t),
                    trunk.pith[1] + radius * (1 + 0.1 * math.cos(2 * t + phase)) * math.sin(t),
                )
                for t in _turns(7)
            ]
        )

    yield around(dot)
    if halo:
        yield around(halo)
        yield around(halo - line).backwards()


def _turns(count: int) -> list[float]:
    return [math.tau * step / count for step in range(count)]


def _colour(colour: str | Color) -> Color:
    return HexColor(colour) if isinstance(colour, str) else colour


def _filled(curves: tuple[Curve, ...], colour: Color, scale: float, height: float) -> Path:
    path = Path(fillColor=colour, strokeColor=None, strokeWidth=0)
    for curve in curves:
        curve.add_to(path, scale=scale, height=height)
    return path


def _path_data(curves: tuple[Curve, ...]) -> str:
    return "".join(curve.path_data() for curve in curves)


def _rings_svg(mark: RingMark) -> str:
    if not mark.rings:
        return ""
    paths = "".join(
        f'<path stroke-width="{ring[0].width}" d="{_path_data(tuple(s.curve for s in ring))}"/>'
        for ring in mark.rings
    )
    return f'<g fill="none" stroke="currentColor" stroke-linecap="round">{paths}</g>'
