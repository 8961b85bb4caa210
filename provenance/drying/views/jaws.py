"""The chuck's jaws: what they grip decides which tenon a rough-out needs."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.drying.forms.jaws import JawsForm
from provenance.maker.models import Jaws, Shop


@require_safe
def jaws(request: HttpRequest) -> HttpResponse:
    """List the jaws, with a form for another set."""
    return _page(request, JawsForm(shop=Shop.current()))


@require_POST
def add_jaws(request: HttpRequest) -> HttpResponse:
    """Add a set of jaws."""
    form = JawsForm(request.POST, shop=Shop.current())
    if not form.is_valid():
        return _page(request, form)
    messages.success(request, f"Added: {form.save()}.")
    return redirect("drying:jaws")


@require_http_methods(["GET", "POST"])
def edit_jaws(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a set of jaws."""
    known = get_object_or_404(Jaws, pk=pk)
    form = JawsForm(request.POST or None, instance=known, shop=Shop.current())
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Saved: {form.save()}.")
        return redirect("drying:jaws")
    name = Jaws.objects.get(pk=pk).name
    return render(request, "drying/edit_jaws.html", {"form": form, "jaws": known, "name": name})


@require_POST
def remove_jaws(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a set of jaws off the list: no record points to it."""
    known = get_object_or_404(Jaws, pk=pk)
    known.delete()
    messages.success(request, f"Removed: {known}.")
    return redirect("drying:jaws")


def _page(request: HttpRequest, form: JawsForm) -> HttpResponse:
    page = {"form": form, "all_jaws": Jaws.objects.all()}
    return render(request, "drying/jaws.html", page)
