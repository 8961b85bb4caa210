"""Weighing one piece from its own drying page, and taking a weighing back."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from provenance.drying import weighing
from provenance.drying.forms.rounds import TakeBackWeighingForm, WeighForm
from provenance.drying.models import Outlook, Scale, Weighing
from provenance.drying.pictures import mass_words
from provenance.drying.story import short_words
from provenance.drying.views.piece import page_of
from provenance.maker.models import Shop
from provenance.pieces.models import Piece
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of


@require_POST
def weigh(request: HttpRequest, code: str) -> HttpResponse:
    """Keep a weighing of the piece, unless it is asked about first."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    scribe, shop = scribe_of(request), Shop.current()
    form = WeighForm(request.POST, scribe=scribe, scales=list(Scale.objects.all()), shop=shop)
    if not form.is_valid():
        return _page(request, piece, shop, form)
    typed = form.cleaned_data
    questions = weighing.questions(piece, typed["mass_g"], typed["on"], shop=shop)
    if questions and not form.is_sure_of(piece):
        return _page(request, piece, shop, form, questions)
    try:
        kept = _weigh(form, piece, scribe)
    except RecordError as error:
        form.add_error("mass_g", str(error))
        return _page(request, piece, shop, form)
    words = short_words(Outlook.objects.filter(piece=piece).first(), scribe.today)
    mass = mass_words(float(kept.mass_g), shop)
    messages.success(request, f"{piece.number}: {mass}{f', {words}' if words else ''}.")
    return redirect("drying:piece", code)


def _weigh(form: WeighForm, piece: Piece, scribe: Scribe) -> Weighing:
    typed = form.cleaned_data

    def work() -> list[str]:
        row = weighing.weigh(
            piece, typed["mass_g"], scribe, on=typed["on"], scale=typed["scale"],
            words=typed["words"],
        )  # fmt: skip
        return [str(row.pk)]

    [key] = operations.once(typed["token"], scribe, work)
    return Weighing.objects.get(pk=key)


def _page(
    request: HttpRequest,
    piece: Piece,
    shop: Shop,
    form: WeighForm,
    questions: list[str] | None = None,
) -> HttpResponse:
    page: dict[str, Any] = {**page_of(piece, shop, request), "weigh_form": form}
    if questions:
        page |= {"questions": questions, "asked_about": form.asked_about(piece)}
    return render(request, "drying/piece.html", page)


@require_POST
def take_back_weighing(request: HttpRequest, code: str, pk: int) -> HttpResponse:
    """Take a weighing back by an entry that corrects it."""
    rows = Weighing.objects.select_related("piece", "entry")
    row = get_object_or_404(rows, piece__code=code, pk=pk)
    form = TakeBackWeighingForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Not taken back: the words are too long.")
    else:
        try:
            weighing.take_back(row, scribe_of(request), form.cleaned_data["words"])
            messages.success(request, "Taken back. The journal keeps both.")
        except RecordError as error:
            messages.error(request, str(error))
    return redirect(f"{reverse('drying:piece', args=[code])}#weigh")


@require_POST
def work_out_again(request: HttpRequest, code: str) -> HttpResponse:
    """Renew the forecast, now that something is known better."""
    piece = get_object_or_404(Piece, code=code)
    weighing.work_out_again(piece, scribe_of(request))
    messages.success(request, "Worked out again.")
    return redirect("drying:piece", code)
