"""Moves, losses, coats, and taking a step back, for one piece or for several at once."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from provenance.maker.models import Shop
from provenance.pieces import dust, promises, workflow
from provenance.pieces.forms.moving import CoatForm, LoseForm, MoveForm, UndoForm
from provenance.pieces.models import Piece
from provenance.pieces.views.chosen import pieces_in, print_offer, say_done, way_back
from provenance.pieces.workflow import Move
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of


@require_http_methods(["GET", "POST"])
def move(request: HttpRequest, code: str, slug: str) -> HttpResponse:
    """Ask what one move of one piece asks, and make it."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    step = workflow.step_of(piece.method, slug)
    if step is None:
        raise Http404
    if request.method == "GET" and step not in workflow.offered(piece):
        messages.error(request, workflow.why_not(piece, slug))
        return redirect("bench:piece", code)
    return _move(request, [piece], step, request.path) or redirect("bench:piece", code)


@require_http_methods(["GET", "POST"])
def move_many(request: HttpRequest) -> HttpResponse:
    """Make one move with all the pieces that were ticked, or say which can't make it."""
    sent = request.POST if request.method == "POST" else request.GET
    pieces = pieces_in(sent)
    if not pieces:
        return _nothing_ticked(request)
    groups = _by_next_move(pieces)
    step = _step_named(sent.get("move", ""), pieces)
    if step is None:
        if len(groups) > 1 or None in groups:
            page = {"room": "pieces", "groups": _grouped(groups), "back": way_back(sent)}
            return render(request, "pieces/move_apart.html", page)
        step = workflow.next_move(pieces[0])
    assert step is not None  # noqa: S101 (one group, and it has a next move)
    return _move(request, pieces, step, request.path) or redirect(way_back(sent))


def _by_next_move(pieces: list[Piece]) -> dict[str | None, list[Piece]]:
    """Return the pieces by the slug of their next move; None for those that have none."""
    groups: dict[str | None, list[Piece]] = {}
    for piece in pieces:
        step = workflow.next_move(piece)
        groups.setdefault(step.slug if step else None, []).append(piece)
    return groups


def _grouped(groups: dict[str | None, list[Piece]]) -> list[dict[str, Any]]:
    """Return the groups for a page: those that can go on first, the move with each."""
    return [
        {"step": workflow.next_move(pieces[0]), "pieces": pieces}
        for _, pieces in sorted(groups.items(), key=lambda group: group[0] is None)
    ]


def _step_named(slug: str, pieces: list[Piece]) -> Move | None:
    """Return the named move in the first piece's method that knows it."""
    steps = (workflow.step_of(piece.method, slug) for piece in pieces)
    return next((step for step in steps if step), None)


def _move(
    request: HttpRequest, pieces: list[Piece], step: Move, action: str
) -> HttpResponse | None:
    """Show the form of a move, or make it: None when it is made."""
    scribe = scribe_of(request)
    form = MoveForm(
        request.POST or None, step=step, pieces=pieces, scribe=scribe, shop=Shop.current()
    )
    if request.method == "POST" and form.is_valid():
        try:
            codes = _make_move(form, pieces, step, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            say_done(request, codes, step.done.lower(), print_offer(step, codes))
            return None
    is_dusty = step.slug in dust.DUSTY
    page = {
        **_page(request, form, pieces, action),
        "step": step,
        "cautions": dust.cautions_for(pieces) if is_dusty else [],
    }
    return render(request, "pieces/move.html", page)


def _make_move(form: MoveForm, pieces: list[Piece], step: Move, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        workflow.move(pieces, step.slug, scribe, **form.step_words())
        return [piece.code for piece in pieces]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def lose(request: HttpRequest, code: str) -> HttpResponse:
    """Ask how one piece was lost, and record it."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    return _lose(request, [piece]) or redirect("bench:piece", code)


@require_http_methods(["GET", "POST"])
def lose_many(request: HttpRequest) -> HttpResponse:
    """Ask how the pieces that were ticked were lost, and record it."""
    sent = request.POST if request.method == "POST" else request.GET
    pieces = pieces_in(sent)
    if not pieces:
        return _nothing_ticked(request)
    return _lose(request, pieces) or redirect(way_back(sent))


def _lose(request: HttpRequest, pieces: list[Piece]) -> HttpResponse | None:
    """Show the form of a loss, or record it: None when it is recorded."""
    scribe = scribe_of(request)
    form = LoseForm(request.POST or None, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            codes = _record_loss(form, pieces, scribe)
        except promises.WouldBreak as error:
            form.add_error("reason", str(error))
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            say_done(request, codes, "recorded as lost")
            return None
    return render(request, "pieces/lose.html", _page(request, form, pieces, request.path))


def _record_loss(form: LoseForm, pieces: list[Piece], scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        workflow.lose(pieces, form.cleaned_data["cause"], scribe, **form.step_words())
        return [piece.code for piece in pieces]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_POST
def undo(request: HttpRequest, code: str) -> HttpResponse:
    """Take one piece's last step back by an entry that corrects it."""
    piece = get_object_or_404(Piece, code=code)
    form = UndoForm(request.POST)
    if form.is_valid():
        typed = form.cleaned_data
        try:
            workflow.undo(
                [piece], scribe_of(request), words=typed["words"], entry_id=typed["entry"]
            )
            messages.success(request, f"{piece.number}: taken back. The journal keeps both.")
        except RecordError as error:
            messages.error(request, str(error))
    else:
        messages.error(request, "Not taken back: the words are too long.")
    return redirect("bench:piece", code)


@require_http_methods(["GET", "POST"])
def undo_many(request: HttpRequest) -> HttpResponse:
    """Show what would be taken back of the pieces that were ticked, and take it back."""
    sent = request.POST if request.method == "POST" else request.GET
    pieces = pieces_in(sent)
    if not pieces:
        return _nothing_ticked(request)
    scribe = scribe_of(request)
    form = UndoForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            codes = _take_back(form, pieces, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            say_done(request, codes, "last step taken back")
            return redirect(way_back(sent))
    page = _page(request, form, pieces, request.path)
    steps = workflow.last_moves(pieces)
    page["steps"] = [(piece, steps.get(piece.pk)) for piece in pieces]
    return render(request, "pieces/undo_many.html", page)


def _take_back(form: UndoForm, pieces: list[Piece], scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        workflow.undo(pieces, scribe, words=form.cleaned_data["words"])
        return [piece.code for piece in pieces]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def add_coat(request: HttpRequest, code: str) -> HttpResponse:
    """Ask for a further coat, and record it."""
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    scribe = scribe_of(request)
    form = CoatForm(request.POST or None, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            _coat(form, piece, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{piece.number}: {form.cleaned_data['finish']} noted.")
            return redirect("bench:piece", code)
    page = _page(request, form, [piece], request.path)
    page["cautions"] = dust.cautions_for([piece])
    return render(request, "pieces/coat.html", page)


def _coat(form: CoatForm, piece: Piece, scribe: Scribe) -> None:
    typed = {name: form.cleaned_data[name] for name in ("finish", "on", "lot", "coats", "words")}

    def work() -> list[str]:
        workflow.add_coat(piece, scribe, **typed)
        return [piece.code]

    operations.once(form.cleaned_data["token"], scribe, work)


def _nothing_ticked(request: HttpRequest) -> HttpResponse:
    messages.error(request, "Tick at least one piece first.")
    return redirect(way_back(request.POST or request.GET))


def _page(request: HttpRequest, form: Any, pieces: list[Piece], action: str) -> dict[str, Any]:
    """Return what every page about one or several pieces shows."""
    sent = request.POST if request.method == "POST" else request.GET
    return {
        "room": "pieces",
        "form": form,
        "pieces": pieces,
        "piece": pieces[0] if len(pieces) == 1 else None,
        "action": action,
        "back": way_back(sent),
    }
