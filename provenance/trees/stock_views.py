"""Bought stock: the list, one lot with its papers and cautions, entering and changing it."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.maker.models import Shop
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.fragments import wants_fragment
from provenance.record.notes import take_note, take_photos
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.seeking import sought
from provenance.trees import register
from provenance.trees.models import BoughtStock
from provenance.trees.wood_forms import EditStockForm, StockForm
from provenance.wood.cautions import for_all_woods

PAGE = 50


@require_safe
def stock(request: HttpRequest) -> HttpResponse:
    """List bought stock, filtered by typing; what is used up only when asked for."""
    find = sought(request.GET.get("find", ""))
    with_used_up = bool(request.GET.get("used_up"))
    found = BoughtStock.objects.search(find).select_related("supplier")
    found = found if with_used_up else found.filter(used_up=False)
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    template = "trees/_stock_rows.html" if wants_fragment(request) else "trees/stock.html"
    context = {"room": "trees", "page": page, "find": find, "with_used_up": with_used_up}
    return render(request, template, context)


@require_http_methods(["GET", "POST"])
def add_stock(request: HttpRequest) -> HttpResponse:
    """Enter stock that was bought."""
    scribe = scribe_of(request)
    form = StockForm(request.POST or None, shop=Shop.current(), today=scribe.today)
    if request.method == "POST" and form.is_valid():
        try:
            pk = _entered(form, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{form.cleaned_data['name']}: in the book.")
            return redirect("trees:stock_item", pk)
    return render(request, "trees/add_stock.html", {"room": "trees", "form": form})


def _entered(form: StockForm, scribe: Scribe) -> int:
    """Write the form's stock once, however often it is sent; return its key."""

    def work() -> list[str]:
        stock = register.add_stock(scribe, supplier_named=form.named(), **form.facts())
        return [str(stock.pk)]

    [pk] = operations.once(form.cleaned_data["token"], scribe, work)
    return int(pk)


@require_safe
def stock_item(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one lot: its facts, its papers, what is known against its wood, its journal."""
    stock = get_object_or_404(BoughtStock.objects.select_related("supplier", "journal"), pk=pk)
    context = {
        "room": "trees",
        "stock": stock,
        "cautions": [*stock.cautions, *for_all_woods()],
        "missing_papers": stock.missing_papers(),
        "photos": stock.journal.photos.shown(),
        "put_away": stock.journal.photos.put_away(),
        "entries": stock.journal.entries.select_related("by", "correction").order_by("-pk"),
    }
    return render(request, "trees/stock_item.html", context)


@require_http_methods(["GET", "POST"])
def edit_stock(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of bought stock."""
    stock = get_object_or_404(BoughtStock, pk=pk)
    scribe = scribe_of(request)
    form = EditStockForm(
        request.POST or None, instance=stock, shop=Shop.current(), today=scribe.today
    )
    if request.method == "POST" and form.is_valid():
        try:
            changed = register.amend_stock(stock, form.facts(), form.named(), scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written." if changed else "Nothing had changed.")
            return redirect("trees:stock_item", stock.pk)
    context = {"room": "trees", "form": form, "stock": form.thing}
    return render(request, "trees/edit_stock.html", context)


@require_POST
def add_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep photos of bought stock, or of its papers."""
    stock = get_object_or_404(BoughtStock.objects.select_related("journal"), pk=pk)
    take_photos(request, stock.journal)
    return redirect("trees:stock_item", stock.pk)


@require_POST
def note(request: HttpRequest, pk: int) -> HttpResponse:
    """Write a note into the stock's journal."""
    stock = get_object_or_404(BoughtStock.objects.select_related("journal"), pk=pk)
    return take_note(request, stock.journal, reverse("trees:stock_item", args=[stock.pk]))
