"""How the shop sells: its terms, its rates of tax, its kinds of payment, its extras."""

from dataclasses import dataclass
from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.pieces.forms.lists import OpenListForm
from provenance.record.errors import RecordError
from provenance.record.scribe import scribe_of
from shop.sales import taxing
from shop.sales.forms.terms import ChangeRateForm, ExtraForm, KindForm, RateForm, TermsForm
from shop.sales.models import TaxRate, Terms

PAGE = {"room": "sales", "tab": "terms"}


@dataclass(frozen=True)
class KeptList:
    """One short list: its heading, what it is for, what one entry is called, its form."""

    title: str
    why: str
    entry: str
    form: type[OpenListForm]


LISTS = {
    "kinds": KeptList(
        "Kinds of payment",
        "How you are paid, and what a bank or a card firm takes for it.",
        "kind of payment",
        KindForm,
    ),
    "extras": KeptList(
        "Extras", "What you sell besides pieces: wax, shipping, a lesson.", "extra", ExtraForm
    ),
}


@require_http_methods(["GET", "POST"])
def terms(request: HttpRequest) -> HttpResponse:
    """Show how the shop sells, or write it anew."""
    form = TermsForm(request.POST or None, instance=Terms.current())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Your terms are written.")
        return redirect("sales:terms")
    return render(request, "sales/terms.html", {**PAGE, "part": "terms", "form": form})


@require_safe
def rates(request: HttpRequest) -> HttpResponse:
    """Show the rates of tax, with a form to add one."""
    return _rates(request, RateForm(initial={"since": scribe_of(request).today}))


@require_POST
def add_rate(request: HttpRequest) -> HttpResponse:
    """Add a rate of tax."""
    form = RateForm(request.POST)
    if not form.is_valid():
        return _rates(request, form)
    messages.success(request, f"Added: {form.save()}.")
    return redirect("sales:rates")


def _rates(request: HttpRequest, form: RateForm) -> HttpResponse:
    today = scribe_of(request).today
    every = [(rate, _when(rate, today)) for rate in TaxRate.objects.all()]
    context = {**PAGE, "part": "rates", "rates": every, "form": form}
    return render(request, "sales/rates.html", context)


def _when(rate: TaxRate, today: date) -> str:
    """Return whether a rate holds: "to come", "ended", or "" for now."""
    if rate.since > today:
        return "to come"
    return "ended" if rate.until and rate.until < today else ""


@require_http_methods(["GET", "POST"])
def edit_rate(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a rate right."""
    rate = get_object_or_404(TaxRate, pk=pk)
    form = RateForm(request.POST or None, instance=rate)
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Saved: {form.save()}.")
        return redirect("sales:rates")
    return _rate(request, pk, form, ChangeRateForm())


@require_POST
def change_rate(request: HttpRequest, pk: int) -> HttpResponse:
    """End a rate and begin the next one of its name."""
    rate = get_object_or_404(TaxRate, pk=pk)
    form = ChangeRateForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            new = taxing.change(rate, typed["next_pct"], typed["next_since"])
        except RecordError as error:
            form.add_error("next_since", str(error))
        else:
            messages.success(request, f"{rate} ends, and {new} begins.")
            return redirect("sales:rates")
    return _rate(request, pk, RateForm(instance=rate), form)


def _rate(
    request: HttpRequest, pk: int, form: RateForm, change_form: ChangeRateForm
) -> HttpResponse:
    # Read again: a form that was refused has its values on its own copy.
    rate = TaxRate.objects.get(pk=pk)
    context = {**PAGE, "rate": rate, "form": form, "change_form": change_form}
    return render(request, "sales/rate.html", context)


@require_safe
def entries(request: HttpRequest, which: str) -> HttpResponse:
    """Show the entries of one list, with a form to add one."""
    return _list(request, which, LISTS[which].form())


@require_POST
def add_entry(request: HttpRequest, which: str) -> HttpResponse:
    """Add an entry to the list."""
    form = LISTS[which].form(request.POST)
    if not form.is_valid():
        return _list(request, which, form)
    messages.success(request, f"Added: {form.keep()}.")
    return redirect("sales:lists", which)


@require_http_methods(["GET", "POST"])
def edit_entry(request: HttpRequest, which: str, pk: int) -> HttpResponse:
    """Change an entry of the list, or offer it no longer."""
    kept = LISTS[which]
    entry = get_object_or_404(kept.form.Meta.model, pk=pk)
    form = kept.form(request.POST or None, instance=entry)
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Saved: {form.keep()}.")
        return redirect("sales:lists", which)
    name = type(entry)._default_manager.get(pk=pk)
    context = {**PAGE, "form": form, "which": which, "kept": kept, "entry": name}
    return render(request, "sales/edit_entry.html", context)


def _list(request: HttpRequest, which: str, form: OpenListForm) -> HttpResponse:
    kept = LISTS[which]
    context = {
        **PAGE,
        "part": which,
        "which": which,
        "kept": kept,
        "entries": kept.form.Meta.model._default_manager.order_by("is_retired", "position", "name"),
        "form": form,
    }
    return render(request, "sales/list.html", context)
