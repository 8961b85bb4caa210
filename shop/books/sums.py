"""Sums of the ledgers by month, for the pictures and comparisons of a month's page."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Q, QuerySet, Sum

from shop.books.figures import Figures
from shop.books.months import Month
from shop.sales.models import Payment, Receipt, RefundLine


def figures_by_month(months: Sequence[Month], currency: str) -> dict[Month, Figures]:
    """Return each month's figures, of a run of months in order. Four queries."""
    span = (months[0].first, months[-1].last)
    found = {month: Figures() for month in months}
    for day, figures in (
        *_sales(span, currency), *_voids(span, currency), *_refunds(span, currency),
        *_fees(span, currency),
    ):  # fmt: skip
        found[Month.of(day)] += figures
    return found


Dated = list[tuple[date, Figures]]
Span = tuple[date, date]


def _sales(span: Span, currency: str) -> Dated:
    receipts = Receipt.objects.filter(sold_on__range=span, currency=currency)
    return _totals(receipts, "sold_on")


def _voids(span: Span, currency: str) -> Dated:
    receipts = Receipt.objects.filter(void__on__range=span, currency=currency)
    return [(day, -figures) for day, figures in _totals(receipts, "void__on")]


def _totals(receipts: QuerySet[Receipt], day: str) -> Dated:
    rows = receipts.order_by().values_list(day, "is_tax_theirs").annotate(
        Sum("gross_minor"), Sum("discount_minor"), Sum("share_minor"), Sum("tax_minor")
    )  # fmt: skip
    return [
        (on, Figures(int(gross), int(off), 0, int(share), **_tax(tax, is_theirs)))
        for on, is_theirs, gross, off, share, tax in rows
    ]


def _refunds(span: Span, currency: str) -> Dated:
    lines = RefundLine.objects.filter(
        refund__on__range=span, refund__receipt__currency=currency
    ).order_by()
    rows = lines.values_list("refund__on", "refund__receipt__is_tax_theirs").annotate(
        Sum("amount_minor"), Sum("tax_minor"), Sum("share_minor")
    )
    return [
        (on, Figures(refund=int(amount - tax), share=-int(share), **_tax(-tax, is_theirs)))
        for on, is_theirs, amount, tax, share in rows
    ]


def _fees(span: Span, currency: str) -> Dated:
    of_ours = Q(receipt__currency=currency) | Q(receipt=None, account__currency=currency)
    counted = Payment.objects.filter(of_ours, on__range=span).exclude(fee_minor=0)
    rows = counted.order_by().values_list("on").annotate(Sum("fee_minor"))
    return [(on, Figures(fee=int(fee))) for on, fee in rows]


def _tax(minor: int, is_theirs: bool) -> dict[str, int]:
    return {"tax_theirs" if is_theirs else "tax": int(minor)}
