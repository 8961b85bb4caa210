"""The form for a piece's details."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.maker.models import Shop
from provenance.pieces.forms.fields import LENGTHS, MOUNT_CHOICES, PriceFormField, length_field
from provenance.pieces.models import Method, Piece, Stage
from provenance.pieces.workflow import stages_of
from provenance.record.fields import CleanCharField
from provenance.record.forms import AmendForm, use_units

WORDS = (
    "title",
    "wood_words",
    "old_mark",
    "decoration",
    "stored",
    "public_words",
    "care_words",
    "notes",
)


class PieceForm(AmendForm):
    """What a piece is, measures and tells; everything but its number, stage and custody."""

    price_minor = PriceFormField(
        required=False,
        label="Price",
        help_text="Printed on tags and price lists, never on the public page.",
    )
    mount = forms.ChoiceField(
        choices=[("", "Not noted"), *MOUNT_CHOICES],
        required=False,
        widget=forms.RadioSelect,
        label="Held by",
    )

    method = forms.ChoiceField(choices=Method.choices, widget=forms.RadioSelect)
    set_name = CleanCharField(
        required=False,
        max_length=120,
        label="Belongs to the set",
        help_text="The same name on each of its pieces.",
    )

    class Meta:
        model = Piece
        fields = [
            *("title", "public_words", "form", "method", "use", "edge", "grain", "decoration"),
            *("mount", "care_words", "price_minor", "stored", "old_mark", "wood_words", "notes"),
        ]
        field_classes = dict.fromkeys(WORDS, CleanCharField)
        labels = {
            "public_words": "Its story in your words",
            "form": "Form of work",
            "use": "Made for",
            "care_words": "Care in your own words",
            "stored": "Where it is kept",
            "old_mark": "Old mark on its foot",
            "wood_words": "Its wood in your words",
        }
        help_texts = {
            "title": "Empty, it goes by form and wood.",
            "public_words": "Stands on its public page.",
            "use": "Decides the care text, with the finish.",
            "care_words": "A line each; they stand instead of the usual text.",
            "wood_words": "Used where no tree or stock of the book gave it.",
            "old_mark": "From before the book, letter for letter.",
        }
        widgets = {
            "public_words": forms.Textarea(attrs={"rows": 4}),
            "care_words": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 3}),
        }

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in LENGTHS:
            self.fields[name] = length_field(name, is_long=self.instance.form.is_long)
            self.fields[name].initial = getattr(self.instance, name)
        self.fields["set_name"].initial = self.instance.piece_set or ""
        self.fields["edge"].empty_label = "Not noted"  # type: ignore[attr-defined]
        use_units(self, shop)

    def clean_method(self) -> str:
        """Refuse a method that never passes the piece's stage."""
        method: str = self.cleaned_data["method"]
        if self.thing.stage not in (*stages_of(method), Stage.LOST):
            stage = self.thing.get_stage_display()
            raise ValidationError(
                f"No piece of this method is ever “{stage}”: take its last moves back first."
            )
        return Method(method).value
