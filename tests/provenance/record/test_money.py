"""Money typed and shown. Exponents: ISO 4217 (JPY 0, KWD 3). Formatting: CLDR, through Babel."""

import pytest
from babel.numbers import format_currency
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.money import format_money, minor_digits, parse_money


@pytest.mark.parametrize(("currency", "digits"), [("USD", 2), ("EUR", 2), ("JPY", 0), ("KWD", 3)])
def test_minor_units_are_those_of_iso_4217(currency, digits):
    assert minor_digits(currency) == digits


@pytest.mark.parametrize(
    ("minor", "currency", "words"),
    [
        (16500, "USD", "$165"),
        (16550, "USD", "$165.50"),
        (5, "USD", "$0.05"),
        (0, "USD", "$0"),
        (123456700, "USD", "$1,234,567"),
        (8000, "JPY", "¥8,000"),
        (12500, "KWD", "KWD12.500"),
    ],
)
def test_whole_amounts_lose_their_zeros(minor, currency, words):
    assert format_money(minor, currency) == words


def test_broken_amounts_are_those_of_cldr():
    assert format_money(123450, "EUR") == format_currency("1234.50", "EUR", locale="en_US")


@pytest.mark.parametrize(
    ("text", "minor"),
    [
        ("165", 16500),
        ("$165", 16500),
        ("165.5", 16550),
        ("1,650.50", 165050),
        ("12,50", 1250),
        ("1,650", 165000),
        (" 12.50 USD ", 1250),
        ("0", 0),
    ],
)
def test_amounts_are_read_as_people_type_them(text, minor):
    assert parse_money(text, "USD") == minor


@pytest.mark.parametrize("text", ["", "x", "-5", "NaN", "Infinity", "1e999999", "12.345", "9" * 30])
def test_what_is_no_amount_gets_a_sentence(text):
    with pytest.raises(ValueError, match=r"\.$"):
        parse_money(text, "USD")


@given(st.integers(0, 10**11), st.sampled_from(["USD", "EUR", "JPY", "KWD"]))
def test_what_is_shown_is_read_back(minor, currency):
    assert parse_money(format_money(minor, currency), currency) == minor
