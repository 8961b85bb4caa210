"""The form for a change of hands."""

from typing import Any

from django import forms

from provenance.pieces.forms.fields import HolderMixin, reason_field, when_field
from provenance.pieces.models import Custody
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.scribe import Scribe

#: Scrapping is a loss with a cause; it has a form of its own.
HANDS = [choice for choice in Custody.Kind.choices if choice[0] != Custody.Kind.SCRAPPED]


class HandOverForm(TokenForm, HolderMixin):
    """Where pieces are now, who has them, since when and why."""

    kind = forms.ChoiceField(choices=HANDS, widget=forms.RadioSelect, label="Where it is now")
    why = CleanCharField(
        required=False,
        max_length=200,
        label="Words",
        help_text="Which market, what for, until when.",
    )

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["since"] = when_field(scribe, "Since")
        self.fields["reason"] = reason_field()

    def clean(self) -> dict[str, Any]:
        """Nobody else holds what is in the shop."""
        cleaned = super().clean()
        if cleaned.get("kind") == Custody.Kind.SHOP and cleaned.get("holder_name"):
            self.add_error("kind", "In the shop nobody else has it: clear the name, or choose on.")
        return cleaned

    def step_words(self, scribe: Scribe) -> dict[str, Any]:
        """Return the keyword arguments of `custody.hand_over`; enters a new holder in the book."""
        typed = self.cleaned_data
        return {
            "holder": self.person(scribe),
            "since": typed["since"],
            "is_date_known": typed["since"] is not None,
            "why": typed["why"],
            "reason": typed["reason"],
        }
