"""Money typed and shown. Exponents: ISO 4217 (JPY 0, KWD 3). Formatting: CLDR, through Babel."""

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest
from babel.numbers import format_currency
from django.core.exceptions import ValidationError
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.money import (
    PercentFormField,
    format_exact,
    format_money,
    minor_digits,
    parse_money,
    parse_percent,
    plain_percent,
    whole_minor,
)

# ISO 4217, list one (published by its maintenance agency, SIX); the values here are from memory.
ISO_4217 = {
    **dict.fromkeys(["USD", "EUR", "GBP", "CAD", "AUD", "NZD", "CHF", "SEK", "HUF", "PKR"], 2),
    **dict.fromkeys(["JPY", "KRW", "CLP", "ISK", "PYG", "VND", "XAF", "XOF", "XPF"], 0),
    **dict.fromkeys(["KWD", "BHD", "JOD", "LYD", "OMR", "TND"], 3),
}


@pytest.mark.parametrize(("currency", "digits"), ISO_4217.items())
def test_minor_units_are_those_of_iso_4217(currency, digits):
    assert minor_digits(currency) == digits


@pytest.mark.parametrize("currency", ["RSD", "IQD", "LBP"])
def test_a_minor_unit_that_nobody_pays_in_is_left_out_as_in_cldr(currency):
    assert minor_digits(currency) == 0


@given(st.integers(-(10**12), 10**12), st.integers(0, 9999))
def test_a_half_goes_up_away_from_nothing(thousandths, more):
    exact = Fraction(thousandths, 1000) + Fraction(more, 10_000_000)
    decimal = Decimal(exact.numerator) / Decimal(exact.denominator)
    assert whole_minor(exact) == int(decimal.quantize(Decimal(1), ROUND_HALF_UP))
    assert whole_minor(-exact) == -whole_minor(exact)


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


@pytest.mark.parametrize(
    ("minor", "currency", "words"),
    [(16500, "USD", "$165.00"), (-1000, "EUR", "−€10.00"), (8000, "JPY", "¥8,000")],
)
def test_in_a_column_every_amount_has_its_minor_units(minor, currency, words):
    assert format_exact(minor, currency) == words


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


@pytest.mark.parametrize(
    ("text", "pct"),
    [
        ("6.25", "6.25"),
        ("6,25", "6.25"),
        (" 6.25 % ", "6.25"),
        ("6.25000000", "6.25"),
        ("0", "0"),
        ("-0", "0"),
        ("100", "100"),
        ("1e2", "100"),
        ("0.0001", "0.0001"),
    ],
)
def test_percentages_are_read_as_people_type_them(text, pct):
    assert str(parse_percent(text)) == pct


@pytest.mark.parametrize(
    "text",
    ["", "%", "six", "-1", "100.0001", "6.25001", "1e-30", "NaN", "inf", "1,000.5", "6.25%%"],
)
def test_what_is_no_percentage_gets_a_sentence(text):
    with pytest.raises(ValueError, match=r"\.$"):
        parse_percent(text)


@given(st.integers(0, 1_000_000))
def test_a_percentage_shown_is_read_back(ten_thousandths):
    pct = Decimal(ten_thousandths).scaleb(-4)
    assert parse_percent(f"{plain_percent(pct)} %") == pct


def test_a_percentage_field_keeps_what_was_typed_and_knows_its_column():
    field = PercentFormField(required=False, places=3)
    assert field.clean("") is None
    assert field.clean("2,9") == Decimal("2.9")
    assert field.prepare_value(Decimal("2.900")) == "2.9"
    assert not field.has_changed(Decimal("2.900"), "2.9")
    for text in ("2.9999", "9" * 31):
        with pytest.raises(ValidationError):
            field.clean(text)


@pytest.mark.parametrize(
    ("text", "currency", "minor"),
    [
        ("12,5", "USD", 1250), ("1,234", "USD", 123_400), ("1,00,000", "INR", 10_000_000),
        ("\uffe51250", "JPY", 1250), (".5", "USD", 50),
    ],
)  # fmt: skip
def test_amounts_are_read_as_they_are_typed(text, currency, minor):
    assert parse_money(text, currency) == minor


@pytest.mark.parametrize(
    ("text", "currency"),
    [("1e9", "USD"), ("12,50", "JPY"), ("1,2,3", "USD"), ("1.234,50", "USD"), (",", "USD")],
)
def test_what_can_be_read_in_two_ways_is_not_guessed(text, currency):
    with pytest.raises(ValueError, match=r"Enter an amount|decimal places"):
        parse_money(text, currency)
