"""The picture of drying: every thing has its shape, every word its room."""

import math
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations
from xml.etree import ElementTree

import font_source_sans_pro
import pytest
from reportlab.pdfbase.ttfonts import TTFont

from provenance.drawing.drying_curve import (
    DayTick,
    DryDay,
    Drying,
    Fitted,
    Tick,
    drying_curve_svg,
)

START = date(2026, 3, 1)
DAYS = [START + timedelta(days=10 * step) for step in range(45)]
FONT = TTFont("read back curve", font_source_sans_pro.font_files_ttf["SourceSansProSemibold"])


def mass(day: date, speed: float = 1) -> float:
    return 1620 + 1200 * math.exp(-(day - START).days / 90 * speed)


WEIGHED = [(START + timedelta(days=days), mass(START + timedelta(days=days)))
           for days in (0, 14, 30, 50, 80, 110, 140)]  # fmt: skip
MONTHS = [DayTick(date(2026 + n // 12, n % 12 + 1, 1), f"M{n}") for n in range(3, 24, 3)]
FULL = Drying(
    weighed=WEIGHED,
    today=DayTick(date(2026, 7, 22), "today"),
    masses=[Tick(grams, f"{grams / 1000:g} kg") for grams in (2000, 2500, 3000)],
    months=MONTHS,
    fitted=Fitted(
        DAYS,
        [mass(day) for day in DAYS],
        [mass(day, 1.2) for day in DAYS],
        [mass(day, 0.8) for day in DAYS],
    ),
    target=Tick(1620, "dry: 1.62 kg"),
    dry=DryDay(date(2026, 12, 2), date(2027, 1, 12), date(2027, 3, 8), "likely 12 January 2027"),
    rule=DayTick(date(2027, 4, 20), "inch a year: 20 April 2027"),
)


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)  # noqa: S314 - our own text


def shapes(svg: str, kind: str) -> list[ElementTree.Element]:
    return [each for each in read(svg).iter() if each.get("class") == kind]


def texts(svg: str) -> list[tuple[str, float, float, float, float]]:
    """Words with their box: left, top, right, bottom."""
    size = float(read(svg).get("font-size", ""))
    found = []
    for text in read(svg).iter("text"):
        width = FONT.stringWidth(text.text or "", size)
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        left = x - width * {"start": 0, "middle": 0.5, "end": 1}[text.get("text-anchor", "")]
        found.append((text.text or "", left, y - size * 0.66, left + width, y + size * 0.13))
    return found


def test_each_thing_has_a_shape_of_its_own_and_its_words():
    svg = drying_curve_svg(FULL, title="How it dries & when")
    assert read(svg).get("role") == "img"
    assert read(svg)[0].text == "How it dries & when"
    for kind in ("drying-band", "drying-fitted", "drying-target", "drying-range", "drying-day",
                 "drying-rule"):  # fmt: skip
        assert len(shapes(svg, kind)) == 1, kind
    assert shapes(svg, "drying-target")[0].get("stroke-dasharray")
    [weighed] = shapes(svg, "drying-weighed")
    assert len(weighed) == len(WEIGHED)
    said = [words for words, *_ in texts(svg)]
    for words in ("today", "dry: 1.62 kg", "likely 12 January 2027", "inch a year: 20 April 2027",
                  "weighed", "2.5 kg", "M3"):  # fmt: skip
        assert words in said


@pytest.mark.parametrize(
    "facts",
    [
        FULL,
        replace(FULL, today=DayTick(date(2027, 1, 13), "today")),
        replace(FULL, rule=DayTick(date(2031, 1, 1), "inch a year: 1 January 2031")),
        replace(FULL, fitted=None, target=None, dry=None),
        replace(FULL, fitted=None, target=None, dry=None, rule=None, weighed=WEIGHED[:1]),
    ],
)
def test_words_stay_in_the_picture_and_off_each_other(facts):
    svg = drying_curve_svg(facts, title="x")
    width, height = (float(n) for n in read(svg).get("viewBox", "").split()[2:])
    boxes = texts(svg)
    for words, left, top, right, bottom in boxes:
        assert left >= -0.1, words
        assert right <= width + 0.1, words
        assert top >= 0, words
        assert bottom <= height, words
    for one, other in combinations(boxes, 2):
        apart = (one[1] >= other[3] or other[1] >= one[3], one[2] >= other[4] or other[2] >= one[4])
        assert any(apart), (one[0], other[0])


def test_a_heavier_piece_stands_higher_and_a_later_day_further_right():
    [weighed] = shapes(drying_curve_svg(FULL, title="x"), "drying-weighed")
    places = [(float(dot.get("cx", "")), float(dot.get("cy", ""))) for dot in weighed]
    assert places == sorted(places)


def test_a_day_far_beyond_is_pointed_to_and_does_not_squeeze_the_rest():
    far = replace(FULL, rule=DayTick(date(2046, 1, 1), "inch a year: 1 January 2046"))
    svg = drying_curve_svg(far, title="x")
    assert not shapes(svg, "drying-rule")
    [day] = shapes(svg, "drying-day")
    assert float(day.get("d", "").split()[0].removeprefix("M")) > 120


def test_on_a_phone_the_words_are_eleven_pixels_high():
    svg = drying_curve_svg(FULL, title="x")
    width = float(read(svg).get("viewBox", "").split()[2])
    assert float(read(svg).get("font-size", "")) * 340 / width >= 11
