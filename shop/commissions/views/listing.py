"""The commissions of the book: their list, a new one, the page of one, its details."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces.rows import rows_of
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.fragments import wants_fragment
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.seeking import sought
from provenance.record.text import is_key
from provenance.trees.models import Tree
from shop.commissions import orders, story
from shop.commissions.forms.wish import AskForm, EditForm
from shop.commissions.models import Commission
from shop.sales.models import Terms

PER_PAGE = 50


@require_safe
def commissions(request: HttpRequest) -> HttpResponse:
    """List what is to be made, the soonest wanted first, and below what has ended."""
    find = sought(request.GET.get("find", ""))
    found = Commission.objects.for_lists().search(find)
    ended = found.ended().order_by(F("receipt__sold_on").desc(nulls_last=True), "-pk")
    context = {
        "room": "sales",
        "find": find,
        "standing": list(found.standing().soonest()),
        "page": Paginator(ended, PER_PAGE).get_page(request.GET.get("page")),
        "held_minor": Commission.objects.held_minor(Shop.current().currency),
        "today": scribe_of(request).today,
    }
    is_part = wants_fragment(request)
    template = "commissions/_rows.html" if is_part else "commissions/list.html"
    return render(request, template, context)


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Ask what somebody wishes, and write it down."""
    scribe, shop = scribe_of(request), Shop.current()
    tree, person = Tree.objects.numbered(request.GET.get("tree", "")), _person(request)
    form = AskForm(request.POST or None, shop=shop, scribe=scribe, tree=tree, initial={
        "tree": tree and tree.pk})  # fmt: skip
    form.start_with(person)
    if request.method == "POST" and form.is_valid():
        try:
            [key] = _write_down(form, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down.")
            return redirect("commissions:commission", int(key))
    return render(request, "commissions/add.html", {"room": "sales", "form": form})


def _person(request: HttpRequest) -> Person | None:
    """Return whom the address names."""
    key = request.GET.get("person", "")
    return Person.objects.kept().filter(pk=int(key)).first() if is_key(key) else None


def _write_down(form: AskForm, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        person, facts = form.person(scribe), form.facts()
        if person is None:
            raise RecordError("Say who asks.")
        made = orders.ask(scribe, person, facts.pop("wished"), on=facts.pop("asked_on"), **facts)
        if form.cleaned_data["price"] is not None:
            orders.agree(made, form.cleaned_data["price"], scribe, on=made.asked_on)
        return [str(made.pk)]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_safe
def commission(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one commission: what is wished, its money, its wood, what happened, what is next."""
    found = get_object_or_404(Commission.objects.for_lists().select_related("promise"), pk=pk)
    scribe, shop = scribe_of(request), Shop.current()
    context = {
        "room": "sales",
        "commission": found,
        "entries": story.told(found),
        "is_overdue": found.is_overdue(scribe.today),
        "today": scribe.today,
        "terms": Terms.current(),
        "made": rows_of(found.pieces.for_lists().order_by("pk"), shop, scribe.today),
        **_kept(found, shop, scribe),
    }
    return render(request, "commissions/commission.html", context)


def _kept(found: Commission, shop: Shop, scribe: Scribe) -> dict[str, Any]:
    """Return the wood that its promise keeps, besides the pieces made for it."""
    if found.promise is None or found.promise.settled_on:
        return {"sections": [], "kept": []}
    pieces = found.promise.pieces.for_lists().exclude(commissions=found).order_by("pk")
    return {
        "sections": list(found.promise.sections.select_related("tree")),
        "kept": rows_of(pieces, shop, scribe.today),
    }


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the details of a commission."""
    found = get_object_or_404(Commission.objects.select_related("person", "tree"), pk=pk)
    scribe, shop = scribe_of(request), Shop.current()
    form = EditForm(request.POST or None, instance=found, shop=shop, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            changed = orders.amend(found, {"person": form.person(scribe), **form.facts()}, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written." if changed else "Nothing had changed.")
            return redirect("commissions:commission", pk)
    context = {"room": "sales", "form": form, "commission": form.held}
    return render(request, "commissions/edit.html", context)
