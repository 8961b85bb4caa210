"""What narrows the list of receipts."""

from django import forms

from provenance.record.fields import CleanCharField
from shop.sales.models import Channel, ReceiptQuerySet

OWED, REFUNDED, VOID = "owed", "refunded", "void"


class FilterForm(forms.Form):
    """Narrows the list of receipts. What can't be read narrows nothing."""

    find = CleanCharField(
        required=False,
        max_length=100,
        label="Number, piece, place, buyer or words",
        widget=forms.TextInput(attrs={"type": "search", "autocomplete": "off"}),
    )
    channel = forms.ChoiceField(required=False, choices=[("", "Any"), *Channel.choices])
    state = forms.ChoiceField(
        required=False,
        label="Which",
        choices=[("", "All"), (OWED, "Still owed"), (REFUNDED, "Refunded"), (VOID, "Void")],
    )

    def narrow(self, receipts: ReceiptQuerySet) -> ReceiptQuerySet:
        """Return the receipts that the answers leave."""
        self.full_clean()
        typed = self.cleaned_data
        receipts = receipts.search(typed.get("find") or "")
        if typed.get("channel"):
            receipts = receipts.filter(channel=typed["channel"])
        if typed.get("state") == OWED:
            receipts = receipts.owed()
        if typed.get("state") == REFUNDED:
            receipts = receipts.refunded()
        if typed.get("state") == VOID:
            receipts = receipts.voided()
        return receipts

    @property
    def is_narrowed(self) -> bool:
        """Whether anything was asked."""
        return any(self.data.get(name) for name in self.fields)
