"""A commission's wood: what is kept for it, and the pieces made for it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from provenance.maker.models import Shop
from provenance.pieces.rows import rows_of
from provenance.record.errors import RecordError
from provenance.record.scribe import scribe_of
from shop.commissions import wood
from shop.commissions.forms.wood import KeepForm, MadeForm
from shop.commissions.views.moving import closed, found_one


@require_http_methods(["GET", "POST"])
def keep(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask which sections and pieces are kept for it."""
    found = found_one(pk)
    if back := closed(request, found):
        return back
    form = KeepForm(request.POST if request.method == "POST" else None, commission=found)
    if request.method == "POST" and form.is_valid():
        try:
            wood.keep_wood(found, scribe_of(request), **form.wood())
        except RecordError as error:
            form.add_error("numbers", str(error))
        else:
            messages.success(request, "The wood is kept for it.")
            return redirect("commissions:commission", pk)
    context = {"room": "sales", "form": form, "commission": found}
    return render(request, "commissions/wood.html", context)


@require_http_methods(["GET", "POST"])
def pieces(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask which pieces are made for it."""
    found, scribe = found_one(pk), scribe_of(request)
    if back := closed(request, found):
        return back
    likely = list(wood.likely(found))
    data = request.POST if request.method == "POST" else None
    form = MadeForm(data, commission=found, likely=likely)
    if request.method == "POST" and form.is_valid():
        try:
            wood.make_for_it(found, form.pieces(), scribe)
        except RecordError as error:
            form.add_error("numbers", str(error))
        else:
            messages.success(request, "Written: these are made for it.")
            return redirect("commissions:commission", pk)
    rows = rows_of(likely, Shop.current(), scribe.today)
    context = {"room": "sales", "form": form, "commission": found, "rows": rows}
    return render(request, "commissions/pieces.html", context)
