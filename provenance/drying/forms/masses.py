"""What a scale shows: masses to a tenth of a gram, and its step, in the shop's unit."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.drying.weighing import HEAVIEST_G, LIGHTEST_G
from provenance.record.errors import RecordError
from provenance.record.units import G_PER_OUNCE, MassUnit, half_up, parse_mass


class ScaleMassField(forms.Field):
    """Reads a mass as grams, to so many places; a bare number is in `unit`.

    What was typed stays as typed when the form comes back.
    """

    def __init__(
        self,
        *,
        unit: MassUnit = "g",
        places: int = 1,
        least: Decimal = LIGHTEST_G,
        most: Decimal = HEAVIEST_G,
        **kwargs: Any,
    ) -> None:
        self.unit = unit
        self.places, self.least, self.most = places, least, most
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> Decimal | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            mass = parse_mass(str(value), self.unit)
        except RecordError as error:
            raise ValidationError(str(error), code="invalid") from error
        mass = mass.quantize(Decimal(1).scaleb(-self.places))
        if not self.least <= mass <= self.most:
            least, most = plain_mass(self.least, self.unit), plain_mass(self.most, self.unit)
            raise ValidationError(f"This must be between {least} and {most}.", code="range")
        return mass

    def prepare_value(self, value: Any) -> Any:
        return plain_mass(value, self.unit) if isinstance(value, Decimal) else value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        # "2 lb 3 oz" wants letters.
        return {"autocomplete": "off", "inputmode": "text" if self.unit == "lb" else "decimal"}


def plain_mass(mass_g: Decimal, unit: MassUnit) -> str:
    """Return a mass with what belongs behind its point: "0.1 g", "5 g", "12 kg", "0.05 oz"."""
    if unit in ("g", "kg"):
        in_kg = mass_g >= 10_000
        return f"{_bare(mass_g / 1000)} kg" if in_kg else f"{_bare(mass_g)} g"
    return f"{_bare(Decimal(half_up(Fraction(mass_g) / G_PER_OUNCE * 1000)) / 1000)} oz"


def _bare(value: Decimal) -> str:
    return f"{value.normalize():f}"
