"""The forms about one piece that has dried or will: its truing, its axes, its soundness."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from provenance.drying.measuring import LOOKED_FOR
from provenance.drying.models import SoundnessCheck
from provenance.drying.truing import Asked
from provenance.maker.models import Shop
from provenance.pieces.forms.fields import past_day, words_field
from provenance.pieces.models import Piece
from provenance.record.fields import LengthFormField
from provenance.record.forms import TokenForm, use_units
from provenance.record.scribe import Scribe

Answer = SoundnessCheck.Answer
Then = SoundnessCheck.Then


class TrueUpForm(forms.Form):
    """What is asked of a rim. Its fields have the names that the form of roughing out has."""

    rough_diameter_mm = LengthFormField(required=False, label="Diameter, green")
    rough_wall_mm = LengthFormField(
        required=False, label="Wall, green", help_text="As roughed, to see what is left of it."
    )
    wall_mm = LengthFormField(
        required=False, label="Wall, finished", help_text="What you want in the end."
    )
    rim_to_pith_mm = LengthFormField(
        required=False,
        min_mm=0,
        label="From the rim to the pith",
        help_text="Empty gives the range over all places in the log.",
    )
    mount_diameter_mm = LengthFormField(required=False, label="Tenon, green")
    tenon_to_pith_mm = LengthFormField(required=False, min_mm=0, label="From the tenon to the pith")
    to_mc_pct = forms.DecimalField(
        min_value=0,
        max_value=30,
        decimal_places=1,
        required=False,
        label="Moisture that it dries to, %",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    is_pith_inside = forms.BooleanField(required=False, label="The pith is inside it")

    def __init__(self, sent: QueryDict, *, start: Mapping[str, Any], shop: Shop) -> None:
        super().__init__()
        use_units(self, shop)
        shown = {name: self.fields[name].prepare_value(value) for name, value in start.items()}
        typed = {name: sent[name] for name in self.fields if name in sent}
        if "diameter_mm" in sent:  # what is turned once has but one diameter
            typed.setdefault("rough_diameter_mm", sent["diameter_mm"])
        self.data = {**shown, **typed}
        self.is_bound = True
        self._dries_to: float = start["to_mc_pct"]

    def asked(self, piece: Piece) -> Asked:
        """Return what is asked, of a form that was cleaned; what is no measure counts as empty."""
        typed = self.cleaned_data
        moisture = typed.get("to_mc_pct")
        return Asked(
            float(self._dries_to if moisture is None else moisture),
            diameter_mm=typed.get("rough_diameter_mm"),
            finished_wall_mm=typed.get("wall_mm"),
            rough_wall_mm=typed.get("rough_wall_mm"),
            rim_to_pith_mm=typed.get("rim_to_pith_mm"),
            tenon_mm=typed.get("mount_diameter_mm"),
            tenon_to_pith_mm=typed.get("tenon_to_pith_mm"),
            is_end_grain=piece.grain == Piece.Grain.END,
            is_pith_inside=bool(typed.get("is_pith_inside")),
        )


class AxesForm(TokenForm):
    """The long and the short outside axis of a rim."""

    long_mm = LengthFormField(label="Long axis")
    short_mm = LengthFormField(label="Short axis")

    def __init__(self, *args: Any, scribe: Scribe, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today, required=True)
        self.fields["words"] = words_field("Words for the journal")
        use_units(self, shop)


class SoundnessForm(TokenForm):
    """What was looked for before a piece goes back on the lathe, and what is done with it."""

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, (label, how) in LOOKED_FOR.items():
            self.fields[name] = forms.ChoiceField(
                label=label,
                help_text=how,
                choices=Answer.choices,
                initial=Answer.NOT_LOOKED,
                widget=forms.RadioSelect,
            )
        self.fields["then"] = forms.ChoiceField(
            label="What now",
            choices=Then.choices,
            widget=forms.RadioSelect,
            error_messages={"required": "Choose what you do with it."},
        )
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today, required=True)
        self.fields["words"] = words_field("Words for the journal")

    def found(self) -> dict[str, str]:
        """Return what was found, by the names of `LOOKED_FOR`."""
        return {name: self.cleaned_data[name] for name in LOOKED_FOR}


class TakeBackForm(TokenForm):
    """Taking a measure or a check back, and why."""

    words = words_field("Why", max_length=500)
