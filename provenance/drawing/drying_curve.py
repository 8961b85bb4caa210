"""The drying of one piece as a picture: what was weighed, how it goes on, and when it is dry.

Each thing has a shape of its own and words beside it, so no colour tells anything: weighings are
dots, the fitted curve is a line in a tinted band (its range), the mass when dry a dashed line with
a lozenge on the likely day and a bar from the earliest to the latest, the rule of thumb a triangle
on the axis. Words come from the caller, in the units and dates of the shop.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from xml.sax.saxutils import escape

from provenance.drawing.column_layout import width_of

# On a phone, 340 pixels wide, the words are set in 11.5 pixels: as small as one reads at ease.
SVG_WIDTH, SVG_SIZE = 360.0, 12.2
_PLOT_HEIGHT = 150.0
_ROW = SVG_SIZE * 1.36
_AIR = SVG_SIZE * 0.4
_FARTHEST = 2.4  # what lies beyond so many times the way to the likely day is only pointed to


@dataclass(frozen=True)
class Tick:
    """A place on an axis with its words."""

    at: float
    words: str


@dataclass(frozen=True)
class DayTick:
    """A day on the axis of time with its words, "Jan 2027"."""

    on: date
    words: str


@dataclass(frozen=True)
class Fitted:
    """The curve on its days: masses in g, with the bounds of its range. All of one length."""

    days: Sequence[date]
    likely_g: Sequence[float]
    low_g: Sequence[float]
    high_g: Sequence[float]
    #: Days of weighings that the curve passes over.
    passed_over: Sequence[date] = ()


@dataclass(frozen=True)
class DryDay:
    """The likely day of being dry, with its range, and the words that stand over it."""

    earliest: date
    likely: date
    latest: date
    words: str


@dataclass(frozen=True)
class Drying:
    """All that the picture shows. What is None or empty is left out.

    `weighed` are (day, g); `target` is the mass when dry; `today` and `rule` (the day of the
    inch-a-year rule) are days with their words. `masses` and `months` label the axes.
    """

    weighed: Sequence[tuple[date, float]]
    today: DayTick
    masses: Sequence[Tick]
    months: Sequence[DayTick]
    fitted: Fitted | None = None
    target: Tick | None = None
    dry: DryDay | None = None
    rule: DayTick | None = None


@dataclass(frozen=True)
class _Flag:
    """Words on a row of their own above the plot, with a line down to their day."""

    x: float
    foot: float
    words: str
    is_beyond: bool


class _Frame:
    """Where days and masses lie in the picture's box."""

    def __init__(self, facts: Drying) -> None:
        widest = max((width_of(tick.words, SVG_SIZE) for tick in facts.masses), default=0)
        self.left = widest + _AIR * 1.4
        self.right = SVG_WIDTH - _AIR
        flags = 1 + (facts.dry is not None) + (facts.rule is not None)
        self.top = _ROW * flags + _AIR
        self.bottom = self.top + _PLOT_HEIGHT
        self.first = min([day for day, _ in facts.weighed] + _fitted_days(facts)[:1])
        self.last = _last_day(facts, self.first)
        masses = [mass for _, mass in facts.weighed] + [tick.at for tick in facts.masses]
        if facts.fitted:
            masses += [*facts.fitted.likely_g, *facts.fitted.low_g]
        if facts.target:
            masses.append(facts.target.at)
        low, high = min(masses), max(masses)
        room = (high - low) * 0.06 or high * 0.02
        self.low, self.high = low - room, high + room

    def x(self, day: date) -> float:
        share = (day - self.first).days / max((self.last - self.first).days, 1)
        return self.left + (self.right - self.left) * min(max(share, 0), 1)

    def y(self, mass_g: float) -> float:
        share = (mass_g - self.low) / (self.high - self.low)
        return self.bottom - _PLOT_HEIGHT * min(max(share, 0), 1)


def last_day(first: date, today: date, dry: DryDay | None = None, rule: date | None = None) -> date:
    """Return the last day that the picture reaches: the caller's curve and months go so far."""
    days = [today] + ([dry.latest] if dry else []) + ([rule] if rule else [])
    near = max([today] + ([dry.likely] if dry else [rule] if rule else []))
    farthest = first + (near - first) * _FARTHEST
    end = max(min(max(days), farthest), first + timedelta(days=30))
    return end + (end - first) * 0.03


def _fitted_days(facts: Drying) -> list[date]:
    return list(facts.fitted.days) if facts.fitted else []


def _last_day(facts: Drying, first: date) -> date:
    rule = facts.rule.on if facts.rule else None
    end = last_day(first, facts.today.on, facts.dry, rule)
    return max([end, *(day for day, _ in facts.weighed)])


def drying_curve_svg(facts: Drying, *, title: str) -> str:
    """The picture as inline SVG, an image named by `title`, made for 340 to 720 pixels of width.

    At least one weighing or a fitted curve is wanted. All inks are the text's colour; the style
    sheet may colour class "drying-likely". Sizes of words hang on the picture's font-size, so
    that a style sheet may lower it, never raise it.
    """
    frame = _Frame(facts)
    legend = _legend(facts, frame.bottom + _ROW * 1.15)
    height = frame.bottom + _ROW * (2.25 if legend else 1.2)
    return (
        f'<svg class="drying-curve" viewBox="0 0 {_number(SVG_WIDTH)} {_number(height)}"'
        f' role="img" fill="currentColor" font-size="{SVG_SIZE}">'
        f"<title>{escape(title)}</title>"
        f"{_axes(facts, frame)}{_band(facts, frame)}{_target(facts, frame)}"
        f"{_curve(facts, frame)}{_weighed(facts, frame)}{_flags(facts, frame)}"
        f"{_target_words(facts, frame)}{legend}</svg>"
    )


def _axes(facts: Drying, frame: _Frame) -> str:
    """The masses on the left with faint lines across, the months below with small strokes."""
    lines, words = [], []
    for tick in facts.masses:
        y = frame.y(tick.at)
        lines.append(f"M{_number(frame.left)} {_number(y)}H{_number(frame.right)}")
        words.append(_text(tick.words, frame.left - _AIR, y + SVG_SIZE * 0.34, "end"))
    strokes, end = [], -_AIR
    for month in facts.months:
        if not frame.first <= month.on <= frame.last:
            continue
        x, half = frame.x(month.on), width_of(month.words, SVG_SIZE) / 2
        strokes.append(f"M{_number(x)} {_number(frame.bottom)}v4")
        middle = min(max(x, half), SVG_WIDTH - half)
        if middle - half < end + _AIR:
            continue
        end = middle + half
        words.append(_text(month.words, middle, frame.bottom + _ROW, "middle"))
    return (
        f'<path fill="none" stroke="currentColor" stroke-opacity=".16" d="{"".join(lines)}"/>'
        f'<path fill="none" stroke="currentColor" d="M{_number(frame.left)}'
        f' {_number(frame.bottom)}H{_number(frame.right)}{"".join(strokes)}"/>'
        f'<g class="drying-axis" fill-opacity=".78">{"".join(words)}</g>'
    )


def _band(facts: Drying, frame: _Frame) -> str:
    if not facts.fitted:
        return ""
    days = facts.fitted.days
    there = [(day, mass) for day, mass in zip(days, facts.fitted.high_g, strict=True)]
    back = [(day, mass) for day, mass in zip(days, facts.fitted.low_g, strict=True)][::-1]
    return f'<path class="drying-band" fill-opacity=".15" d="{_line([*there, *back], frame)}z"/>'


def _curve(facts: Drying, frame: _Frame) -> str:
    if not facts.fitted:
        return ""
    points = list(zip(facts.fitted.days, facts.fitted.likely_g, strict=True))
    return (
        '<path class="drying-fitted" fill="none" stroke="currentColor" stroke-width="1.8"'
        f' stroke-linejoin="round" d="{_line(points, frame)}"/>'
    )


def _weighed(facts: Drying, frame: _Frame) -> str:
    dots = "".join(
        f'<circle cx="{_number(frame.x(day))}" cy="{_number(frame.y(mass))}" r="3.4"/>'
        for day, mass in facts.weighed
    )
    return f'<g class="drying-weighed" stroke-width="1.2">{dots}</g>'


def _target(facts: Drying, frame: _Frame) -> str:
    """The mass when dry, the range of the day on it, and the lozenge on the likely day."""
    if not facts.target:
        return ""
    y = frame.y(facts.target.at)
    line = (
        '<path class="drying-target" fill="none" stroke="currentColor" stroke-width="1.2"'
        f' stroke-dasharray="5 4" d="M{_number(frame.left)} {_number(y)}H{_number(frame.right)}"/>'
    )
    return line + _range(facts, frame, y)


def _target_words(facts: Drying, frame: _Frame) -> str:
    """The mass when dry in words, at the left, where the curve is still high above it."""
    if not facts.target:
        return ""
    y = frame.y(facts.target.at) - _AIR
    return _text(facts.target.words, frame.left + _AIR, y, "start", "picture-halo")


def _range(facts: Drying, frame: _Frame, y: float) -> str:
    dry = facts.dry
    if not dry:
        return ""
    x0, x, x1 = frame.x(dry.earliest), frame.x(dry.likely), frame.x(dry.latest)
    ends = f"M{_number(x0)} {_number(y - 5)}v10M{_number(x0)} {_number(y)}H{_number(x1)}"
    if dry.latest <= frame.last:
        ends += f"M{_number(x1)} {_number(y - 5)}v10"
    else:  # it goes on beyond the picture
        ends += f"M{_number(x1 - 5)} {_number(y - 4)}l5 4l-5 4"
    return (
        f'<g class="drying-likely"><path class="drying-range" fill="none" stroke="currentColor"'
        f' stroke-width="2.4" d="{ends}"/>'
        f'<path class="drying-day" stroke-width="1.2"'
        f' d="M{_number(x)} {_number(y - 6)}l6 6l-6 6l-6-6z"/></g>'
    )


def _flags(facts: Drying, frame: _Frame) -> str:
    """Today, the likely day and the rule's day: each with its words on its own row on top."""
    flags = [_Flag(frame.x(facts.today.on), frame.bottom, facts.today.words, False)]
    if facts.dry and facts.target:
        foot = frame.y(facts.target.at) - 6
        flags.append(_Flag(frame.x(facts.dry.likely), foot, facts.dry.words, False))
    if facts.rule:
        is_beyond = facts.rule.on > frame.last
        foot = frame.bottom - 7
        flags.append(_Flag(frame.x(facts.rule.on), foot, facts.rule.words, is_beyond))
    flags.sort(key=lambda flag: flag.x)
    lines, words = [], []
    for row, flag in enumerate(flags, start=1):
        y = _ROW * row - SVG_SIZE * 0.3
        half = width_of(flag.words, SVG_SIZE, True) / 2
        middle = min(max(flag.x, half + 1), SVG_WIDTH - half - 1)
        lines.append(
            f"M{_number(flag.x)} {_number(y + _AIR)}V{_number(flag.foot)}"
            if not flag.is_beyond
            else f"M{_number(flag.x - 5)} {_number(frame.top - 4)}l5 4l-5 4"
        )
        words.append(_text(flag.words, middle, y, "middle", "picture-halo", is_bold=True))
    mark = ""
    if facts.rule and facts.rule.on <= frame.last:
        x = frame.x(facts.rule.on)
        mark = (
            '<path class="drying-rule" fill="none" stroke="currentColor" stroke-width="1.4"'
            f' d="M{_number(x)} {_number(frame.bottom - 9)}l5 9h-10z"/>'
        )
    return (
        '<path class="drying-leaders" fill="none" stroke="currentColor" stroke-width=".8"'
        f' d="{"".join(lines)}"/>{mark}{"".join(words)}'
    )


def _legend(facts: Drying, above: float) -> str:
    """What the dot, the line and the band are, in one row."""
    y = above + _ROW * 0.75
    middle, x, parts = y - SVG_SIZE * 0.33, 2.0, []
    if facts.weighed:
        parts.append(f'<circle cx="{_number(x + 4)}" cy="{_number(middle)}" r="3.4"/>')
        parts.append(_text("weighed", x + 12, y, "start"))
        x += 12 + width_of("weighed", SVG_SIZE) + _AIR * 3
    if facts.fitted:
        parts.append(
            f'<path stroke="currentColor" stroke-width="1.8" d="M{_number(x)}'
            f' {_number(middle)}h18"/>'
        )
        parts.append(_text("fitted to it", x + 23, y, "start"))
        x += 23 + width_of("fitted to it", SVG_SIZE) + _AIR * 3
        parts.append(
            f'<rect x="{_number(x)}" y="{_number(middle - 5)}" width="18" height="10"'
            ' fill-opacity=".15"/>'
        )
        parts.append(_text("its range", x + 23, y, "start"))
    return "".join(parts)


def _line(points: Sequence[tuple[date, float]], frame: _Frame) -> str:
    return "M" + "L".join(f"{_number(frame.x(d))} {_number(frame.y(m))}" for d, m in points)


def _text(
    words: str, x: float, y: float, anchor: str, kind: str = "", *, is_bold: bool = False
) -> str:
    look = f' class="{kind}"' if kind else ""
    look += ' font-weight="600"' if is_bold else ""
    return (
        f'<text x="{_number(x)}" y="{_number(y)}" text-anchor="{anchor}"{look}>'
        f"{escape(words)}</text>"
    )


def _number(value: float) -> str:
    return f"{value:.1f}".rstrip("0").rstrip(".")
