"""A piece's details, its notes and its photos."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from provenance.maker.models import Shop
from provenance.pieces import details
from provenance.pieces.forms.details import PieceForm
from provenance.pieces.models import Piece
from provenance.record.errors import RecordError
from provenance.record.notes import take_note, take_photos
from provenance.record.scribe import scribe_of


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, code: str) -> HttpResponse:
    """Show a piece's details, and write what changed."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    form = PieceForm(request.POST or None, instance=piece, shop=Shop.current())
    if request.method == "POST" and form.is_valid():
        try:
            values = form.values()
            set_name = values.pop("set_name")
            entry = details.change(form.thing, values, scribe_of(request), set_name=set_name)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Saved." if entry else "Nothing was different.")
            return redirect("bench:piece", code)
    return render(
        request, "pieces/edit.html", {"room": "pieces", "form": form, "piece": form.thing}
    )


@require_POST
def add_photo(request: HttpRequest, code: str) -> HttpResponse:
    """Keep photos of a piece."""
    piece = get_object_or_404(Piece.objects.select_related("journal"), code=code)
    take_photos(request, piece.journal)
    return redirect("bench:piece", code)


@require_POST
def note(request: HttpRequest, code: str) -> HttpResponse:
    """Write a note into a piece's journal."""
    piece = get_object_or_404(Piece.objects.select_related("journal"), code=code)
    return take_note(request, piece.journal, reverse("bench:piece", args=[code]))
