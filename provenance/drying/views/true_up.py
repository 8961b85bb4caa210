"""Will it true up? A page that works out what is typed, and the same in place on other pages."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from provenance.drying import truing
from provenance.drying.air_of_store import expected_moisture
from provenance.drying.forms.piece import TrueUpForm
from provenance.drying.pictures import rim_picture
from provenance.drying.truing_words import told
from provenance.maker.models import Jaws, Shop
from provenance.pieces.models import Method, Piece
from provenance.record.fragments import wants_fragment
from provenance.record.scribe import scribe_of
from provenance.record.seeking import sought


@require_safe
def true_up(request: HttpRequest, code: str) -> HttpResponse:
    """Show what wall and tenon the piece needs, and how its rim will move."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    shop = Shop.current()
    moisture = expected_moisture(
        sought(request.GET.get("stored", "")) or piece.stored, scribe_of(request).today
    )
    form = TrueUpForm(request.GET, start=starting_values(piece, moisture.pct), shop=shop)
    form.is_valid()
    asked = form.asked(piece)
    source = truing.source_of_movement(piece)
    answer = truing.answer(
        truing.wood_that_moves(source) if source else None, asked, Jaws.objects.all()
    )
    said = told(piece, asked, answer, shop.length_unit)
    context = {
        "room": "pieces",
        "piece": piece,
        "source": source,
        "form": form,
        "asked": asked,
        "answer": answer,
        "said": said,
        "moisture": moisture,
        "picture": rim_picture(said.picture, said.picture_title) if said.picture else "",
        "tree": piece.first_tree,
        "is_single": piece.method == Method.SINGLE,
        "heading": "How will it move?" if piece.method == Method.SINGLE else "Will it true up?",
    }
    name = "drying/_true_up.html" if wants_fragment(request) else "drying/true_up.html"
    return render(request, name, {**context, "is_in_place": wants_fragment(request)})


def starting_values(piece: Piece, moisture_pct: float) -> dict[str, Any]:
    """Return what the form begins with: what the piece already says of itself."""
    is_tenon = piece.mount != Piece.Mount.RECESS
    return {
        "rough_diameter_mm": piece.rough_diameter_mm or piece.diameter_mm,
        "rough_wall_mm": piece.rough_wall_mm,
        "wall_mm": piece.wall_mm,
        "rim_to_pith_mm": piece.rim_to_pith_mm,
        "mount_diameter_mm": piece.mount_diameter_mm if is_tenon else None,
        "tenon_to_pith_mm": _tenon_to_pith(piece),
        "to_mc_pct": round(moisture_pct * 2) / 2,
    }


def _tenon_to_pith(piece: Piece) -> int | None:
    """The rim's distance and the height between: the foot of a bowl lies towards the bark.

    A natural edge is the bark itself, and its foot lies towards the pith.
    """
    height_mm = piece.rough_height_mm or piece.height_mm
    if piece.rim_to_pith_mm is None or not height_mm:
        return None
    return max(piece.rim_to_pith_mm + (-height_mm if truing.is_bark_rim(piece) else height_mm), 0)
