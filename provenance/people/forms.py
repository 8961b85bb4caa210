"""What the owner types about people, and how other rooms' forms name somebody."""

import hashlib
import json
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict
from django.urls import reverse

from provenance.people.acquaintance import Named
from provenance.people.models import Person
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm, clean_text_fields, use_day
from provenance.record.seeking import sought

NEW = "new"
OFFERED = 6


@dataclass(frozen=True)
class Offer:
    """The people whom a typed name may mean; `chosen` is a key, `NEW`, or '' for nobody."""

    typed: str
    people: list[Person]
    chosen: str

    def meant(self, choice: str) -> str:
        """Return the key of the person whose entry has the key `choice`, folded or not; or ''."""
        for person in self.people:
            if choice in {str(entry.pk) for entry in (person, *person.merged.all())}:
                return str(person.pk)
        return ""


def offer(typed: str, chosen: str = "") -> Offer:
    """Return whom to choose from for a typed name, with the one marked that would be kept.

    Two queries: the people, and the other names under which they were entered.
    """
    typed = sought(typed)
    if not typed:
        return Offer("", [], "")
    people = list(Person.objects.search(typed).prefetch_related("merged")[: OFFERED + 1])[:OFFERED]
    namesakes = [person for person in people if is_called(person, typed)]
    if chosen != NEW:
        only = str(namesakes[0].pk) if len(namesakes) == 1 else NEW
        chosen = Offer(typed, people, "").meant(chosen) or only
    return Offer(typed, people, chosen)


def is_called(person: Person, name: str) -> bool:
    """Return whether one of the person's entries has exactly this name, capitals or not."""
    return name.casefold() in {one.casefold() for one in (person.name, *person.other_names)}


class NamesSomebody(forms.Form):
    """A form in which somebody is named: chosen from the book, or new with a phone number.

    `role` begins the names of its three fields. Without a script the name alone decides.
    """

    role = "person"
    role_label = "Who"
    role_hint = ""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields[f"{self.role}_name"] = CleanCharField(
            label=self.role_label,
            max_length=120,
            required=False,
            help_text=self.role_hint,
            widget=forms.TextInput(
                attrs={
                    "autocomplete": "off",
                    "hx-get": f"{reverse('people:choices')}?role={self.role}",
                    "hx-trigger": "input changed delay:200ms",
                    "hx-target": f"#{self.role}-choices",
                    "hx-sync": "this:replace",
                }
            ),
        )
        self.fields[f"{self.role}_phone"] = CleanCharField(
            label="Their phone",
            max_length=40,
            required=False,
            widget=forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
        )
        self.fields[f"{self.role}_choice"] = CleanCharField(max_length=20, required=False)

    def start_with(self, person: Person | None) -> None:
        """Show the person already in the book."""
        if person:
            self.initial[f"{self.role}_name"] = person.name
            self.initial[f"{self.role}_choice"] = str(person.pk)

    @property
    def somebody_name(self) -> forms.BoundField:
        return self[f"{self.role}_name"]

    @property
    def somebody_phone(self) -> forms.BoundField:
        return self[f"{self.role}_phone"]

    @property
    def offer(self) -> Offer:
        """Whom to choose from, for what the form holds now. Two queries."""
        typed, chosen = (self[f"{self.role}_{part}"].value() or "" for part in ("name", "choice"))
        return offer(str(typed), str(chosen))

    def named(self) -> Named:
        """Return whom the form names. A choice counts only if it fits the name that is typed."""
        name = self.cleaned_data[f"{self.role}_name"]
        phone = self.cleaned_data[f"{self.role}_phone"]
        choice = self.cleaned_data[f"{self.role}_choice"]
        meant = offer(name, choice).meant(choice)
        return Named(
            pk=int(meant) if meant else None,
            name=name,
            phone=phone,
            is_new=choice == NEW,
        )


class _PersonFields(forms.ModelForm):
    class Meta:
        model = Person
        fields = [
            "name",
            "is_organisation",
            "mail",
            "phone",
            "address",
            "notes",
            "may_be_named",
            "public_name",
            "may_be_named_on",
            "may_be_written_to",
            "may_be_written_to_on",
        ]
        formfield_callback = clean_text_fields
        labels = {"may_be_named_on": "Agreed on", "may_be_written_to_on": "Agreed on"}
        help_texts = {
            "public_name": (
                "As they want to be named: “the Quill family”. Left empty, it is the name above."
            ),
            "may_be_named_on": "Left empty, it is today.",
            "may_be_written_to_on": "Left empty, it is today.",
        }
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "notes": forms.Textarea(attrs={"rows": 3}),
            "phone": forms.TextInput(attrs={"inputmode": "tel", "autocomplete": "off"}),
            "mail": forms.EmailInput(attrs={"autocomplete": "off"}),
            "name": forms.TextInput(attrs={"autocomplete": "off"}),
        }

    def __init__(self, *args: Any, today: date, **options: Any) -> None:
        super().__init__(*args, **options)
        use_day(self, today)

    def values(self) -> dict[str, Any]:
        """Return the cleaned values by field of `Person`."""
        return {name: self.cleaned_data[name] for name in self.Meta.fields}


class PersonForm(TokenForm, _PersonFields):
    """Somebody new: the shop's donor, buyer, supplier, gallery.

    `confirmed` says that those already in the book with the same name, mail or phone were seen.
    """

    confirmed = forms.BooleanField(widget=forms.HiddenInput, required=False)


class EditPersonForm(_PersonFields):
    """Somebody in the book. Notices when their details changed since the form was opened."""

    seen = CleanCharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.person = Person.objects.get(pk=self.instance.pk)
        self.edition = _edition(self.person, self.Meta.fields)
        self.fields["seen"].initial = self.edition

    def clean(self) -> dict[str, Any] | None:
        cleaned = super().clean()
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
        return cleaned


class MergeForm(TokenForm):
    """The other entry of the same person."""

    other = forms.ModelChoiceField(
        Person.objects.all(),
        error_messages={
            "required": "Choose the other entry first.",
            "invalid_choice": "That entry is not in the book: choose again.",
        },
    )


def _edition(person: Person, fields: list[str]) -> str:
    """Return a mark that changes whenever one of the person's details does."""
    held = json.dumps([str(getattr(person, name)) for name in fields])
    return hashlib.sha256(held.encode()).hexdigest()[:16]
