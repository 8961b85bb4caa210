import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.text import READABLE_LENGTH, clean_text, is_key, quote, straighten

ANY_TEXT = st.text(st.characters())  # lone surrogates and control characters included


def test_cleaning_keeps_newlines_and_composes_letters():
    assert clean_text("Cafe\N{COMBINING ACUTE ACCENT}\r\nby the\trice mill\rgate\u2028end") == (
        "Caf\N{LATIN SMALL LETTER E WITH ACUTE}\nby the rice mill\ngate\nend"
    )


def test_cleaning_takes_out_what_no_database_or_encoding_takes():
    assert clean_text("a\x00b\ud800c\x1bd\x7fe") == "abcde"


@given(ANY_TEXT)
def test_cleaned_text_can_be_written_and_stays_as_it_is(text):
    cleaned = clean_text(text)
    assert clean_text(cleaned) == cleaned
    assert cleaned.encode().decode() == cleaned
    assert all(c == "\n" or unicodedata.category(c) != "Cc" for c in cleaned)


def test_straightening_makes_dashes_spaces_and_digits_plain():
    assert straighten("  26–042—8 \N{NO-BREAK SPACE} x−y\N{SOFT HYPHEN}z\N{ZERO WIDTH SPACE}") == (
        "26-042-8 x-yz"
    )
    assert straighten("\N{FULLWIDTH DIGIT TWO}\N{FULLWIDTH DIGIT SIX}") == "26"


def test_straightening_gives_nothing_for_what_is_too_long_to_be_an_entry():
    assert straighten("1" * READABLE_LENGTH) == "1" * READABLE_LENGTH
    assert straighten("1" * (READABLE_LENGTH + 1)) == ""


@pytest.mark.parametrize(
    ("text", "quoted"),
    [
        ("26-042-3", "“26-042-3”"),
        (" two\nlines\x00 ", "“two lines”"),
        ("x" * 40, f"“{'x' * 40}”"),
        ("x" * 10_000, f"“{'x' * 40}…”"),
        ("", "This"),
        ("\x00\ud800 ", "This"),
    ],
)
def test_a_quoted_entry_is_short_and_clean(text, quoted):
    assert quote(text) == quoted


def test_a_rows_key_is_plain_figures_that_a_database_can_hold():
    assert is_key("42")
    for text in ("", "-1", "4 2", "4.2", "\u0663", "\u00b2", "9" * 20, "9" * 5000):
        assert not is_key(text)
