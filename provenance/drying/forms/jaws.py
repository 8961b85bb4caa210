"""What the owner types about the jaws of a chuck."""

from typing import Any

from django import forms

from provenance.maker.models import Jaws, Shop
from provenance.record.fields import LengthFormField
from provenance.record.forms import clean_text_fields, use_units

WIDEST_MM = 1_000


class JawsForm(forms.ModelForm):
    """A set of jaws: its name, and the tenons that it grips."""

    smallest_mm = LengthFormField(label="Smallest tenon", max_mm=WIDEST_MM)
    largest_mm = LengthFormField(label="Largest tenon", max_mm=WIDEST_MM)

    class Meta:
        model = Jaws
        fields = ["name", "smallest_mm", "largest_mm"]
        formfield_callback = clean_text_fields
        labels = {"name": "What you call them"}
        help_texts = {"name": "“Dovetail, 50 mm”, “the long ones”."}
        error_messages = {"name": {"unique": "You have jaws of that name: call these another way."}}

    def __init__(self, *args: Any, shop: Shop, **options: Any) -> None:
        super().__init__(*args, **options)
        use_units(self, shop)

    def clean(self) -> dict[str, Any] | None:
        """Refuse jaws that open less than they close."""
        cleaned = super().clean() or self.cleaned_data
        smallest, largest = cleaned.get("smallest_mm"), cleaned.get("largest_mm")
        if smallest and largest and largest <= smallest:
            self.add_error("largest_mm", "This must be more than the smallest: swap the two.")
        return cleaned
