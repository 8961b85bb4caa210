"""What the owner types about sections, bought stock, and the list of causes."""

from datetime import date
from typing import Any

from django import forms

from provenance.maker.models import Shop
from provenance.people.forms import NamesSomebody
from provenance.record.fields import LengthFormField
from provenance.record.forms import AmendForm, TokenForm, clean_text_fields, use_day, use_units
from provenance.record.money import MoneyFormField
from provenance.trees.forms import DATE_HINT, NamesSpecies
from provenance.trees.models import BoughtStock, Cause, Section

MOST_AT_ONCE = 30


class SectionFields(forms.ModelForm):
    """The fields of a section."""

    small_end_mm = LengthFormField(label="Small end", max_mm=5_000, required=False)
    large_end_mm = LengthFormField(label="Large end", max_mm=5_000, required=False)
    length_mm = LengthFormField(label="Length", max_mm=20_000, required=False)

    class Meta:
        model = Section
        fields = [
            "kind",
            "small_end_mm",
            "large_end_mm",
            "length_mm",
            "position",
            "cut",
            "end_sealed",
            "stored",
            "notes",
        ]
        formfield_callback = clean_text_fields
        labels = {
            "kind": "What it is",
            "position": "Where in the tree",
            "cut": "Cut",
            "end_sealed": "Ends sealed",
            "stored": "Where it lies",
        }
        help_texts = {
            "position": "“Second length up”, “below the first crotch”.",
            "cut": DATE_HINT,
            "end_sealed": "Left empty, the bench reminds you: open ends check within days.",
        }
        widgets = {"kind": forms.RadioSelect, "notes": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, shop: Shop, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        use_units(self, shop)
        use_day(self, today)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        small, large = (self.cleaned_data.get(name) for name in ("small_end_mm", "large_end_mm"))
        if small and large and small > large:
            self.add_error("small_end_mm", "The small end is larger than the large end: swap them?")
        return cleaned

    def facts(self) -> dict[str, Any]:
        """Return the cleaned values by field of `Section`."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class SectionForm(TokenForm, SectionFields):
    """One section cut from a tree, or several alike."""

    count = forms.IntegerField(
        label="How many like this",
        initial=1,
        min_value=1,
        max_value=MOST_AT_ONCE,
        help_text="Each gets a letter of its own.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class EditSectionForm(SectionFields, AmendForm):
    """A section in the book."""

    class Meta(SectionFields.Meta):
        fields = [*SectionFields.Meta.fields, "state"]
        labels = {**SectionFields.Meta.labels, "state": "What is left of it"}
        widgets = {**SectionFields.Meta.widgets, "state": forms.RadioSelect}


class StockFields(NamesSomebody, NamesSpecies, forms.ModelForm):
    """The fields of bought stock."""

    role = "supplier"
    role_label = "Bought from"
    role_hint = "Somebody in the book, or a new name."

    quantity = forms.IntegerField(
        label="How many blanks",
        min_value=1,
        max_value=100_000,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    cost_minor = MoneyFormField(label="What it cost", required=False)

    class Meta:
        model = BoughtStock
        fields = [
            "name",
            "quantity",
            "invoice",
            "bought",
            "cost_minor",
            "origin_claim",
            "listed_scientific_name",
            "listed_country",
            "listed_permit",
            "notes",
        ]
        formfield_callback = clean_text_fields
        labels = {
            "name": "What it is",
            "invoice": "Invoice",
            "bought": "Bought",
            "origin_claim": "Where the seller says it comes from",
            "listed_scientific_name": "Scientific name on the papers",
            "listed_country": "Country of harvest",
            "listed_permit": "Permit or certificate number",
        }
        help_texts = {
            "name": "“Pen blanks, cocobolo”, “board for lids”.",
            "bought": DATE_HINT,
            "origin_claim": "In their words. The book keeps the claim; it does not vouch for it.",
        }
        widgets = {"notes": forms.Textarea(attrs={"rows": 3})}
        error_messages = {"name": {"required": "Say what it is, for example “pen blanks”."}}

    def __init__(self, *args: Any, shop: Shop, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        use_units(self, shop)
        use_day(self, today)

    @property
    def has_papers(self) -> bool:
        """Whether the group of papers has something to see."""
        names = [name for name in self.Meta.fields if name.startswith("listed_")]
        return any(self[name].errors or self[name].value() for name in names)

    def facts(self) -> dict[str, Any]:
        """Return the cleaned values by field of `BoughtStock`; the supplier is in `named`."""
        return {**{name: self.cleaned_data[name] for name in self.Meta.fields}, **self.wood()}


class StockForm(TokenForm, StockFields):
    """Stock that was bought."""


class EditStockForm(StockFields, AmendForm):
    """Bought stock in the book."""

    class Meta(StockFields.Meta):
        fields = [*StockFields.Meta.fields, "used_up"]
        labels = {**StockFields.Meta.labels, "used_up": "Used up: nothing is left"}

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.start_with_wood(self.thing)
        self.start_with(self.thing.supplier)
        self.initial["certainty"] = self.thing.certainty


class CauseForm(forms.ModelForm):
    """A reason for a tree to come down, and how the public page says it."""

    class Meta:
        model = Cause
        fields = ["name", "sentence"]
        formfield_callback = clean_text_fields
        labels = {"name": "Reason", "sentence": "How strangers read it"}
        help_texts = {
            "sentence": (
                "Without a full stop: a date or your words follow it. “A storm brought it down”."
            )
        }
        error_messages = {
            "name": {
                "required": "Name the reason.",
                "unique": "This reason is in the list already.",
            },
            "sentence": {
                "required": "Say it as the public page should: “A storm brought it down”."
            },
        }

    def clean_sentence(self) -> str:
        return str(self.cleaned_data["sentence"]).rstrip(". ")
