"""Trees: the list, registering one at pick-up, changing what is known of it."""

from typing import Any

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
from provenance.record.notes import hold_photos, keep_photos, take_note, take_photos
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.seeking import sought
from provenance.record.text import clean_text
from provenance.trees.forms import EditTreeForm, RegisterForm
from provenance.trees.models import Tree
from provenance.trees.naming import choices
from provenance.trees.register import amend_tree, register_tree

PAGE = 50


@require_safe
def trees(request: HttpRequest) -> HttpResponse:
    """List the trees, the newest first, filtered by typing."""
    find = sought(request.GET.get("find", ""))
    trees = Tree.objects.search(find) if find else Tree.objects.counted()
    found = trees.for_lists()
    page = Paginator(found, PAGE).get_page(request.GET.get("page"))
    template = "trees/_rows.html" if wants_fragment(request) else "trees/list.html"
    return render(request, template, {"room": "trees", "page": page, "find": find})


@require_http_methods(["GET", "POST"])
def register(request: HttpRequest) -> HttpResponse:
    """Register a tree: wood and place now, the rest now or later, photos beside it."""
    scribe = scribe_of(request)
    form = RegisterForm(request.POST or None, shop=Shop.current(), today=scribe.today)
    if request.method == "POST" and form.is_valid():
        try:
            tree = _registered(form, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Tree {tree.number} is in the book: {tree.species_phrase}.")
            keep_photos(request, tree.journal, is_public=form.cleaned_data["photos_public"])
            return redirect("bench:tree", tree.code)
    context = {"room": "trees", "form": form, **hold_photos(request)}
    return render(request, "trees/register.html", context)


def _registered(form: RegisterForm, scribe: Scribe) -> Tree:
    """Write the form's tree once, however often it is sent."""

    def work() -> list[str]:
        return [register_tree(scribe, donor_named=form.named(), **form.facts()).code]

    [code] = operations.once(form.cleaned_data["token"], scribe, work)
    return Tree.objects.select_related("journal").get(code=code)


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, code: str) -> HttpResponse:
    """Change what is known of a tree."""
    tree = get_object_or_404(Tree.objects.select_related("donor"), code=code)
    scribe = scribe_of(request)
    form = EditTreeForm(
        request.POST or None, instance=tree, shop=Shop.current(), today=scribe.today
    )
    if request.method == "POST" and form.is_valid():
        try:
            changed = amend_tree(tree, form.facts(), form.named(), scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written." if changed else "Nothing had changed.")
            return redirect("bench:tree", tree.code)
    context: dict[str, Any] = {"room": "trees", "form": form, "tree": form.thing}
    return render(request, "trees/edit.html", context)


@require_safe
def species(request: HttpRequest) -> HttpResponse:
    """Offer the woods of the reference table that what is typed may mean. A fragment."""
    typed = clean_text(request.GET.get("species", "")).strip()[:120]
    choice = request.GET.get("species_choice", "")
    return render(request, "trees/_species_choices.html", {"woods": choices(typed, choice)})


@require_POST
def add_photo(request: HttpRequest, code: str) -> HttpResponse:
    """Keep photos of a tree."""
    tree = get_object_or_404(Tree.objects.select_related("journal"), code=code)
    take_photos(request, tree.journal)
    return redirect("bench:tree", tree.code)


@require_POST
def note(request: HttpRequest, code: str) -> HttpResponse:
    """Write a note into a tree's journal."""
    tree = get_object_or_404(Tree.objects.select_related("journal"), code=code)
    return take_note(request, tree.journal, reverse("bench:tree", args=[tree.code]))
