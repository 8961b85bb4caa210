"""Lengths and masses: typed and shown in the shop's units, kept in millimetres and grams.

One inch is 25.4 mm and one pound 0.45359237 kg, both exactly (international yard and pound
agreement of 1959; NIST Special Publication 811, appendix B).
"""

import re
import unicodedata
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

from .errors import RecordError
from .text import quote, straighten

#: "mm" or "in"
LengthUnit = str
#: "g", "kg", "oz" or "lb"
MassUnit = str

MM_PER_INCH = Fraction("25.4")
G_PER_POUND = Fraction("453.59237")
G_PER_OUNCE = G_PER_POUND / 16

LONGEST_MM = 100_000
HEAVIEST_G = 100_000_000

_MM_PER = {
    **dict.fromkeys(("mm", "millimetre", "millimeter"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimeter"), Fraction(10)),
    **dict.fromkeys(("m", "metre", "meter"), Fraction(1000)),
    **dict.fromkeys(("in", "inch", "inche", '"'), MM_PER_INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), 12 * MM_PER_INCH),
}
_G_PER = {
    **dict.fromkeys(("g", "gram", "gramme"), Fraction(1)),
    **dict.fromkeys(("kg", "kilo", "kilogram", "kilogramme"), Fraction(1000)),
    **dict.fromkeys(("oz", "ounce"), G_PER_OUNCE),
    **dict.fromkeys(("lb", "pound"), G_PER_POUND),
}

_NUMBER = r"(?:[0-9]+(?: | ?- ?))?[0-9]+ ?/ ?[1-9][0-9]*|[0-9]*[.,]?[0-9]+"
_UNIT = r"[a-z]+\.?|['\"]"
_MEASURE = re.compile(
    rf"(?P<number>{_NUMBER}) ?(?:(?P<unit>{_UNIT})"
    rf"(?:,? ?(?P<rest>{_NUMBER}) ?(?P<rest_unit>{_UNIT}))?)?"
)
_FRACTION = re.compile(r"(?:([0-9]+)[ -]+)?([0-9]+) ?/ ?([0-9]+)")
_TWO_WAYS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")
_MARKS = str.maketrans({"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "⁄": "/", "∕": "/"})


class NotAMeasure(RecordError, ValueError):
    """What was typed is no length or mass that can be kept; `str(error)` says what to type."""


def parse_length(text: str, unit: LengthUnit) -> Decimal:
    """The length in mm of "10 1/2", "10½ in", "267 mm", "26.7 cm" or "5 ft 3 in".

    A bare number is in `unit`; a decimal comma will do. Raises `NotAMeasure` for anything else,
    for what is below zero and for more than 100 m.
    """
    length = _read(text, _MM_PER, unit, "267 mm, 26.7 cm, 10.5 in or 10 1/2 in")
    if length > LONGEST_MM:
        raise NotAMeasure(f"{quote(text)} is too long: the record takes up to 100 m.")
    return _decimal(length)


def parse_mass(text: str, unit: MassUnit) -> Decimal:
    """The mass in g of "450", "1.2 kg", "15 1/2 oz" or "2 lb 3 oz".

    A bare number is in `unit`; a decimal comma will do. Raises `NotAMeasure` for anything else,
    for what is below zero and for more than 100 t.
    """
    mass = _read(text, _G_PER, unit, "450 g, 1.2 kg, 15.5 oz or 2 lb 3 oz")
    if mass > HEAVIEST_G:
        raise NotAMeasure(f"{quote(text)} is too heavy: the record takes up to 100 t.")
    return _decimal(mass)


def format_length(mm: Decimal | int, unit: LengthUnit) -> str:
    """The length for reading: "267 mm", or to the nearest sixteenth "10 1/2 in"."""
    if unit == "mm":
        return f"{half_up(mm)} mm"
    whole, sixteenths = divmod(half_up(Fraction(mm) / MM_PER_INCH * 16), 16)
    if not sixteenths:
        return f"{whole} in"
    part = str(Fraction(sixteenths, 16))
    return f"{whole} {part} in" if whole else f"{part} in"


def format_both(mm: Decimal | int, unit: LengthUnit) -> str:
    """The length in the shop's unit, the other one behind it: "267 mm (10 1/2 in)"."""
    other: LengthUnit = "in" if unit == "mm" else "mm"
    return f"{format_length(mm, unit)} ({format_length(mm, other)})"


def format_mass(g: Decimal | int, unit: MassUnit) -> str:
    """The mass for reading: "1235 g", "1.235 kg", to a tenth "43.6 oz" or "2 lb 11.6 oz"."""
    return _format_mass(g, unit, ounce_places=1)


def editable_length(mm: int, unit: LengthUnit) -> str:
    """The length for a form: as for reading, but where a sixteenth is too coarse in hundredths.

    `parse_length` reads it back to the same whole mm, so that saving a form changes nothing.
    """
    text = format_length(mm, unit)
    if half_up(parse_length(text, unit)) == mm:
        return text
    return f"{_rounded(mm / MM_PER_INCH, 2)} in"


def editable_mass(g: int, unit: MassUnit) -> str:
    """The mass for a form: as for reading, but ounces in hundredths where a tenth is too coarse.

    `parse_mass` reads it back to the same whole g, so that saving a form changes nothing.
    """
    text = format_mass(g, unit)
    if half_up(parse_mass(text, unit)) == g:
        return text
    return _format_mass(g, unit, ounce_places=2)


def half_up(value: Decimal | Fraction | int) -> int:
    """The nearest whole number, a half going up; the one way that measures are rounded."""
    return int((Fraction(value) + Fraction(1, 2)) // 1)


def _read(text: str, factors: Mapping[str, Fraction], unit: str, like: str) -> Fraction:
    """The measure in mm or g, exactly; `like` shows what can be typed."""
    entry = straighten(_apart(text)).lower().translate(_MARKS).replace("''", '"')
    if entry.startswith("-"):
        raise NotAMeasure(f"{quote(text)} is below zero: type it without the minus.")
    match = _MEASURE.fullmatch(entry)
    measure = _measure(match, factors, unit) if match else None
    if measure is None:
        raise NotAMeasure(f"{quote(text)} can't be read as a measure: type one like {like}.")
    return measure


def _measure(match: re.Match[str], factors: Mapping[str, Fraction], unit: str) -> Fraction | None:
    """One or two terms added up; None where a unit is unknown or the second isn't the smaller."""
    factor = factors.get(_singular(match["unit"] or unit))
    if factor is None:
        return None
    measure = _number(match["number"]) * factor
    if match["rest"] is None:
        return measure
    smaller = factors.get(_singular(match["rest_unit"]))
    if smaller is None or smaller >= factor:
        return None
    return measure + _number(match["rest"]) * smaller


def _number(text: str) -> Fraction:
    if fraction := _FRACTION.fullmatch(text):
        whole, over, under = (int(part or 0) for part in fraction.groups())
        if whole and over >= under:
            raise NotAMeasure(f"{quote(text)} has an odd fraction: type it like 10 1/2.")
        return whole + Fraction(over, under)
    if _TWO_WAYS.fullmatch(text):
        bare, point = text.replace(",", ""), text.replace(",", ".")
        raise NotAMeasure(f"{quote(text)} can be read two ways: type {bare} or {point}.")
    return Fraction(text.replace(",", "."))


def _apart(text: str) -> str:
    """The entry with a space before each ½, which would run into the figure before it."""
    return "".join(
        f" {c}" if unicodedata.decomposition(c).startswith("<fraction>") else c for c in text
    )


def _singular(unit: str) -> str:
    return unit.rstrip(".").removesuffix("s")


def _format_mass(g: Decimal | int, unit: MassUnit, ounce_places: int) -> str:
    if unit == "g":
        return f"{half_up(g)} g"
    if unit == "kg":
        return f"{_rounded(Fraction(g) / 1000, 3)} kg"
    ounces = _rounded(Fraction(g) / G_PER_OUNCE, ounce_places)
    if unit == "oz" or ounces < 16:
        return f"{ounces} oz"
    pounds, rest = divmod(ounces, 16)
    return f"{pounds} lb {_plain(rest)} oz" if rest else f"{pounds} lb"


def _rounded(value: Fraction, places: int) -> Decimal:
    """To so many places, a half going up, without zeros at the end."""
    return _plain(Decimal(half_up(value * 10**places)).scaleb(-places))


def _plain(value: Decimal) -> Decimal:
    return Decimal(f"{value.normalize():f}")


def _decimal(value: Fraction) -> Decimal:
    return Decimal(value.numerator) / value.denominator
