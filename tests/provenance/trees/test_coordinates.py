"""Coordinates as they are pasted."""

from decimal import Decimal

import pytest

from provenance.trees.coordinates import NotAPlace, format_coordinates, parse_coordinates

HERE = (Decimal("44.052100"), Decimal("-123.086800"))


@pytest.mark.parametrize(
    "typed",
    [
        "44.0521, -123.0868",
        "44.0521 -123.0868",
        "44.0521° N, 123.0868° W",
        "123.0868 W 44.0521 N",
        "44,0521; -123,0868",
        " 44.0521,−123.0868 ",
    ],
)
def test_the_usual_ways_to_write_them_are_read(typed: str) -> None:
    assert parse_coordinates(typed) == HERE


@pytest.mark.parametrize(
    "typed",
    ["", "44.05", "here", "91, 0", "0, 181", "44 E 123 N 7", "44° 3' 7\" N, 123° W", "-44 S, 1 E",
     "44 N 12 N", "9" * 400],
)  # fmt: skip
def test_anything_else_gets_a_sentence(typed: str) -> None:
    with pytest.raises(NotAPlace, match=r"\.$"):
        parse_coordinates(typed)


def test_they_read_back_the_same() -> None:
    assert format_coordinates(*HERE) == "44.0521, -123.0868"
    assert parse_coordinates(format_coordinates(*HERE)) == HERE
    assert format_coordinates(None, None) == ""
    assert format_coordinates(Decimal("10.000000"), Decimal("0.000000")) == "10, 0"
