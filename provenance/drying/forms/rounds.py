"""What is typed at the shelf: a round's beginning, a piece and its mass, one weighing."""

from typing import Any

from django import forms

from provenance.drying.forms.masses import ScaleMassField
from provenance.drying.models import Scale, WeighRound
from provenance.maker.models import Shop
from provenance.pieces.forms.fields import past_day, words_field
from provenance.pieces.models import Piece
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.scribe import Scribe

#: What may be typed for a mass, by the shop's unit.
MASS_HINTS = {
    "g": "Grams; or 1.2 kg, 2 lb 3 oz.",
    "kg": "Kilograms; or 1240 g, 2 lb 3 oz.",
    "oz": "Ounces; or 2 lb 3 oz, 990 g.",
    "lb": "As 2 lb 3 oz; or 35 oz, 990 g.",
}


class StartForm(TokenForm):
    """Where the round goes."""

    store = CleanCharField(
        label="Store",
        max_length=120,
        required=False,
        help_text="Left empty, the round goes to every shelf.",
        widget=forms.TextInput(attrs={"list": "stores", "autocomplete": "off"}),
    )


def scale_field(scales: list[Scale], initial: Scale | None) -> Any:
    """Return the choice among the shop's scales; hidden where there is none or one."""
    field: Any = forms.ModelChoiceField(
        Scale.objects.all(), required=False, label="Scale", empty_label="not noted"
    )
    field.initial = initial or (scales[0] if len(scales) == 1 else None)
    if len(scales) < 2:
        field.widget = forms.HiddenInput()
    else:
        # Already read: the field would ask for them once more.
        field.widget.choices = [("", "not noted"), *((each.pk, each.name) for each in scales)]
    return field


class AskedForm(TokenForm):
    """A mass that may be asked about; `sure` carries the very thing that was asked about."""

    sure = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)

    def is_sure_of(self, piece: Piece) -> bool:
        """Whether the question about this piece and this mass was answered."""
        sure: str = self.cleaned_data.get("sure", "")
        return sure == self.asked_about(piece)

    def asked_about(self, piece: Piece) -> str:
        """Return what the second button carries: piece and mass, and the day where it is typed."""
        typed = self.cleaned_data
        return f"{piece.code} {typed['mass_g']} {typed.get('on', '')}".strip()


class WeighInForm(AskedForm):
    """A piece of the round and its mass; `offered` is the piece that the page showed."""

    number = CleanCharField(
        label="Number",
        max_length=300,
        error_messages={"required": "Type the number of the piece."},
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "inputmode": "numeric", "enterkeyhint": "next"}
        ),
    )
    offered = forms.CharField(required=False, max_length=20, widget=forms.HiddenInput)

    def __init__(
        self,
        *args: Any,
        weigh_round: WeighRound,
        scales: list[Scale],
        shop: Shop,
        at: Piece | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass_g"] = ScaleMassField(
            label="Mass", required=False, unit=shop.mass_unit, help_text=MASS_HINTS[shop.mass_unit]
        )
        self.fields["mass_g"].widget.attrs["enterkeyhint"] = "done"
        self.fields["scale"] = scale_field(scales, weigh_round.scale)
        if at is not None:
            self.fields["number"].initial = str(at.number)
            self.fields["offered"].initial = at.code


class WeighForm(AskedForm):
    """One piece on the scale, today or on a day before."""

    def __init__(
        self, *args: Any, scribe: Scribe, scales: list[Scale], shop: Shop, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["mass_g"] = ScaleMassField(
            label="Mass",
            unit=shop.mass_unit,
            help_text=MASS_HINTS[shop.mass_unit],
            error_messages={"required": "Type what the scale shows."},
        )
        self.fields["on"] = past_day(scribe, "When", initial=scribe.today, required=True)
        self.fields["scale"] = scale_field(scales, None)
        self.fields["words"] = words_field("Words for the journal")


class TakeBackWeighingForm(TokenForm):
    """Taking a weighing back, and why."""

    words = words_field("Why", max_length=500)
