"""The forms of which the form of a sale is made: lines, payments, terms, buyer, gallery."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.forms.utils import ErrorDict

from provenance.people.forms import NamesSomebody
from provenance.pieces.forms.fields import past_day, reason_field
from provenance.pieces.models import Piece
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.money import MoneyFormField, PercentFormField
from provenance.record.scribe import Scribe
from shop.sales.checkout import MOST_LINES, Sold
from shop.sales.forms.fields import KindField, OffFormField
from shop.sales.models import Channel, Extra, TaxRate
from shop.sales.offering import NO_TAX
from shop.sales.paying import Paid
from shop.sales.reckoning import TooMuchOff

MOST_QUANTITY = 999
PAYMENTS = 2


class LineForm(forms.Form):
    """One line: a piece, an extra, or the owner's own words."""

    piece = CleanCharField(required=False, max_length=20, widget=forms.HiddenInput)
    extra = CleanCharField(required=False, max_length=60, widget=forms.HiddenInput)
    words = CleanCharField(required=False, max_length=200, label="What it is")
    quantity = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=MOST_QUANTITY,
        label="How many",
        widget=forms.NumberInput(attrs={"inputmode": "numeric"}),
    )
    price = MoneyFormField(label="Price each", error_messages={"required": "Enter its price."})
    off = OffFormField(required=False, label="Off", help_text="15, or 10 %")
    is_untaxed = forms.BooleanField(required=False, label="No tax on this")
    gone = forms.BooleanField(required=False, label="Take away")

    #: What the row stands for, set by the desk.
    piece_row: Piece | None = None
    extra_row: Extra | None = None

    @property
    def is_gone(self) -> bool:
        """Whether the row is to be taken away."""
        return bool(self.data.get(self.add_prefix("gone"))) if self.is_bound else False

    def full_clean(self) -> None:
        """Judge the row, unless it is to be taken away."""
        super().full_clean()
        if self.is_gone:
            self._errors = ErrorDict()

    def clean(self) -> dict[str, Any]:
        """Ask for words where nothing else says what it is; refuse a discount beyond the price."""
        typed = super().clean() or self.cleaned_data
        if not (self.piece_row or self.extra_row or typed.get("words")):
            self.add_error("words", "Say what it is.")
        price, off = typed.get("price"), typed.get("off")
        if price is not None and off and "quantity" not in self.errors:
            try:
                off.of(price * self._quantity)
            except TooMuchOff as error:
                self.add_error("off", str(error))
        return typed

    @property
    def _quantity(self) -> int:
        return 1 if self.piece_row else self.cleaned_data.get("quantity") or 1

    def sold(self) -> Sold:
        """Return the line to be."""
        typed = self.cleaned_data
        return Sold(
            unit_minor=typed["price"],
            words="" if self.piece_row else typed["words"],
            quantity=self._quantity,
            piece=self.piece_row,
            extra=self.extra_row,
            off=typed["off"],
            is_taxed=not typed["is_untaxed"],
        )


class PaymentForm(forms.Form):
    """One payment: how, how much (nothing stands for all that is left), cash given."""

    kind = KindField(may_wait=True, error_messages={"required": "Say how it is paid."})
    amount = MoneyFormField(
        required=False, label="Only a part of it", help_text="Left empty, it is all that is due."
    )
    given = MoneyFormField(required=False, label="Cash given", help_text="For the change.")

    def clean(self) -> dict[str, Any]:
        """Refuse an amount of which nobody says how it is paid: it would be taken for owed."""
        typed = super().clean() or self.cleaned_data
        if typed.get("amount") and not typed.get("kind") and "kind" not in self.errors:
            self.add_error("kind", "Say how this amount is paid, or clear it.")
        return typed

    def paid(self) -> Paid | None:
        """Return the payment to be; None for what is not paid yet."""
        typed = self.cleaned_data
        if not typed.get("kind"):
            return None
        return Paid(typed["kind"], typed["amount"], typed["given"])


class BuyerForm(NamesSomebody):
    """Who bought it, where that is known."""

    role = "buyer"
    role_label = "Name"
    role_hint = "Somebody in the book, or a new name. Left empty, nobody is named."


class GalleryForm(NamesSomebody):
    """Which gallery or site sold it."""

    role = "gallery"
    role_label = "Gallery or site"


class SaleForm(TokenForm):
    """When, where and on what terms."""

    channel = forms.ChoiceField(
        choices=Channel.choices,
        widget=forms.RadioSelect,
        error_messages={"required": "Choose how it was sold."},
    )
    place = CleanCharField(
        required=False, max_length=120, label="Market or place", help_text="In your words."
    )
    share = PercentFormField(
        required=False, label="They keep", help_text="In percent of the price before tax."
    )
    is_tax_theirs = forms.BooleanField(required=False, label="They collect the tax themselves")
    off = OffFormField(
        required=False,
        label="Off the whole receipt",
        help_text="15, or 10 %: shared over all lines.",
    )
    off_words = CleanCharField(
        required=False, max_length=120, label="What for", help_text="Stands on the receipt."
    )
    tax = forms.ChoiceField(error_messages={"required": "Choose the tax, or none."})
    prices = forms.ChoiceField(
        choices=[("added", "Added to the prices"), ("included", "In the prices already")],
        widget=forms.RadioSelect,
        label="The tax is",
    )
    words = CleanCharField(
        required=False, max_length=500, label="Note", help_text="Only you see it."
    )
    add = CleanCharField(
        required=False,
        max_length=100,
        label="Add a piece",
        help_text="The number on its foot, or a few words of what it is.",
    )

    def __init__(self, *args: Any, scribe: Scribe, rates: Iterable[TaxRate], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["sold_on"] = past_day(scribe, "Sold on", initial=scribe.today, required=True)
        self.fields["reason"] = reason_field()
        self.rates = {str(rate.pk): rate for rate in rates}
        named = [(key, str(rate)) for key, rate in self.rates.items()]
        blank = [] if self.initial.get("tax") or not named else [("", "Choose…")]
        self.fields["tax"].choices = [*blank, *named, (NO_TAX, "No tax")]  # type: ignore[attr-defined]
        if not named:
            self.fields["tax"].initial = NO_TAX

    def clean(self) -> dict[str, Any]:
        """Refuse a rate that did not hold on the day, where no other of its name did."""
        typed = super().clean() or self.cleaned_data
        rate, day = self.rate, typed.get("sold_on")
        if rate and day and not rate.holds_on(day):
            self.add_error("tax", f"{rate} did not hold on that day: choose the rate of the day.")
        return typed

    @property
    def rate(self) -> TaxRate | None:
        """The rate that was chosen, as it was on the day of the sale; None for no tax."""
        chosen = self.rates.get(self.cleaned_data.get("tax") or "")
        day = self.cleaned_data.get("sold_on")
        if chosen is None or day is None or chosen.holds_on(day):
            return chosen
        then = [r for r in self.rates.values() if r.name == chosen.name and r.holds_on(day)]
        return then[0] if len(then) == 1 else chosen


LineFormSet = forms.formset_factory(
    LineForm, extra=0, max_num=MOST_LINES, absolute_max=MOST_LINES, validate_max=True
)
PaymentFormSet = forms.formset_factory(
    PaymentForm, extra=0, max_num=PAYMENTS, absolute_max=PAYMENTS
)
