"""What the owner types and ticks to print: which pieces, on which sheet, from which place on."""

from typing import Any

from django import forms
from django.db.models import F
from django.db.models.expressions import OrderBy

from provenance.cards.kinds import KINDS, Kind
from provenance.cards.models import PrintRun
from provenance.cards.sheets import SHEETS
from provenance.maker.models import Shop
from provenance.pieces.models import Custody, Piece, PieceQuerySet, Stage
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm, use_units
from provenance.record.money import MoneyFormField
from provenance.record.seeking import sought

HELD = "held"
OFF_SHEET = "There is no such place on this sheet: choose the first free one in the picture."

ORDERS: dict[str, list[str | OrderBy]] = {
    "newest": ["-pk"],
    "number": ["pk"],
    "price": [F("price_minor").asc(nulls_last=True), "pk"],
}


class FilterForm(forms.Form):
    """Narrows the list of pieces to choose from. Starts with what the kind of print is for."""

    find = CleanCharField(
        label="Number, mark, wood or form",
        required=False,
        max_length=120,
        widget=forms.TextInput(
            attrs={"type": "search", "autocomplete": "off", "autocapitalize": "off"}
        ),
    )
    stage = forms.ChoiceField(
        label="Stage", required=False, choices=[("", "Any stage"), *Stage.choices]
    )
    custody = forms.ChoiceField(
        label="Where",
        required=False,
        choices=[("", "Anywhere"), (HELD, "still the shop’s"), *Custody.Kind.choices],
    )
    price_from = MoneyFormField(label="Price from", required=False)
    price_to = MoneyFormField(label="Price to", required=False)
    order = forms.ChoiceField(
        label="Order",
        required=False,
        choices=[("newest", "newest first"), ("number", "by number"), ("price", "by price")],
    )

    def __init__(self, params: Any, kind: Kind, shop: Shop) -> None:
        usual = {"stage": kind.usual_stage, "custody": kind.usual_custody, "order": "newest"}
        super().__init__({name: params.get(name, usual.get(name, "")) for name in self.base_fields})
        use_units(self, shop)

    def pieces(self) -> PieceQuerySet:
        """Return the pieces that the filters leave, in the order asked for. A filter that cannot
        be read filters nothing; its error stands beside it."""
        self.is_valid()
        wanted = self.cleaned_data
        pieces = Piece.objects.search(sought(wanted.get("find", "")))
        if wanted.get("stage"):
            pieces = pieces.at_stage(wanted["stage"])
        if wanted.get("custody") == HELD:
            pieces = pieces.filter(custody__kind__in=Custody.HELD)
        elif wanted.get("custody"):
            pieces = pieces.in_custody(wanted["custody"])
        if wanted.get("price_from") is not None:
            pieces = pieces.filter(price_minor__gte=wanted["price_from"])
        if wanted.get("price_to") is not None:
            pieces = pieces.filter(price_minor__lte=wanted["price_to"])
        return pieces.order_by(*ORDERS[wanted.get("order") or "newest"])


class PrepareForm(TokenForm):
    """Begins a run, or adds to one, with the pieces ticked or with all that the filters leave."""

    kind = forms.ChoiceField(choices=[(kind.slug, kind.many) for kind in KINDS])
    everything = forms.BooleanField(required=False)


class RunForm(forms.Form):
    """The sheet, the first free place on it, and the line under a list's title."""

    sheet = forms.ChoiceField(label="Sheet")
    first_cell = forms.IntegerField(
        required=False,
        min_value=0,
        error_messages=dict.fromkeys(("invalid", "min_value"), OFF_SHEET),
    )
    heading = CleanCharField(
        label="Line under the title",
        required=False,
        max_length=120,
        help_text="The market and its day, in your words.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    codes = forms.BooleanField(required=False)
    announced = forms.IntegerField(required=False, min_value=0, widget=forms.HiddenInput)

    def __init__(self, run: PrintRun, shop: Shop, data: Any = None) -> None:
        now = {"sheet": run.sheet, "first_cell": run.first_cell, "heading": run.heading}
        super().__init__(data, initial=now)
        self.run = run
        sheets: Any = run.what.sheet_choices(shop.paper)
        self.fields["sheet"].choices = sheets  # type: ignore[attr-defined]
        if run.what.is_list:
            self.fields["sheet"].label = "Paper"
        else:
            del self.fields["heading"]

    def clean_first_cell(self) -> int:
        """A place of another sheet than the one now chosen means nothing: begin at the first."""
        sheet = self.cleaned_data.get("sheet", "")
        first: int = self.cleaned_data["first_cell"] or 0
        if sheet != self.run.sheet or sheet not in SHEETS:
            return 0
        return first

    def choices(self) -> dict[str, Any]:
        """Return the choices for `printing.change`."""
        return {
            "sheet": self.cleaned_data["sheet"],
            "first_cell": self.cleaned_data["first_cell"],
            "heading": self.cleaned_data.get("heading", ""),
        }


def in_given_order(pieces: PieceQuerySet, codes: list[str]) -> list[Piece]:
    """Return the pieces with these numbers in the order of the numbers. One query."""
    found = {piece.code: piece for piece in pieces.filter(code__in=codes)}
    return [found[code] for code in dict.fromkeys(codes) if code in found]
