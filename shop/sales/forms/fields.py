"""The fields that several forms about sales ask."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from provenance.pieces.forms.fields import past_day
from provenance.record.fields import DayFormField
from provenance.record.money import LONGEST_TYPED, MoneyFormField, PercentFormField
from provenance.record.scribe import Scribe
from shop.sales.models import PaymentKind
from shop.sales.reckoning import Off

NOT_PAID = "none"


class OffFormField(MoneyFormField):
    """A discount as typed: "15" is an amount, "10 %" a part. Its value is an `Off`."""

    def to_python(self, value: Any) -> Any:
        text = str(value or "").strip()
        if not text.endswith("%"):
            return Off(minor=super().to_python(text) or 0)
        pct = PercentFormField().to_python(text[:LONGEST_TYPED])
        if pct is None or pct > 100:
            raise ValidationError("Enter a part of the price, for example 10 %.")
        return Off(pct=pct)

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Off):
            return super().prepare_value(value.minor) if value.minor else ""
        return value


class KindSelect(forms.RadioSelect):
    """The kinds of payment to choose from; cash is marked, so that its change can be asked for."""

    cash: frozenset[str] = frozenset()

    def create_option(self, name: str, value: Any, *args: Any, **kwargs: Any) -> dict[str, Any]:
        option: dict[str, Any] = super().create_option(name, value, *args, **kwargs)
        if str(value) in self.cash:
            option["attrs"]["data-cash"] = ""
        return option


class KindField(forms.ChoiceField):
    """How something is paid; its value is a `PaymentKind`, or None for not paid yet."""

    widget = KindSelect

    def __init__(self, *, may_wait: bool = False, **kwargs: Any) -> None:
        super().__init__(**{"label": "Paid by", **kwargs})
        self.may_wait = may_wait
        self.kinds: dict[str, PaymentKind] = {}

    def offer(self, kinds: list[PaymentKind]) -> None:
        """Say which kinds there are."""
        self.kinds = {str(kind.pk): kind for kind in kinds}
        waiting = [(NOT_PAID, "Not paid yet")] if self.may_wait else []
        self.choices = [*((key, kind.name) for key, kind in self.kinds.items()), *waiting]
        if isinstance(self.widget, KindSelect):
            self.widget.cash = frozenset(k for k, kind in self.kinds.items() if kind.is_cash)

    def clean(self, value: Any) -> Any:
        return self.kinds.get(str(super().clean(value)))


def day_field(scribe: Scribe) -> DayFormField:
    """Return the day on which something happened to a receipt: today unless another is entered."""
    return past_day(
        scribe,
        "On",
        initial=scribe.today,
        required=True,
        error_messages={"required": "Enter the day."},
    )
