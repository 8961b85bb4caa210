"""What the owner keeps ready for sales: rates of tax, kinds of payment, extras, the terms."""

from datetime import date
from decimal import Decimal

from django.db import models
from django.db.models import Q

from provenance.record.money import plain_percent
from shop.sales import reckoning


class Rounding(models.TextChoices):
    """Where tax is rounded to whole cents: a shop's tax authority says which it takes."""

    ITEM = reckoning.BY_ITEM, "each item by itself"
    RECEIPT = reckoning.BY_RECEIPT, "once for the whole receipt"


class TaxRateQuerySet(models.QuerySet["TaxRate"]):
    def on(self, day: date) -> "TaxRateQuerySet":
        """Rates that hold on that day."""
        return self.filter(since__lte=day).filter(Q(until=None) | Q(until__gte=day))


class TaxRate(models.Model):
    """A rate of sales tax or VAT as the owner was told it, and the days for which it holds."""

    name = models.CharField(max_length=80)
    rate_pct = models.DecimalField(max_digits=7, decimal_places=4)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    objects = TaxRateQuerySet.as_manager()

    class Meta:
        ordering = ["name", "-since"]

    def __str__(self) -> str:
        return f"{self.name} {self.pct_words} %"

    def holds_on(self, day: date) -> bool:
        """Whether it holds on that day."""
        return self.since <= day and (self.until is None or self.until >= day)

    @property
    def pct_words(self) -> str:
        """The rate without needless zeros: "6.25"."""
        return plain_percent(self.rate_pct)


class Kept(models.Model):
    """A row of a short list that the owner keeps; one no longer wanted is retired."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80, unique=True)
    position = models.PositiveSmallIntegerField(default=100)
    is_retired = models.BooleanField("no longer offered", default=False)

    class Meta:
        abstract = True
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class PaymentKind(Kept):
    """A way in which the shop is paid, and what is taken for it: so much a time, and a part."""

    is_cash = models.BooleanField("is cash: change is given", default=False)
    fee_pct = models.DecimalField(max_digits=6, decimal_places=3, default=Decimal(0))
    fee_fixed_minor = models.PositiveBigIntegerField(default=0)

    def fee_minor(self, amount_minor: int) -> int:
        """Return the fee on an amount that comes in."""
        return reckoning.part_of(amount_minor, self.fee_pct) + self.fee_fixed_minor


class Extra(Kept):
    """What is sold besides pieces: a tin of wax, shipping, a lesson."""

    price_minor = models.PositiveBigIntegerField(null=True, blank=True)
    is_taxed = models.BooleanField("taxed", default=True)


class Terms(models.Model):
    """How this shop sells: its prices, its rounding, what stands on its receipts. One row."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    prices_include_tax = models.BooleanField("prices include the tax", default=False)
    rounding = models.CharField(max_length=7, choices=Rounding.choices, default=Rounding.RECEIPT)
    tax_registration = models.CharField(max_length=80, blank=True)
    receipt_words = models.TextField(blank=True, max_length=500)

    class Meta:
        constraints = [models.CheckConstraint(condition=Q(pk=1), name="sales_one_terms")]

    def __str__(self) -> str:
        return "terms"

    @classmethod
    def current(cls) -> "Terms":
        """Return the shop's terms, or unsaved usual ones before they are set. One query."""
        return cls.objects.filter(pk=1).first() or cls()
