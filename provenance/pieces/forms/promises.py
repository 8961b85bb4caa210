"""Forms for promises: the words, the wood that is kept, the end."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.pieces.forms.fields import HolderMixin, past_day, words_field
from provenance.pieces.models import Piece, Promise
from provenance.pieces.sources import OFFERED, section_label, wood_numbered
from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField, DayFormField
from provenance.record.forms import TokenForm
from provenance.record.scribe import Scribe
from provenance.record.text import is_key
from provenance.trees.models import Section, Tree

MOST_KEPT = 60


class SectionsField(forms.ModelMultipleChoiceField):
    """Sections to tick, by their numbers."""

    def clean(self, value: Any) -> Any:
        """Refuse what no key can be before it reaches the database."""
        if not all(is_key(key) for key in value or ()):
            raise ValidationError("Choose sections from the list.")
        return super().clean(value)

    def label_from_instance(self, section: Section) -> str:
        return section_label(section)


class WoodForm(forms.Form):
    """Which wood a promise keeps: ticks for its tree's sections, numbers for the rest."""

    sections = SectionsField(
        Section.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Sections kept for it",
    )
    numbers = CleanCharField(
        required=False,
        max_length=1000,
        label="Other wood kept for it",
        help_text="Numbers of pieces and sections: 26-042-8, T26-014-5 B. Commas between them.",
    )

    def show_sections_of(self, tree: Tree | None) -> None:
        """Offer the sections of the promise's tree to tick."""
        field = self.fields["sections"]
        sections = Section.objects.filter(tree=tree) if tree else Section.objects.none()
        field.queryset = sections.select_related("tree")  # type: ignore[attr-defined]

    def clean_numbers(self) -> list[Section | Piece]:
        """Read each number as a piece or a section of the book."""
        typed = [part for part in re.split(r"[,;\n]", self.cleaned_data["numbers"]) if part.strip()]
        if len(typed) > MOST_KEPT:
            raise ValidationError(f"Keep {MOST_KEPT} things at most for one promise.")
        try:
            return [wood_numbered(part.strip()) for part in typed]
        except RecordError as error:
            raise ValidationError(str(error)) from error

    def wood(self) -> dict[str, Any]:
        """Return the keyword arguments `sections` and `pieces` of the promise's verbs."""
        named = self.cleaned_data["numbers"]
        sections = [*self.cleaned_data["sections"], *(w for w in named if isinstance(w, Section))]
        pieces = [w for w in named if isinstance(w, Piece)]
        return {
            "sections": list(dict.fromkeys(sections)),
            "pieces": list(dict.fromkeys(pieces)),
        }


class PromiseForm(TokenForm, HolderMixin, WoodForm):
    """A promise, word for word, and the wood that is kept for it."""

    promised = words_field(
        "What was promised, word for word", required=True, widget=forms.Textarea(attrs={"rows": 4})
    )
    tree = forms.ModelChoiceField(
        Tree.objects.none(),
        required=False,
        empty_label="No tree",
        help_text="An older tree has a page of its own, where a promise can be written down.",
    )
    wanted_by = DayFormField(label="Wanted by", required=False)

    def __init__(self, *args: Any, scribe: Scribe, tree: Tree | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["made_on"] = past_day(scribe, "Given on", initial=scribe.today)
        self.show_sections_of(tree)
        self.fields["tree"].queryset = Tree.objects.newest(OFFERED, tree)  # type: ignore[attr-defined]
        if tree:
            self.fields["tree"].initial = tree.pk
            self.fields["promised"].initial = tree.promised
            self.start_with(tree.donor)

    def facts(self, scribe: Scribe) -> dict[str, Any]:
        """Return the keyword arguments of `promises.make`; enters a new person in the book."""
        typed = self.cleaned_data
        return {
            "to": self.person(scribe),
            "tree": typed["tree"],
            "made_on": typed["made_on"],
            "wanted_by": typed["wanted_by"],
            **self.wood(),
        }


class KeepForm(WoodForm):
    """The wood of a promise that stands already."""

    def __init__(self, *args: Any, promise: Promise, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.show_sections_of(promise.tree)
        kept = list(promise.sections.select_related("tree"))
        self.fields["sections"].initial = [s.pk for s in kept if s.tree_id == promise.tree_id]
        others: Sequence[object] = [s for s in kept if s.tree_id != promise.tree_id]
        self.fields["numbers"].initial = ", ".join(map(str, [*others, *promise.pieces.all()]))


class SettleForm(forms.Form):
    """How a promise ended."""

    how = CleanCharField(
        max_length=300, label="How it ended", help_text="Kept, or let go: and how you know."
    )

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today)
