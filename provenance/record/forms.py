"""What forms over the record have in common: the shop's units, a token against sending twice,
and a guard against overwriting what somebody else changed meanwhile."""

import uuid
from datetime import date
from typing import Any

from django import forms
from django.db import models
from django.http import QueryDict

from provenance.maker.models import Shop
from provenance.record.fields import (
    CleanCharField,
    DayFormField,
    LengthFormField,
    MassFormField,
    PartialDateField,
    PartialDateFormField,
)
from provenance.record.models import JournalEntry
from provenance.record.money import MoneyFormField


def use_units(form: forms.BaseForm, shop: Shop) -> None:
    """Let the form's measures and amounts be typed and shown in the shop's units and currency."""
    for field in form.fields.values():
        if isinstance(field, LengthFormField):
            field.unit = shop.length_unit
        elif isinstance(field, MassFormField):
            field.unit = shop.mass_unit
        elif isinstance(field, MoneyFormField):
            field.currency = shop.currency


def use_day(form: forms.BaseForm, today: date) -> None:
    """Let the form's dates know what day it is: nothing has happened after it."""
    for field in form.fields.values():
        if isinstance(field, PartialDateFormField):
            field.today = field.not_after = today
        elif isinstance(field, DayFormField):
            field.not_after = today


def clean_text_fields(column: "models.Field[Any, Any]", **options: Any) -> forms.Field | None:
    """Make the form field of a column: words cleaned as they come in, days as `DayFormField`.

    For `Meta.formfield_callback` of a ModelForm.
    """
    is_words = isinstance(column, models.CharField | models.TextField)
    if is_words and not isinstance(column, models.EmailField | PartialDateField):
        options.setdefault("form_class", CleanCharField)
    if isinstance(column, models.DateField):
        options.setdefault("form_class", DayFormField)
    field: forms.Field | None = column.formfield(**options)
    return field


class TokenForm(forms.Form):
    """Carries the token by which `operations.once` knows a form sent twice."""

    token = forms.UUIDField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["token"].initial = uuid.uuid4

    def clean_token(self) -> uuid.UUID:
        token: uuid.UUID | None = self.cleaned_data["token"]
        return token or uuid.uuid4()


class AmendForm(forms.ModelForm):
    """Edits a thing that has a journal. Notices when its details changed since the form was opened.

    The view saves with `journal.amend(thing, form.values(), scribe)`, never with `form.save()`.
    """

    seen = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.thing = type(self.instance)._default_manager.get(pk=self.instance.pk)
        self.fields["seen"].initial = self._edition()

    def _edition(self) -> int:
        """The key of the last entry that changed the thing's fields; 0 for none."""
        entries = JournalEntry.objects.filter(journal=self.thing.journal).exclude(changes={})
        last = entries.order_by("-pk").values_list("pk", flat=True).first()
        return last or 0

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        edition = self._edition()
        if self.is_bound and (self.cleaned_data.get("seen") or 0) < edition:
            # Sent once more, the form carries the new edition and goes through.
            data = QueryDict(mutable=True)
            data.update(self.data)
            data[self.add_prefix("seen")] = str(edition)
            self.data = data
            raise forms.ValidationError(
                "This was changed in another window since you opened it. What you typed is below: "
                "look it over and save again to keep yours."
            )
        return cleaned

    def values(self) -> dict[str, Any]:
        """Return the cleaned values by field name, for `journal.amend`."""
        return {name: value for name, value in self.cleaned_data.items() if name != "seen"}
