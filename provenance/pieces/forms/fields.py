"""The fields that several forms about pieces ask."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.people.acquaintance import same_person
from provenance.people.forms import NamesSomebody
from provenance.people.models import Person
from provenance.pieces.models import Piece
from provenance.record.fields import (
    CleanCharField,
    DayFormField,
    LengthFormField,
    PartialDateFormField,
)
from provenance.record.money import MoneyFormField
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

LENGTHS = {
    "rough_diameter_mm": "Rough diameter",
    "rough_height_mm": "Rough height",
    "rough_wall_mm": "Rough wall",
    "diameter_mm": "Diameter",
    "height_mm": "Height",
    "wall_mm": "Wall",
    "rim_to_pith_mm": "From the rim to the pith",
    "mount_diameter_mm": "Its diameter",
}
LONG = {
    "rough_diameter_mm": "Rough length",
    "rough_height_mm": "Rough thickness",
    "diameter_mm": "Length",
    "height_mm": "Thickness",
}
"""What the same measures are called on a pen or a stopper."""
TO_PITH = (
    "Before you hollow it: from the plane of the rim to the plane in which the pith lay. "
    "0 if it lay in the rim, empty if you don't know."
)


class PriceFormField(MoneyFormField):
    """A price: some money, or nothing when there is none."""

    def to_python(self, value: Any) -> int | None:  # type: ignore[override]
        minor = super().to_python(value)
        if minor == 0:
            raise ValidationError("Enter a price above nothing, or leave it empty.")
        return minor


def length_field(name: str, *, is_long: bool = False) -> LengthFormField:
    """Return the field for one of a piece's lengths, labelled for round or for long work."""
    label = LONG.get(name, LENGTHS[name]) if is_long else LENGTHS[name]
    if name == "rim_to_pith_mm":
        return LengthFormField(required=False, label=label, min_mm=0, help_text=TO_PITH)
    return LengthFormField(required=False, label=label)


def when_field(scribe: Scribe, label: str = "When", *, is_today: bool = True) -> Any:
    """Return a date as far as it is known, set to today; empty stands for unknown."""
    return PartialDateFormField(
        required=False,
        label=label,
        today=scribe.today,
        not_after=scribe.today,
        initial=PartialDate.of(scribe.today) if is_today else None,
        help_text="A day, a month, a year, or “about 1998”. Empty if nobody knows." * is_today,
    )


def past_day(scribe: Scribe, label: str, **kwargs: Any) -> DayFormField:
    """Return an exact day that is not still to come."""
    return DayFormField(**{"label": label, "required": False, "not_after": scribe.today, **kwargs})


def minutes_field(label: str = "Minutes at the lathe") -> forms.IntegerField:
    """Return the minutes that a step took."""
    return forms.IntegerField(
        required=False,
        label=label,
        min_value=1,
        max_value=10_000,
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )


def words_field(label: str = "Words", **kwargs: Any) -> CleanCharField:
    """Return room for a few sentences."""
    widget = forms.Textarea(attrs={"rows": 2})
    return CleanCharField(
        **{"required": False, "label": label, "max_length": 2000, "widget": widget, **kwargs}
    )


def reason_field() -> CleanCharField:
    """Return the field that a promise in the way asks for."""
    return CleanCharField(required=False, max_length=300, label="Why it goes all the same")


class HolderMixin(NamesSomebody):
    """Who has or gets it: somebody from the book, found by typing, or a new name."""

    role = "holder"
    role_label = "Who"
    role_hint = "Somebody in the book, or a new name."

    def clean(self) -> dict[str, Any]:
        """Return the cleaned values, also where a form above returns none."""
        return super().clean() or self.cleaned_data

    def person(self, scribe: Scribe) -> Person | None:
        """Return the person meant, entering a name that is new to the book; None for nobody."""
        return same_person(self.named(), scribe)


MOUNT_CHOICES = [(v, label) for v, label in Piece.Mount.choices if v]
