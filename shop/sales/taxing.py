"""The shop's rates of tax: one ends, the next begins. Receipts keep the rate they have."""

from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from provenance.record.errors import RecordError
from provenance.record.partial_dates import PartialDate
from shop.sales.models import TaxRate


class TwoRates(RecordError):
    """Two rates of one name would hold on the same day: this one, and `other`."""

    def __init__(self, sentence: str, other: TaxRate) -> None:
        super().__init__(sentence)
        self.other = other


class EndsTooEarly(RecordError):
    """A rate would end before it begins."""


def check(rate: TaxRate) -> None:
    """Raise `EndsTooEarly` or `TwoRates` unless the rate, saved or not, fits beside the others."""
    if rate.until and rate.until < rate.since:
        raise EndsTooEarly("It would end before it begins: check the two days.")
    others = TaxRate.objects.filter(name__iexact=rate.name).exclude(pk=rate.pk)
    others = others.filter(Q(until=None) | Q(until__gte=rate.since))
    if rate.until:
        others = others.filter(since__lte=rate.until)
    other = others.first()
    if other:
        raise TwoRates(f"{other} holds on some of those days: {_way_out(rate, other)}.", other)


def _way_out(rate: TaxRate, other: TaxRate) -> str:
    """Return what to do about a rate in the way: the next one of a name is entered on the last."""
    if rate.pk is None and other.until is None and other.since < rate.since:
        return "open that one, and enter the new one under “The rate changes”"
    return "end that one first"


@transaction.atomic
def change(rate: TaxRate, rate_pct: Decimal, since: date) -> TaxRate:
    """End a rate the day before `since` and return the next one of its name, which begins then.

    Raises `EndsTooEarly` where it began no earlier, or has ended already.
    """
    old = TaxRate.objects.select_for_update().get(pk=rate.pk)
    if since <= old.since:
        began = PartialDate.of(old.since).spoken()
        raise EndsTooEarly(f"{old} began on {began}: the next one begins after that day.")
    if old.until:
        raise EndsTooEarly(f"{old} has its last day already: add the next one by itself.")
    old.until = since - timedelta(days=1)
    old.save(update_fields=["until"])
    new = TaxRate(name=old.name, rate_pct=rate_pct, since=since)
    check(new)
    new.save()
    return new
