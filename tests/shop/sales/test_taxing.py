"""Rates of tax: one ends, the next begins."""

from datetime import date
from decimal import Decimal

import pytest

from shop.sales import taxing
from shop.sales.models import TaxRate
from tests import factories

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def a_rate(pct: str = "6.25", since: date = date(2026, 1, 1), until: date | None = None) -> TaxRate:
    return TaxRate(name="County tax", rate_pct=Decimal(pct), since=since, until=until)


def test_the_next_rate_begins_the_day_after_the_last_one_ends():
    old = a_rate()
    old.save()
    new = taxing.change(old, Decimal("6.5"), date(2026, 7, 1))
    holding = {day: str(TaxRate.objects.on(day).get()) for day in (date(2026, 6, 30), new.since)}
    assert list(holding.values()) == ["County tax 6.25 %", "County tax 6.5 %"]


def test_receipts_keep_the_rate_they_were_made_with():
    old = a_rate()
    old.save()
    receipt = factories.a_receipt(tax=old)
    taxing.change(old, Decimal(9), date(2026, 7, 1))
    receipt.refresh_from_db()
    assert (receipt.tax_rate_pct, receipt.tax_minor) == (Decimal("6.25"), 625)


@pytest.mark.parametrize(
    ("until", "day"),
    [(None, date(2026, 1, 1)), (None, date(2025, 1, 1)), (date(2026, 3, 1), date(2026, 7, 1))],
)
def test_a_rate_ends_once_and_not_before_it_began(until, day):
    old = a_rate(until=until)
    old.save()
    with pytest.raises(taxing.EndsTooEarly):
        taxing.change(old, Decimal(7), day)
    assert TaxRate.objects.get().until == until


def test_the_next_rate_does_not_run_into_one_that_is_there():
    old = a_rate()
    old.save()
    a_rate("7", date(2027, 1, 1)).save()
    with pytest.raises(taxing.TwoRates):
        taxing.change(old, Decimal(8), date(2026, 7, 1))
    assert TaxRate.objects.get(pk=old.pk).until is None


@pytest.mark.parametrize(
    ("since", "until", "is_sound"),
    [
        (date(2026, 7, 1), None, True),
        (date(2025, 1, 1), date(2025, 12, 31), True),
        (date(2026, 6, 30), None, False),
        (date(2025, 1, 1), None, False),
        (date(2025, 1, 1), date(2026, 1, 1), False),
    ],
)
def test_one_name_has_one_rate_a_day(since, until, is_sound):
    a_rate(until=date(2026, 6, 30)).save()
    rate = a_rate("7", since, until)
    if is_sound:
        taxing.check(rate)
    else:
        with pytest.raises(taxing.TwoRates, match="holds on some of those days"):
            taxing.check(rate)


def test_a_rate_that_runs_on_is_changed_where_it_stands():
    running = a_rate()
    running.save()
    with pytest.raises(taxing.TwoRates, match="new one under “The rate changes”") as refusal:
        taxing.check(a_rate("7", date(2026, 7, 1)))
    assert refusal.value.other == running
    with pytest.raises(taxing.TwoRates, match="end that one first"):
        taxing.check(a_rate("7", date(2025, 7, 1)))
    running.until = date(2026, 12, 31)
    running.save()
    with pytest.raises(taxing.TwoRates, match="end that one first"):
        taxing.check(a_rate("7", date(2026, 7, 1)))


def test_a_rate_does_not_stand_in_its_own_way():
    rate = a_rate()
    rate.save()
    taxing.check(rate)
    with pytest.raises(taxing.EndsTooEarly):
        taxing.check(a_rate(until=date(2025, 1, 1)))
