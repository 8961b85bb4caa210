"""How partial dates, lengths, masses and words go into forms and tables.

A form tells its measure fields which unit the shop types in, in its own `__init__`:

    self.fields["diameter_mm"].unit = maker.length_unit  # "mm" or "in"
    self.fields["mass_g"].unit = maker.mass_unit  # "g", "kg", "oz" or "lb"

and its date fields what day it is (`today`, for "yesterday") and after which day nothing can have
happened (`not_after`). All of these can be given when the field is made, too.
"""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models

from .errors import RecordError
from .partial_dates import PartialDate
from .text import clean_text
from .units import (
    LengthUnit,
    MassUnit,
    editable_length,
    editable_mass,
    format_length,
    format_mass,
    half_up,
    parse_length,
    parse_mass,
)

if TYPE_CHECKING:
    _CharField = models.CharField[PartialDate | date | str | None, PartialDate | None]
else:
    _CharField = models.CharField


class CleanCharField(forms.CharField):
    """Words fit to keep (see `clean_text`); on one line unless the widget is a `Textarea`."""

    def to_python(self, value: Any) -> Any:
        if value not in self.empty_values:
            value = clean_text(str(value))
            if not isinstance(self.widget, forms.Textarea):
                value = value.replace("\n", " ")
        return super().to_python(value)


class PartialDateFormField(forms.Field):
    """Reads a `PartialDate` from EDTF or words; None where nothing is typed.

    An exact date is put into the form as "2023-03-12", any other in words ("about 1998").
    """

    def __init__(
        self, *, today: date | None = None, not_after: date | None = None, **kwargs: Any
    ) -> None:
        self.today = today
        self.not_after = not_after
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> PartialDate | None:
        if isinstance(value, PartialDate):
            return value
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            return PartialDate.parse(str(value), today=self.today, not_after=self.not_after)
        except RecordError as error:
            raise ValidationError(str(error), code="invalid") from error

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, PartialDate):
            return value.edtf if value.is_exact else value.spoken()
        return value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"autocomplete": "off"}


class DayFormField(forms.DateField):
    """Reads one exact day, as a browser's calendar sends it: 2026-03-12, never 3/12/2026.

    `not_after` is the last day that it takes; None takes days to come as well.
    """

    default_error_messages = {"invalid": "Enter the day as year, month, day, like 2026-03-12."}

    def __init__(self, *, not_after: date | None = None, **kwargs: Any) -> None:
        self.not_after = not_after
        widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
        super().__init__(**{"widget": widget, "input_formats": ["%Y-%m-%d"], **kwargs})

    def to_python(self, value: Any) -> date | None:
        day: date | None = super().to_python(value)
        if day and day.year < 1000:
            raise ValidationError("Years run from 1000 to 9999: check the year.")
        if day and self.not_after and day > self.not_after:
            raise ValidationError("That day is still to come: check the date.")
        return day


class PartialDateField(_CharField):
    """A column for a `PartialDate`, kept as EDTF text; None is NULL, or "" where `null=False`.

    Prefer `null=True, blank=True` for a date that may be unknown: then `isnull` finds it. The text
    sorts by date except for decades and marks; to sort or to filter by days, keep `earliest` in a
    column of its own.
    """

    description = "A date as far as it is known"
    empty_strings_allowed = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 16)
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> tuple[str, str, Any, Any]:
        name, path, args, kwargs = super().deconstruct()
        if kwargs["max_length"] == 16:
            del kwargs["max_length"]
        return name, path, args, kwargs

    def from_db_value(self, value: str | None, *_: Any) -> PartialDate | None:
        return PartialDate(value) if value else None

    def to_python(self, value: Any) -> PartialDate | None:
        """The date from a date, a calendar day or EDTF text. Raises `ValidationError`."""
        if value is None or value == "":
            return None
        if isinstance(value, PartialDate):
            return value
        try:
            return PartialDate.of(value) if isinstance(value, date) else PartialDate(str(value))
        except RecordError as error:
            raise ValidationError(str(error), code="invalid") from error

    def get_prep_value(self, value: Any) -> str | None:
        partial = self.to_python(value)
        if partial is None:
            return None if self.null else ""
        return partial.edtf

    def run_validators(self, value: Any) -> None:
        super().run_validators(value and str(value))

    def formfield(self, **kwargs: Any) -> Any:
        # CharField would hand on max_length, but words are longer than what is kept.
        return super(models.CharField, self).formfield(
            **{"form_class": PartialDateFormField, **kwargs}
        )


class _MeasureFormField(forms.Field):
    """A measure typed in any unit, kept as a whole number of the unit in the field's name."""

    unit: Any

    def __init__(
        self,
        *,
        parse: Callable[[str, Any], Decimal],
        show: Callable[[int, Any], str],
        edit: Callable[[int, Any], str],
        least: int,
        most: int,
        **kwargs: Any,
    ) -> None:
        self._parse = parse
        self._show = show
        self._edit = edit
        self.least = least
        self.most = most
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> int | None:
        if value in self.empty_values or not str(value).strip():
            return None
        try:
            measure = half_up(self._parse(str(value), self.unit))
        except RecordError as error:
            raise ValidationError(str(error), code="invalid") from error
        if measure < self.least:
            raise ValidationError(
                f"This can't be less than {self._show(self.least, self.unit)}.", code="min_value"
            )
        if measure > self.most:
            raise ValidationError(
                f"This can't be more than {self._show(self.most, self.unit)}.", code="max_value"
            )
        return measure

    def prepare_value(self, value: Any) -> Any:
        return self._edit(value, self.unit) if isinstance(value, int) else value

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {"autocomplete": "off"}


class LengthFormField(_MeasureFormField):
    """Reads a length as whole millimetres, a half going up; a bare number is in `unit`.

    What is already kept is shown in `unit` so that it reads back the same. What was typed stays
    as typed when the form comes back.
    """

    def __init__(
        self,
        *,
        unit: LengthUnit = "mm",
        min_mm: int = 1,
        max_mm: int = 20_000,
        **kwargs: Any,
    ) -> None:
        self.unit: LengthUnit = unit
        super().__init__(
            parse=parse_length,
            show=format_length,
            edit=editable_length,
            least=min_mm,
            most=max_mm,
            **kwargs,
        )


class MassFormField(_MeasureFormField):
    """Reads a mass as whole grams, a half going up; a bare number is in `unit`.

    What is already kept is shown in `unit` so that it reads back the same.
    """

    def __init__(
        self,
        *,
        unit: MassUnit = "g",
        min_g: int = 1,
        max_g: int = 5_000_000,
        **kwargs: Any,
    ) -> None:
        self.unit: MassUnit = unit
        super().__init__(
            parse=parse_mass,
            show=format_mass,
            edit=editable_mass,
            least=min_g,
            most=max_g,
            **kwargs,
        )
