"""What the owner types about a tree: at pick-up with one thumb, later at the desk."""

from datetime import date
from typing import Any

from django import forms
from django.urls import reverse_lazy

from provenance.maker.models import Shop
from provenance.people.forms import NamesSomebody
from provenance.record.fields import CleanCharField, LengthFormField
from provenance.record.forms import AmendForm, TokenForm, clean_text_fields, use_day, use_units
from provenance.trees.coordinates import CoordinatesField, format_coordinates
from provenance.trees.models import Certainty, OfSpecies, Tree
from provenance.trees.naming import OWN_WORDS, Choices, choices, entry_text, meant

DATE_HINT = "For example 12 March 2023, March 2023, about 1998, or yesterday."


class NamesSpecies(forms.Form):
    """A form in which a wood is named: found in the reference table, or in the owner's words."""

    species = CleanCharField(
        label="What wood is it?",
        max_length=120,
        help_text="Common or scientific name, or your own words.",
        widget=forms.TextInput(
            attrs={
                "autocomplete": "off",
                "autocapitalize": "none",
                "spellcheck": "false",
                "hx-get": reverse_lazy("trees:species"),
                "hx-trigger": "input changed delay:200ms",
                "hx-target": "#species-choices",
                "hx-sync": "this:replace",
            }
        ),
        error_messages={"required": "Name the wood: a guess will do, “maple?” or “some conifer”."},
    )
    species_choice = CleanCharField(max_length=80, required=False)
    certainty = forms.ChoiceField(
        label="How sure are you?",
        choices=Certainty.choices,
        initial=Certainty.GUESS,
        widget=forms.RadioSelect,
    )

    def start_with_wood(self, thing: OfSpecies) -> None:
        """Show the wood of a thing already in the book."""
        if thing.species_slug or thing.species_words:
            self.initial["species"] = entry_text(thing.species_slug, thing.species_words)
            self.initial["species_choice"] = thing.species_slug or OWN_WORDS

    @property
    def woods(self) -> Choices:
        """What to choose from, for what the form holds now."""
        typed, chosen = (self[name].value() or "" for name in ("species", "species_choice"))
        return choices(str(typed)[:120], str(chosen))

    def wood(self) -> dict[str, Any]:
        """Return the cleaned wood as fields of `OfSpecies`."""
        slug, words = meant(self.cleaned_data["species"], self.cleaned_data["species_choice"])
        certainty = self.cleaned_data["certainty"]
        return {"species_slug": slug, "species_words": words, "certainty": certainty}


class TreeFields(NamesSomebody, NamesSpecies, forms.ModelForm):
    """The fields of a tree, in the groups in which the page folds them away."""

    role = "donor"
    role_label = "Who gives it"
    role_hint = "Somebody in the book, or a new name."

    FOLDS = {
        "why": ["cause", "cause_words", "felled", "collected"],
        "giver": ["donor_name", "donor_phone", "permission", "promised"],
        "where": ["private_address", "coordinates"],
        "trunk": ["trunk_diameter_mm", "ring_count", "felled_by", "hardware", "hardware_words"],
        "moving": ["movement_asked", "movement_asked_of", "movement_asked_on"],
        "story": ["story", "notes"],
    }

    trunk_diameter_mm = LengthFormField(
        label="Trunk, across",
        max_mm=10_000,
        required=False,
        help_text="Inside or outside the bark, at its thickest sound place.",
    )
    ring_count = forms.IntegerField(
        label="Rings counted",
        min_value=1,
        max_value=6_000,
        required=False,
        help_text="On the stump or the lowest end.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    coordinates = CoordinatesField(
        required=False, max_length=60, help_text="Latitude and longitude: 44.0521, -123.0868."
    )

    class Meta:
        model = Tree
        fields = [
            "public_place",
            "private_address",
            "cause",
            "cause_words",
            "felled",
            "collected",
            "felled_by",
            "permission",
            "promised",
            "trunk_diameter_mm",
            "ring_count",
            "hardware",
            "hardware_words",
            "movement_asked",
            "movement_asked_of",
            "movement_asked_on",
            "story",
            "notes",
        ]
        formfield_callback = clean_text_fields
        labels = {
            "public_place": "Where did it stand?",
            "private_address": "Street address",
            "cause": "Why it came down",
            "cause_words": "In your words",
            "felled": "Came down",
            "collected": "Collected",
            "felled_by": "Felled by",
            "permission": "Permission",
            "promised": "Promised, word for word",
            "hardware": "Nails, wire, stones in it",
            "hardware_words": "What and where",
            "movement_asked": "What you asked, and the answer",
            "movement_asked_of": "Whom you asked",
            "movement_asked_on": "When",
            "story": "Its story",
            "notes": "Notes",
        }
        help_texts = {
            "public_place": "A town or area, as strangers may read it. Not the street.",
            "cause_words": "“The gale of the 12th took the crown.”",
            "felled": DATE_HINT,
            "collected": "The same ways work.",
            "permission": "Who said that you may take it, and in what words.",
            "promised": "“A bowl for the daughter, before Christmas.” The bench will remind you.",
            "movement_asked": "The permit or certificate number too, if you were given one.",
            "story": "What a stranger holding the bowl would like to know of the tree.",
        }
        widgets = {
            "private_address": forms.Textarea(attrs={"rows": 2, "autocomplete": "off"}),
            "cause": forms.RadioSelect,
            "permission": forms.Textarea(attrs={"rows": 2}),
            "promised": forms.Textarea(attrs={"rows": 2}),
            "hardware": forms.RadioSelect,
            "story": forms.Textarea(attrs={"rows": 5}),
            "notes": forms.Textarea(attrs={"rows": 3}),
            "public_place": forms.TextInput(attrs={"autocomplete": "off"}),
        }
        error_messages = {
            "public_place": {"required": "Name the town or area. Strangers may read it."}
        }

    def __init__(self, *args: Any, shop: Shop, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["cause"].empty_label = "not known yet"  # type: ignore[attr-defined]
        use_units(self, shop)
        use_day(self, today)

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
        felled, collected = (self.cleaned_data.get(name) for name in ("felled", "collected"))
        if felled and collected and collected.latest < felled.earliest:
            self.add_error("collected", "That is before it came down: check both dates.")
        return cleaned

    @property
    def open_folds(self) -> dict[str, bool]:
        """Return for each fold whether it has something to see: an error, or something entered."""
        return {
            fold: any(self[name].errors or self[name].value() for name in names)
            for fold, names in self.FOLDS.items()
        }

    def facts(self) -> dict[str, Any]:
        """Return the cleaned values by field of `Tree`; the donor is in `named`."""
        latitude, longitude = self.cleaned_data["coordinates"]
        return {
            **{name: self.cleaned_data[name] for name in self.Meta.fields},
            **self.wood(),
            "latitude": latitude,
            "longitude": longitude,
        }


class RegisterForm(TokenForm, TreeFields):
    """A tree at pick-up: wood and place are enough."""

    photos_public = forms.BooleanField(label="Strangers may see these photos", required=False)


class EditTreeForm(TreeFields, AmendForm):
    """A tree in the book."""

    is_mistake = forms.BooleanField(
        required=False,
        label="Entered by mistake",
        help_text="Registered twice, or not a tree of yours: its number stays, lists pass it over.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.start_with_wood(self.thing)
        self.start_with(self.thing.donor)
        self.initial["certainty"] = self.thing.certainty
        self.initial["is_mistake"] = self.thing.is_mistake
        self.initial["coordinates"] = format_coordinates(self.thing.latitude, self.thing.longitude)
