"""The small forms that stand on every thing's page: a note, a photo's words."""

from datetime import date
from typing import Any

from django import forms

from provenance.record.fields import CleanCharField, PartialDateFormField
from provenance.record.forms import TokenForm, use_day


class NoteForm(TokenForm):
    """Something to write into a journal."""

    words = CleanCharField(
        label="What to note down",
        max_length=5000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Write something to note down."},
    )
    happened = PartialDateFormField(
        label="When", required=False, help_text="Left empty, it is today."
    )
    minutes = forms.IntegerField(
        label="Minutes spent",
        required=False,
        min_value=1,
        max_value=100_000,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        use_day(self, today)


class PhotoForm(forms.Form):
    """What a photo says, and who may see it."""

    caption = CleanCharField(max_length=200, required=False)
    is_public = forms.BooleanField(required=False)
