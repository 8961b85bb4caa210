"""Taking a sale back: why, on which day, and what of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django import forms

from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from provenance.record.fields import CleanCharField
from provenance.record.forms import TokenForm
from provenance.record.money import MoneyFormField
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from shop.sales.forms.fields import KindField, day_field
from shop.sales.models import PaymentKind, Receipt
from shop.sales.paying import WrongAmount
from shop.sales.undoable import Left
from shop.sales.undoing import CannotBeRefunded, Wish

BEFORE_SALE = "That is before the sale: enter the day on which it was taken back."


class UndoForm(TokenForm):
    """Why a sale is taken back, and when."""

    reason = CleanCharField(
        max_length=300,
        label="Why",
        help_text="Only you see it.",
        error_messages={"required": "Say why, so that you know in a year."},
    )

    def __init__(self, *args: Any, receipt: Receipt, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.receipt = receipt
        self.fields["on"] = day_field(scribe)

    def clean_on(self) -> Any:
        """Refuse a day before the sale."""
        day = self.cleaned_data["on"]
        if day < self.receipt.sold_on:
            raise forms.ValidationError(BEFORE_SALE)
        return day

    def refuse(self, error: RecordError) -> None:
        """Put the sentence of a verb beside the field that it is about."""
        # A plain `RecordError` of these verbs is about the day; what else they raise has a name.
        is_about_day = isinstance(error, TooEarly) or type(error) is RecordError
        self.add_error("on" if is_about_day else None, str(error))


class VoidForm(UndoForm):
    """Takes a whole receipt back."""

    def __init__(self, *args: Any, scribe: Scribe, **kwargs: Any) -> None:
        super().__init__(*args, scribe=scribe, **kwargs)
        # A piece's steps go forward: none can be dated before the step that brings it back.
        if self.receipt.sold_on != scribe.today:
            day = PartialDate.of(self.receipt.sold_on).spoken()
            self.fields[
                "on"
            ].help_text = (
                f"To write the sale anew for its own day, {day}, date the void that day, too."
            )


@dataclass(frozen=True)
class Row:
    """One line of the form: what is left on it, and its fields; None where nothing is asked."""

    left: Left
    back: forms.BoundField | None
    amount: forms.BoundField | None
    returned: forms.BoundField | None


class RefundForm(UndoForm):
    """Takes some of a receipt back: on which lines, how much, what comes back, how it is paid."""

    kind = KindField(
        required=False,
        label="Paid back by",
        help_text="What is still owed shrinks first. Only what was paid beyond it is paid back.",
    )

    def __init__(
        self, *args: Any, left: Sequence[Left], kinds: list[PaymentKind], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.left = left
        self.fields["kind"].offer(kinds)  # type: ignore[attr-defined]
        for one in left:
            self._ask(one)

    def _ask(self, one: Left) -> None:
        key = one.line.pk
        if one.amount_minor:
            self.fields[f"back_{key}"] = forms.BooleanField(required=False, label="Give back")
            amount = MoneyFormField(required=False, label="How much", initial=one.amount_minor)
            amount.currency = self.receipt.currency
            self.fields[f"amount_{key}"] = amount
        if one.is_out:
            self.fields[f"returned_{key}"] = forms.BooleanField(
                required=False, label="The piece comes back"
            )

    @property
    def rows(self) -> list[Row]:
        """The lines of the receipt with their fields."""
        return [
            Row(one, *(self._bound(f"{n}_{one.line.pk}") for n in ("back", "amount", "returned")))
            for one in self.left
        ]

    def _bound(self, name: str) -> forms.BoundField | None:
        return self[name] if name in self.fields else None

    def clean(self) -> dict[str, Any]:
        """Refuse an amount on a line that is not ticked, and a tick without one.

        More than is left is for the verb to refuse: sent a second time, the form finds less left.
        """
        typed = super().clean() or self.cleaned_data
        for one in self.left:
            name = f"amount_{one.line.pk}"
            if name in typed:
                self._check(one, name, typed[name], typed.get(f"back_{one.line.pk}"))
        return typed

    def _check(self, one: Left, name: str, amount: int | None, is_back: bool | None) -> None:
        if not is_back:
            if amount not in (None, one.amount_minor):
                self.add_error(name, "Tick “Give back” on this line, or clear the amount.")
        elif not amount:
            self.add_error(name, "Enter what is given back, or take the tick away.")

    def wishes(self) -> list[Wish]:
        """Return what is to be given back, line by line."""
        typed, wishes = self.cleaned_data, []
        for one in self.left:
            key = one.line.pk
            amount = (typed.get(f"amount_{key}") or 0) if typed.get(f"back_{key}") else 0
            wishes.append(Wish(one.line, amount, bool(typed.get(f"returned_{key}"))))
        return wishes

    def refuse(self, error: RecordError) -> None:
        """Put the sentence of a verb beside the field that it is about."""
        if isinstance(error, WrongAmount):
            self.add_error("kind", str(error))
        elif isinstance(error, CannotBeRefunded) and error.line:
            name = f"amount_{error.line.pk}"
            self.add_error(name if name in self.fields else None, str(error))
        else:
            super().refuse(error)
