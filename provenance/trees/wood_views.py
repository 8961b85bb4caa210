"""The woods of the book and of the table, and the figures of one."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from provenance.record.errors import RecordError
from provenance.record.fragments import wants_fragment
from provenance.record.models import JournalEntry
from provenance.record.scribe import scribe_of
from provenance.record.seeking import sought
from provenance.trees import woods as verbs
from provenance.trees.figure_forms import FiguresForm
from provenance.trees.figure_words import figure_lines, shrinkage_words
from provenance.trees.models import WoodFigures
from provenance.trees.naming import best
from provenance.trees.woods import WoodRow
from provenance.wood import species as reference
from provenance.wood.cautions import for_all_woods
from provenance.wood.species import FIGURES, Species

SHOWN = 60


@dataclass(frozen=True)
class Listed:
    """A wood of the list with the figures that stand behind its name."""

    row: WoodRow
    shrinkage: str
    missing_count: int


@require_safe
def woods(request: HttpRequest) -> HttpResponse:
    """List the woods of the book; typing looks any other up in the table."""
    find = sought(request.GET.get("find", ""))
    found = verbs.woods_named(find) if find else verbs.woods_in_book()
    listed = [
        Listed(row, shrinkage_words(row.wood), len(row.wood.missing)) for row in found[:SHOWN]
    ]
    template = "trees/_wood_rows.html" if wants_fragment(request) else "trees/woods.html"
    page = {"room": "trees", "find": find, "woods": listed, "count": len(found), "shown": SHOWN}
    return render(request, template, page)


@require_http_methods(["GET", "POST"])
def wood(request: HttpRequest, slug: str) -> HttpResponse:
    """Show a wood's figures, and write those that the owner types where the table has none."""
    known = verbs.wood_at(slug)
    if known is None:
        raise Http404
    bare, key = known
    own = verbs.figures_of(key)
    form = FiguresForm(request.POST or None, missing=bare.missing, own=own)
    if request.method == "POST" and form.is_valid():
        try:
            scribe = scribe_of(request)
            entry = verbs.write_figures(key, form.figures(), form.cleaned_data["source"], scribe)
        except RecordError as error:
            form.add_error("source", str(error))
        else:
            messages.success(request, "Written." if entry else "Nothing was different.")
            return redirect("trees:wood", slug)
    return render(request, "trees/wood.html", _page(bare, own, form))


def _page(bare: Species, own: WoodFigures | None, form: FiguresForm) -> dict[str, object]:
    """Return what the page of one wood shows."""
    in_book = {row.slug: row for row in verbs.woods_in_book()}
    return {
        "room": "trees",
        "wood": bare,
        "row": in_book.get(bare.slug) or WoodRow(bare.slug, bare),
        "lines": figure_lines(bare, own),
        "has_own": own is not None and any(getattr(own, name) is not None for name in FIGURES),
        "form": form,
        "kinds": [reference.get(member) for member in bare.members],
        "alike": None if bare.scientific_name else best(bare.common_name),
        "cautions": [*verbs.cautions_of(bare), *for_all_woods()],
        "entries": _entries(own),
    }


def _entries(own: WoodFigures | None) -> list[JournalEntry]:
    if own is None:
        return []
    return list(own.journal.entries.select_related("by", "correction").order_by("-pk"))
