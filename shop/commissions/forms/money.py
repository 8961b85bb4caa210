"""What is asked about a commission's price and deposit."""

from typing import Any

from django import forms
from django.http import QueryDict

from provenance.maker.models import Shop
from provenance.pieces.forms.fields import PriceFormField, past_day, words_field
from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm, use_units
from provenance.record.money import MoneyFormField
from provenance.record.scribe import Scribe
from shop.commissions.models import Commission
from shop.commissions.orders import MoreThanAgreed
from shop.sales.forms.fields import KindField
from shop.sales.models import PaymentKind
from shop.sales.paying import Paid


class AgreeForm(TokenForm):
    """The price that was agreed on, and in what words."""

    price = MoneyFormField(
        label="Price agreed on",
        help_text="For all of it. It can be agreed on anew later.",
        error_messages={"required": "Enter the price. Where nothing is to be paid, enter 0."},
    )
    words = words_field("What was said", help_text="By letter, at the booth; what is in it.")

    def __init__(
        self, *args: Any, commission: Commission, shop: Shop, scribe: Scribe, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["price"].initial = commission.price_minor
        self.fields["on"] = past_day(scribe, "On", initial=scribe.today, required=True)
        use_units(self, shop)

    def refuse(self, error: RecordError) -> None:
        """Show the sentence of a verb on top."""
        self.add_error(None, str(error))


def _use_currency(form: TokenForm, commission: Commission, shop: Shop) -> None:
    """Let the amounts be typed in what the deposit was paid in, where one was."""
    for field in form.fields.values():
        if isinstance(field, MoneyFormField):
            field.currency = commission.account.currency if commission.account else shop.currency


class MovesMoney(TokenForm):
    """Some money by one kind of payment, on a day."""

    kind = KindField(error_messages={"required": "Say how it is paid."})
    amount = PriceFormField(label="Amount", error_messages={"required": "Enter the amount."})
    words = CleanCharField(
        required=False, max_length=200, label="Words", help_text="Only you see them."
    )

    def __init__(
        self,
        *args: Any,
        commission: Commission,
        shop: Shop,
        scribe: Scribe,
        kinds: list[PaymentKind],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].offer(kinds)  # type: ignore[attr-defined]
        self.fields["on"] = past_day(scribe, "On", initial=scribe.today, required=True)
        _use_currency(self, commission, shop)

    def refuse(self, error: RecordError) -> None:
        """Put the sentence of a verb beside the amount."""
        self.add_error("amount", str(error))


class DepositForm(MovesMoney):
    """A deposit that comes in."""

    amount = PriceFormField(
        label="Deposit", error_messages={"required": "Enter the deposit that was paid."}
    )
    given = MoneyFormField(required=False, label="Cash given", help_text="For the change.")
    #: The amount of which was asked whether it is right.
    asked = CleanCharField(widget=forms.HiddenInput, required=False)

    @property
    def is_sure(self) -> bool:
        """Whether this very amount was asked about, and is sent again."""
        return bool(self.cleaned_data["asked"] == str(self.cleaned_data["amount"]))

    def refuse(self, error: RecordError) -> None:
        """Put the sentence beside the amount; sent again, an amount that is asked about goes in."""
        if isinstance(error, MoreThanAgreed):
            data = QueryDict(mutable=True)
            data.update(self.data)
            data[self.add_prefix("asked")] = str(self.cleaned_data["amount"])
            self.data = data
        super().refuse(error)

    def clean(self) -> dict[str, Any]:
        """Refuse cash that is less than the deposit."""
        typed = super().clean() or self.cleaned_data
        kind, amount, given = (typed.get(name) for name in ("kind", "amount", "given"))
        if kind and kind.is_cash and amount and given is not None and given < amount:
            self.add_error("given", "This is less than the deposit: check the amounts.")
        return typed

    def paid(self) -> Paid:
        """Return the payment to be."""
        typed = self.cleaned_data
        return Paid(typed["kind"], typed["amount"], typed["given"], typed["words"])


class GiveBackForm(MovesMoney):
    """Some of a deposit that goes back."""

    kind = KindField(label="Given back by", error_messages={"required": "Say how it goes back."})

    def __init__(self, *args: Any, commission: Commission, **kwargs: Any) -> None:
        super().__init__(*args, commission=commission, **kwargs)
        self.fields["amount"].initial = commission.held_minor or None

    def paid(self) -> Paid:
        """Return the payment to be."""
        typed = self.cleaned_data
        return Paid(typed["kind"], typed["amount"], words=typed["words"])


class CallOffForm(TokenForm):
    """Why it comes to nothing, and what of the deposit is returned and what kept."""

    why = CleanCharField(
        max_length=300,
        label="Why",
        help_text="Only you see it.",
        error_messages={"required": "Say why, so that you know in a year."},
    )
    returned = MoneyFormField(label="Returned", error_messages={"required": "Enter it, or 0."})
    kept = MoneyFormField(
        label="Kept",
        error_messages={"required": "Enter it, or 0."},
        help_text="It is written as a receipt with one line without tax.",
    )
    kind = KindField(label="Returned by", required=False)

    def __init__(
        self,
        *args: Any,
        commission: Commission,
        shop: Shop,
        scribe: Scribe,
        kinds: list[PaymentKind],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].offer(kinds)  # type: ignore[attr-defined]
        self.fields["returned"].initial, self.fields["kept"].initial = commission.held_minor, 0
        self.fields["on"] = past_day(scribe, "On", initial=scribe.today, required=True)
        self.has_money = bool(commission.held_minor)
        if not self.has_money:
            for name in ("returned", "kept", "kind"):
                del self.fields[name]
        _use_currency(self, commission, shop)

    def clean(self) -> dict[str, Any]:
        """Ask how money is returned, where some is."""
        typed = super().clean() or self.cleaned_data
        if typed.get("returned") and not typed.get("kind") and "kind" not in self.errors:
            self.add_error("kind", "Say how it is returned.")
        return typed

    def facts(self) -> dict[str, Any]:
        """Return the keyword arguments of `orders.call_off`."""
        typed = self.cleaned_data
        money = {"returned_minor": "returned", "kept_minor": "kept", "kind": "kind"}
        given = {key: typed[name] for key, name in money.items() if self.has_money}
        return {**given, "on": typed["on"]}

    def refuse(self, error: RecordError) -> None:
        """Put the sentence of a verb beside the amounts, where there are any."""
        self.add_error("kept" if self.has_money else None, str(error))
