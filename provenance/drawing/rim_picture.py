"""A rim as it dries: seen from above, round before and oval after; beside it its side.

What it was is dashed, what it becomes is a full line, and words stand beside both. Where the
movement is too small to be seen it is drawn so many times as large, and the picture says so.
Words come from the caller, in the units of the shop.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from provenance.drawing.column_layout import width_of

# On a phone, 340 pixels wide, the words are set in 11.5 pixels: as small as one reads at ease.
SVG_WIDTH, SVG_SIZE = 360.0, 12.2
_ROW = SVG_SIZE * 1.36
_RADIUS = 82.0  # of the round, in units of the picture's box
_ALONE = 1.25  # so much larger is a rim that has no side beside it
_ENLARGED = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)
_MOST = 0.2  # how much of the radius an enlarged movement may take up


@dataclass(frozen=True)
class Rim:
    """A rim before and after, in mm. `long_mm` lies along the grain of side grain.

    `out_of_plane_mm` is how far its two sides leave its plane; nothing of it is drawn for end
    grain (`is_end_grain`). `rim_to_pith_mm` shapes the side, None where unknown; the sides move
    away from the pith, which is above the rim unless `is_pith_below`.
    """

    before_mm: float
    long_mm: float
    short_mm: float
    out_of_plane_mm: float = 0
    rim_to_pith_mm: float | None = None
    is_pith_below: bool = False
    is_end_grain: bool = False


@dataclass(frozen=True)
class Words:
    """What is written into the picture, already in the shop's units."""

    before: str  # "round: 300 mm"
    long: str  # "299 mm"
    short: str  # "287 to 290 mm"
    drop: str = ""  # "4 to 6 mm"
    grain: str = "grain"


def enlarged(rim: Rim) -> int:
    """How many times as large the movement is drawn: 1 where it shows well as it is."""
    radius = rim.before_mm / 2
    movement = max((rim.before_mm - rim.short_mm) / 2, rim.out_of_plane_mm)
    if movement <= 0:
        return 1
    fitting = [times for times in _ENLARGED if times * movement <= _MOST * radius]
    return max(fitting, default=1)


def rim_picture_svg(rim: Rim, words: Words, *, title: str) -> str:
    """The picture as inline SVG, an image named by `title`, made for 340 to 720 pixels of width.

    All inks are the text's colour; the style sheet may colour class "rim-after". Sizes of words
    hang on the picture's font-size, so that a style sheet may lower it, never raise it.
    """
    times = enlarged(rim)
    has_side = rim.out_of_plane_mm > 0 and not rim.is_end_grain
    radius = _RADIUS if has_side else _RADIUS * _ALONE
    middle = (radius + 4 if has_side else SVG_WIDTH / 2, _ROW + radius)
    bottom = middle[1] + radius
    parts = [_seen_from_above(rim, words, middle, radius, times)]
    if has_side:
        parts.append(_seen_from_the_side(rim, words, (SVG_WIDTH - _RADIUS - 4, middle[1]), times))
    foot = bottom + _ROW * 1.15
    parts.append(_grain(rim, words, middle[0], foot))
    if times > 1:
        foot += _ROW
        said = f"The movement is drawn {times} times as large as it is."
        parts.append(_text(said, SVG_WIDTH / 2, foot, "middle", is_soft=True))
    return (
        f'<svg class="rim-picture" viewBox="0 0 {_number(SVG_WIDTH)} {_number(foot + 5)}"'
        f' role="img" fill="currentColor" font-size="{SVG_SIZE}"><title>{escape(title)}</title>'
        f"{''.join(parts)}</svg>"
    )


def _seen_from_above(
    rim: Rim, words: Words, middle: tuple[float, float], radius: float, times: int
) -> str:
    x, y = middle
    scale = radius / (rim.before_mm / 2)
    along = radius - (rim.before_mm - rim.long_mm) / 2 * scale * times
    across = radius - (rim.before_mm - rim.short_mm) / 2 * scale * times
    return (
        f'<circle class="rim-before" cx="{_number(x)}" cy="{_number(y)}" r="{_number(radius)}"'
        f' fill="none" stroke="currentColor" stroke-dasharray="4 4"/>'
        f'<ellipse class="rim-after" cx="{_number(x)}" cy="{_number(y)}" rx="{_number(along)}"'
        f' ry="{_number(across)}" fill-opacity=".1" stroke="currentColor" stroke-width="2"/>'
        f'<path fill="none" stroke="currentColor" stroke-width=".8"'
        f' d="{_axis(x - along, y, x + along, y)}{_axis(x, y - across, x, y + across)}"/>'
        f"{_text(words.before, x, _ROW * 0.7, 'middle')}"
        f"{_text(words.long, x + along * 0.94, y - 5, 'end', is_bold=True)}"
        f"{_text(words.short, x, y + across * 0.62, 'middle', is_bold=True, kind='picture-halo')}"
    )


def _axis(x0: float, y0: float, x1: float, y1: float) -> str:
    """A line with an arrow at each of its ends."""
    angle = math.atan2(y1 - y0, x1 - x0)
    path = f"M{_number(x0)} {_number(y0)}L{_number(x1)} {_number(y1)}"
    for x, y, back in ((x0, y0, angle), (x1, y1, angle + math.pi)):
        one, other = (
            f"{_number(x + 6 * math.cos(back + turn))} {_number(y + 6 * math.sin(back + turn))}"
            for turn in (0.45, -0.45)
        )
        path += f"M{one}L{_number(x)} {_number(y)}L{other}"
    return path


def _seen_from_the_side(rim: Rim, words: Words, middle: tuple[float, float], times: int) -> str:
    """Looking along the grain: the rim was a straight line, its two sides leave it."""
    x, y = middle
    scale = _RADIUS / (rim.before_mm / 2)
    half = _RADIUS - (rim.before_mm - rim.short_mm) / 2 * scale * times
    drop = rim.out_of_plane_mm * scale * times * (-1 if rim.is_pith_below else 1)
    level = y - _RADIUS * 0.35
    foot = level + _RADIUS * 1.05
    rim_line = [
        (x + half * share, level + drop * _leaving(share, rim)) for share in _shares(-1, 1, 24)
    ]
    ends = rim_line[0], rim_line[-1]
    body = (
        f"C{_number(x + half)} {_number(level + _RADIUS * 0.6)}"
        f" {_number(x + _RADIUS * 0.72)} {_number(foot)} {_number(x + _RADIUS * 0.4)}"
        f" {_number(foot)}H{_number(x - _RADIUS * 0.4)}"
        f"C{_number(x - _RADIUS * 0.72)} {_number(foot)} {_number(x - half)}"
        f" {_number(level + _RADIUS * 0.6)} {_number(ends[0][0])} {_number(ends[0][1])}z"
    )
    line = "M" + "L".join(f"{_number(px)} {_number(py)}" for px, py in rim_line)
    pith = foot + SVG_SIZE if rim.is_pith_below else level - _RADIUS * 0.34
    return (
        f'<path class="rim-before" fill="none" stroke="currentColor" stroke-dasharray="4 4"'
        f' d="M{_number(x - _RADIUS)} {_number(level)}H{_number(x + _RADIUS)}"/>'
        f'<path class="rim-after" fill-opacity=".1" stroke="currentColor" stroke-width="2"'
        f' stroke-linejoin="round" d="{line}{body}"/>'
        f"{_drop_mark(words.drop, ends[1], level)}"
        f'<circle cx="{_number(x)}" cy="{_number(pith)}" r="2.6"/>'
        f'<circle cx="{_number(x)}" cy="{_number(pith)}" r="5.5" fill="none"'
        ' stroke="currentColor" stroke-width=".8"/>'
        f"{_text('pith', x + 10, pith + SVG_SIZE * 0.34, 'start')}"
        f"{_text('seen along the grain', x, _ROW * 0.7, 'middle')}"
    )


def _drop_mark(words: str, end: tuple[float, float], level: float) -> str:
    """How far the side is from where it was: a short upright line at the rim's end."""
    x, y = end
    below = max(y, level) + _ROW
    return (
        f'<path fill="none" stroke="currentColor" stroke-width=".8"'
        f' d="M{_number(x)} {_number(level)}V{_number(y)}"/>'
        f"{_text(words, x - 12, below, 'end', is_bold=True)}"
    )


def _leaving(share: float, rim: Rim) -> float:
    """How far the rim left its plane at a part of its half-width, as a part of its most.

    By the form of the wedge, x·atan(x/h); where h is unknown, as if it were half the radius.
    """
    radius = rim.before_mm / 2
    height = radius / 2 if rim.rim_to_pith_mm is None else max(rim.rim_to_pith_mm, radius / 100)
    most = math.atan2(radius, height)
    return abs(share) * math.atan2(abs(share) * radius, height) / most


def _shares(start: float, end: float, steps: int) -> Sequence[float]:
    return [start + (end - start) * step / steps for step in range(steps + 1)]


def _grain(rim: Rim, words: Words, x: float, y: float) -> str:
    """Which way the grain runs: two-headed for side grain, towards you for end grain."""
    half = width_of(words.grain, SVG_SIZE) / 2
    middle = y - SVG_SIZE * 0.33
    if rim.is_end_grain:
        mark = (
            f'<circle cx="{_number(x - half - 12)}" cy="{_number(middle)}" r="5" fill="none"'
            f' stroke="currentColor"/><circle cx="{_number(x - half - 12)}"'
            f' cy="{_number(middle)}" r="1.6"/>'
        )
    else:
        arrows = _axis(x - half - 34, middle, x - half - 6, middle)
        arrows += _axis(x + half + 6, middle, x + half + 34, middle)
        mark = f'<path fill="none" stroke="currentColor" d="{arrows}"/>'
    return mark + _text(words.grain, x, y, "middle")


def _text(
    words: str,
    x: float,
    y: float,
    anchor: str,
    *,
    is_bold: bool = False,
    is_soft: bool = False,
    kind: str = "",
) -> str:
    look = f' class="{kind}"' if kind else ""
    look += (' font-weight="600"' if is_bold else "") + (' fill-opacity=".78"' if is_soft else "")
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" text-anchor="{anchor}"{look}>'
        f"{escape(words)}</text>"
    )


def _number(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
