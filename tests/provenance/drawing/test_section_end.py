"""The end of a section: to scale, everything inside the bark, alike on paper."""

import re
from dataclasses import replace

import pytest
from reportlab.graphics.shapes import Circle, String

from provenance.drawing.section_end import (
    SVG_SIZE,
    SVG_WIDTH,
    HalfRound,
    Length,
    SectionEnd,
    section_end_drawing,
    section_end_svg,
)

BOWL = HalfRound(12, "180 × 60 mm", ((90, 0), (60, 40), (30, 60)))
END = SectionEnd(
    radius_mm=100,
    pith_offset_mm=0,
    upper_face_mm=12,
    lower_face_mm=12,
    slab_words="slab 24 mm",
    end_words="200 mm across <inside>",
    upper=BOWL,
    lower=HalfRound(12, "88 mm", circle_mm=88),
    length_mm=600,
    large_end_mm=220,
    lengths=(Length(20, 300, "1"), Length(310, 580, "2")),
    ends_words=("small end 200 mm", "large end 220 mm"),
)


def bark(svg: str) -> tuple[float, float, float]:
    """Middle and radius of the inside of the bark."""
    line = re.search(r'section-bark" cx="(.*?)" cy="(.*?)" r="(.*?)".*?width="(.*?)"', svg)
    assert line
    x, y, radius, width = map(float, line.groups())
    return x, y, radius - width / 2


def test_a_bowl_is_drawn_to_scale_inside_the_bark() -> None:
    svg = section_end_svg(END, title="Where it is sawn & how")
    assert "<title>Where it is sawn &amp; how</title>" in svg and "&lt;inside&gt;" in svg
    x, y, radius = bark(svg)
    line = re.search(r'section-round".*? d="M(.*?)z"', svg)
    assert line
    points = [tuple(map(float, pair.split())) for pair in line[1].split("L")]
    wide = max(px for px, _ in points) - min(px for px, _ in points)
    assert wide == pytest.approx(180 / 100 * radius)
    assert max(py for _, py in points) == pytest.approx(y - 12 / 100 * radius)
    assert all((px - x) ** 2 + (py - y) ** 2 <= radius**2 for px, py in points)


def test_a_pith_off_the_middle_is_drawn_away_from_the_wider_half() -> None:
    svg = section_end_svg(replace(END, pith_offset_mm=20), title="End")
    _, y, radius = bark(svg)
    pith = re.search(r'section-pith" cx=".*?" cy="(.*?)"', svg)
    assert pith and float(pith[1]) == round(y + 20 / 100 * radius, 2)


def test_words_are_large_enough_on_a_phone_and_the_same_on_paper() -> None:
    svg = section_end_svg(END, title="End")
    assert SVG_SIZE * 340 / SVG_WIDTH >= 11
    assert svg.count("font-size") == 1
    drawing = section_end_drawing(END, 240)
    texts = {one.text for one in drawing.contents if isinstance(one, String)}
    assert {"180 × 60 mm", "88 mm", "slab 24 mm", "1", "2", "small end 200 mm"} <= texts
    assert texts >= set(re.findall(r"<text[^>]*>([^<&]*)</text>", svg))
    assert sum(isinstance(one, Circle) for one in drawing.contents) == svg.count("<circle")


def test_what_is_not_there_is_left_out() -> None:
    bare = replace(
        END, upper=None, lower=None, slab_words="", lengths=(), upper_face_mm=0, lower_face_mm=0
    )
    svg = section_end_svg(bare, title="End")
    assert "section-round" not in svg and "section-side" not in svg and "section-hatch" not in svg
    # A slab that is named at such length that it would run over the bark is not named at all.
    long = section_end_svg(replace(END, slab_words="slab " * 12), title="End")
    assert "slab slab" not in long


def test_a_natural_edge_follows_the_bark_and_a_short_section_keeps_its_words_apart() -> None:
    natural = HalfRound(12, "natural", ((30, 0), (80, 48)), "bark")
    svg = section_end_svg(
        replace(END, upper=natural, length_mm=120, lengths=END.lengths[:1]), title=""
    )
    x, y, radius = bark(svg)
    rim = re.search(r'section-rim".*? d="M(.*?)"', svg)
    assert rim
    for pair in rim[1].split("L"):
        px, py = map(float, pair.split())
        assert (px - x) ** 2 + (py - y) ** 2 == pytest.approx(radius**2, rel=1e-3)
    starts = re.findall(r'<text x="([^"]*)"[^>]*text-anchor="(?:start|end)"', svg)
    assert float(starts[1]) - float(starts[0]) > 150
