"""Ranges of lengths in words, as pages and cards say them."""

from decimal import Decimal

from provenance.record.units import format_length, half_up

Range = tuple[float, float]


def length_words(mm: float, unit: str) -> str:
    """Return "287 mm" or "11 5/16 in"."""
    return format_length(Decimal(repr(mm)), unit)


def range_words(range_mm: Range, unit: str) -> str:
    """Return "286 to 288 mm", or one length where both ends show as the same."""
    low, high = (length_words(mm, unit) for mm in sorted(range_mm))
    return low if low == high else f"{low.removesuffix(f' {unit}')} to {high}"


def about_words(range_mm: Range, unit: str) -> str:
    """Return a movement as a buyer hears it: "about 6 mm", "4 to 8 mm"; '' below a millimetre.

    A range of no more than two millimetres, or a third of its middle, is told by its middle.
    """
    low, high = sorted(range_mm)
    middle = (low + high) / 2
    if half_up(Decimal(repr(middle))) < 1:
        return ""
    if high - low <= max(2.0, middle / 3):
        return f"about {length_words(middle, unit)}"
    return range_words((max(low, 1.0), high), unit)


def percent_words(pct: float) -> str:
    """Return a moisture to the half per cent, finer than which the figures don't go: "8.5 %"."""
    halves = half_up(Decimal(repr(pct)) * 2)
    return f"{halves / 2:g} %"
