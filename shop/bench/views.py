"""The pages that look across rooms: the bench, a piece, a tree."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from provenance.drying import story as drying_story
from provenance.maker.models import Shop
from provenance.pieces import story, workflow
from provenance.pieces.care import care_of
from provenance.pieces.models import Piece
from provenance.pieces.rows import row_of, rows_of
from provenance.record.scribe import scribe_of
from provenance.trees.models import Tree
from shop.bench import wants
from shop.commissions.models import Commission
from shop.sales.rows import sales_of


@require_safe
def bench(request: HttpRequest) -> HttpResponse:
    """Show what wants doing."""
    viewer = wants.Viewer(Shop.current(), scribe_of(request).today)
    line, desk = wants.along_the_line(), wants.at_the_desk(viewer)
    is_empty = not desk and not any(count for _, count in line)
    context = {
        "room": "bench",
        "line": line,
        "is_new": is_empty and not Tree.objects.exists(),
        "lathe": wants.at_the_lathe(viewer),
        "desk": desk,
    }
    return render(request, "bench/bench.html", context)


@require_safe
def piece(request: HttpRequest, code: str) -> HttpResponse:
    """Show everything about one piece, and what may be done with it next."""
    found = get_object_or_404(Piece.objects.for_lists().select_related("journal"), code=code)
    shop = Shop.current()
    chain = found.custodies.select_related("holder", "entry__correction")
    made_for = Commission.objects.standing().for_lists().filter(pieces=found).first()
    # The promise of that commission is told with it.
    promises = found.promises.standing().exclude(commission=made_for.pk if made_for else 0)
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
        "made_for": made_for,
        "promises": promises.select_related("to"),
        "care": care_of(found),
        "photos": found.journal.photos.shown(),
        "put_away": found.journal.photos.put_away(),
        "entries": found.journal.entries.select_related("by", "correction").order_by("-pk"),
        "row": row_of(found, shop, scribe_of(request).today),
        "sales": sales_of(found),
        "drying": drying_story.on_piece(found, shop, scribe_of(request).today),
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
