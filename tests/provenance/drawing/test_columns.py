"""Amounts by month: proportional, readable, nothing on anything else, alike on paper."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from xml.etree import ElementTree

import font_source_sans_pro
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.pdfbase.ttfonts import TTFont

from provenance.cards import type as lettering
from provenance.drawing import columns as drawn
from provenance.drawing.columns import Column, columns_drawing, columns_svg

MONTHS = ["Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct",
          "Nov"]  # fmt: skip
USUAL = (105000, 184000, 32000, 21000, 48000, 76000, 92000, 101000, 64000, 88000, 131000, 90000,
         120000)  # fmt: skip
MIXED = (105000, 184000, 32000, -21000, 0, 76000, 92000, -101000, 64000, 88000, 131000, 90000,
         60000)  # fmt: skip
# The font's own file, and not what the picture measures with.
REGULAR, BOLD = (
    TTFont(f"read back {key}", font_source_sans_pro.font_files_ttf[key])
    for key in ("SourceSansPro", "SourceSansProSemibold")
)


def _months(values: tuple[int, ...], marked: int = -1, decimals: int = 0) -> list[Column]:
    marked %= max(len(values), 1)
    return [
        Column(
            f"{MONTHS[index % 13]} {2025 if index < 2 else 2026}",
            value,
            f"{'−' if value < 0 else ''}${abs(value) / 100:,.{decimals}f}",
            is_marked=index == marked,
        )
        for index, value in enumerate(values)
    ]


@dataclass(frozen=True)
class Area:
    """A rectangle in the picture's own units, y downwards."""

    x0: float
    top: float
    x1: float
    bottom: float

    def meets(self, other: "Area") -> bool:
        return (
            min(self.x1, other.x1) - max(self.x0, other.x0) > 0.02
            and min(self.bottom, other.bottom) - max(self.top, other.top) > 0.02
        )

    @property
    def height(self) -> float:
        return self.bottom - self.top

    @property
    def middle(self) -> float:
        return (self.x0 + self.x1) / 2


@dataclass(frozen=True)
class Text:
    words: str
    area: Area
    is_bold: bool
    is_extra: bool = False


class Seen:
    """A picture read back from its SVG; `wide` is a font-size that a style sheet may set."""

    def __init__(self, svg: str, wide: float = 0) -> None:
        self.root = ElementTree.fromstring(svg)  # noqa: S314 - our own text
        self.size = wide or float(self.root.get("font-size", ""))
        self.width, self.height = (float(n) for n in self.root.get("viewBox", "").split()[2:])
        self.bars = sorted(
            (self._bar(rect) for rect in self.root.iter("rect")), key=lambda bar: bar.x0
        )
        leaders, zero = (path.get("d", "") for path in self.root.findall("path"))
        self.zero = float(zero.removeprefix("M0 ").removesuffix("H360"))
        self.leaders = [
            Area(float(x) - 0.25, float(top), float(x) + 0.25, float(bottom))
            for x, top, bottom in re.findall(r"M([\d.]+) ([\d.]+)V([\d.]+)", leaders)
        ]
        texts = [self._text(text) for text in self.root.iter("text")]
        self.texts = [text for text in texts if wide or not text.is_extra]

    def _bar(self, rect: ElementTree.Element) -> Area:
        x, y, width, height = (float(rect.get(name, "")) for name in ("x", "y", "width", "height"))
        return Area(x, y, x + width, y + height)

    def _text(self, text: ElementTree.Element) -> Text:
        size = self.size * float((text.get("font-size") or "1em").removesuffix("em"))
        is_bold = text.get("font-weight") == "600"
        half = (BOLD if is_bold else REGULAR).stringWidth(text.text or "", size) / 2
        x, y = float(text.get("x", "")), float(text.get("y", ""))
        area = Area(x - half, y - size * 0.66, x + half, y + size * 0.13)
        return Text(text.text or "", area, is_bold, text.get("display") == "none")

    def assert_sound(self) -> None:
        """Everything is inside the picture, and no words lie on words, a column or a thin line."""
        for text in self.texts:
            assert text.area.x0 >= -0.01, text
            assert text.area.x1 <= self.width + 0.01, text
            assert text.area.top >= -0.01, text
            assert text.area.bottom <= self.height + 0.01, text
            assert not any(text.area.meets(bar) for bar in self.bars), text
        for one, other in combinations(self.texts, 2):
            assert not one.area.meets(other.area), (one, other)

    def words(self) -> list[str]:
        return [text.words for text in self.texts]


# -- the amounts ---------------------------------------------------------------------------------


@pytest.mark.parametrize("values", [USUAL, MIXED, tuple(-value for value in USUAL)])
def test_columns_are_as_high_as_their_amounts_from_the_zero_line(values):
    seen = Seen(columns_svg(_months(values), title="Gross by month"))

    amounts = [value for value in values if value]
    assert len(seen.bars) == len(amounts)
    scale = max(bar.height for bar in seen.bars) / max(abs(value) for value in amounts)
    for bar, value in zip(seen.bars, amounts, strict=True):
        assert bar.height == pytest.approx(abs(value) * scale, abs=0.02)
        assert (bar.bottom if value > 0 else bar.top) == pytest.approx(seen.zero, abs=0.011)
    assert max(bar.height for bar in seen.bars) > seen.height / 4


def test_a_month_without_sales_has_its_amount_and_no_column():
    seen = Seen(columns_svg(_months((500, 0, 700)), title="x"))

    assert len(seen.bars) == 2
    [nothing] = [text for text in seen.texts if text.words == "$0"]
    assert nothing.area.bottom < seen.zero


def test_months_that_all_came_to_nothing_are_a_line_with_its_labels():
    seen = Seen(columns_svg(_months((0,) * 13), title="x"))

    assert seen.bars == []
    assert seen.words().count("$0") == 13
    assert seen.height < 80
    seen.assert_sound()


def test_no_month_at_all_is_an_empty_line():
    seen = Seen(columns_svg([], title="x"))

    assert (seen.bars, seen.texts) == ([], [])


@pytest.mark.parametrize("marked", [0, 1, 3, 7, 11, 12])
@pytest.mark.parametrize("decimals", [0, 2])
def test_the_marked_the_highest_and_the_lowest_amounts_are_always_written(marked, decimals):
    for values in (USUAL, MIXED, tuple(reversed(USUAL))):
        months = _months(values, marked, decimals)
        seen = Seen(columns_svg(months, title="x"))

        for value in (values[marked], max(values), min(values)):
            assert months[values.index(value)].words in seen.words()
        seen.assert_sound()


def test_words_above_a_taller_neighbour_are_led_down_to_their_column():
    values = (900000,) * 5 + (123400,) + (900000,) * 7
    seen = Seen(columns_svg(_months(values, 5, 2), title="x"))

    [text] = [text for text in seen.texts if text.words == "$1,234.00"]
    [leader] = seen.leaders
    low = min(seen.bars, key=lambda bar: bar.height)
    assert leader.middle == pytest.approx(low.middle, abs=0.02)
    assert leader.bottom == pytest.approx(low.top, abs=0.02)
    assert text.area.bottom <= leader.top < min(bar.top for bar in seen.bars)
    seen.assert_sound()


def test_words_below_a_deeper_neighbour_are_led_up_to_their_column():
    values = (-900000,) * 5 + (-123400,) + (-900000,) * 7
    seen = Seen(columns_svg(_months(values, 5, 2), title="x"))

    [text] = [text for text in seen.texts if text.words == "−$1,234.00"]
    [leader] = seen.leaders
    short = min(seen.bars, key=lambda bar: bar.height)
    assert leader.middle == pytest.approx(short.middle, abs=0.02)
    assert leader.top == pytest.approx(short.bottom, abs=0.02)
    assert text.area.top >= leader.bottom > max(bar.bottom for bar in seen.bars)
    seen.assert_sound()


def test_on_paper_the_same_thin_line_leads_to_the_column():
    paper = columns_drawing(_months((900000,) * 5 + (123400,) + (900000,) * 7, 5, 2), 300, 140)

    [leader] = [line for line in _shapes(paper, Line) if line.x1 == line.x2]
    low = min(_shapes(paper, Rect), key=lambda rect: rect.height)
    assert leader.x1 == pytest.approx(low.x + low.width / 2)
    assert min(leader.y1, leader.y2) == pytest.approx(low.height + low.y)


def test_all_amounts_are_written_where_there_is_room():
    few = _months((500, 900, 700, 300))

    assert {column.words for column in few} <= set(Seen(columns_svg(few, title="x")).words())
    paper = columns_drawing(_months(USUAL), 500, 140)
    texts = {shape.text for shape in paper.contents if isinstance(shape, String)}
    assert {column.words for column in _months(USUAL)} <= texts


def test_a_wide_page_has_room_for_more_amounts_at_a_smaller_size():
    svg = columns_svg(_months(USUAL), title="x")
    narrow, wide = Seen(svg), Seen(svg, drawn.SVG_SIZE_WIDE)

    assert len(narrow.words()) < len(wide.words())
    assert {column.words for column in _months(USUAL)} <= set(wide.words())
    wide.assert_sound()


# -- reading it ----------------------------------------------------------------------------------


def test_words_are_large_enough_on_a_phone():
    seen = Seen(columns_svg(_months(USUAL), title="x"))

    # 11 pixels is what small print in this house may come down to; 340 is a narrow phone.
    assert seen.size * 340 / seen.width >= 11
    sizes = {text.get("font-size", "1em") for text in seen.root.iter("text")}
    assert sizes == {"1em"}


def test_the_marked_month_is_told_by_more_than_its_colour():
    seen = Seen(columns_svg(_months(USUAL, 4), title="x"))

    assert [text.words for text in seen.texts if text.is_bold] == ["$480", "Mar"]
    [group] = [g for g in seen.root.iter("g") if g.get("class") == "columns-marked"]
    [rect] = group
    assert float(rect.get("x")) == pytest.approx(seen.bars[4].x0, abs=0.001)
    assert group.get("fill-opacity") is None  # solid, where the others are only tinted


def test_each_month_has_its_name_below_and_the_year_stands_where_it_changes():
    seen = Seen(columns_svg(_months(USUAL), title="x"))

    names = [text for text in seen.texts if text.words in MONTHS]
    years = [text for text in seen.texts if text.words in ("2025", "2026")]
    assert [text.words for text in names] == MONTHS
    assert [text.words for text in years] == ["2025", "2026"]
    for name, bar in zip(names, seen.bars, strict=True):
        assert name.area.middle == pytest.approx(bar.middle, abs=0.02)
        assert name.area.top > seen.zero
    assert years[0].area.middle == pytest.approx(seen.bars[0].middle, abs=1)
    assert years[1].area.middle == pytest.approx(seen.bars[2].middle, abs=1)


def test_amounts_stand_over_the_middle_of_their_columns():
    seen = Seen(columns_svg(_months(USUAL), title="x"), drawn.SVG_SIZE_WIDE)

    for column, bar in zip(_months(USUAL), seen.bars, strict=True):
        [text] = [text for text in seen.texts if text.words == column.words]
        assert text.area.middle == pytest.approx(bar.middle, abs=0.5)
        assert bar.top - text.area.bottom == pytest.approx(3.2, abs=0.1)  # level with its likes


def test_two_years_side_by_side_both_have_room():
    months = [Column("Dec 2025", 100, "$1"), *(Column("Jan 2026", 100, "$1") for _ in range(12))]
    seen = Seen(columns_svg(months, title="x"))

    assert {"2025", "2026"} <= set(seen.words())
    seen.assert_sound()


def test_names_too_long_for_their_places_are_left_out_evenly_but_never_the_marked():
    months = [Column("September", 100 * n, f"${n}", n == 7) for n in range(13)]
    seen = Seen(columns_svg(months, title="x"))

    names = [text for text in seen.texts if text.words == "September"]
    assert 1 < len(names) < 13
    assert any(text.is_bold for text in names)
    seen.assert_sound()


@settings(max_examples=40)
@given(
    values=st.lists(
        st.one_of(st.integers(-(10**6), 10**9), st.sampled_from([0, 100, -100, 10**6])),
        min_size=1, max_size=13,
    ),
    marked=st.integers(0, 12),
    decimals=st.sampled_from([0, 2]),
)  # fmt: skip
def test_no_words_ever_lie_on_others_on_a_column_or_outside(values, marked, decimals):
    svg = columns_svg(_months(tuple(values), marked, decimals), title="x")

    Seen(svg).assert_sound()
    Seen(svg, drawn.SVG_SIZE_WIDE).assert_sound()


# -- screen and paper ----------------------------------------------------------------------------


def test_the_svg_is_an_image_with_an_escaped_title_and_no_inline_style():
    months = [Column("Nov & \u200fdé <b>", 100, "🌳 < $1", is_marked=True)]
    seen = Seen(columns_svg(months, title="Gross & <net>"))

    assert seen.root.get("role") == "img"
    assert seen.root.findtext("title") == "Gross & <net>"
    for part in seen.root.iter():
        assert not {"style", "id", "onclick"} & set(part.attrib)
        assert {part.get("fill"), part.get("stroke")} <= {None, "none", "currentColor"}


def _shapes(drawing: Drawing, kind: type) -> Iterator:
    return (shape for shape in drawing.contents if isinstance(shape, kind))


@pytest.mark.parametrize("values", [USUAL, MIXED])
def test_screen_and_paper_show_the_same_columns(values):
    seen = Seen(columns_svg(_months(values), title="x"))
    paper = columns_drawing(_months(values), 500, 140)

    rects = sorted(_shapes(paper, Rect), key=lambda rect: rect.x)
    scale = max(rect.height for rect in rects) / max(bar.height for bar in seen.bars)
    assert len(rects) == len(seen.bars)
    for rect, bar in zip(rects, seen.bars, strict=True):
        assert rect.height == pytest.approx(bar.height * scale, abs=0.03)
    zero = max(_shapes(paper, Line), key=lambda line: line.x2 - line.x1)
    for rect, value in zip(rects, (value for value in values if value), strict=True):
        assert (rect.y if value > 0 else rect.y + rect.height) == pytest.approx(zero.y1)


@pytest.mark.parametrize("values", [USUAL, MIXED, (0,) * 13, (5,)])
def test_on_paper_everything_keeps_within_the_box(values):
    drawing = columns_drawing(_months(values, decimals=2), 480, 130)

    assert (drawing.width, drawing.height) == (480, 130)
    for text in _shapes(drawing, String):
        half = (BOLD if "Semibold" in text.fontName else REGULAR).stringWidth(text.text, 8) / 2
        assert text.x - half >= -0.01
        assert text.x + half <= 480.01
        assert 0 <= text.y <= 130 - 8 * 0.66
        assert text.fontSize == pytest.approx(8)
    for rect in _shapes(drawing, Rect):
        assert rect.y >= 0
        assert rect.y + rect.height <= 130


def test_it_paints_to_a_pdf_in_the_fonts_of_all_our_prints():
    drawing = columns_drawing(_months(USUAL), 480, 130)

    assert {text.fontName for text in _shapes(drawing, String)} == {
        lettering.SANS, lettering.SANS_BOLD,
    }  # fmt: skip
    assert renderPDF.drawToString(drawing).startswith(b"%PDF")
