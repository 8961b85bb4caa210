"""What is typed about the air of a store: a temperature in °C or °F, and the humidity."""

import re
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.drying.models import ShopClimate
from provenance.pieces.forms.fields import past_day
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.scribe import Scribe
from provenance.record.text import quote

#: A number without a unit above this is hardly °C.
_HOTTEST_BARE = 32
_MINUS = "\N{MINUS SIGN}"
_TEMPERATURE = re.compile(
    rf"([-+{_MINUS}]?[0-9]{{1,3}}(?:[.,][0-9]{{1,2}})?) ?°? ?([cf])?", re.IGNORECASE
)
_HUMIDITY = re.compile(r"([0-9]{1,3}(?:[.,][0-9]{1,2})?) ?%?")
_TENTH = Decimal("0.1")


class TemperatureField(forms.Field):
    """Reads "18", "18 C", "18.5 °C" or "64 F" as °C to a tenth; a bare number is °C."""

    def to_python(self, value: Any) -> Decimal | None:
        text = " ".join(str(value or "").split())
        if not text:
            return None
        match = _TEMPERATURE.fullmatch(text)
        if match is None:
            raise ValidationError(
                f"{quote(text)} can't be read as a temperature: type one like 18 C or 64 F."
            )
        degrees, unit = _number(match[1]), (match[2] or "").lower()
        if not unit and degrees > _HOTTEST_BARE:
            raise ValidationError(
                f"{match[1]} °C is hotter than any store: if it is Fahrenheit, type {match[1]} F."
            )
        celsius = (degrees - 32) * 5 / 9 if unit == "f" else degrees
        if not -40 <= celsius <= 60:
            raise ValidationError("Enter between -40 and 60 °C, which is -40 to 140 °F.")
        return celsius.quantize(_TENTH)

    def prepare_value(self, value: Any) -> Any:
        return f"{value.normalize():f} C" if isinstance(value, Decimal) else value


class HumidityField(forms.Field):
    """Reads "55" or "55 %" as relative humidity in per cent, to a tenth."""

    def to_python(self, value: Any) -> Decimal | None:
        text = " ".join(str(value or "").split())
        if not text:
            return None
        match = _HUMIDITY.fullmatch(text)
        if match is None or _number(match[1]) > 100:
            raise ValidationError("Enter the relative humidity in per cent, from 0 to 100.")
        return _number(match[1]).quantize(_TENTH)

    def prepare_value(self, value: Any) -> Any:
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value


def _number(text: str) -> Decimal:
    return Decimal(text.replace(",", ".").replace(_MINUS, "-"))


class AirForm(TokenForm):
    """The air of a store on a day."""

    store = CleanCharField(
        label="Store",
        max_length=120,
        help_text="As you write it on the pieces: the loft, the garage.",
        error_messages={
            "required": "Name the store: the loft, the garage, the shelf by the stove."
        },
        widget=forms.TextInput(attrs={"list": "stores", "autocomplete": "off"}),
    )
    temperature_c = TemperatureField(
        label="Temperature",
        help_text="18 C or 64 F.",
        error_messages={"required": "Enter the temperature."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    humidity_pct = HumidityField(
        label="Humidity, %",
        help_text="As the hygrometer shows it.",
        error_messages={"required": "Enter the humidity."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "inputmode": "decimal"}),
    )
    remark = CleanCharField(label="Remark", max_length=200, required=False)

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today, required=True)

    def reading(self) -> dict[str, Any]:
        """Return the cleaned values, as `climate.read_air` and `correct` take them."""
        names = ("store", "on", "temperature_c", "humidity_pct", "remark")
        return {name: self.cleaned_data[name] for name in names}


def values_of(reading: ShopClimate) -> dict[str, Any]:
    """Return what the form begins with where a reading is corrected."""
    return {
        "store": reading.store,
        "on": reading.measured_on,
        "temperature_c": reading.temperature_c,
        "humidity_pct": reading.humidity_pct,
        "remark": reading.remark,
    }
