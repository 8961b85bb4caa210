"""What stands open at the end of a day: deposits held for buyers, and what is owed on receipts.

Both are read from the ledgers, whose days say what was so then; the small tables of the present
only say where to look.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Case, Exists, F, OuterRef, Q, QuerySet, Subquery, Sum, When

from shop.sales.models import Account, Owing, Payment, Receipt, RefundLine, Void


@dataclass(frozen=True)
class Held:
    """What is held on one account."""

    account: Account
    amount_minor: int


@dataclass(frozen=True)
class Owed:
    """What is owed on one receipt."""

    receipt: Receipt
    amount_minor: int


def deposits_held(days: Sequence[date], currency: str) -> list[int]:
    """Return what was held for buyers at the end of each day. One query."""
    sums = (
        _movements()
        .filter(account__currency=currency)
        .aggregate(**{f"day{n}": Sum("moved", filter=Q(on__lte=day)) for n, day in enumerate(days)})
    )
    return [int(sums[f"day{n}"] or 0) for n in range(len(days))]


def held_on(day: date, currency: str) -> list[Held]:
    """Return what makes up the deposits held at the end of a day, by account. Two queries."""
    rows = _movements().filter(account__currency=currency, on__lte=day)
    sums = rows.order_by().values_list("account").annotate(held=Sum("moved"))
    amounts = dict(sums.exclude(held=0))
    accounts = Account.objects.filter(pk__in=amounts).select_related("person").order_by("pk")
    return [Held(account, int(amounts[account.pk])) for account in accounts]


def held_in_other_money(day: date, currency: str) -> set[int]:
    """Return the keys of the accounts that then held money of another currency. One query."""
    rows = _movements().exclude(account__currency=currency).filter(on__lte=day)
    amounts = rows.order_by().values_list("account").annotate(held=Sum("moved"))
    return {account for account, _ in amounts.exclude(held=0)}


def _movements() -> QuerySet[Payment]:
    """Payments on accounts, `moved` being what each added to what is held.

    One with a receipt was taken off it, or, negative, put back by its void.
    """
    moved = Case(When(receipt=None, then=F("amount_minor")), default=-F("amount_minor"))
    return Payment.objects.filter(account__isnull=False).annotate(moved=moved)


def owed(days: Sequence[date], currency: str) -> list[int]:
    """Return what was owed on receipts at the end of each day. Four queries.

    What was due on those not void, less what was given back and paid, each by its own day.
    """
    parts: tuple[tuple[int, QuerySet, str, str], ...] = (
        (1, Receipt.objects.filter(currency=currency), "due_minor", "sold_on"),
        (-1, Void.objects.filter(receipt__currency=currency), "receipt__due_minor", "on"),
        (
            -1,
            RefundLine.objects.filter(refund__receipt__currency=currency),
            "due_minor",
            "refund__on",
        ),
        (-1, Payment.objects.filter(receipt__currency=currency), "amount_minor", "on"),
    )
    found = [0 for _ in days]
    for sign, rows, amount, on in parts:
        sums = rows.aggregate(
            **{f"day{n}": Sum(amount, filter=Q((f"{on}__lte", d))) for n, d in enumerate(days)}
        )
        found = [so_far + sign * int(sums[f"day{n}"] or 0) for n, so_far in enumerate(found)]
    return found


def owed_on(day: date, currency: str) -> list[Owed]:
    """Return what makes up the sum owed at the end of a day, by receipt. One query.

    Asked are the receipts still owed on, and those to which anything happened since.
    """
    since: QuerySet = Owing.objects.values("receipt").union(
        Void.objects.filter(on__gt=day).values("receipt"),
        RefundLine.objects.filter(refund__on__gt=day).order_by().values("refund__receipt"),
        Payment.objects.filter(on__gt=day, receipt__isnull=False).order_by().values("receipt"),
    )
    of_it = {"receipt": OuterRef("pk"), "on__lte": day}
    paid = Payment.objects.filter(**of_it).order_by().values("receipt")
    back = RefundLine.objects.filter(refund__receipt=OuterRef("pk"), refund__on__lte=day)
    asked = Receipt.objects.filter(sold_on__lte=day, pk__in=since, currency=currency)
    receipts = asked.annotate(
        paid_then=Subquery(paid.annotate(sum=Sum("amount_minor")).values("sum")),
        back_then=Subquery(
            back.order_by().values("refund__receipt").annotate(s=Sum("due_minor")).values("s")
        ),
        was_void=Exists(Void.objects.filter(**of_it)),
    )
    found = [
        Owed(receipt, _due_then(receipt) - int(receipt.paid_then or 0))
        for receipt in receipts.select_related("buyer", "gallery").order_by("sold_on", "pk")
    ]
    return [owed for owed in found if owed.amount_minor]


def _due_then(receipt: Receipt) -> int:
    """Return what was due on an annotated receipt at the end of the day that was asked for."""
    if receipt.was_void:  # type: ignore[attr-defined]
        return 0
    return receipt.due_minor - int(receipt.back_then or 0)  # type: ignore[attr-defined]
