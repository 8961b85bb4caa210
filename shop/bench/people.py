"""The people of the book: the list of them, found by a piece too, and the page of each."""

from collections.abc import Collection
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import F, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.people.models import Merge, Person
from provenance.pieces.models import Piece, PieceQuerySet
from provenance.record.fragments import wants_fragment
from provenance.record.scribe import scribe_of
from provenance.record.seeking import sought
from shop.bench import history
from shop.commissions.models import Commission
from shop.sales.models import Receipt
from shop.sales.rows import rows_of

#: How many people stand on one page, how many pieces of a person, and how many of anything else.
PEOPLE, PAGE, MOST = 50, 20, 20


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """List the people of the book, filtered by typing: by what is known of them, or by a piece."""
    find = sought(request.GET.get("find", ""))
    found, pieces = Person.objects.search(find), history.meant(find) if find else []
    if pieces:
        found = found | Person.objects.behind(history.who_had(pieces))
    by_name = found.by_name().prefetch_related("merged")
    page = Paginator(by_name, PEOPLE).get_page(request.GET.get("page"))
    rows = history.why_known(list(page.object_list), pieces)
    piece = Piece.objects.filter(pk__in=pieces).first() if pieces and not rows else None
    context = {"room": "people", "page": page, "rows": rows, "find": find, "piece": piece}
    template = "bench/_people_rows.html" if wants_fragment(request) else "bench/people.html"
    return render(request, template, context)


@require_safe
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one person: every piece that they have or had, what they gave and were promised."""
    found = get_object_or_404(Person, pk=pk)
    if found.merged_into_id:
        return redirect("bench:person", found.merged_into_id)
    merges = Merge.objects.filter(folded__merged_into=found, parted_at=None)
    keys = found.keys()
    context = {
        "room": "people",
        "person": found,
        "merges": merges.select_related("kept", "folded"),
        **_pieces(request, keys),
        **_bought_and_asked(keys),
        **_given_and_promised(found),
    }
    return render(request, "bench/person.html", context)


def _pieces(request: HttpRequest, keys: Collection[int]) -> dict[str, Any]:
    """Return the pieces with somebody and those passed on, a page of each."""
    page = _page(history.with_them(keys), request.GET.get("page"))
    past = _page(history.passed_on(keys), request.GET.get("past"))
    shop, today = Shop.current(), scribe_of(request).today
    told = history.stays([*page.object_list, *past.object_list], keys, shop, today)
    held = len(page.object_list)
    shown = {"with_them": told[:held], "passed_on": told[held:]}
    return {"page": page, "past": past, "today": today, **shown}


def _page(pieces: PieceQuerySet, number: str | None) -> "Page[Any]":
    # Sorted and cut by their keys: the database then sorts no whole rows.
    return Paginator(pieces.values_list("pk", flat=True), PAGE).get_page(number)


def _bought_and_asked(keys: Collection[int]) -> dict[str, Any]:
    """Return the receipts that name them, as buyer or as gallery, and their commissions."""
    named = Q(buyer__in=keys) | Q(gallery__in=keys)
    receipts, receipt_count = _first(Receipt.objects.for_lists().filter(named))
    asked = Commission.objects.for_lists().filter(person__in=keys).order_by("-asked_on", "-pk")
    commissions, commission_count = _first(asked)
    return {
        "receipts": rows_of(receipts),
        "receipt_count": receipt_count,
        "commissions": commissions,
        "commission_count": commission_count,
    }


def _given_and_promised(found: Person) -> dict[str, Any]:
    """Return the trees they gave, the stock they supplied, the promises to them; the first few."""
    soonest = F("settled_on").asc(nulls_first=True)
    trees, tree_count = _first(found.trees_given.all())
    stocks, stock_count = _first(found.stock_supplied.all())
    # A commission's promise stands with the commission.
    promised = found.promises.filter(commission=None).select_related("tree")
    promises, promise_count = _first(promised.order_by(soonest, "pk"))
    return {
        "trees": trees,
        "tree_count": tree_count,
        "stocks": stocks,
        "stock_count": stock_count,
        "promises": promises,
        "promise_count": promise_count,
    }


def _first(rows: "QuerySet[Any]") -> tuple[list[Any], int]:
    """Return the first rows, and how many there are in all. They are counted only if many."""
    shown = list(rows[:MOST])
    return shown, len(shown) if len(shown) < MOST else rows.count()
