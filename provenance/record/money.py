"""Money typed and shown: whole minor units in the shop's one currency (ISO 4217); percentages."""

import re
from decimal import ROUND_HALF_UP, Decimal, DecimalException
from fractions import Fraction
from typing import Any

from babel.numbers import format_currency, get_currency_precision, get_currency_symbol
from django import forms
from django.core.exceptions import ValidationError

from provenance.record.text import straighten

LOCALE = "en_US"
LARGEST_MINOR = 10**12
#: Digits with a point, thousands parted by commas or not (in India they are parted in twos, too).
_AMOUNT = re.compile(r"-?([0-9]*|[0-9]{1,3}(,[0-9]{2,3})*,[0-9]{3})(\.[0-9]*)?")
LONGEST_TYPED = 30
PERCENT_PLACES = 4


def whole_minor(exact: Fraction) -> int:
    """Return an exact amount as whole minor units, a half going up (away from nothing).

    The one place where money is rounded. "Third decimal above four rounds up" is this, on the
    exact product: rounding to three places first, or half to even, gives other cents.
    """
    magnitude = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return magnitude if exact >= 0 else -magnitude


def minor_digits(currency: str) -> int:
    """Return how many digits the minor unit has: 2 for USD, 0 for JPY, 3 for KWD (CLDR)."""
    return int(get_currency_precision(currency))


def format_money(minor: int, currency: str) -> str:
    """Return 16500 USD as "$165", 16550 as "$165.50": whole amounts without their zeros."""
    digits = minor_digits(currency)
    amount = Decimal(minor).scaleb(-digits)
    is_whole = amount == amount.to_integral_value()
    text: str = format_currency(
        amount,
        currency,
        locale=LOCALE,
        format="¤#,##0" if is_whole else None,
        currency_digits=not is_whole,
    )
    return text


def format_exact(minor: int, currency: str) -> str:
    """Return 16500 USD as "$165.00", -1000 as "−$10.00": for amounts that stand in a column."""
    amount = Decimal(minor).scaleb(-minor_digits(currency))
    text: str = format_currency(amount, currency, locale=LOCALE)
    return text.replace("-", "−")


def parse_money(text: str, currency: str) -> int:
    """Return the minor units of an amount as typed: "165", "$1,650.50", "12,50".

    Raises `ValueError` with a sentence for what is no amount, is negative, too large, or finer
    than the currency's minor unit.
    """
    digits = minor_digits(currency)
    text = straighten(text) or text  # a full-width yen sign is a yen sign
    bare = text.replace(get_currency_symbol(currency, LOCALE), "").replace(currency, "")
    bare = "".join(bare.split())
    head, comma, tail = bare.rpartition(",")
    # A comma before three digits parts thousands, in dinars too.
    is_point = len(tail) <= digits and digits not in (0, 3) and not set(head) & {",", "."}
    if comma and "." not in bare and is_point:
        bare = f"{head}.{tail}"
    try:
        amount = Decimal(bare.replace(",", "") if _AMOUNT.fullmatch(bare) else "NaN")
        minor = amount.scaleb(digits)
    except DecimalException:
        minor = Decimal("NaN")
    if not minor.is_finite() or minor < 0:
        raise ValueError("Enter an amount, for example 165 or 12.50.")
    if minor > LARGEST_MINOR:
        raise ValueError("That amount is too large: check the digits.")
    if minor != minor.to_integral_value(ROUND_HALF_UP):
        raise ValueError(f"{currency} has {digits} decimal places at most.")
    return int(minor)


class MoneyFormField(forms.CharField):
    """An amount as typed; its value is whole minor units or None. The form sets `currency`."""

    currency = "USD"

    def __init__(self, **kwargs: Any) -> None:
        # No max_length: Django would measure the whole number that the text has become.
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("maxlength", str(LONGEST_TYPED))

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, int):
            return value
        digits = minor_digits(self.currency)
        return f"{Decimal(value).scaleb(-digits):f}"

    def to_python(self, value: Any) -> int | None:  # type: ignore[override]
        text = super().to_python(value)
        if not text:
            return None
        if len(text) > LONGEST_TYPED:
            raise ValidationError("That amount is too large: check the digits.")
        try:
            return parse_money(text, self.currency)
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def has_changed(self, initial: Any, data: Any) -> bool:
        return bool(super().has_changed(self.prepare_value(initial), data))


def plain_percent(pct: Decimal) -> str:
    """Return 6.2500 as "6.25", 20.0000 as "20": without needless zeros."""
    return f"{pct.normalize():f}"


def parse_percent(text: str, places: int = PERCENT_PLACES) -> Decimal:
    """Return a percentage as typed: "6.25", "6,25", "6.25 %"; from 0 to 100.

    Raises `ValueError` with a sentence for anything else, or for more decimal places.
    """
    bare = "".join(text.split()).removesuffix("%").replace(",", ".")
    try:
        pct = Decimal(bare)
    except DecimalException:
        pct = Decimal("NaN")
    if not pct.is_finite() or pct < 0:
        raise ValueError("Enter a percentage, for example 6.25.")
    if pct > 100:
        raise ValueError("A percentage runs from 0 to 100: check the digits.")
    if pct != round(pct, places):
        raise ValueError(f"A percentage has {places} decimal places here at most.")
    return Decimal(plain_percent(abs(pct)))


class PercentFormField(forms.CharField):
    """A percentage as typed; its value is a Decimal from 0 to 100, or None.

    `places` is how many decimal places the column behind it has: 4 or 3.
    """

    def __init__(self, *, places: int = PERCENT_PLACES, **kwargs: Any) -> None:
        # No max_length: Django would measure the number that the text has become.
        super().__init__(**kwargs)
        self.places = places
        self.widget.attrs.setdefault("inputmode", "decimal")
        self.widget.attrs.setdefault("autocomplete", "off")
        self.widget.attrs.setdefault("maxlength", str(LONGEST_TYPED))

    def prepare_value(self, value: Any) -> Any:
        return plain_percent(value) if isinstance(value, Decimal) else value

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        text = super().to_python(value)
        if not text:
            return None
        if len(text) > LONGEST_TYPED:
            raise ValidationError("A percentage runs from 0 to 100: check the digits.")
        try:
            return parse_percent(text, self.places)
        except ValueError as error:
            raise ValidationError(str(error)) from error

    def has_changed(self, initial: Any, data: Any) -> bool:
        try:
            return bool(self.to_python(data) != initial)
        except ValidationError:
            return True
