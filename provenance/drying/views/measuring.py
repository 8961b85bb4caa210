"""The axes of a rim that has moved, and the check before a piece goes back on the lathe."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from provenance.drying import measuring
from provenance.drying.air_of_store import expected_moisture
from provenance.drying.forms.piece import AxesForm, SoundnessForm, TakeBackForm
from provenance.drying.measured_words import compared
from provenance.drying.models import Axes, SoundnessCheck
from provenance.drying.pictures import rim_picture
from provenance.maker.models import Shop
from provenance.pieces import dust, workflow
from provenance.pieces.models import Piece
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from provenance.wood.movement import MARGIN

Then = SoundnessCheck.Then


@require_http_methods(["GET", "POST"])
def axes(request: HttpRequest, code: str) -> HttpResponse:
    """Ask for the axes of a rim, and show what was measured beside what was predicted."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    scribe, shop = scribe_of(request), Shop.current()
    form = AxesForm(request.POST or None, scribe=scribe, shop=shop)
    if request.method == "POST" and form.is_valid():
        try:
            _measure(form, piece, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{piece.number}: measured.")
            return redirect("drying:axes", code)
    moisture = expected_moisture(piece.stored, scribe.today)
    found = compared(piece, measuring.last_axes(piece), moisture, shop.length_unit)
    context = {
        "room": "pieces",
        "piece": piece,
        "form": form,
        "measures": Axes.objects.standing().filter(piece=piece),
        "compared": found,
        "picture": rim_picture(found.picture, "The rim as it was measured.")
        if found.picture
        else "",
        "moisture": moisture,
        "margin": MARGIN,
    }
    return render(request, "drying/axes.html", context)


def _measure(form: AxesForm, piece: Piece, scribe: Scribe) -> None:
    typed = form.cleaned_data

    def work() -> list[str]:
        row = measuring.measure_axes(
            piece, typed["long_mm"], typed["short_mm"], scribe, on=typed["on"], words=typed["words"]
        )
        return [str(row.pk)]

    operations.once(typed["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def soundness(request: HttpRequest, code: str) -> HttpResponse:
    """Ask what was found before a piece goes back on the lathe, and write it down."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    scribe = scribe_of(request)
    form = SoundnessForm(request.POST or None, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            _check(form, piece, scribe)
        except measuring.NotSound as error:
            form.add_error("then", str(error))
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            return _checked(request, piece, form.cleaned_data["then"])
    last = measuring.last_check(piece)
    context = {
        "room": "pieces",
        "piece": piece,
        "form": form,
        "looks": [form[name] for name in measuring.LOOKED_FOR],
        "checks": SoundnessCheck.objects.standing().filter(piece=piece),
        "is_held": measuring.is_held(piece, last),
        "cautions": dust.cautions_for([piece]),
        "next_move": workflow.next_move(piece),
    }
    return render(request, "drying/soundness.html", context)


def _check(form: SoundnessForm, piece: Piece, scribe: Scribe) -> None:
    typed = form.cleaned_data

    def work() -> list[str]:
        check = measuring.check_soundness(
            piece, form.found(), typed["then"], scribe, on=typed["on"], words=typed["words"]
        )
        return [str(check.pk)]

    operations.once(typed["token"], scribe, work)


def _checked(request: HttpRequest, piece: Piece, then: str) -> HttpResponse:
    """Go on to what the check leads to: the next move, the record of a loss, or the piece."""
    messages.success(request, f"{piece.number}: the check is written down.")
    step = workflow.next_move(Piece.objects.for_lists().get(pk=piece.pk))
    if then == Then.LOSS:
        return redirect("pieces:lose", piece.code)
    if then == Then.LATHE and step and step.slug == "true-up":
        return redirect("pieces:move", piece.code, step.slug)
    return redirect("bench:piece", piece.code)


@require_POST
def take_back_axes(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """Take a measure back."""
    row = get_object_or_404(Axes.objects.select_related("piece", "entry"), piece__code=code, pk=pk)
    return _take_back(request, row, reverse("drying:axes", args=[code]))


@require_POST
def take_back_check(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """Take a check back."""
    rows = SoundnessCheck.objects.select_related("piece", "entry")
    row = get_object_or_404(rows, piece__code=code, pk=pk)
    return _take_back(request, row, reverse("drying:soundness", args=[code]))


def _take_back(request: HttpRequest, row: Any, home: str) -> HttpResponse:
    form = TakeBackForm(request.POST)
    if form.is_valid():
        try:
            measuring.take_back(row, scribe_of(request), words=form.cleaned_data["words"])
            messages.success(request, "Taken back. The journal keeps both.")
        except RecordError as error:
            messages.error(request, str(error))
    else:
        messages.error(request, "Not taken back: the words are too long.")
    return redirect(home)
