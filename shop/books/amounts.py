"""Amounts as books show them: every digit of the minor unit, so that columns line up."""

from decimal import Decimal

from provenance.record.money import format_money, minor_digits

MINUS = "\N{MINUS SIGN}"


def plain(minor: int, currency: str) -> str:
    """Return 123450 USD as "1234.50", for other programs to read: JPY has no digits, KWD three."""
    return f"{Decimal(minor).scaleb(-minor_digits(currency)):f}"


def short(minor: int, currency: str) -> str:
    """Return 16500 USD as "$165", -550 as "−$5.50": for sentences and pictures."""
    text = format_money(abs(minor), currency)
    return MINUS + text if minor < 0 else text
