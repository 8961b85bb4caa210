"""The pictures of the drying room's pages, made of the record in the shop's units."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.safestring import SafeString, mark_safe

from provenance.drawing.drying_curve import (
    DayTick,
    DryDay,
    Drying,
    Fitted,
    Tick,
    drying_curve_svg,
    last_day,
)
from provenance.drawing.rim_picture import Rim, Words, rim_picture_svg
from provenance.drying.models import Outlook, Weighing
from provenance.maker.models import Shop
from provenance.record.partial_dates import PartialDate
from provenance.record.units import G_PER_OUNCE, format_mass

_STEPS_G = [figure * 10**power for power in range(5) for figure in (1, 2, 5)]
_STEPS_OZ = [0.1, 0.2, 0.5, 1, 2, 4, 8, 16, 32, 64, 160, 320, 800]
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_MOST_TICKS = 5


def rim_picture(rim_and_words: tuple[Rim, Words], title: str) -> SafeString:
    """Return the picture of a rim for a page."""
    svg = rim_picture_svg(*rim_and_words, title=title)
    return mark_safe(svg)  # noqa: S308 -- our own drawing, which escapes its texts


@dataclass(frozen=True)
class Seen:
    """What the picture of a piece's drying is made of. `fit` returns the curve on given days."""

    weighings: Sequence[Weighing]
    outlook: Outlook | None
    rule: date | None
    today: date
    shop: Shop


def days_of(seen: Seen) -> list[date]:
    """Return the days on which the curve is wanted: forty, from roughing to the picture's end."""
    first, last = _span(seen)
    return [first + (last - first) * step / 39 for step in range(40)]


def drying_picture(seen: Seen, fitted: Fitted | None, title: str) -> SafeString:
    """Return the picture of a piece's drying for a page; '' while it was never weighed."""
    if not seen.weighings:
        return SafeString("")
    outlook, shop = seen.outlook, seen.shop
    final_g = float(outlook.final_mass_g) if fitted and outlook and outlook.final_mass_g else None
    weighed = [(each.weighed_on, float(each.mass_g)) for each in seen.weighings]
    reached = [mass for _, mass in weighed] + ([final_g] if final_g else [])
    first, last = _span(seen)
    drying = Drying(
        weighed=weighed,
        today=DayTick(seen.today, "today"),
        masses=mass_ticks(min(reached), max(reached), shop.mass_unit),
        months=month_ticks(first, last),
        fitted=fitted,
        target=Tick(final_g, f"dry: {mass_words(final_g, shop)}") if final_g else None,
        dry=_dry_day(outlook) if fitted else None,
        rule=DayTick(seen.rule, f"inch a year: {_spoken(seen.rule)}") if seen.rule else None,
    )
    svg = drying_curve_svg(drying, title=title)
    return mark_safe(svg)  # noqa: S308 -- our own drawing, which escapes its texts


def mass_words(mass_g: float, shop: Shop) -> str:
    """Return "1620 g" or "1.62 kg" or "3 lb 9.1 oz"; whole grams."""
    return format_mass(round(mass_g), shop.mass_unit)


def mass_ticks(low_g: float, high_g: float, unit: str) -> list[Tick]:
    """Return at most five even masses about the range, labelled in the unit."""
    steps: Sequence[float] = _STEPS_G
    if unit in ("oz", "lb"):
        steps = [step * float(G_PER_OUNCE) for step in _STEPS_OZ]
    room = max(high_g - low_g, high_g * 0.02)
    middle = (low_g + high_g) / 2  # a lone weighing has an axis too
    low_g, high_g = middle - room / 2, middle + room / 2
    step = next((each for each in steps if room / each <= _MOST_TICKS - 1), steps[-1])
    first = int(low_g // step)
    count = int(-(-high_g // step)) - first + 1
    ticks = [Tick((first + n) * step, _tick_words((first + n) * step, unit)) for n in range(count)]
    return [tick for tick in ticks if low_g - room * 0.2 <= tick.at <= high_g + room * 0.2]


def _tick_words(mass_g: float, unit: str) -> str:
    return format_mass(round(mass_g), unit)


def month_ticks(first: date, last: date) -> list[DayTick]:
    """Return the first days of months between, few enough to be labelled; the year where new."""
    months = (last.year - first.year) * 12 + last.month - first.month + 1
    step = next((each for each in (1, 2, 3, 6, 12) if months / each <= _MOST_TICKS), 12)
    if step == 12 and months / 12 > _MOST_TICKS:
        step = 12 * -(-months // (12 * _MOST_TICKS))
    ticks, known = [], 0
    for index in range(first.year * 12 + first.month - 1, last.year * 12 + last.month):
        day = date(index // 12, index % 12 + 1, 1)
        if index % step or not first <= day <= last:
            continue
        name = _MONTHS[day.month - 1]
        ticks.append(DayTick(day, name if day.year == known else f"{name} {day.year}"))
        known = day.year
    return ticks


def _span(seen: Seen) -> tuple[date, date]:
    roughed = seen.outlook.roughed_on if seen.outlook else None
    days = [each.weighed_on for each in seen.weighings] + ([roughed] if roughed else [])
    first = min([*days, seen.today])
    dry = _dry_day(seen.outlook)
    last = max([last_day(first, seen.today, dry, seen.rule), *days])
    return first, max(last, first + timedelta(days=1))


def has_likely_day(outlook: Outlook | None) -> bool:
    """Return whether the picture marks a day still to come: not of a dry piece, nor by the rule."""
    return _dry_day(outlook) is not None


def _dry_day(outlook: Outlook | None) -> DryDay | None:
    if outlook is None or not (outlook.earliest and outlook.likely and outlook.latest):
        return None
    if outlook.is_dry or outlook.basis != "weighings":
        return None
    words = f"likely dry {_spoken(outlook.likely)}"
    return DryDay(outlook.earliest, outlook.likely, outlook.latest, words)


def _spoken(day: date) -> str:
    return PartialDate.of(day).spoken()
