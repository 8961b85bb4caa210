"""What somebody wishes: who, in what words, of what form, size and wood."""

import hashlib
import json
from typing import Any

from django import forms
from django.db.models import Q
from django.http import QueryDict

from provenance.maker.models import Shop
from provenance.people.acquaintance import same_person
from provenance.people.forms import NamesSomebody
from provenance.people.models import Person
from provenance.pieces.models import Form
from provenance.pieces.sources import OFFERED
from provenance.record.fields import CleanCharField, LengthFormField
from provenance.record.forms import TokenForm, clean_text_fields, use_units
from provenance.record.money import MoneyFormField
from provenance.record.scribe import Scribe
from provenance.trees.models import Tree
from shop.commissions.models import Commission


class WishFields(NamesSomebody, forms.ModelForm):
    """The details of a commission."""

    role_label = "Who asks"
    role_hint = "Somebody in the book, or a new name."

    least_mm = LengthFormField(label="From", max_mm=5_000, required=False)
    most_mm = LengthFormField(label="To", max_mm=5_000, required=False)
    form = forms.ModelChoiceField(
        Form.objects.all(), required=False, empty_label="Not said", label="Form"
    )
    tree = forms.ModelChoiceField(
        Tree.objects.none(),
        required=False,
        empty_label="No tree of the book",
        label="From this tree",
        help_text="Their own tree stands here once it is registered.",
    )

    class Meta:
        model = Commission
        fields = ["wished", "form", "least_mm", "most_mm", "wood", "tree", "wanted_by", "asked_on",
                  "notes"]  # fmt: skip
        formfield_callback = clean_text_fields
        labels = {
            "wished": "What they wish, in their words",
            "wood": "Wood",
            "wanted_by": "Wanted by",
            "asked_on": "Asked on",
        }
        help_texts = {"wood": "“Cherry, with bark”, “whatever is dry”."}
        widgets = {
            "wished": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 3}),
        }
        error_messages = {"wished": {"required": "Write down what they wish."}}

    def __init__(
        self, *args: Any, shop: Shop, scribe: Scribe, tree: Tree | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        name = self.fields["person_name"]
        name.required, name.error_messages["required"] = True, "Say who asks."
        asked_on = self.fields["asked_on"]
        asked_on.required, asked_on.initial = False, scribe.today
        asked_on.not_after = scribe.today  # type: ignore[attr-defined]
        self.today = scribe.today
        of_person = Q(donor=self.instance.person_id) if self.instance.person_id else Q(pk=None)
        newest = Tree.objects.newest(OFFERED, tree) | Tree.objects.filter(of_person)
        self.fields["tree"].queryset = newest.order_by("-pk")  # type: ignore[attr-defined]
        use_units(self, shop)

    def clean_asked_on(self) -> Any:
        """Left empty, it is today."""
        return self.cleaned_data["asked_on"] or self.today

    def clean(self) -> dict[str, Any]:
        """Refuse a smallest size above the largest."""
        typed = super().clean() or self.cleaned_data
        least, most = typed.get("least_mm"), typed.get("most_mm")
        if least and most and least > most:
            self.add_error("least_mm", "This is more than the largest size: swap them?")
        return typed

    def person(self, scribe: Scribe) -> Person | None:
        """Return who asks, entering a name that is new to the book."""
        return same_person(self.named(), scribe)

    def facts(self) -> dict[str, Any]:
        """Return the cleaned values by field of `Commission`, without the person."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class AskForm(TokenForm, WishFields):
    """Something that somebody wishes to have made."""

    price = MoneyFormField(
        required=False,
        label="Price",
        help_text="Where it is agreed already. It can be agreed on later.",
    )


class EditForm(WishFields):
    """A commission of the book. Notices when it was changed since the form was opened."""

    seen = CleanCharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, tree=kwargs["instance"].tree, **kwargs)
        self.held = Commission.objects.select_related("person").get(pk=self.instance.pk)
        self.start_with(self.held.person)
        self.edition = self._edition()
        self.fields["seen"].initial = self.edition

    def _edition(self) -> str:
        """Return a mark that changes whenever one of the details does."""
        names = [*self.Meta.fields, "person_id"]
        values = json.dumps([str(getattr(self.held, name)) for name in names])
        return hashlib.sha256(values.encode()).hexdigest()[:16]

    def clean(self) -> dict[str, Any]:
        """Ask once more where another window changed it meanwhile."""
        typed = super().clean()
        if self.cleaned_data.get("seen") != self.edition:
            # Sent once more, the form carries the new edition and goes through.
            data = QueryDict(mutable=True)
            data.update(self.data)
            data[self.add_prefix("seen")] = self.edition
            self.data = data
            raise forms.ValidationError(
                "This was changed in another window since you opened it. What you typed is below: "
                "look it over and save again to keep yours."
            )
        return typed
