"""The drying of one piece: its curve, where it stands in words, and its weighings."""

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from provenance.drying import measuring, outlooks, story
from provenance.drying.air_of_store import expected_moisture
from provenance.drying.curves import fitted_curve
from provenance.drying.forms.rounds import WeighForm
from provenance.drying.models import AT_HAND, Outlook, Scale, Weighing
from provenance.drying.pictures import Seen, days_of, drying_picture, has_likely_day
from provenance.drying.weighing import WEIGHED
from provenance.maker.models import Shop
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe, scribe_of
from provenance.wood.drying import inch_a_year

#: So many of its tree are named; the list of pieces has them all.
MOST_KIN = 8


@require_safe
def piece(request: HttpRequest, code: str) -> HttpResponse:
    """Show how a piece dries, and offer to weigh it."""
    found = get_object_or_404(Piece.objects.for_lists().select_related("outlook"), code=code)
    return render(request, "drying/piece.html", page_of(found, Shop.current(), request))


def page_of(piece: Piece, shop: Shop, request: HttpRequest) -> dict[str, Any]:
    """Return what the drying page of a piece shows. The curve is fitted anew: some 50 ms."""
    scribe = scribe_of(request)
    today = scribe.today
    weighings = list(Weighing.objects.standing().filter(piece=piece))
    outlook: Outlook | None = getattr(piece, "outlook", None)
    moisture = expected_moisture(piece.stored, today)
    standing = story.standing(outlook, moisture, shop, today)
    seen = Seen(weighings, outlook, rule_of(piece, outlook), today, shop)
    curve = fitted_curve(piece, outlook, weighings, days_of(seen)) if weighings else None
    check = measuring.last_check(piece)
    return {
        "room": "pieces",
        "piece": piece,
        "standing": standing,
        "picture": drying_picture(seen, curve, f"How it dries. {standing.in_words}"),
        "is_fitted": curve is not None,
        "passed_over": curve.passed_over if curve else (),
        "is_stale": outlook is not None and outlooks.is_stale(piece, outlook),
        "has_likely_day": has_likely_day(outlook),
        "rule": seen.rule,
        "is_rule_only": outlook is not None and outlook.basis != story.BY_WEIGHINGS,
        "moisture": moisture,
        "why_it_stops": story.why_it_stops(moisture),
        "kin": kin_of(piece, today),
        "weighings": story.weighing_rows(weighings, shop),
        "weigh_form": weigh_form_of(piece, shop, scribe),
        "check": check,
        "is_held": measuring.is_held(piece, check),
    }


def weigh_form_of(piece: Piece, shop: Shop, scribe: Scribe) -> WeighForm | None:
    """Return the form of a weighing; None for a piece that doesn't dry where it can be weighed."""
    is_at_hand = piece.custody is not None and piece.custody.kind in AT_HAND
    if piece.stage not in WEIGHED or not is_at_hand:
        return None
    return WeighForm(scribe=scribe, scales=list(Scale.objects.all()), shop=shop)


def rule_of(piece: Piece, outlook: Outlook | None) -> date | None:
    """Return the day by the inch-a-year rule; None where wall or day of roughing is unknown."""
    if outlook is None or not outlook.wall_mm or not outlook.roughed_on:
        return None
    return inch_a_year(outlook.wall_mm, outlook.roughed_on)


def kin_of(piece: Piece, today: date) -> list[tuple[Piece, str]]:
    """Return pieces of the same trees that were weighed, the dry ones first, each with its state.

    Four queries, one without trees.
    """
    trees = [tree.pk for tree in piece.trees.all()]
    if not trees:
        return []
    found = Piece.objects.for_lists().filter(trees__in=trees, outlook__weighing_count__gt=0)
    kin = found.exclude(pk=piece.pk).select_related("outlook", "form", "edge", "custody")
    rows = kin.order_by("-outlook__is_dry", "outlook__likely", "pk").distinct()[:MOST_KIN]
    return [(each, story.short_words(each.outlook, today)) for each in rows]
