"""The weigh round: one page for a phone on the shelf, and where rounds begin and end."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from provenance.drying import climate, rounds
from provenance.drying.forms.rounds import StartForm, WeighInForm
from provenance.drying.models import Outlook, Scale, Weighing, WeighRound, on_the_shelf
from provenance.drying.pictures import mass_words
from provenance.drying.story import short_words
from provenance.maker.models import Shop
from provenance.pieces.models import Piece
from provenance.pieces.rows import time_between
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.numbers import codes_of
from provenance.record.scribe import Scribe, scribe_of

#: So many rounds that ended are listed.
LAST_ROUNDS = 10


@require_safe
def rounds_page(request: HttpRequest) -> HttpResponse:
    """Offer to go on with a round that is open, or to start one."""
    return _start_page(request, StartForm())


@require_POST
def start_round(request: HttpRequest) -> HttpResponse:
    """Begin a round; sent twice, it begins one."""
    form = StartForm(request.POST)
    if not form.is_valid():
        return _start_page(request, form)
    scribe = scribe_of(request)

    def work() -> list[str]:
        return [str(rounds.start(form.cleaned_data["store"], scribe).pk)]

    [key] = operations.once(form.cleaned_data["token"], scribe, work)
    return redirect("drying:round", int(key))


@require_safe
def round_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Offer the next piece of the round, or say what the round came to."""
    found = get_object_or_404(WeighRound.objects.select_related("scale"), pk=pk)
    if found.ended_at:
        page = {"room": "pieces", "round": found, "outcome": rounds.outcome_of(found)}
        return render(request, "drying/round_ended.html", page)
    place, shop = rounds.place_of(found), Shop.current()
    form = WeighInForm(weigh_round=found, scales=_scales(), shop=shop, at=place.at)
    return _round_page(request, found, place, form)


@require_POST
def weigh_in_round(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep a mass, unless it is asked about first; a number without a mass turns to its piece."""
    found = get_object_or_404(WeighRound.objects.select_related("scale"), pk=pk)
    if found.ended_at:
        messages.error(request, "This round has ended, and nothing was kept. Start another one.")
        return redirect("drying:round", pk)
    form = WeighInForm(request.POST, weigh_round=found, scales=_scales(), shop=Shop.current())
    piece = _piece_meant(form, found) if form.is_valid() else None
    if piece is None:
        return _round_page(request, found, rounds.place_of(found), form)
    if form.cleaned_data["mass_g"] is None:
        return _turn(request, found, form, piece)
    return _weigh_in(request, found, form, piece)


@require_POST
def turn_to(request: HttpRequest, pk: int) -> HttpResponse:
    """Go to another piece of the round: one that was tapped, or the next one, skipping this."""
    found = get_object_or_404(WeighRound, pk=pk)
    piece = Piece.objects.filter(code__in=codes_of([request.POST.get("piece", "")])).first()
    if piece is not None:
        rounds.turn_to(found, piece)
    return redirect("drying:round", pk)


@require_POST
def end_round(request: HttpRequest, pk: int) -> HttpResponse:
    """End a round; ended twice, it stays as it was."""
    rounds.end(get_object_or_404(WeighRound, pk=pk), scribe_of(request))
    return redirect("drying:round", pk)


def _piece_meant(form: WeighInForm, weigh_round: WeighRound) -> Piece | None:
    try:
        return rounds.meant(form.cleaned_data["number"], weigh_round.pieces())
    except RecordError as error:
        form.add_error("number", str(error))
        return None


def _turn(
    request: HttpRequest, weigh_round: WeighRound, form: WeighInForm, piece: Piece
) -> HttpResponse:
    """Show the piece that was typed without a mass; asked twice, the mass is wanted."""
    if piece.code == form.cleaned_data["offered"]:
        form.add_error("mass_g", "Type what the scale shows.")
        return _round_page(request, weigh_round, rounds.place_of(weigh_round), form)
    rounds.turn_to(weigh_round, piece)
    return redirect("drying:round", weigh_round.pk)


def _weigh_in(
    request: HttpRequest, weigh_round: WeighRound, form: WeighInForm, piece: Piece
) -> HttpResponse:
    typed, scribe, shop = form.cleaned_data, scribe_of(request), Shop.current()

    def work() -> list[str]:
        asked = rounds.questions(weigh_round, piece, typed["mass_g"], scribe.today, shop)
        if asked and not form.is_sure_of(piece):
            raise Asked(asked)
        kept = rounds.weigh_in(weigh_round, piece, typed["mass_g"], scribe, typed["scale"])
        return [str(kept.pk)]

    try:
        [key] = operations.once(typed["token"], scribe, work)
    except Asked as error:
        return _ask(request, weigh_round, form, piece, error.questions)
    except RecordError as error:
        form.add_error("number", str(error))
        return _round_page(request, weigh_round, rounds.place_of(weigh_round), form)
    kept = Weighing.objects.select_related("piece").get(pk=key)
    _say_kept(request, kept, (piece, typed["mass_g"]), shop, scribe)
    query = urlencode({"kept": typed["offered"] or piece.code})
    return redirect(f"{reverse('drying:round', args=[weigh_round.pk])}?{query}")


class Asked(Exception):
    """Questions that come before a mass is kept."""

    def __init__(self, questions: list[str]) -> None:
        super().__init__(*questions)
        self.questions = questions


def _ask(
    request: HttpRequest,
    weigh_round: WeighRound,
    form: WeighInForm,
    piece: Piece,
    questions: list[str],
) -> HttpResponse:
    place = rounds.place_of(weigh_round)
    asked = {"questions": questions, "asked_about": form.asked_about(piece), "asked_piece": piece}
    return _round_page(request, weigh_round, place, form, asked)


def _say_kept(
    request: HttpRequest, kept: Weighing, typed: tuple[Piece, Decimal], shop: Shop, scribe: Scribe
) -> None:
    """Say what was kept; also where an earlier sending of the form kept something else."""
    words = short_words(Outlook.objects.filter(piece=kept.piece).first(), scribe.today)
    mass = mass_words(float(kept.mass_g), shop)
    messages.success(request, f"{kept.piece.number}: {mass}{f', {words}' if words else ''}.")
    if (kept.piece, kept.mass_g) != typed:
        messages.error(
            request,
            f"That page was sent before: what you typed for {typed[0].number} was not kept. "
            "Type it once more.",
        )


def _scales() -> list[Scale]:
    return list(Scale.objects.all())


def _start_page(request: HttpRequest, form: StartForm) -> HttpResponse:
    ended = WeighRound.objects.exclude(ended_at=None)[:LAST_ROUNDS]
    page = {
        "room": "pieces",
        "form": form,
        "stores": climate.stores(),
        "open_rounds": rounds.open_rounds(),
        "ended_rounds": ended,
        "on_the_shelf": on_the_shelf().count(),
    }
    return render(request, "drying/rounds.html", page)


def _round_page(
    request: HttpRequest,
    weigh_round: WeighRound,
    place: rounds.Place,
    form: WeighInForm,
    asked: dict[str, Any] | None = None,
) -> HttpResponse:
    shop, today = Shop.current(), scribe_of(request).today
    at = asked["asked_piece"] if asked else place.at
    page = {
        "room": "pieces",
        "round": weigh_round,
        "place": place,
        "at": at,
        "last": _last(at, shop, today),
        "rows": [(piece, _last(piece, shop, today)) for piece in place.waiting],
        "form": form,
        "has_scales": not form.fields["scale"].widget.is_hidden,
        "kept": request.GET.get("kept", ""),
        **(asked or {}),
    }
    return render(request, "drying/round.html", page)


@dataclass(frozen=True)
class Last:
    """What a piece weighed last, and how long ago."""

    mass: str
    ago: str
    on: date


def _last(piece: Piece | None, shop: Shop, today: date) -> Last | None:
    outlook: Outlook | None = getattr(piece, "outlook", None)
    if outlook is None or outlook.last_mass_g is None or outlook.last_weighed_on is None:
        return None
    on = outlook.last_weighed_on
    return Last(mass_words(float(outlook.last_mass_g), shop), time_between(on, today), on)
