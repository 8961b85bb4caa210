"""What the owner types of a wood whose figures the table lacks."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.record.fields import CleanCharField
from provenance.record.text import straighten
from provenance.trees.figure_words import ABOUT
from provenance.trees.models import WoodFigures


class FigureField(forms.DecimalField):
    """A figure between its least and most; a decimal comma and a percent sign will do."""

    def __init__(self, name: str) -> None:
        label, meaning, unit, self.least, self.most, _ = ABOUT[name]
        super().__init__(
            required=False,
            label=label + (f",{unit}" if unit else ""),
            help_text=f"{meaning[0].upper()}{meaning[1:]}.",
            widget=forms.TextInput(
                attrs={"inputmode": "decimal", "autocomplete": "off", "maxlength": "12"}
            ),
        )

    def to_python(self, value: Any) -> Decimal | None:  # type: ignore[override]
        text = straighten(str(value or "")).removesuffix("%").strip().replace(",", ".")
        if not text:
            return None
        if not text.replace(".", "", 1).isdecimal() or len(text) > 12:
            raise ValidationError(f"Type a number such as {self.least} or {self.most}.")
        number = Decimal(text)
        if not Decimal(self.least) <= number <= Decimal(self.most):
            raise ValidationError(f"Such figures lie between {self.least} and {self.most}.")
        return number

    def prepare_value(self, value: Any) -> Any:
        return f"{float(value):g}" if isinstance(value, Decimal) else value


class FiguresForm(forms.Form):
    """The figures that are missing, with where the typed ones come from."""

    source = CleanCharField(
        max_length=200,
        label="Where they come from",
        help_text="A book and its page, a table, your own measured boards.",
        error_messages={
            "required": "Say where the figures come from: a book and its page, your own boards."
        },
    )

    def __init__(
        self, data: Any = None, *, missing: tuple[str, ...], own: WoodFigures | None
    ) -> None:
        held = {n: getattr(own, n) for n in (*missing, "source")} if own else {}
        super().__init__(data, initial=held)
        for name in missing:
            self.fields[name] = FigureField(name)
        self.missing = missing
        self.order_fields([*missing, "source"])

    def clean(self) -> dict[str, Any]:
        """Let everything be cleared, the source with it."""
        cleaned = super().clean() or self.cleaned_data
        typed = any(self.data.get(self.add_prefix(name), "").strip() for name in self.missing)
        if not typed and "source" in self.errors:
            del self.errors["source"]
            cleaned["source"] = ""
        return cleaned

    def figures(self) -> Mapping[str, Decimal | None]:
        """Return the cleaned figures by name, None for those left empty."""
        return {name: self.cleaned_data[name] for name in self.missing}

    def bound_figures(self) -> list[forms.BoundField]:
        """The fields of the figures alone."""
        return [self[name] for name in self.missing]
