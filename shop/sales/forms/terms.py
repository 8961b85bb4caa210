"""How the shop sells: its terms, its rates of tax, and the short lists that the owner keeps."""

from typing import Any

from django import forms

from provenance.maker.models import Shop
from provenance.pieces.forms.lists import OpenListForm
from provenance.record.fields import CleanCharField, DayFormField
from provenance.record.forms import use_units
from provenance.record.money import MoneyFormField, PercentFormField
from shop.sales import taxing
from shop.sales.models import Extra, PaymentKind, Rounding, TaxRate, Terms

HIGHEST_FEE_MINOR = 10**9


class TermsForm(forms.ModelForm):
    """Prices, rounding, and what stands on every receipt."""

    rounding = forms.ChoiceField(
        choices=Rounding.choices, widget=forms.RadioSelect, label="Tax is rounded"
    )

    class Meta:
        model = Terms
        fields = ["prices_include_tax", "rounding", "tax_registration", "receipt_words"]
        field_classes = dict.fromkeys(["tax_registration", "receipt_words"], CleanCharField)
        labels = {
            "prices_include_tax": "My prices include the tax",
            "tax_registration": "Tax registration",
            "receipt_words": "Words at the foot of receipts",
        }
        help_texts = {
            "prices_include_tax": "Ticked, the tax is taken out of the price. Otherwise it is "
            "added to it. A sale can still say otherwise.",
            "tax_registration": "As it must stand on your receipts.",
            "receipt_words": "How to care for the piece, until when it may come back.",
        }
        widgets = {"receipt_words": forms.Textarea(attrs={"rows": 3})}


class RateForm(forms.ModelForm):
    """A rate of tax and the days for which it holds."""

    #: The rate of the same name that holds on some of those days, once one was found.
    in_the_way: TaxRate | None = None

    rate_pct = PercentFormField(
        label="Percent",
        help_text="As you were told it: 6.25",
        error_messages={"required": "Enter the rate in percent."},
    )
    since = DayFormField(
        label="Since", error_messages={"required": "Enter the day since which it holds."}
    )
    until = DayFormField(
        label="Last day", required=False, help_text="Left empty, it holds until you change it."
    )

    class Meta:
        model = TaxRate
        fields = ["name", "rate_pct", "since", "until"]
        field_classes = {"name": CleanCharField}
        error_messages = {"name": {"required": "Give it the name that stands on receipts."}}
        help_texts = {"name": "It stands on receipts: Wrenshire sales tax."}

    def clean(self) -> dict[str, Any]:
        """Refuse two rates of one name on the same day."""
        typed = super().clean() or self.cleaned_data
        if not self.errors:
            facts = {name: typed[name] for name in self.Meta.fields}
            try:
                taxing.check(TaxRate(pk=self.instance.pk, **facts))
            except taxing.EndsTooEarly as error:
                self.add_error("until", str(error))
            except taxing.TwoRates as error:
                self.in_the_way = error.other
                self.add_error("since", str(error))
        return typed


class ChangeRateForm(forms.Form):
    """The next rate of the same name, and its first day."""

    next_pct = PercentFormField(
        label="New percent", error_messages={"required": "Enter the new rate in percent."}
    )
    next_since = DayFormField(
        label="Its first day",
        help_text="The old rate ends the day before.",
        error_messages={"required": "Enter the first day of the new rate."},
    )


class KindForm(OpenListForm):
    """A way of being paid, and what is taken for it."""

    fee_pct = PercentFormField(
        places=3,
        required=False,
        label="Fee in percent",
        help_text="Of each payment: 2.9. Left empty, none.",
    )
    fee_fixed_minor = MoneyFormField(
        required=False, label="Fee for each payment", help_text="Beside the percentage: 0.30."
    )

    class Meta(OpenListForm.Meta):
        model = PaymentKind  # type: ignore[assignment]
        fields = ["name", "is_cash", "fee_pct", "fee_fixed_minor", "position", "is_retired"]
        help_texts = {"is_retired": "Receipts made with it keep it."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, Shop.current())

    def clean_fee_pct(self) -> Any:
        """Return 0 where nothing is typed."""
        return self.cleaned_data["fee_pct"] or 0

    def clean_fee_fixed_minor(self) -> int:
        """Return 0 where nothing is typed."""
        fee: int = self.cleaned_data["fee_fixed_minor"] or 0
        if fee > HIGHEST_FEE_MINOR:
            raise forms.ValidationError("That fee is too large: check the digits.")
        return fee


class ExtraForm(OpenListForm):
    """Something sold besides pieces."""

    price_minor = MoneyFormField(
        required=False,
        label="Price",
        help_text="Left empty, it is asked for at each sale.",
    )

    class Meta(OpenListForm.Meta):
        model = Extra  # type: ignore[assignment]
        fields = ["name", "price_minor", "is_taxed", "position", "is_retired"]
        help_texts = {"is_retired": "Receipts made with it keep it."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, Shop.current())
