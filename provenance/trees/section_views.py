"""Sections: cutting them from a tree, changing them, sealing their ends."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from provenance.maker.models import Shop
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.going_back import back
from provenance.record.journal import amend
from provenance.record.scribe import Scribe, scribe_of
from provenance.trees.models import Section, Tree
from provenance.trees.register import add_sections, seal_ends
from provenance.trees.wood_forms import EditSectionForm, SectionForm

CARRIED = ("kind", "cut", "end_sealed", "stored")


@require_http_methods(["GET", "POST"])
def add_section(request: HttpRequest, code: str) -> HttpResponse:
    """Cut a section from a tree, or several alike, one after the other."""
    tree = get_object_or_404(Tree, code=code)
    scribe = scribe_of(request)
    initial = _as_the_last(tree) if request.GET.get("again") else {}
    form = SectionForm(
        request.POST or None, shop=Shop.current(), today=scribe.today, initial=initial
    )
    if request.method == "POST" and form.is_valid():
        try:
            letters = _cut(form, tree, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, _cut_words(tree, letters))
            if "another" in request.POST:
                return redirect(reverse("trees:add_section", args=[tree.code]) + "?again=1")
            return redirect("bench:tree", tree.code)
    sections = tree.sections.all()
    context = {"room": "trees", "form": form, "tree": tree, "sections": sections}
    return render(request, "trees/add_section.html", context)


def _cut(form: SectionForm, tree: Tree, scribe: Scribe) -> list[str]:
    """Cut the form's sections once, however often it is sent; return their letters."""

    def work() -> list[str]:
        cut = add_sections(tree, scribe, form.cleaned_data["count"], **form.facts())
        return [section.letter for section in cut]

    return operations.once(form.cleaned_data["token"], scribe, work)


def _cut_words(tree: Tree, letters: list[str]) -> str:
    if len(letters) == 1:
        return f"Section {tree.number} {letters[0]} is in the book: write {letters[0]} on its end."
    return f"Sections {tree.number} {letters[0]} to {letters[-1]} are in the book."


def _as_the_last(tree: Tree) -> dict[str, Any]:
    """Return what the next section likely shares with the one before it."""
    last = tree.sections.last()
    return {name: getattr(last, name) for name in CARRIED} if last else {}


@require_http_methods(["GET", "POST"])
def edit_section(request: HttpRequest, code: str, letter: str) -> HttpResponse:
    """Show a section, and change what is known of it."""
    section = _section(code, letter)
    scribe = scribe_of(request)
    form = EditSectionForm(
        request.POST or None, instance=section, shop=Shop.current(), today=scribe.today
    )
    if request.method == "POST" and form.is_valid():
        changed = amend(section, form.facts(), scribe) is not None
        messages.success(request, "Written." if changed else "Nothing had changed.")
        return redirect("bench:tree", code)
    entries = section.journal.entries.select_related("by", "correction").order_by("-pk")
    context = {"room": "trees", "form": form, "section": form.thing, "tree": section.tree}
    return render(request, "trees/edit_section.html", {**context, "entries": entries})


@require_POST
def seal(request: HttpRequest, code: str, letter: str) -> HttpResponse:
    """Note that a section's ends were sealed today."""
    section = _section(code, letter)
    seal_ends(section, scribe_of(request))
    messages.success(request, f"The ends of {section} are noted as sealed.")
    return back(request, reverse("bench:tree", args=[code]))


def _section(code: str, letter: str) -> Section:
    sections = Section.objects.select_related("tree", "journal")
    return get_object_or_404(sections, tree__code=code, letter=letter)
