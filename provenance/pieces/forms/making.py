"""Forms for making pieces, and for entering those from before the book."""

from typing import Any

from django import forms

from provenance.maker.models import Shop
from provenance.pieces import sources
from provenance.pieces.forms.fields import (
    HolderMixin,
    PriceFormField,
    length_field,
    when_field,
    words_field,
)
from provenance.pieces.making import MOST_AT_ONCE, Past, Source
from provenance.pieces.models import (
    Custody,
    Edge,
    Finish,
    Form,
    LossCause,
    Method,
    Part,
    Piece,
    Stage,
    Use,
)
from provenance.pieces.workflow import METHODS, stages_of
from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm, use_units
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

MOST_PARTS = 12


class PartForm(forms.Form):
    """One part: where its wood comes from and what it is. Empty rows are passed over."""

    source = forms.ChoiceField(required=False, label="Where the wood comes from")
    number = CleanCharField(
        required=False,
        max_length=80,
        label="Number of that piece or section",
        help_text="A piece whose core, remnant or recut is the wood, or a section: T26-014-5 B.",
    )
    role = forms.ChoiceField(choices=Part.Role.choices, initial=Part.Role.WHOLE, label="What it is")
    uses_up = forms.BooleanField(required=False, label="That uses it up")

    def __init__(self, *args: Any, choices: sources.Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["source"].choices = choices  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Read the choice as a row of the book."""
        cleaned = super().clean() or self.cleaned_data
        value, number = cleaned.get("source", ""), cleaned.get("number", "")
        if number and not value:
            value = sources.PIECE
        try:
            cleaned["origin"] = sources.origin_of(value, number) if value else None
        except RecordError as error:
            self.add_error("number", str(error))
        return cleaned

    def part(self) -> Source | None:
        """Return the part to be; None for a row left empty."""
        origin = self.cleaned_data.get("origin")
        if origin is None:
            return None
        return Source(origin.row, self.cleaned_data["role"], self.cleaned_data["uses_up"])


class BasePartFormSet(forms.BaseFormSet):
    """The parts of a piece."""

    def total_form_count(self) -> int:
        """Return how many rows there are: one at least, whatever was sent."""
        return max(1, super().total_form_count())

    def clean(self) -> None:
        """Ask for one part at least, and for a role each when there are several."""
        if any(self.errors):
            return
        parts = self.parts()
        if not parts:
            raise forms.ValidationError(
                "Say where the wood comes from: choose “Not known” if nobody can tell."
            )
        roles = [part.role for part in parts]
        if Part.Role.WHOLE in roles:
            roles.remove(Part.Role.WHOLE)
            if not {Part.Role.RING, Part.Role.INLAY}.issuperset(roles):
                raise forms.ValidationError(
                    "Beside the whole there is only a ring or an inlay: say which part is the "
                    "body, the neck, the lid."
                )

    def parts(self) -> list[Source]:
        """Return the parts that were filled in."""
        return [part for form in self.forms if (part := form.part())]


PartFormSet = forms.formset_factory(
    PartForm, formset=BasePartFormSet, extra=0, max_num=MOST_PARTS, absolute_max=MOST_PARTS
)


class MakeForm(TokenForm):
    """What a new piece, or a run of them, is to be."""

    form = forms.ModelChoiceField(Form.objects.all(), label="Form of work", empty_label="Choose…")
    method = forms.ChoiceField(choices=Method.choices, widget=forms.RadioSelect, label="Method")
    count = forms.IntegerField(
        min_value=1,
        max_value=MOST_AT_ONCE,
        initial=1,
        label="How many",
        help_text=f"A run gets numbers that follow each other, up to {MOST_AT_ONCE}.",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    edge = forms.ModelChoiceField(Edge.objects.all(), required=False, empty_label="Not noted")
    grain = forms.ChoiceField(choices=Piece.Grain.choices, required=False)
    use = forms.ChoiceField(
        choices=[("", "As usual for its form"), *Use.choices],
        required=False,
        label="Made for",
        help_text="Decides the care text, with the finish.",
    )
    stored = CleanCharField(max_length=120, required=False, label="Where it is kept")
    words = words_field("Words for the journal")

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["happened"] = when_field(scribe, "Cut on")

    def facts(self) -> dict[str, Any]:
        """Return the further fields of `Piece` that were answered."""
        names = ("edge", "grain", "use", "stored")
        return {name: self.cleaned_data[name] for name in names if self.cleaned_data[name]}


class SourcesForm(TokenForm):
    """What is said beside the parts when a piece's wood is corrected."""

    words = words_field("How you know")


PAST_DATES = {
    "turned": ("Roughed out or turned", ("rough", "turn-green", "turn")),
    "dried": ("Called dry", ("call-dry",)),
    "trued": ("Trued up", ("true-up",)),
    "coated": ("First coat", ("into-finish",)),
    "done": ("Finished", ("finish",)),
}
"""Each date of the form with its label and the moves it may stand for."""

PAST_SIZES = ("diameter_mm", "height_mm", "wall_mm")


class OldPieceForm(TokenForm, HolderMixin):
    """A piece from before the book: what is known, with room for what is not."""

    form = forms.ModelChoiceField(Form.objects.all(), label="Form of work", empty_label="Choose…")
    method = forms.ChoiceField(choices=Method.choices, widget=forms.RadioSelect, label="Method")
    stage = forms.ChoiceField(choices=Stage.choices, initial=Stage.FINISHED, label="Stage now")
    old_mark = CleanCharField(
        max_length=80,
        required=False,
        label="Mark on its foot",
        help_text="Kept letter for letter. The piece gets a number of the book beside it.",
    )
    wood_words = CleanCharField(
        max_length=120,
        required=False,
        label="Its wood in your words",
        help_text="Where no tree of the book gave it: “elm, perhaps”. Strangers may read it.",
    )
    title = CleanCharField(max_length=120, required=False, label="Title")
    edge = forms.ModelChoiceField(Edge.objects.all(), required=False, empty_label="Not noted")
    grain = forms.ChoiceField(choices=Piece.Grain.choices, required=False)
    finish = forms.ModelChoiceField(Finish.objects.all(), required=False, empty_label="Not known")
    loss_cause = forms.ModelChoiceField(
        LossCause.objects.all(), required=False, label="How it was lost", empty_label="Not lost"
    )
    price_minor = PriceFormField(required=False, label="Price")
    custody = forms.ChoiceField(
        choices=[c for c in Custody.Kind.choices if c[0] != Custody.Kind.SCRAPPED],
        initial=Custody.Kind.SHOP,
        label="Where it is now",
    )
    why = CleanCharField(max_length=200, required=False, label="How it got there")
    stored = CleanCharField(max_length=120, required=False, label="Where it is kept")
    notes = words_field("Notes", max_length=5000)

    def __init__(self, *args: Any, scribe: Scribe, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["begun"] = when_field(scribe, "Blank cut", is_today=False)
        for name, (label, _) in PAST_DATES.items():
            self.fields[name] = when_field(scribe, label, is_today=False)
        self.fields["lost"] = when_field(scribe, "Lost on", is_today=False)
        self.fields["since"] = when_field(scribe, "Since when", is_today=False)
        for name in PAST_SIZES:
            self.fields[name] = length_field(name)
        use_units(self, shop)

    def clean(self) -> dict[str, Any]:
        """Hold stage, dates, loss and custody against each other."""
        cleaned = super().clean()
        if cleaned.get("method") and cleaned.get("stage"):
            self._check_dates(cleaned)
        is_lost = cleaned.get("stage") == Stage.LOST
        if is_lost and not cleaned.get("loss_cause"):
            self.add_error("loss_cause", "Say how it was lost: “not known” is an answer.")
        if not is_lost and (cleaned.get("loss_cause") or cleaned.get("lost")):
            self.add_error("stage", "You say how it was lost: choose “lost” as its stage.")
        if is_lost and cleaned.get("custody") not in (Custody.Kind.SHOP, None):
            self.add_error("custody", "A lost piece is nowhere: leave this “in the shop”.")
        return cleaned

    def _check_dates(self, cleaned: dict[str, Any]) -> None:
        reached = self._reached()
        for name, (_, slugs) in PAST_DATES.items():
            if cleaned.get(name) and not reached.intersection(slugs):
                self.add_error(name, "By method and stage it never got that far: clear this date.")
        if cleaned.get("finish") and "into-finish" not in reached:
            self.add_error("finish", "By its stage it carries no finish yet.")

    def _reached(self) -> set[str]:
        """Return the slugs of the moves that brought the piece to its stage."""
        method, stage = self.cleaned_data["method"], self.cleaned_data["stage"]
        stages = list(stages_of(method))
        onward = [m.slug for m in METHODS[method] if m.is_onward]
        return set(onward[: stages.index(stage)]) if stage in stages else set()

    def past(self, scribe: Scribe) -> Past:
        """Return what is known of its way here; enters a new holder in the book."""
        typed = self.cleaned_data
        dates: dict[str, PartialDate | None] = {"lost": typed["lost"]}
        for name, (_, slugs) in PAST_DATES.items():
            dates.update(dict.fromkeys(slugs, typed[name]))
        return Past(
            stage=typed["stage"],
            dates=dates,
            loss_cause=typed["loss_cause"],
            finish=typed["finish"],
            custody=typed["custody"],
            holder=self.person(scribe),
            since=typed["since"],
            why=typed["why"],
        )

    def facts(self) -> dict[str, Any]:
        """Return the further fields of `Piece` that were answered."""
        names = (
            *PAST_SIZES,
            *("old_mark", "wood_words", "title", "edge", "grain", "price_minor", "stored", "notes"),
        )
        return {n: self.cleaned_data[n] for n in names if self.cleaned_data[n] not in (None, "")}
