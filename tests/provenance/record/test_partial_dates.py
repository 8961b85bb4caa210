"""Partial dates. Outside checks: the examples of ISO 8601-2:2019 as the Library of Congress
publishes them (EDTF specification of 4 February 2019, levels 0 and 1), and the `edtf` library."""

import warnings
from datetime import date, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.errors import RecordError
from provenance.record.partial_dates import MONTHS, NotADate, PartialDate

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # the library warns of its own grammar when it is imported
    from edtf import parse_edtf

DAYS = st.dates(min_value=date(1000, 1, 1))
MARKS = st.sampled_from(["", "~", "?", "%"])
PARTIAL_DATES = st.builds(
    lambda day, length, mark: PartialDate(
        (f"{day.year // 10}X" if length == 3 else day.isoformat()[:length]) + mark
    ),
    DAYS,
    st.sampled_from([3, 4, 7, 10]),
    MARKS,
)


def agrees_with_the_library(partial: PartialDate) -> bool:
    """Whether `edtf` reads the stored text and gives it the same first and last day."""
    theirs = parse_edtf(partial.edtf)
    return (date(*theirs.lower_strict()[:3]), date(*theirs.upper_strict()[:3])) == (
        partial.earliest,
        partial.latest,
    )


@pytest.mark.parametrize(
    ("example", "kept", "spoken", "earliest", "latest"),
    [
        ("1985-04-12", "1985-04-12", "12 April 1985", "1985-04-12", "1985-04-12"),
        ("1985-04", "1985-04", "April 1985", "1985-04-01", "1985-04-30"),
        ("1985", "1985", "1985", "1985-01-01", "1985-12-31"),
        ("1984?", "1984?", "perhaps 1984", "1984-01-01", "1984-12-31"),
        ("2004-06~", "2004-06~", "about June 2004", "2004-06-01", "2004-06-30"),
        ("2004-06-11%", "2004-06-11%", "perhaps about 11 June 2004", "2004-06-11", "2004-06-11"),
        ("201X", "201X", "the 2010s", "2010-01-01", "2019-12-31"),
        # What is marked as not known is left out, which covers the same days.
        ("2004-XX", "2004", "2004", "2004-01-01", "2004-12-31"),
        ("1985-04-XX", "1985-04", "April 1985", "1985-04-01", "1985-04-30"),
        ("1985-XX-XX", "1985", "1985", "1985-01-01", "1985-12-31"),
    ],
)
def test_the_examples_of_iso_8601_2(example, kept, spoken, earliest, latest):
    # Source: loc.gov/standards/datetime, "Date", "Qualification of a date (complete)" and
    # "Unspecified digit(s) from the right".
    partial = PartialDate.parse(example)
    assert str(partial) == partial.edtf == kept
    assert partial.spoken() == spoken
    assert partial.earliest == date.fromisoformat(earliest)
    assert partial.latest == date.fromisoformat(latest)
    assert agrees_with_the_library(partial)
    theirs = parse_edtf(example)
    assert date(*theirs.lower_strict()[:3]) == partial.earliest
    assert date(*theirs.upper_strict()[:3]) == partial.latest


@pytest.mark.parametrize(
    "example",
    [
        *("1964/2008", "2004-06/2006-08", "1985-04-12T23:20:30Z", "1985/..", "/1985"),
        *("Y170000002", "-1985", "2001-21", "20XX", "156X-12-25", "XXXX-12-XX", "1950S2"),
        *("2004?-06-11", "2004-06-~11", "[1667,1668]", "1667..1672"),
    ],
)
def test_the_rest_of_iso_8601_2_is_refused(example):
    # Intervals, times, seasons, sets and far years: more than a record of wood keeps.
    with pytest.raises(NotADate, match=r"\.$"):
        PartialDate.parse(example)


@pytest.mark.parametrize(
    "edtf",
    [
        *("1000", "9999", "999X", "100X", "190X", "1900-02", "2000-02", "2000-02-29", "9999-12-31"),
        *("2023-03-12~", "2023-03?", "2023%", "202X~", "202X?", "202X%", "2024-02~"),
    ],
)
def test_first_and_last_day_agree_with_the_edtf_library(edtf):
    assert agrees_with_the_library(PartialDate(edtf))


@given(PARTIAL_DATES)
def test_every_date_is_what_the_edtf_library_says_and_reads_back(partial):
    assert agrees_with_the_library(partial)
    assert PartialDate.parse(partial.edtf) == PartialDate.parse(partial.spoken()) == partial
    assert len(partial.edtf) <= 16


@given(PARTIAL_DATES, PARTIAL_DATES)
def test_dates_sort_by_their_earliest_day(one, other):
    assert (one < other) + (one == other) + (one > other) == 1
    assert (one <= other) == (not one > other)
    if one.earliest < other.earliest:
        assert one < other
    if one == other:
        assert hash(one) == hash(other)


def test_a_date_is_not_compared_with_anything_else():
    assert PartialDate("2023") != "2023"
    with pytest.raises(TypeError):
        _ = PartialDate("2023") < date(2023, 1, 1)


@pytest.mark.parametrize(
    ("typed", "edtf"),
    [
        ("12 March 2023", "2023-03-12"),
        ("12th of March, 2023", "2023-03-12"),
        ("on the 1st of may 2023", "2023-05-01"),
        ("March 12, 2023", "2023-03-12"),
        ("MAR. 12 2023", "2023-03-12"),
        ("12-Mar-2023", "2023-03-12"),
        ("2023-Mar-12", "2023-03-12"),
        ("2023-3-2", "2023-03-02"),
        ("2023/03/12", "2023-03-12"),
        ("2023–03–12", "2023-03-12"),
        ("13/4/2023", "2023-04-13"),
        ("4/13/2023", "2023-04-13"),
        ("4.4.2023", "2023-04-04"),
        ("March 2023", "2023-03"),
        ("Sept 2023", "2023-09"),
        ("in May, 2023", "2023-05"),
        ("2023 March", "2023-03"),
        ("3/2023", "2023-03"),
        ("2023", "2023"),
        ("about 1998", "1998~"),
        ("About March 1998", "1998-03~"),
        ("in about 1998", "1998~"),
        ("around 1998", "1998~"),
        ("c. 1998", "1998~"),
        ("c1998", "1998~"),
        ("ca. 1998", "1998~"),
        ("circa 1998", "1998~"),
        ("approx. 1998", "1998~"),
        ("~1998", "1998~"),
        ("~ 1998", "1998~"),
        ("perhaps 1998", "1998?"),
        ("maybe May 1998", "1998-05?"),
        ("1998 ?", "1998?"),
        ("1998 (?)", "1998?"),
        ("about 1998?", "1998%"),
        ("perhaps about 1998", "1998%"),
        ("perhaps 1998%", "1998%"),
        ("1990s", "199X"),
        ("the 1990's", "199X"),
        ("the 1990’s", "199X"),
        ("about the 1990s", "199X~"),
        ("199x", "199X"),
        ("1990-1999", "199X"),
        ("1900 to 1909", "190X"),
        ("１９９８", "1998"),
        ("  12 \t March  2023\n", "2023-03-12"),
    ],
)
def test_words_are_read_as_they_are_meant(typed, edtf):
    assert PartialDate.parse(typed).edtf == edtf


@pytest.mark.parametrize("number, name", [*enumerate(MONTHS, 1)])
def test_months_are_known_by_name_and_by_three_letters(number, name):
    for typed in (f"5 {name} 2023", f"5 {name[:3].upper()} 2023", f"{name[:4].lower()} 5, 2023"):
        assert PartialDate.parse(typed).edtf == f"2023-{number:02}-05"
    assert PartialDate(f"2023-{number:02}").spoken() == f"{name} 2023"


def test_today_and_yesterday_are_read_where_it_is_known_which_day_it_is():
    new_year = date(2026, 1, 1)
    assert PartialDate.parse("Today", today=new_year).edtf == "2026-01-01"
    assert PartialDate.parse("yesterday ", today=new_year).edtf == "2025-12-31"
    with pytest.raises(NotADate, match="“today” is not a date that can be read"):
        PartialDate.parse("today")


LIKE = "write one like 12 March 2023, March 2023, 2023, about 1998 or 1990s."


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("last winter", f"“last winter” is not a date that can be read: {LIKE}"),
        ("", f"This is not a date that can be read: {LIKE}"),
        ("perhaps", f"“perhaps” is not a date that can be read: {LIKE}"),
        ("12 March 23", f"“12 March 23” is not a date that can be read: {LIKE}"),
        ("3/4/23", f"“3/4/23” is not a date that can be read: {LIKE}"),
        ("31/31/2023", f"“31/31/2023” is not a date that can be read: {LIKE}"),
        ("12 Ma 2023", f"“12 Ma 2023” is not a date that can be read: {LIKE}"),
        ("1995s", f"“1995s” is not a date that can be read: {LIKE}"),
        ("1990-1998", f"“1990-1998” is not a date that can be read: {LIKE}"),
        ("99999", f"“99999” is not a date that can be read: {LIKE}"),
        ("2023-02-30", "February 2023 has no day 30."),
        ("29 Feb 1900", "February 1900 has no day 29."),
        ("2023-02-00", "February 2023 has no day 0."),
        ("2023-13", "There is no month 13: months run from 1 to 12."),
        ("2023-00-10", "There is no month 0: months run from 1 to 12."),
        ("0999", "“0999” is too early: years run from 1000 to 9999."),
        ("099X", "“099X” is too early: years run from 1000 to 9999."),
        (
            "3/4/2023",
            "“3/4/2023” can be 3 April 2023 or 4 March 2023: write the month as a word, "
            "or year first, like 2023-03-04.",
        ),
        (
            "1900s",
            "“1900s” can mean ten years or a hundred: write 190X for 1900 to 1909, or a year.",
        ),
    ],
)
def test_what_is_no_date_is_refused_in_a_sentence(typed, sentence):
    with pytest.raises(NotADate) as refused:
        PartialDate.parse(typed)
    assert str(refused.value) == sentence
    assert isinstance(refused.value, RecordError)


@pytest.mark.parametrize(
    "entry", ["\x00", "2023\x00", "\ud800", "🌳", "1" * 10_000, "a " * 5_000, "-"]
)
def test_odd_entries_get_a_sentence(entry):
    with pytest.raises(NotADate, match=r"\.$"):
        PartialDate.parse(entry)


@given(st.text(st.characters()) | st.text("0123456789 -/.,~?%xsXmarchperhaps", max_size=20))
def test_any_entry_is_a_date_or_gets_a_sentence(entry):
    try:
        partial = PartialDate.parse(entry)
    except NotADate as refused:
        assert str(refused).encode()
    else:
        assert agrees_with_the_library(partial)


def test_the_future_is_refused_where_it_has_no_place():
    today = date(2026, 11, 25)
    for typed in ("2026-11-25", "November 2026", "2026", "202X", "about 2026"):
        assert PartialDate.parse(typed, not_after=today).earliest <= today
    for typed, spoken in (
        ("2026-11-26", "26 November 2026"),
        ("12/2026", "December 2026"),
        ("about 2027", "About 2027"),
        ("203X", "The 2030s"),
    ):
        with pytest.raises(NotADate) as refused:
            PartialDate.parse(typed, not_after=today)
        assert str(refused.value) == f"{spoken} is still to come: check the date."


@pytest.mark.parametrize(
    "edtf", ["2023-3", "202x", "March 2023", " 2023", "2023-03-12T10", "", "2023~?"]
)
def test_stored_text_is_taken_only_as_it_is_stored(edtf):
    with pytest.raises(NotADate):
        PartialDate(edtf)


@pytest.mark.parametrize(
    ("edtf", "precision", "exact", "about", "unsure"),
    [
        ("2023-03-12", "day", True, False, False),
        ("2023-03-12~", "day", False, True, False),
        ("2023-03?", "month", False, False, True),
        ("2023%", "year", False, True, True),
        ("202X", "decade", False, False, False),
    ],
)
def test_a_date_says_how_well_it_is_known(edtf, precision, exact, about, unsure):
    partial = PartialDate(edtf)
    assert (partial.precision, partial.is_exact) == (precision, exact)
    assert (partial.is_about, partial.is_unsure) == (about, unsure)


def test_a_calendar_day_is_an_exact_date():
    assert PartialDate.of(date(2024, 2, 29)).edtf == "2024-02-29"
    late = datetime(2024, 2, 29, 23, tzinfo=timezone(timedelta(hours=-5)))
    assert PartialDate.of(late).edtf == "2024-02-29"
    with pytest.raises(NotADate):
        PartialDate.of(date(999, 1, 1))
