"""Months of the calendar."""

from datetime import date

import pytest

from shop.books.months import Month


def test_a_month_knows_its_days_and_its_neighbours() -> None:
    february = Month(2028, 2)
    assert (february.first, february.last) == (date(2028, 2, 1), date(2028, 2, 29))
    assert (february.before, february.after) == (Month(2028, 1), Month(2028, 3))
    assert february.year_before.last == date(2027, 2, 28)
    assert (Month(2027, 1).before, Month(2026, 12).after) == (Month(2026, 12), Month(2027, 1))
    assert (str(february), february.words, february.short) == (
        "2028-02", "February 2028", "Feb 2028",
    )  # fmt: skip


def test_the_picture_runs_from_the_same_month_a_year_before() -> None:
    months = Month(2026, 11).pictured()
    assert (months[0], months[-1], len(months)) == (Month(2025, 11), Month(2026, 11), 13)
    assert months == sorted(months)


@pytest.mark.parametrize("text", ["2026-13", "2026-00", "1899-12", "0000-01", "2026-1", "26-11"])
def test_what_is_no_month_of_the_books_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r".+"):
        Month.parse(text)


def test_the_books_begin_in_1900() -> None:
    assert Month.parse("1900-01").is_first
    assert not Month.parse("1900-02").is_first
