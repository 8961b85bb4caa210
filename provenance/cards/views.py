"""The pages on which tags, cards and lists are chosen, laid out and made."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from provenance.cards import facts, printing
from provenance.cards.forms import FilterForm, PrepareForm, RunForm, in_given_order
from provenance.cards.grid import grid, page_count
from provenance.cards.kinds import BOOTH, KINDS, PRICE_LIST, Kind
from provenance.cards.models import PrintRun
from provenance.cards.price_list import counted
from provenance.cards.qr import usable_public_url
from provenance.cards.sheet_file import facts_of, pdf_of
from provenance.cards.sheets import SHEETS
from provenance.maker.models import Shop
from provenance.pieces.models import Piece
from provenance.record.errors import RecordError
from provenance.record.fragments import wants_fragment
from provenance.record.numbers import Number, codes_of
from provenance.record.operations import once
from provenance.record.scribe import scribe_of
from provenance.record.text import is_key

A_PAGE = 50
#: Names said one by one before "and 12 more".
NAMED = 12


@require_safe
def runs(request: HttpRequest) -> HttpResponse:
    """List what was printed, newest first."""
    page = Paginator(PrintRun.objects.for_lists(), A_PAGE).get_page(request.GET.get("page"))
    rows = [(run, run.what.counted(run.piece_count), run.piece_count - 1) for run in page]
    context = {"room": "cards", "kinds": KINDS, "page": page, "rows": rows}
    return render(request, "cards/runs.html", context)


@require_safe
def choose(request: HttpRequest) -> HttpResponse:
    """Offer the pieces to choose from."""
    template = "cards/_choices.html" if wants_fragment(request) else "cards/choose.html"
    return render(request, template, _choice(request, request.GET))


@require_POST
def prepare(request: HttpRequest) -> HttpResponse:
    """Lay the chosen pieces out on a sheet, or add them to one."""
    context = _choice(request, request.POST)
    form, scribe, adding = PrepareForm(request.POST), scribe_of(request), context["adding"]
    if form.is_valid():
        chosen = context["ticked"]
        if form.cleaned_data["everything"]:
            chosen = [*chosen, *context["pieces"][: printing.MOST_PIECES + 1]]

        def work() -> list[str]:
            run = printing.add(adding, chosen) if adding else printing.prepare(
                form.cleaned_data["kind"], chosen, scribe
            )  # fmt: skip
            return [str(run.pk)]

        try:
            [pk] = once(form.cleaned_data["token"], scribe, work)
        except RecordError as error:
            return render(request, "cards/choose.html", {**context, "error": str(error)})
        return redirect("cards:run", pk)
    return render(request, "cards/choose.html", context)


def _choice(request: HttpRequest, params: QueryDict) -> dict[str, Any]:
    """What the pages for choosing know: the kind, the filters, the pieces left, those ticked."""
    key = params.get("run", "")
    adding = get_object_or_404(PrintRun, pk=int(key)) if is_key(key) else None
    slug = adding.kind if adding else params.get("kind", "")
    kind = next((kind for kind in KINDS if kind.slug == slug), BOOTH)
    shop = Shop.current()
    filters = FilterForm(params, kind, shop)
    ticked = in_given_order(Piece.objects.for_lists(), _ticked(request, params))
    pieces = filters.pieces().for_lists().exclude(pk__in=[piece.pk for piece in ticked])
    if adding:
        pieces = pieces.exclude(printed__run=adding)
    page = Paginator(pieces, A_PAGE).get_page(params.get("page"))
    return {
        "room": "cards",
        "kind": kind,
        "kinds": KINDS,
        "adding": adding,
        "filters": filters,
        "form": PrepareForm(initial={"kind": kind.slug}),
        "pieces": pieces,
        "page": page,
        "total": page.paginator.count + len(ticked),
        "ticked": ticked,
        "ticked_codes": ",".join(piece.code for piece in ticked),
        "query": filters_query(filters, kind, adding),
        "is_narrowed": any(params.get(name) for name in ("price_from", "price_to"))
        or params.get("order", "newest") != "newest",
        "is_new": not Piece.objects.exists(),
    }


def filters_query(filters: FilterForm, kind: Kind, adding: PrintRun | None) -> str:
    """The filters as part of an address."""
    query = QueryDict(mutable=True)
    query.update({name: filters[name].value() or "" for name in filters.fields})
    query.update({"kind": kind.slug, **({"run": str(adding.pk)} if adding else {})})
    return query.urlencode()


def _ticked(request: HttpRequest, params: QueryDict) -> list[str]:
    """The numbers ticked, or those that the page was opened for."""
    if "piece" in params or request.method == "POST" or request.htmx:  # type: ignore[attr-defined]
        typed = params.getlist("piece")
    else:
        typed = params.get("codes", "").split(",")
    return codes_of(typed[: printing.MOST_PIECES + 1])


@require_safe
def run(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one run: its pieces, its sheet, and what making it will do."""
    found = get_object_or_404(PrintRun, pk=pk)
    return render(request, "cards/run.html", _run_page(request, found))


@require_POST
def change(request: HttpRequest, pk: int) -> HttpResponse:
    """Lay a run out anew."""
    found, shop = get_object_or_404(PrintRun, pk=pk), Shop.current()
    form, was_issued = RunForm(found, shop, request.POST), found.is_issued
    if form.is_valid():
        try:
            found = printing.change(found, **form.choices())
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            if not request.htmx:  # type: ignore[attr-defined]
                return redirect("cards:run", found.pk)
            form = RunForm(found, shop)
    template = "cards/_run.html" if request.htmx else "cards/run.html"  # type: ignore[attr-defined]
    page = _run_page(request, found, form)
    return render(request, template, {**page, "is_reopened": was_issued and not found.is_issued})


@require_POST
def remove(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Take one piece out of a run."""
    found, piece = get_object_or_404(PrintRun, pk=pk), get_object_or_404(Piece, code=code)
    try:
        printing.remove(found, piece)
    except RecordError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{piece.number} is taken out.")
    return redirect("cards:run", found.pk)


@require_POST
def issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the sheet, with codes or without; with them, the pieces' public pages open."""
    found, scribe = get_object_or_404(PrintRun, pk=pk), scribe_of(request)
    form = RunForm(found, Shop.current(), request.POST)
    if form.is_valid():
        asked = form.cleaned_data
        try:
            printing.change(found, **form.choices())
            printing.issue(
                found, scribe, with_codes=asked["codes"], announced=asked["announced"] or 0
            )
        except RecordError as error:
            found.refresh_from_db()
            form.add_error(None, str(error))
        else:
            return redirect("cards:run", found.pk)
    return render(request, "cards/run.html", _run_page(request, found, form))


@require_safe
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the sheet as a file. Before it is made, or when asked for, it is a trial."""
    found = get_object_or_404(PrintRun, pk=pk)
    is_trial = "trial" in request.GET or not found.is_issued
    response = HttpResponse(
        pdf_of(found, Shop.current(), is_trial=is_trial), content_type="application/pdf"
    )
    name = f"{found.what.many.replace(' ', '-')}-{found.pk}{'-trial' if is_trial else ''}.pdf"
    response["Content-Disposition"] = f'inline; filename="{name}"'
    return response


def _run_page(request: HttpRequest, found: PrintRun, form: RunForm | None = None) -> dict[str, Any]:
    """What the page of a run knows."""
    shop = Shop.current()
    form = form or RunForm(found, shop)
    page = Paginator(found.in_order().for_lists(), A_PAGE).get_page(request.GET.get("page"))
    count = page.paginator.count
    chosen = str(form["sheet"].value())
    layout = SHEETS.get(chosen)
    first = found.first_cell if chosen == found.sheet else 0
    return {
        "room": "cards",
        "run": found,
        "title": found.what.counted(count),
        "form": form,
        "page": page,
        "count": count,
        "counted": counted(count),
        "layout": layout,
        "cells": grid(layout, first, _first_numbers(found, layout.per_page)) if layout else [],
        "page_count": page_count(layout, first, count) if layout else 0,
        **_codes(found, shop),
        "priceless": _without_price(found),
        "left_out": facts.left_out(facts_of(found, shop)),
    }


def _first_numbers(run: PrintRun, most: int) -> list[str]:
    codes = run.in_order().values_list("code", flat=True)[:most]
    return [str(Number.from_code(code)) for code in codes]


def _without_price(run: PrintRun) -> int:
    """How many pieces have no price, where the print would show one."""
    if run.kind not in (BOOTH.slug, PRICE_LIST.slug):
        return 0
    return run.in_order().filter(price_minor=None).count()


def _codes(run: PrintRun, shop: Shop) -> dict[str, Any]:
    """What codes there can be, which pages they open, and whether those made still hold."""
    if not run.what.may_have_codes:
        return {"closed_count": 0}
    reason = printing.why_no_codes(run, shop)
    closed = run.in_order().filter(published_at=None).for_lists()
    count = closed.count()
    return {
        "why_no_codes": reason,
        "may_have_codes": not reason,
        "closed_count": count,
        "closed": closed[:NAMED],
        "closed_more": max(0, count - NAMED),
        "address": shop.public_address,
        "address_is_usable": usable_public_url(shop.public_address) is not None,
        "is_address_old": run.has_codes and not reason and run.public_url != shop.public_address,
    }
