"""The end of a section as it is sawn: bark, rings about the pith, the slab, what is cut beside it.

Below it, if the lengths are given, the section from the side with its cross-cuts. Everything is to
scale. Words come from the caller, in the units of the shop; a rim is a heavy line, the pith a dot
in a ring, the slab is hatched, so no colour tells anything. The same shapes paint to SVG and to
reportlab.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Circle, Drawing, Polygon, PolyLine, String
from reportlab.lib.colors import Color, HexColor

from provenance.drawing.column_layout import SANS, SANS_BOLD, width_of
from provenance.drawing.ring_mark import ACCENT, INK

# On a phone, 340 pixels wide, the words are set in 11.5 pixels: as small as one reads at ease.
SVG_WIDTH, SVG_SIZE = 360.0, 12.2
_RADIUS = 126.0
_ROW = SVG_SIZE * 1.36
_BARK = 5.0
_SIDE_HEIGHT = 92.0
_RINGS = (0.22, 0.4, 0.56, 0.71, 0.86)
_HATCH = 7.0

Place = tuple[float, float]


@dataclass(frozen=True)
class HalfRound:
    """One half round and what is cut from it, in mm.

    `face_mm` is how far its cut face lies from the middle of the end, below 0 where beyond it.
    `outline` are (radius, height above the face) along one side of a bowl, from the face outwards;
    for an end-grain round it is empty and `circle_mm` is the diameter beside the face. `rim` says
    which of its edges is the rim: "face", "top" or "bark". `words` stand in it.
    """

    face_mm: float
    words: str
    outline: Sequence[Place] = ()
    rim: str = "face"
    circle_mm: float = 0.0


@dataclass(frozen=True)
class Length:
    """One length of the section, between two cross-cuts, with its words ("1")."""

    from_mm: float
    to_mm: float
    words: str


@dataclass(frozen=True)
class SectionEnd:
    """The end of a section. `upper` is the half away from which the pith is off the middle.

    `upper_face_mm` and `lower_face_mm` bound the slab, seen from the middle. `lengths` lie along
    `length_mm` from the small end; without them there is no picture of the side.
    """

    radius_mm: float
    pith_offset_mm: float
    upper_face_mm: float
    lower_face_mm: float
    slab_words: str
    end_words: str
    upper: HalfRound | None = None
    lower: HalfRound | None = None
    length_mm: float = 0.0
    large_end_mm: float = 0.0
    lengths: Sequence[Length] = ()
    ends_words: tuple[str, str] = ("", "")


# -- shapes ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Line:
    """A line through points, closed and tinted where it is an area. `kind` names its look."""

    points: Sequence[Place]
    kind: str
    width: float = 1.0
    tint: float = 0.0
    opacity: float = 1.0
    is_closed: bool = False


@dataclass(frozen=True)
class _Disc:
    """A circle: an outline, or filled where it has no width."""

    middle: Place
    radius: float
    kind: str
    width: float = 0.0
    opacity: float = 1.0


@dataclass(frozen=True)
class _Words:
    text: str
    at: Place
    anchor: str = "middle"
    is_bold: bool = False
    has_halo: bool = False


@dataclass
class _Picture:
    height: float = 0.0
    shapes: list[_Line | _Disc] = field(default_factory=list)
    words: list[_Words] = field(default_factory=list)


class _End:
    """Where the end's millimetres lie in the picture."""

    def __init__(self, facts: SectionEnd) -> None:
        self.scale = _RADIUS / facts.radius_mm
        self.middle = (SVG_WIDTH / 2, _RADIUS + _BARK + 2)

    def at(self, x_mm: float, up_mm: float) -> Place:
        """A point of the picture from millimetres right of and above the middle of the end."""
        return self.middle[0] + x_mm * self.scale, self.middle[1] - up_mm * self.scale


def _laid_out(facts: SectionEnd) -> _Picture:
    picture = _Picture()
    end = _End(facts)
    picture.shapes += _wood(facts, end)
    picture.shapes += _slab(facts, end)
    for half, side in ((facts.upper, 1), (facts.lower, -1)):
        if half is not None:
            _add_half(picture, facts, half, end, side)
    pith = end.at(0, -facts.pith_offset_mm)
    picture.shapes += [_Disc(pith, 3, "pith"), _Disc(pith, 6.5, "pith", 1)]
    picture.words += _slab_words(facts, end)
    foot = 2 * (_RADIUS + _BARK + 2) + _ROW
    picture.words.append(_Words(facts.end_words, (SVG_WIDTH / 2, foot)))
    picture.height = foot + 5
    if facts.lengths:
        _add_side(picture, facts)
    return picture


def _wood(facts: SectionEnd, end: _End) -> Iterator[_Disc]:
    yield _Disc(end.middle, _RADIUS + _BARK / 2, "bark", _BARK)
    for share in _RINGS:
        middle = end.at(0, -facts.pith_offset_mm * (1 - share))
        yield _Disc(middle, _RADIUS * share, "ring", 1, 0.16)


def _slab(facts: SectionEnd, end: _End) -> Iterator[_Line]:
    """The slab between the two cut faces, hatched, with the faces as full lines."""
    radius, top, bottom = facts.radius_mm, facts.upper_face_mm, -facts.lower_face_mm
    wide, narrow = _half_chord(radius, top), _half_chord(radius, bottom)
    if top - bottom > 0:
        step = _HATCH / end.scale
        x = -radius - (top - bottom)
        while x < radius:
            start, stop = (x, bottom), (x + (top - bottom), top)
            if abs(start[0]) <= narrow and abs(stop[0]) <= wide:
                yield _Line((end.at(*start), end.at(*stop)), "hatch", 0.7, opacity=0.4)
            x += step
    for level, half in ((top, wide), (bottom, narrow)):
        yield _Line((end.at(-half, level), end.at(half, level)), "cut", 1.2)


def _slab_words(facts: SectionEnd, end: _End) -> Iterator[_Words]:
    """What the slab is called, on the left of the pith, on a ground of its own."""
    if not facts.slab_words:
        return
    level = (facts.upper_face_mm - facts.lower_face_mm) / 2
    half = _half_chord(facts.radius_mm, level) * end.scale
    x, y = end.at(0, level)
    room = half - 14
    if width_of(facts.slab_words, SVG_SIZE) <= room:
        yield _Words(facts.slab_words, (x - 12 - room / 2, y + SVG_SIZE * 0.34), has_halo=True)


def _add_half(picture: _Picture, facts: SectionEnd, half: HalfRound, end: _End, side: int) -> None:
    def place(x_mm: float, y_mm: float) -> Place:
        return end.at(x_mm, side * (half.face_mm + y_mm))

    if half.circle_mm:
        middle = place(0, half.circle_mm / 2)
        picture.shapes.append(_Disc(middle, half.circle_mm / 2 * end.scale, "round", 1.6))
        picture.words.append(_at_middle(half.words, middle))
        return
    flank = list(half.outline)
    far = flank[-1]
    top: list[Place] = []
    if half.rim == "bark":
        top = [
            (x, _half_chord(facts.radius_mm, x) - half.face_mm) for x in _steps(far[0], -far[0], 40)
        ]
    body = [*flank, *top, *((-x, y) for x, y in reversed(flank))]
    picture.shapes.append(_Line([place(*p) for p in body], "round", 1.6, tint=0.12, is_closed=True))
    rim = {"face": [flank[0], (-flank[0][0], flank[0][1])], "top": [far, (-far[0], far[1])]}
    line = rim.get(half.rim, top)
    picture.shapes.append(_Line([place(*p) for p in line], "rim", 4))
    height = max(y for _, y in body)
    picture.words.append(_at_middle(half.words, place(0, height * (0.42 if top else 0.5))))


def _at_middle(words: str, middle: Place) -> _Words:
    return _Words(words, (middle[0], middle[1] + SVG_SIZE * 0.34), is_bold=True, has_halo=True)


def _add_side(picture: _Picture, facts: SectionEnd) -> None:
    """The section from the side, small end on the left, with its cross-cuts."""
    room = SVG_WIDTH - 8
    largest = max(facts.large_end_mm, 2 * facts.radius_mm)
    scale = min(room / facts.length_mm, _SIDE_HEIGHT / largest)
    left = (SVG_WIDTH - facts.length_mm * scale) / 2
    middle = picture.height + _ROW + largest * scale / 2

    def place(along_mm: float, up: float) -> Place:
        """A point at the part `up` (-1 to 1) of the section's radius there."""
        share = along_mm / facts.length_mm
        radius = facts.radius_mm + (facts.large_end_mm / 2 - facts.radius_mm) * share
        return left + along_mm * scale, middle - up * radius * scale

    whole = [place(0, 1), place(facts.length_mm, 1), place(facts.length_mm, -1), place(0, -1)]
    picture.shapes.append(_Line(whole, "side", 1.6, is_closed=True))
    for length in facts.lengths:
        corners = [
            place(length.from_mm, 1), place(length.to_mm, 1),
            place(length.to_mm, -1), place(length.from_mm, -1),
        ]  # fmt: skip
        picture.shapes.append(_Line(corners, "length", 1.2, tint=0.12, is_closed=True))
        centre = place((length.from_mm + length.to_mm) / 2, 0)
        picture.words.append(_at_middle(length.words, centre))
    foot = middle + largest * scale / 2 + _ROW
    small, large = facts.ends_words
    start, end = place(0, 0)[0], place(facts.length_mm, 0)[0]
    needed = width_of(small, SVG_SIZE) + width_of(large, SVG_SIZE) + SVG_SIZE
    if end - start < needed:
        start, end = (SVG_WIDTH - needed) / 2, (SVG_WIDTH + needed) / 2
    picture.words += [_Words(small, (start, foot), "start"), _Words(large, (end, foot), "end")]
    picture.height = foot + 5


def _half_chord(radius: float, level: float) -> float:
    return math.sqrt(max(0.0, radius**2 - level**2))


def _steps(start: float, end: float, count: int) -> list[float]:
    return [start + (end - start) * step / count for step in range(count + 1)]


# -- painting --------------------------------------------------------------------------------------


def section_end_svg(facts: SectionEnd, *, title: str) -> str:
    """The picture as inline SVG, an image named by `title`, made for 340 to 720 pixels of width.

    All inks are the text's colour; the style sheet may colour the classes "section-round",
    "section-rim" and "section-pith". Sizes of words hang on the picture's font-size, so that a
    style sheet may lower it, never raise it.
    """
    picture = _laid_out(facts)
    shapes = "".join(
        _disc_svg(one) if isinstance(one, _Disc) else _line_svg(one) for one in picture.shapes
    )
    words = "".join(_words_svg(one) for one in picture.words)
    return (
        f'<svg class="section-end" viewBox="0 0 {_number(SVG_WIDTH)} {_number(picture.height)}"'
        f' role="img" fill="currentColor" font-size="{SVG_SIZE}"><title>{escape(title)}</title>'
        f"{shapes}{words}</svg>"
    )


def section_end_drawing(facts: SectionEnd, width: float) -> Drawing:
    """The picture as a reportlab drawing, `width` points wide. Its texts must be printable."""
    picture = _laid_out(facts)
    scale = width / SVG_WIDTH
    drawing = Drawing(width, picture.height * scale)
    for one in picture.shapes:
        drawing.add(_painted(one, picture.height, scale))
    for words in picture.words:
        drawing.add(
            String(
                words.at[0] * scale, (picture.height - words.at[1]) * scale, words.text,
                textAnchor=words.anchor, fontSize=SVG_SIZE * scale,
                fontName=SANS_BOLD if words.is_bold else SANS, fillColor=HexColor(INK),
            )
        )  # fmt: skip
    return drawing


def _painted(one: _Line | _Disc, height: float, scale: float) -> Circle | Polygon | PolyLine:
    stroke = _ink(one.kind, one.opacity) if one.width else None
    look = {"strokeColor": stroke, "strokeWidth": one.width * scale}
    if isinstance(one, _Disc):
        fill = None if one.width else _ink(one.kind, 1)
        x, y = one.middle[0] * scale, (height - one.middle[1]) * scale
        return Circle(x, y, one.radius * scale, fillColor=fill, **look)
    points = [value for x, y in one.points for value in (x * scale, (height - y) * scale)]
    if one.is_closed:
        fill = _ink(one.kind, one.tint) if one.tint else None
        return Polygon(points, fillColor=fill, strokeLineJoin=1, **look)
    return PolyLine(points, **look)


def _ink(kind: str, opacity: float) -> Color:
    colour = HexColor(ACCENT if kind == "pith" else INK)
    return Color(colour.red, colour.green, colour.blue, alpha=opacity)


def _disc_svg(one: _Disc) -> str:
    look = f' fill="none" stroke="currentColor" stroke-width="{_number(one.width)}"'
    if one.opacity < 1:
        look += f' stroke-opacity="{_number(one.opacity)}"'
    return (
        f'<circle class="section-{one.kind}" cx="{_number(one.middle[0])}"'
        f' cy="{_number(one.middle[1])}" r="{_number(one.radius)}"{look if one.width else ""}/>'
    )


def _line_svg(one: _Line) -> str:
    path = "M" + "L".join(f"{_number(x)} {_number(y)}" for x, y in one.points)
    look = f' fill-opacity="{_number(one.tint)}"' if one.tint else ' fill="none"'
    if one.opacity < 1:
        look += f' stroke-opacity="{_number(one.opacity)}"'
    return (
        f'<path class="section-{one.kind}"{look} stroke="currentColor"'
        f' stroke-width="{_number(one.width)}" stroke-linejoin="round"'
        f' d="{path}{"z" if one.is_closed else ""}"/>'
    )


def _words_svg(words: _Words) -> str:
    look = ' class="picture-halo"' if words.has_halo else ""
    look += ' font-weight="600"' if words.is_bold else ""
    return (
        f'<text x="{_number(words.at[0])}" y="{_number(words.at[1])}"'
        f' text-anchor="{words.anchor}"{look}>{escape(words.text)}</text>'
    )


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
