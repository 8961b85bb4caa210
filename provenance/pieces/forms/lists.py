"""Forms for the list of pieces, and for the lists that the owner may add to."""

from typing import Any

from django import forms
from django.db.models import F
from django.utils.text import slugify

from provenance.maker.models import Shop
from provenance.pieces.models import (
    Custody,
    Edge,
    Finish,
    Form,
    LossCause,
    OpenList,
    PieceQuerySet,
    Stage,
)
from provenance.record.fields import CleanCharField
from provenance.record.forms import use_units
from provenance.record.money import MoneyFormField

LAST_POSITION = 9999
#: Longer than any finish takes; a date reckoned from it stays within the calendar.
LONGEST_CURE_DAYS = 3650

SORTS = {
    "": ("newest number first", ("-pk",)),
    "oldest": ("oldest number first", ("pk",)),
    "waiting": ("longest at its stage first", (F("stage_since").asc(nulls_last=True), "pk")),
    "dear": ("dearest first", (F("price_minor").desc(nulls_last=True), "pk")),
    "cheap": ("cheapest first", (F("price_minor").asc(nulls_last=True), "pk")),
}


class FilterForm(forms.Form):
    """Narrows the list of pieces. What can't be read narrows nothing, and says so."""

    find = CleanCharField(
        required=False,
        max_length=100,
        label="Number, wood, title or old mark",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    stage = forms.ChoiceField(required=False, choices=[("", "Any"), *Stage.choices])
    custody = forms.ChoiceField(
        required=False, label="Where", choices=[("", "Anywhere"), *Custody.Kind.choices]
    )
    form = forms.ModelChoiceField(
        Form.objects.all(), required=False, label="Form of work", empty_label="Any"
    )
    least = MoneyFormField(required=False, label="Price from")
    most = MoneyFormField(required=False, label="Price to")
    sort = forms.ChoiceField(
        required=False, label="Order", choices=[(key, label) for key, (label, _) in SORTS.items()]
    )

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, shop)

    def narrow(self, pieces: PieceQuerySet) -> PieceQuerySet:
        """Return the pieces that the answers leave, in the order asked for."""
        self.full_clean()
        typed = self.cleaned_data
        pieces = pieces.search(typed.get("find") or "")
        if typed.get("stage"):
            pieces = pieces.at_stage(typed["stage"])
        if typed.get("custody"):
            pieces = pieces.in_custody(typed["custody"])
        if typed.get("form"):
            pieces = pieces.filter(form=typed["form"])
        pieces = pieces.priced(typed.get("least"), typed.get("most"))
        _, order = SORTS[typed.get("sort") or ""]
        return pieces.order_by(*order)

    @property
    def is_narrowed(self) -> bool:
        """Whether anything but the order was asked."""
        return any(self.data.get(name) for name in self.fields if name != "sort")

    @property
    def has_rare(self) -> bool:
        """Whether one of the rarer questions was answered."""
        return any(self.data.get(name) for name in ("form", "least", "most", "sort"))


class OpenListForm(forms.ModelForm):
    """One entry of a list that the owner may add to."""

    position = forms.IntegerField(
        min_value=0,
        max_value=LAST_POSITION,
        initial=100,
        help_text="Small numbers stand first.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    class Meta:
        model: type[OpenList]
        fields = ["name", "position"]
        field_classes = {"name": CleanCharField}
        error_messages = {
            "name": {
                "required": "Give it a name.",
                "unique": "This is in the list already: choose another name.",
            }
        }

    def keep(self) -> OpenList:
        """Save the entry, with a slug of its own when it is new."""
        entry: OpenList = self.instance
        if not entry.slug:
            entry.slug = _free_slug(type(entry), entry.name)
        entry.save()
        return entry


def _free_slug(model: type[OpenList], name: str) -> str:
    """Return a slug for `name` that no entry of the list has."""
    stem = slugify(name)[:40] or "entry"
    taken = set(model._default_manager.values_list("slug", flat=True))
    tries = (f"{stem}-{n}" if n > 1 else stem for n in range(1, len(taken) + 2))
    return next(slug for slug in tries if slug not in taken)


class FormOfWorkForm(OpenListForm):
    class Meta(OpenListForm.Meta):
        model = Form
        fields = ["name", "use", "is_long", "position"]
        labels = {"use": "Usually made for", "is_long": "Measured by its length"}


class EdgeForm(OpenListForm):
    class Meta(OpenListForm.Meta):
        model = Edge


class LossCauseForm(OpenListForm):
    class Meta(OpenListForm.Meta):
        model = LossCause


class FinishForm(OpenListForm):
    kind = forms.ChoiceField(choices=[("", "Choose…"), *Finish.Kind.choices])
    cure_days = forms.IntegerField(
        label="Days to cure",
        min_value=0,
        max_value=LONGEST_CURE_DAYS,
        initial=0,
        help_text="From the last coat until it may be used: what the tin says comes first.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )

    class Meta(OpenListForm.Meta):
        model = Finish
        fields = ["name", "kind", "cure_days", "allergen", "care_words", "source", "position"]
        field_classes = dict.fromkeys(["name", "allergen", "care_words", "source"], CleanCharField)
        labels = {"care_words": "Care text"}
        help_texts = {
            "allergen": "Printed on the card, for example “walnut oil, a tree-nut oil”.",
            "care_words": "A line each. Empty, the usual words for its kind.",
            "source": "Where these facts are from.",
        }
        widgets = {"care_words": forms.Textarea(attrs={"rows": 3})}
