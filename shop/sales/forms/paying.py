"""What is paid on a receipt after the sale."""

from typing import Any

from django import forms

from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.money import MoneyFormField
from provenance.record.scribe import Scribe
from shop.sales.forms.fields import KindField, day_field
from shop.sales.models import PaymentKind, Receipt
from shop.sales.paying import Paid, TooLittleCash, WrongAmount


class TakeBackForm(TokenForm):
    """Why a payment is taken back."""

    reason = CleanCharField(
        max_length=200,
        label="What was wrong",
        help_text="Only you see it: “card, not cash”, “$40, not $400”.",
        error_messages={"required": "Say what was wrong, so that you know in a year."},
    )


class PayForm(TokenForm):
    """How it is paid, how much, the cash given, and when."""

    kind = KindField(error_messages={"required": "Say how it is paid."})
    amount = MoneyFormField(error_messages={"required": "Enter what is paid."})
    given = MoneyFormField(required=False, label="Cash given", help_text="For the change.")
    words = CleanCharField(
        required=False, max_length=200, label="Words", help_text="Only you see them."
    )

    def __init__(
        self,
        *args: Any,
        receipt: Receipt,
        kinds: list[PaymentKind],
        scribe: Scribe,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].offer(kinds)  # type: ignore[attr-defined]
        for name in ("amount", "given"):
            self.fields[name].currency = receipt.currency  # type: ignore[attr-defined]
        self.fields["amount"].initial = receipt.owed_minor or None
        self.fields["on"] = day_field(scribe)

    def clean_amount(self) -> int:
        """Refuse a payment of nothing."""
        amount: int = self.cleaned_data["amount"]
        if not amount:
            raise forms.ValidationError("Enter what is paid.")
        return amount

    def paid(self) -> Paid:
        """Return the payment to be."""
        typed = self.cleaned_data
        return Paid(typed["kind"], typed["amount"], typed["given"], typed["words"])

    def refuse(self, error: RecordError) -> None:
        """Put the sentence of a verb beside the field that it is about."""
        where: dict[type[RecordError], str] = {TooLittleCash: "given", WrongAmount: "amount"}
        self.add_error(where.get(type(error), "on"), str(error))
