"""The lists that the owner may add to: forms of work, edges, finishes, causes of loss."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.pieces.forms.lists import (
    EdgeForm,
    FinishForm,
    FormOfWorkForm,
    LossCauseForm,
    OpenListForm,
)


@dataclass(frozen=True)
class Kept:
    """One open list: its heading, what one entry is called, its form."""

    title: str
    entry: str
    form: type[OpenListForm]


LISTS = {
    "forms": Kept("Forms of work", "form of work", FormOfWorkForm),
    "edges": Kept("Edges", "edge", EdgeForm),
    "finishes": Kept("Finishes", "finish", FinishForm),
    "losses": Kept("Causes of loss", "cause of loss", LossCauseForm),
}


@require_safe
def entries(request: HttpRequest, which: str) -> HttpResponse:
    """Show the entries of one list, with a form to add one."""
    return _page(request, which, LISTS[which].form())


@require_POST
def add_entry(request: HttpRequest, which: str) -> HttpResponse:
    """Add an entry to the list."""
    form = LISTS[which].form(request.POST)
    if not form.is_valid():
        return _page(request, which, form)
    messages.success(request, f"Added: {form.keep()}.")
    return redirect("pieces:lists", which)


@require_http_methods(["GET", "POST"])
def edit_entry(request: HttpRequest, which: str, pk: int) -> HttpResponse:
    """Change an entry of the list; what was recorded with it shows the new words too."""
    kept = LISTS[which]
    entry = get_object_or_404(kept.form.Meta.model, pk=pk)
    form = kept.form(request.POST or None, instance=entry)
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Saved: {form.keep()}.")
        return redirect("pieces:lists", which)
    name = type(entry)._default_manager.get(pk=pk)
    context = {"room": "pieces", "form": form, "which": which, "kept": kept, "entry": name}
    return render(request, "pieces/edit_entry.html", context)


def _page(request: HttpRequest, which: str, form: OpenListForm) -> HttpResponse:
    kept = LISTS[which]
    context = {
        "room": "pieces",
        "which": which,
        "kept": kept,
        "lists": [(slug, other.title) for slug, other in LISTS.items()],
        "entries": kept.form.Meta.model._default_manager.all(),
        "form": form,
    }
    return render(request, "pieces/open_list.html", context)
