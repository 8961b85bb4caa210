"""Coordinates as people paste them: "44.0521, -123.0868", "44,0521; -123,0868", "44 N 123 W"."""

import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.record.errors import RecordError
from provenance.record.text import straighten

SIXTH = Decimal("0.000001")  # about a tenth of a metre: finer than any phone knows
_FIGURE = re.compile(r"([+-]?)(\d{1,3}(?:[.,]\d{1,15})?)\s*°?\s*([NSEWnsew]?)")


class NotAPlace(RecordError, ValueError):
    """What was typed is not a pair of coordinates."""


def parse_coordinates(text: str) -> tuple[Decimal, Decimal]:
    """Return (latitude, longitude) in decimal degrees, north and east positive, to six places.

    Raises `NotAPlace` with a sentence.
    """
    found = re.fullmatch(rf"{_FIGURE.pattern}\s*[,; ]\s*{_FIGURE.pattern}", straighten(text))
    if not found:
        raise NotAPlace(
            "Type latitude and longitude in decimal degrees, for example 44.0521, -123.0868."
        )
    first, second = found.groups()[:3], found.groups()[3:]
    if first[2].upper() in ("E", "W") and second[2].upper() in ("N", "S"):
        first, second = second, first
    latitude, longitude = _degrees(first, "NS"), _degrees(second, "EW")
    if abs(latitude) > 90 or abs(longitude) > 180:
        raise NotAPlace("Latitude goes up to 90 and longitude up to 180: check the digits.")
    return latitude, longitude


def format_coordinates(latitude: Decimal | None, longitude: Decimal | None) -> str:
    """Return "44.0521, -123.0868", or '' when unknown."""
    if latitude is None or longitude is None:
        return ""
    return f"{_short(latitude)}, {_short(longitude)}"


def _degrees(found: tuple[str, ...], sides: str) -> Decimal:
    sign, figure, side = (part.upper() for part in found)
    if side and (side not in sides or sign):
        raise NotAPlace(
            "Give the sides as N or S for latitude, E or W for longitude, or use a minus."
        )
    degrees = Decimal(figure.replace(",", ".")).quantize(SIXTH, ROUND_HALF_UP)
    return -degrees if sign == "-" or side in ("S", "W") else degrees


def _short(degrees: Decimal) -> str:
    return f"{degrees:f}".rstrip("0").rstrip(".")


class CoordinatesField(forms.CharField):
    """Reads a pair of coordinates; its value is (latitude, longitude) or (None, None)."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.TextInput(attrs={"autocomplete": "off"}))
        super().__init__(**options)

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None, None
        try:
            return parse_coordinates(text)
        except NotAPlace as error:
            raise ValidationError(str(error)) from error
