"""What the owner types about a scale."""

from decimal import Decimal
from typing import Any

from django import forms

from provenance.drying.forms.masses import ScaleMassField
from provenance.drying.models import Scale
from provenance.maker.models import Shop
from provenance.record.forms import clean_text_fields


class ScaleForm(forms.ModelForm):
    """A scale: its name, and the smallest step that it shows."""

    step_g = ScaleMassField(label="Smallest step")

    class Meta:
        model = Scale
        fields = ["name", "step_g"]
        formfield_callback = clean_text_fields
        labels = {"name": "What you call it"}
        help_texts = {"name": "“Kitchen scale”, “the platform in the loft”."}
        error_messages = {"name": {"unique": "You have a scale of that name: call it another way."}}

    def __init__(self, *args: Any, shop: Shop, **options: Any) -> None:
        super().__init__(*args, **options)
        # Of a pound, nobody's scale steps in pounds.
        self.fields["step_g"] = ScaleMassField(
            label="Smallest step",
            unit="oz" if shop.mass_unit == "lb" else shop.mass_unit,
            places=2,
            least=Decimal("0.01"),
            most=Decimal(1000),
            help_text="What its last digit jumps by, like 1 g, 5 g or 0.1 oz. It decides how sure "
            "“dry” can be.",
        )
