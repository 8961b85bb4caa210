"""The picture of a rim: round before, oval after, enlarged where it would not be seen."""

from xml.etree import ElementTree

import pytest

from provenance.drawing.rim_picture import Rim, Words, enlarged, rim_picture_svg

BOWL = Rim(300, 299, 287, out_of_plane_mm=4.5, rim_to_pith_mm=20)
WORDS = Words("round: 300 mm", "299 mm", "287 mm", "4 to 5 mm", "along the grain")


def read(rim: Rim, words: Words = WORDS) -> ElementTree.Element:
    return ElementTree.fromstring(rim_picture_svg(rim, words, title="The rim"))  # noqa: S314


def sizes(root: ElementTree.Element) -> tuple[float, float, float]:
    """The radius before, and along and across after."""
    before = next(each for each in root.iter("circle") if each.get("class") == "rim-before")
    after = next(root.iter("ellipse"))
    radius, along, across = before.get("r", ""), after.get("rx", ""), after.get("ry", "")
    return float(radius), float(along), float(across)


def test_the_oval_lies_in_the_round_that_it_was():
    root = read(BOWL)
    before, along, across = sizes(root)
    assert across < along <= before
    assert root.get("role") == "img"
    dashed = [each for each in root.iter() if each.get("class") == "rim-before"]
    assert dashed
    assert all(each.get("stroke-dasharray") for each in dashed)


def test_the_movement_is_enlarged_as_much_as_the_picture_says():
    root = read(BOWL)
    times = enlarged(BOWL)
    before, _, across = sizes(root)
    assert (before - across) / before == pytest.approx(times * 13 / 300, abs=0.002)
    assert f"drawn {times} times as large" in "".join(text.text or "" for text in root.iter("text"))


def test_what_shows_by_itself_is_drawn_as_it_is():
    wild = Rim(300, 299, 230, out_of_plane_mm=10)
    assert enlarged(wild) == 1
    assert not [text for text in read(wild).iter("text") if "times" in (text.text or "")]


def test_a_rim_that_does_not_move_is_round():
    before, along, across = sizes(read(Rim(300, 300, 300)))
    assert before == along == across


@pytest.mark.parametrize(("is_pith_below", "sign"), [(False, 1), (True, -1)])
def test_the_sides_move_away_from_the_pith(is_pith_below, sign):
    root = read(Rim(300, 299, 287, 4.5, 20, is_pith_below))
    line = next(each for each in root.iter("path") if each.get("class") == "rim-after")
    points = line.get("d", "").split("C")[0].removeprefix("M").split("L")
    heights = [float(point.split()[1]) for point in points]
    assert (heights[0] - min(heights, key=lambda y: abs(y - heights[12]))) * sign > 0
    assert heights[0] == heights[-1]


def test_end_grain_has_no_side_and_says_which_way_the_grain_runs():
    words = Words("round: 120 mm", "115 mm", "111 mm", grain="end grain: it runs towards you")
    root = read(Rim(120, 115, 111, is_end_grain=True), words)
    assert not [each for each in root.iter("path") if each.get("class") == "rim-after"]
    assert "end grain: it runs towards you" in [text.text for text in root.iter("text")]
