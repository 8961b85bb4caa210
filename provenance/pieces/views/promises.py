"""Promises: the list of them, writing one down, keeping wood for it, its end."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.maker.models import Shop
from provenance.pieces import promises
from provenance.pieces.forms.promises import KeepForm, PromiseForm, SettleForm
from provenance.pieces.models import Piece, Promise
from provenance.pieces.rows import rows_of
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from provenance.trees.models import Tree

PER_PAGE = 50


@require_safe
def promise_list(request: HttpRequest) -> HttpResponse:
    """Show the promises that stand, those wanted soonest first, and those that are settled."""
    every = Promise.objects.select_related("to", "tree").annotate(
        section_count=Count("sections", distinct=True), piece_count=Count("pieces", distinct=True)
    )
    soonest = F("wanted_by").asc(nulls_last=True)
    ended = every.exclude(settled_on=None).order_by("-settled_on", "-pk")
    settled = Paginator(ended, PER_PAGE)
    context = {
        "room": "pieces",
        "standing": every.standing().order_by(soonest, "pk"),
        "page": settled.get_page(request.GET.get("page")),
        "said_only": list(promises.said_at_pick_up()),
        "today": scribe_of(request).today,
    }
    return render(request, "pieces/promises.html", context)


@require_http_methods(["GET", "POST"])
def add_promise(request: HttpRequest) -> HttpResponse:
    """Ask for a promise, word for word, and write it down."""
    scribe = scribe_of(request)
    tree = Tree.objects.numbered(request.GET.get("tree", ""))
    form = PromiseForm(request.POST or None, scribe=scribe, tree=tree)
    if request.method == "POST" and form.is_valid():
        try:
            [key] = _write_down(form, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down.")
            return redirect("pieces:promise", int(key))
    return render(
        request, "pieces/add_promise.html", {"room": "pieces", "form": form, "tree": tree}
    )


def _write_down(form: PromiseForm, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        promise = promises.make(scribe, form.cleaned_data["promised"], **form.facts(scribe))
        return [str(promise.pk)]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one promise; keep other wood for it when its form is sent."""
    found = get_object_or_404(Promise.objects.select_related("to", "tree"), pk=pk)
    scribe = scribe_of(request)
    form = KeepForm(request.POST or None, promise=found)
    if request.method == "POST" and form.is_valid():
        try:
            promises.reserve(found, scribe, **form.wood())
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The wood is kept for it.")
            return redirect("pieces:promise", pk)
    return _page(request, found, form, SettleForm(scribe=scribe), scribe)


@require_POST
def settle_promise(request: HttpRequest, pk: int) -> HttpResponse:
    """Close a promise: kept, or let go."""
    found = get_object_or_404(Promise.objects.select_related("to", "tree"), pk=pk)
    scribe = scribe_of(request)
    form = SettleForm(request.POST, scribe=scribe)
    if form.is_valid():
        try:
            promises.settle(found, scribe, form.cleaned_data["how"], on=form.cleaned_data["on"])
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "The promise is settled.")
            return redirect("pieces:promise", pk)
    return _page(request, found, KeepForm(promise=found), form, scribe)


def _page(
    request: HttpRequest, found: Promise, form: KeepForm, settle_form: Any, scribe: Scribe
) -> HttpResponse:
    kept = Piece.objects.for_lists().filter(promises=found)
    context = {
        "room": "pieces",
        "promise": found,
        "sections": found.sections.select_related("tree"),
        "rows": rows_of(kept, Shop.current(), scribe.today),
        "form": form,
        "settle_form": settle_form,
    }
    return render(request, "pieces/promise.html", context)
