"""The pages that look across rooms: the bench, a piece, a tree, a person."""

from django.core.paginator import Paginator
from django.db.models import F
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces import story, workflow
from provenance.pieces.care import care_of
from provenance.pieces.models import Piece
from provenance.pieces.rows import row_of, rows_of
from provenance.record.scribe import scribe_of
from provenance.trees.models import Tree
from shop.bench import wants

#: How many pieces stand on one page of a person, and how many of anything else.
PAGE, MOST = 50, 20


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """Show what wants doing."""
    viewer = wants.Viewer(Shop.current(), scribe_of(request).today)
    line = wants.along_the_line()
    context = {
        "room": "bench",
        "line": line,
        "is_new": not Tree.objects.exists() and not any(count for _, count in line),
        "lathe": wants.at_the_lathe(viewer),
        "desk": wants.at_the_desk(viewer),
    }
    return render(request, "bench/bench.html", context)


@require_safe
def piece(request: HttpRequest, code: str) -> HttpResponse:
    """Show everything about one piece, and what may be done with it next."""
    found = get_object_or_404(Piece.objects.for_lists().select_related("journal"), code=code)
    shop = Shop.current()
    chain = found.custodies.select_related("holder", "entry__correction")
    context = {
        "room": "pieces",
        "piece": found,
        "subtitle": story.subtitle(found, shop),
        "offered": workflow.offered(found),
        "next_move": workflow.next_move(found),
        "last_move": workflow.last_move(found),
        "may_be_lost": workflow.may_be_lost(found),
        "parts": found.parts.select_related("section__tree", "stock", "source_piece"),
        "given": found.parts_given.select_related("piece"),
        "custodies": chain.order_by("-position"),
        "finishes": found.finishes.standing(),
        "promises": found.promises.standing().select_related("to"),
        "care": care_of(found),
        "photos": found.journal.photos.shown(),
        "put_away": found.journal.photos.put_away(),
        "entries": found.journal.entries.select_related("by", "correction").order_by("-pk"),
        "row": row_of(found, shop, scribe_of(request).today),
    }
    return render(request, "bench/piece.html", context)


@require_safe
def tree(request: HttpRequest, code: str) -> HttpResponse:
    """Show everything about one tree: its facts, sections, pieces, promises, journal."""
    trees = Tree.objects.select_related("cause", "donor", "journal")
    found = get_object_or_404(trees, code=code)
    pieces = found.pieces.for_lists().order_by("-pk")
    shop, today = Shop.current(), scribe_of(request).today
    context = {
        "room": "trees",
        "tree": found,
        "missing": found.missing(),
        "sections": found.sections.all(),
        "pieces": rows_of(pieces[:12], shop, today),
        "piece_count": pieces.count(),
        "published_count": found.pieces.published().count(),
        "promises": found.promises.standing().select_related("to"),
        "photos": found.journal.photos.shown(),
        "put_away": found.journal.photos.put_away(),
        "entries": found.journal.entries.select_related("by", "correction").order_by("-pk"),
    }
    return render(request, "bench/tree.html", context)


@require_safe
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one person: what they gave, hold, supplied and were promised."""
    found = get_object_or_404(Person, pk=pk)
    held = Piece.objects.for_lists().filter(custody__holder=found)
    page = Paginator(held, PAGE).get_page(request.GET.get("page"))
    promised = found.promises.select_related("tree").order_by(F("settled_on").asc(nulls_first=True))
    context = {
        "room": "people",
        "person": found,
        "trees": found.trees_given.all()[:MOST],
        "tree_count": found.trees_given.count(),
        "stocks": found.stock_supplied.all()[:MOST],
        "stock_count": found.stock_supplied.count(),
        "page": page,
        "pieces": rows_of(page.object_list, Shop.current(), scribe_of(request).today),
        "promises": promised[:MOST],
        "promise_count": found.promises.count(),
    }
    return render(request, "bench/person.html", context)
