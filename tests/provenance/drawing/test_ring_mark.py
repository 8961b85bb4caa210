"""The ring mark: steadfast, told apart, sound in its geometry, the same on screen and paper."""

import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Path

from provenance.drawing.ring_mark import (
    GRID,
    RingMark,
    cross_section,
    drawn_rings,
    ring_mark,
    ring_mark_svg,
)

SEEDS = [f"T{year}{sequence:03d}X" for year in (21, 26) for sequence in range(12)]
FIRST_OUTLINE_POINTS = ((936, 504), (926, 593), (904, 681))
SVG = "{http://www.w3.org/2000/svg}"


def _ring_points(mark: RingMark) -> list[list[tuple[float, float]]]:
    return [[p for stroke in ring for p in stroke.curve.sample()] for ring in mark.rings]


def _from_pith(mark: RingMark, points: list[tuple[float, float]]) -> dict[int, list[float]]:
    """Distances from the pith by direction, in 72 sectors of five degrees."""
    dot = mark.pith[0].points
    middle = (sum(x for x, _ in dot) / len(dot), sum(y for _, y in dot) / len(dot))
    sectors: dict[int, list[float]] = {}
    for x, y in points:
        sector = int((math.atan2(y - middle[1], x - middle[0]) % math.tau) / math.tau * 72) % 72
        sectors.setdefault(sector, []).append(math.dist(middle, (x, y)))
    return sectors


def _inside(point: tuple[float, float], outline: list[tuple[float, float]]) -> bool:
    x, y = point
    crossings = False
    for (ax, ay), (bx, by) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if (ay > y) != (by > y) and x < (bx - ax) * (y - ay) / (by - ay) + ax:
            crossings = not crossings
    return crossings


def test_the_same_tree_has_the_same_mark_for_ever():
    # A mark that is on a printed card must not change: these points were drawn in November 2026.
    mark = cross_section("T26014X", 90)
    assert mark.outer.points[:3] == FIRST_OUTLINE_POINTS
    cross_section.cache_clear()
    assert cross_section("T26014X", 90) == mark
    assert ring_mark_svg("T26014X", 90) == ring_mark_svg("T26014X", 90)


def test_trees_are_told_apart():
    assert len({ring_mark_svg(seed, 60) for seed in SEEDS}) == len(SEEDS)
    assert len({cross_section(seed, None).outer for seed in SEEDS}) == len(SEEDS)


def test_counting_the_rings_later_keeps_the_outline_and_the_pith():
    before, after = cross_section("T26014X", None), cross_section("T26014X", 90)
    assert (before.outer, before.inner, before.pith) == (after.outer, after.inner, after.pith)


@pytest.mark.parametrize("unknown", [None, 0, -3])
def test_unknown_rings_leave_bark_and_pith_only(unknown):
    mark = cross_section("T26014X", unknown)
    assert mark.rings == ()
    assert mark.checks == ()
    svg = ElementTree.fromstring(ring_mark_svg("T26014X", unknown))  # noqa: S314 - our own text
    assert [part.get("class") for part in svg] == [None, "pith"]


@pytest.mark.parametrize("detail", ["full", "small"])
def test_older_trees_have_more_rings_until_a_limit(detail):
    counts = [drawn_rings(rings, detail) for rings in range(1, 500)]
    assert counts == sorted(counts)
    assert counts[0] == 1
    assert counts[-1] == {"full": 14, "small": 5}[detail]
    assert len(cross_section("T26014X", 499, detail=detail).rings) == counts[-1]


def test_a_young_tree_has_a_ring_for_each_year():
    assert [drawn_rings(rings) for rings in range(1, 6)] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize("detail", ["full", "small"])
@pytest.mark.parametrize("rings", [1, 4, 30, 400])
def test_rings_stay_inside_the_bark_and_outside_the_pith(rings, detail):
    for seed in SEEDS:
        mark = cross_section(seed, rings, detail=detail)
        wood = mark.inner.sample()
        pith = mark.pith[0].sample()
        for point in (p for ring in _ring_points(mark) for p in ring):
            assert _inside(point, wood), seed
            assert not _inside(point, pith), seed


@pytest.mark.parametrize("detail", ["full", "small"])
def test_rings_never_cross_one_another(detail):
    for seed in SEEDS:
        mark = cross_section(seed, 400, detail=detail)
        rings = [_from_pith(mark, points) for points in _ring_points(mark)]
        for inner, outer in pairwise(rings):
            for sector in inner.keys() & outer.keys():
                assert sum(inner[sector]) / len(inner[sector]) < sum(outer[sector]) / len(
                    outer[sector]
                ), (seed, sector)


def test_the_bark_stays_on_the_grid_and_has_some_thickness_everywhere():
    for seed in SEEDS:
        mark = cross_section(seed, None)
        outer = mark.outer.sample()
        assert all(0 <= x <= GRID and 0 <= y <= GRID for x, y in outer)
        assert all(_inside(point, outer) for point in mark.inner.sample())
        nearest = [min(math.dist(a, b) for b in outer) for a in mark.inner.sample(2)]
        assert min(nearest) > 8


def test_checks_run_from_the_bark_inwards_and_never_break_out_of_it():
    marks = [cross_section(seed, 90) for seed in SEEDS]
    assert any(mark.checks for mark in marks)
    for mark in marks:
        outer = mark.outer.sample()
        assert all(_inside(point, outer) for check in mark.checks for point in check.sample())


def test_the_pith_goes_where_the_record_puts_it_but_never_into_the_bark():
    middle = cross_section("T26014X", 20, pith_offset=(0.0, 0.0))
    assert sum(x for x, _ in middle.pith[0].points) / 7 == pytest.approx(GRID / 2, abs=2)
    far = cross_section("T26014X", 20, pith_offset=(3.0, 0.0))
    wood = far.inner.sample()
    assert all(_inside(p, wood) for ring in _ring_points(far) for p in ring)
    assert all(_inside(p, wood) for p in far.pith[0].sample())


@pytest.mark.parametrize(("detail", "limit"), [("full", 6000), ("small", 3000)])
def test_the_svg_is_small_enough_for_a_long_list(detail, limit):
    assert max(len(ring_mark_svg(seed, 500, detail=detail)) for seed in SEEDS) < limit


def test_the_svg_needs_no_inline_style_and_no_id():
    for part in ElementTree.fromstring(ring_mark_svg("T26014X", 90, title="x")).iter():  # noqa: S314
        assert not {"style", "id", "onclick"} & set(part.attrib)
        assert part.tag.removeprefix(SVG) in {"svg", "title", "g", "path"}
        colours = {part.get("fill"), part.get("stroke")} - {None, "none"}
        assert colours <= {"currentColor"}


def test_a_title_makes_it_an_image_and_is_escaped():
    titled = ElementTree.fromstring(  # noqa: S314 - our own text
        ring_mark_svg("T26014X", 90, title="Ash & <oak>, 90 rings")
    )
    assert titled.get("role") == "img"
    assert titled.get("aria-hidden") is None
    assert titled.findtext("title") == "Ash & <oak>, 90 rings"


def test_without_a_title_it_is_decoration():
    plain = ElementTree.fromstring(ring_mark_svg("T26014X", 90))  # noqa: S314 - our own text
    assert plain.get("aria-hidden") == "true"
    assert plain.get("role") is None
    assert plain.find("title") is None


def _svg_points(svg: str) -> list[tuple[int, int]]:
    """Every point and control point of the paths, read back from the text."""
    points: list[tuple[int, int]] = []
    for data in re.findall(r' d="([^"]*)"', svg):
        x = y = back_x = back_y = 0
        for letter, body in re.findall(r"([Mcsz])([^Mcsz]*)", data):
            numbers = [int(number) for number in re.findall(r"-?\d+", body)]
            if letter == "M":
                x, y = numbers
                points.append((x, y))
            elif letter in "cs":
                if letter == "s":
                    numbers = [back_x, back_y, *numbers]
                steps = list(zip(numbers[::2], numbers[1::2], strict=True))
                points += [(x + dx, y + dy) for dx, dy in steps]
                (other_x, other_y), (end_x, end_y) = steps[1:]
                back_x, back_y = end_x - other_x, end_y - other_y
                x, y = x + end_x, y + end_y
    return points


@pytest.mark.parametrize("detail", ["full", "small"])
def test_screen_and_paper_show_the_same_lines(detail):
    size = 42.5
    for seed in SEEDS[:6]:
        drawing = ring_mark(seed, 90, size, detail=detail)
        paths = [shape for shape in drawing.contents[0].contents if isinstance(shape, Path)]
        flat = [number for path in paths for number in path.points]
        paper = list(zip(flat[::2], flat[1::2], strict=True))
        screen = _svg_points(ring_mark_svg(seed, 90, detail=detail))
        assert len(paper) == len(screen)
        for (px, py), (sx, sy) in zip(paper, screen, strict=True):
            assert px == pytest.approx(sx * size / GRID, abs=1e-6)
            assert py == pytest.approx(size - sy * size / GRID, abs=1e-6)


def test_line_widths_grow_with_the_paper_size_and_stay_printable():
    # A hairline under a quarter point breaks up on an ordinary printer (common practice).
    for size in (34.0, 51.0):  # 12 mm and 18 mm
        drawing = ring_mark("T26014X", 90, size)
        widths = [s.strokeWidth for s in drawing.contents[0].contents if s.strokeColor is not None]
        assert min(widths) == pytest.approx(8 * size / GRID)
        assert min(widths) > 0.25


def test_it_paints_to_a_pdf_of_the_wanted_size():
    drawing = ring_mark("T26014X", 90, 51, ink="#000000", accent="#808080")
    assert (drawing.width, drawing.height) == (51, 51)
    assert renderPDF.drawToString(drawing).startswith(b"%PDF")
