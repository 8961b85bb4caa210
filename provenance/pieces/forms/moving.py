"""Forms for the steps of making: moves, losses, coats, and taking a step back."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.forms import BoundField

from provenance.maker.models import Shop
from provenance.pieces.forms.fields import (
    LENGTHS,
    MOUNT_CHOICES,
    PriceFormField,
    length_field,
    minutes_field,
    past_day,
    reason_field,
    when_field,
    words_field,
)
from provenance.pieces.models import Finish, LossCause, Piece
from provenance.pieces.workflow import Move
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm, use_units
from provenance.record.scribe import Scribe


def _finish_fields() -> dict[str, forms.Field]:
    """Return finish, lot and coats."""
    return {
        "finish": forms.ModelChoiceField(
            Finish.objects.all(), required=False, empty_label="Not noted"
        ),
        "lot": CleanCharField(
            max_length=80, required=False, label="Lot", help_text="From the tin, if it says one."
        ),
        "coats": forms.IntegerField(
            min_value=1,
            max_value=50,
            required=False,
            widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
        ),
    }


def _fact_field(name: str, *, is_long: bool) -> forms.Field:
    """Return the field for one fact of a piece that a move asks for."""
    if name in LENGTHS:
        return length_field(name, is_long=is_long)
    if name == "mount":
        return forms.ChoiceField(
            choices=MOUNT_CHOICES, required=False, widget=forms.RadioSelect, label="Held by"
        )
    if name == "price_minor":
        return PriceFormField(required=False, label="Price")
    return CleanCharField(max_length=120, required=False, label="Where it is kept")


class MoveForm(TokenForm):
    """Asks just what one move asks, for one piece or for several at once."""

    def __init__(
        self,
        *args: Any,
        step: Move,
        pieces: Sequence[Piece],
        scribe: Scribe,
        shop: Shop,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.step = step
        self.fact_names = [name for name in step.asks if name != "finish"]
        one = pieces[0] if len(pieces) == 1 else None
        is_long = all(piece.form.is_long for piece in pieces)
        if "finish" in step.asks:
            self.fields.update(_finish_fields())
        for name in self.fact_names:
            self.fields[name] = _fact_field(name, is_long=is_long)
            if one is not None:
                self.fields[name].initial = getattr(one, name)
        self.fields["happened"] = when_field(scribe)
        self.fields["minutes"] = minutes_field("Minutes it took" if one else "Minutes for each")
        self.fields["words"] = words_field("Words for the journal")
        use_units(self, shop)

    def group(self, names: Sequence[str]) -> list[BoundField]:
        """Return the bound fields of these names that the move asks for."""
        return [self[name] for name in names if name in self.fields]

    def sizes(self) -> list[BoundField]:
        """The sizes asked for."""
        return self.group([name for name in LENGTHS if name != "mount_diameter_mm"])

    def mounting(self) -> list[BoundField]:
        """What holds it on the lathe, if that is asked."""
        return self.group(["mount", "mount_diameter_mm"])

    def coating(self) -> list[BoundField]:
        """The finish, if that is asked."""
        return self.group(["finish", "lot", "coats"])

    def rest(self) -> list[BoundField]:
        """Price and shelf, if they are asked."""
        return self.group(["price_minor", "stored"])

    def step_words(self) -> dict[str, Any]:
        """Return the arguments of `workflow.move`. What is left blank stays as it is."""
        typed = self.cleaned_data
        facts = {n: typed[n] for n in self.fact_names if typed[n] not in (None, "")}
        answers = {
            "happened": typed["happened"],
            "is_date_known": typed["happened"] is not None,
            "minutes": typed["minutes"],
            "words": typed["words"],
            "facts": facts,
        }
        if "finish" in self.step.asks:
            answers |= {name: typed[name] for name in ("finish", "lot", "coats")}
        return answers


class LoseForm(TokenForm):
    """How and when pieces were lost; a reason when wood was promised."""

    cause = forms.ModelChoiceField(LossCause.objects.all(), label="Cause", empty_label="Choose…")

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["happened"] = when_field(scribe)
        self.fields["minutes"] = minutes_field("Minutes spent on it until then")
        self.fields["words"] = words_field(
            "Words for the journal", help_text="What you would do another way next time."
        )
        self.fields["reason"] = reason_field()

    def step_words(self) -> dict[str, Any]:
        """Return the keyword arguments of `workflow.lose`."""
        typed = self.cleaned_data
        return {
            "happened": typed["happened"],
            "is_date_known": typed["happened"] is not None,
            "minutes": typed["minutes"],
            "words": typed["words"],
            "reason": typed["reason"],
        }


class CoatForm(TokenForm):
    """A further coat, or another finish, without a change of stage."""

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields.update(_finish_fields())
        self.fields["finish"] = forms.ModelChoiceField(Finish.objects.all(), empty_label="Choose…")
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today, required=True)
        self.fields["words"] = words_field("Words for the journal")


class UndoForm(TokenForm):
    """Taking the last step back: which step is meant, and why."""

    entry = forms.IntegerField(required=False, widget=forms.HiddenInput)
    words = words_field("Why", max_length=500)
