"""What is asked about a commission's wood: what is kept for it, and what is made for it."""

import re
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.pieces.forms.promises import MOST_KEPT, WoodForm
from provenance.pieces.models import Piece
from provenance.pieces.sources import piece_numbered
from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField
from shop.commissions.models import Commission


class KeepForm(WoodForm):
    """The wood that is kept for a commission, besides the pieces made for it."""

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.show_sections_of(commission.tree)
        promise = commission.promise
        if promise is None:
            return
        sections = list(promise.sections.select_related("tree"))
        of_tree = [section for section in sections if section.tree_id == commission.tree_id]
        self.fields["sections"].initial = [section.pk for section in of_tree]
        pieces = promise.pieces.exclude(commissions=commission)
        rest: list[object] = [section for section in sections if section not in of_tree]
        self.fields["numbers"].initial = ", ".join(map(str, [*rest, *pieces]))


class MadeForm(forms.Form):
    """Which pieces are made for it: ticks for the likely ones, numbers for others."""

    piece = forms.MultipleChoiceField(
        required=False,
        error_messages={"invalid_choice": "One of the ticked pieces went elsewhere: look again."},
    )
    numbers = CleanCharField(
        required=False,
        max_length=1000,
        label="Others, by their numbers",
        help_text="26-042-8, 26-043-6. Commas between them.",
    )

    def __init__(
        self, *args: Any, commission: Commission, likely: Sequence[Piece], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.likely = {piece.code: piece for piece in likely}
        field = self.fields["piece"]
        field.choices = [(code, code) for code in self.likely]  # type: ignore[attr-defined]
        field.initial = list(commission.pieces.values_list("code", flat=True))

    @property
    def ticked(self) -> list[str]:
        """The codes that are ticked as the form stands."""
        return list(self["piece"].value() or [])

    def clean_numbers(self) -> list[Piece]:
        """Read each number as a piece of the book."""
        typed = [part for part in re.split(r"[,;\n]", self.cleaned_data["numbers"]) if part.strip()]
        if len(typed) > MOST_KEPT:
            raise ValidationError(f"Name {MOST_KEPT} pieces at most.")
        try:
            return [piece_numbered(part.strip()) for part in typed]
        except RecordError as error:
            raise ValidationError(str(error)) from error

    def pieces(self) -> list[Piece]:
        """Return the pieces that are made for it."""
        ticked = [self.likely[code] for code in self.cleaned_data["piece"]]
        return list(dict.fromkeys([*ticked, *self.cleaned_data["numbers"]]))
