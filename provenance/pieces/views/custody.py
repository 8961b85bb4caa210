"""Changes of hands, and the public page."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from provenance.pieces import custody, promises, publishing
from provenance.pieces.forms.custody import HandOverForm
from provenance.pieces.models import Custody, Piece
from provenance.pieces.views.chosen import pieces_in, say_done, way_back
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of


@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, code: str) -> HttpResponse:
    """Ask where one piece is now, and record it."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    return _hand_over(request, [piece]) or redirect("bench:piece", code)


@require_http_methods(["GET", "POST"])
def hand_over_many(request: HttpRequest) -> HttpResponse:
    """Ask where the pieces that were ticked are now, and record it for all or for none."""
    sent = request.POST if request.method == "POST" else request.GET
    pieces = pieces_in(sent)
    if not pieces:
        messages.error(request, "Tick at least one piece first.")
        return redirect(way_back(sent))
    return _hand_over(request, pieces) or redirect(way_back(sent))


def _hand_over(request: HttpRequest, pieces: list[Piece]) -> HttpResponse | None:
    """Show the form of a change of hands, or record it: None when it is recorded."""
    scribe = scribe_of(request)
    form = HandOverForm(request.POST or None, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            codes = _record(form, pieces, scribe)
        except promises.WouldBreak as error:
            form.add_error("reason", str(error))
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            say_done(request, codes, Custody.Kind(form.cleaned_data["kind"]).label)
            return None
    page = {
        "room": "pieces",
        "form": form,
        "pieces": pieces,
        "piece": pieces[0] if len(pieces) == 1 else None,
        "action": request.path,
        "back": way_back(request.POST or request.GET),
    }
    return render(request, "pieces/hand_over.html", page)


def _record(form: HandOverForm, pieces: list[Piece], scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        kind = form.cleaned_data["kind"]
        custody.hand_over(pieces, kind, scribe, **form.step_words(scribe))
        return [piece.code for piece in pieces]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_POST
def publish(request: HttpRequest, code: str) -> HttpResponse:
    """Open one piece's public page."""
    piece = get_object_or_404(Piece, code=code)
    if publishing.publish([piece], scribe_of(request)):
        messages.success(request, f"{piece.number} has a public page now.")
    return redirect("bench:piece", code)


@require_POST
def withdraw(request: HttpRequest, code: str) -> HttpResponse:
    """Close one piece's public page."""
    piece = get_object_or_404(Piece, code=code)
    if publishing.withdraw([piece], scribe_of(request)):
        messages.success(request, f"{piece.number}: its public page is closed.")
    return redirect("bench:piece", code)
