"""Units. Outside figures: NIST Special Publication 811 (2008), appendix B: 1 in = 25.4 mm and
1 ft = 304.8 mm exactly, 1 lb = 453.59237 g exactly, 1 oz = 28.349523125 g (a sixteenth of it)."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.errors import RecordError
from provenance.record.units import (
    NotAMeasure,
    editable_length,
    editable_mass,
    format_both,
    format_length,
    format_mass,
    half_up,
    parse_length,
    parse_mass,
)

LENGTH_UNITS = st.sampled_from(["mm", "in"])
MASS_UNITS = st.sampled_from(["g", "kg", "oz", "lb"])


@pytest.mark.parametrize(
    ("typed", "mm"),
    [
        ("10 1/2", "266.7"),
        ("10½", "266.7"),
        ("10 ½ in", "266.7"),
        ('10½"', "266.7"),
        ("10½”", "266.7"),
        ("10½″", "266.7"),
        ("10-1/2 in.", "266.7"),
        ("10 - 1/2 in.", "266.7"),
        ("10 1⁄2", "266.7"),
        ("10.5 in", "266.7"),
        ("10,5 inches", "266.7"),
        ("1 inch", "25.4"),
        ("¾", "19.05"),
        ("3/8", "9.525"),
        (".25", "6.35"),
        ("0,125 in", "3.175"),
        ("267 mm", "267"),
        ("267MM", "267"),
        ("26.7 cm", "267"),
        ("26,7cm", "267"),
        ("1.2 m", "1200"),
        ("2 metres", "2000"),
        ("1 ft", "304.8"),
        ("5 ft 3 in", "1600.2"),
        ("5 feet, 3 1/2 inches", "1612.9"),
        ("5' 3\"", "1600.2"),
        ("5′3½″", "1612.9"),
        ("1 foot 3''", "381"),
        ("1 m 20 cm", "1200"),
        ("0", "0"),
        ("100 m", "100000"),
        ("１０", "254"),
        ("  10 \t1/2\n", "266.7"),
    ],
)
def test_lengths_are_read_however_they_are_typed(typed, mm):
    assert parse_length(typed, "in") == Decimal(mm)


@pytest.mark.parametrize(
    ("typed", "g"),
    [
        ("450", "450"),
        ("1.2 kg", "1200"),
        ("1 kg 250 g", "1250"),
        ("2 kilos", "2000"),
        ("1 oz", "28.349523125"),
        ("15 1/2 oz", "439.4176084375"),
        ("1 lb", "453.59237"),
        ("2 lb 3 oz", "992.233309375"),
        ("2 lbs. 3 ozs.", "992.233309375"),
        ("3 pounds", "1360.77711"),
        ("100000 kg", "100000000"),
    ],
)
def test_masses_are_read_however_they_are_typed(typed, g):
    assert parse_mass(typed, "g") == Decimal(g)


@pytest.mark.parametrize(("unit", "g"), [("g", 2), ("kg", 2000), ("lb", "907.18474")])
def test_a_bare_number_is_in_the_shops_unit(unit, g):
    assert parse_mass("2", unit) == Decimal(g)
    assert parse_length("2", "mm") == 2
    assert parse_length("2", "in") == Decimal("50.8")


LIKE = "type one like 267 mm, 26.7 cm, 10.5 in or 10 1/2 in."


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("about a foot", f"“about a foot” can't be read as a measure: {LIKE}"),
        ("", f"This can't be read as a measure: {LIKE}"),
        ("5 furlongs", f"“5 furlongs” can't be read as a measure: {LIKE}"),
        ("450 g", f"“450 g” can't be read as a measure: {LIKE}"),
        ("in", f"“in” can't be read as a measure: {LIKE}"),
        ("5 ft 3", f"“5 ft 3” can't be read as a measure: {LIKE}"),
        ("3 in 5 ft", f"“3 in 5 ft” can't be read as a measure: {LIKE}"),
        ("5 ft 3 oz", f"“5 ft 3 oz” can't be read as a measure: {LIKE}"),
        ("10 x 4", f"“10 x 4” can't be read as a measure: {LIKE}"),
        ("1/0", f"“1/0” can't be read as a measure: {LIKE}"),
        ("1e9", f"“1e9” can't be read as a measure: {LIKE}"),
        ("10 11/2", "“10 11/2” has an odd fraction: type it like 10 1/2."),
        ("1,200 mm", "“1,200” can be read two ways: type 1200 or 1.200."),
        ("-5", "“-5” is below zero: type it without the minus."),
        ("−5 in", "“−5 in” is below zero: type it without the minus."),
        ("100.1 m", "“100.1 m” is too long: the record takes up to 100 m."),
    ],
)
def test_what_is_no_length_is_refused_in_a_sentence(typed, sentence):
    with pytest.raises(NotAMeasure) as refused:
        parse_length(typed, "in")
    assert str(refused.value) == sentence
    assert isinstance(refused.value, RecordError)


def test_what_is_no_mass_is_refused_in_a_sentence():
    with pytest.raises(NotAMeasure) as refused:
        parse_mass("267 mm", "g")
    assert str(refused.value) == (
        "“267 mm” can't be read as a measure: type one like 450 g, 1.2 kg, 15.5 oz or 2 lb 3 oz."
    )
    with pytest.raises(NotAMeasure, match="too heavy: the record takes up to 100 t"):
        parse_mass("100001", "kg")


@pytest.mark.parametrize(
    "entry", ["\x00", "5\x00", "\ud800", "🌳", "9" * 150, "9" * 10_000, "½" * 99]
)
def test_odd_entries_get_a_sentence(entry):
    with pytest.raises(NotAMeasure, match=r"\.$"):
        parse_length(entry, "mm")


@given(st.text(st.characters()) | st.text("0123456789 ½/.,-'\"incmfts", max_size=20), LENGTH_UNITS)
def test_any_entry_is_a_length_or_gets_a_sentence(entry, unit):
    try:
        assert 0 <= parse_length(entry, unit) <= 100_000
    except NotAMeasure as refused:
        assert str(refused).encode()


@pytest.mark.parametrize(
    ("mm", "metric", "imperial"),
    [
        (267, "267 mm", "10 1/2 in"),
        (254, "254 mm", "10 in"),
        (6, "6 mm", "1/4 in"),
        (Decimal("9.5"), "10 mm", "3/8 in"),
        (Decimal("266.4"), "266 mm", "10 1/2 in"),
        (1000, "1000 mm", "39 3/8 in"),
        (0, "0 mm", "0 in"),
    ],
)
def test_lengths_are_shown_in_either_unit(mm, metric, imperial):
    assert format_length(mm, "mm") == metric
    assert format_length(mm, "in") == imperial
    assert format_both(mm, "mm") == f"{metric} ({imperial})"
    assert format_both(mm, "in") == f"{imperial} ({metric})"


@pytest.mark.parametrize(
    ("g", "shown"),
    [
        (0, ("0 g", "0 kg", "0 oz", "0 oz")),
        (28, ("28 g", "0.028 kg", "1 oz", "1 oz")),
        (454, ("454 g", "0.454 kg", "16 oz", "1 lb")),
        (1235, ("1235 g", "1.235 kg", "43.6 oz", "2 lb 11.6 oz")),
        (20_000, ("20000 g", "20 kg", "705.5 oz", "44 lb 1.5 oz")),
        (Decimal("99.5"), ("100 g", "0.1 kg", "3.5 oz", "3.5 oz")),
    ],
)
def test_masses_are_shown_in_every_unit(g, shown):
    assert tuple(format_mass(g, unit) for unit in ("g", "kg", "oz", "lb")) == shown


@given(st.integers(0, 20_000), LENGTH_UNITS)
def test_a_length_in_a_form_reads_back_the_same(mm, unit):
    assert half_up(parse_length(editable_length(mm, unit), unit)) == mm


@given(st.integers(0, 5_000_000), MASS_UNITS)
def test_a_mass_in_a_form_reads_back_the_same(g, unit):
    assert half_up(parse_mass(editable_mass(g, unit), unit)) == g


def test_a_form_shows_hundredths_only_where_it_must():
    assert editable_length(267, "in") == "10 1/2 in"
    assert editable_length(1, "in") == "0.04 in"
    assert editable_mass(454, "lb") == "1 lb"
    assert editable_mass(1235, "lb") == "2 lb 11.56 oz"


@given(st.integers(0, 20_000))
def test_shown_inches_are_within_half_a_sixteenth(mm):
    assert abs(parse_length(format_length(mm, "in"), "in") - mm) <= Decimal("0.79375")


@pytest.mark.parametrize(
    ("value", "whole"), [(Decimal("2.5"), 3), (Decimal("2.49"), 2), (Fraction(7, 2), 4), (5, 5)]
)
def test_halves_go_up(value, whole):
    assert half_up(value) == whole
