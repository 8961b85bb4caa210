"""Making pieces, entering those from before the book, correcting what a piece is made of."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from provenance.maker.models import Shop
from provenance.pieces import making, sources, sourcing
from provenance.pieces.forms.making import (
    MOST_PARTS,
    MakeForm,
    OldPieceForm,
    PartFormSet,
    SourcesForm,
)
from provenance.pieces.models import Part, Piece
from provenance.pieces.views.chosen import pieces_in, print_address
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.text import is_key
from provenance.trees.models import Tree

OTHER_PARTS = ({"role": Part.Role.NECK}, {"role": Part.Role.INLAY})
"""The rows that are offered beside the first."""

FIRST_PARTS = 1 + len(OTHER_PARTS)
PREFIX = "parts"


@require_http_methods(["GET", "POST"])
def make(request: HttpRequest) -> HttpResponse:
    """Ask for a piece or a run of them, and make it."""
    scribe = scribe_of(request)
    form = MakeForm(_judged(request), initial=_grown(request), scribe=scribe)
    parts = _parts(request)
    tree = Tree.objects.numbered(request.GET.get("tree", ""))
    if form.is_bound and form.is_valid() & parts.is_valid():
        try:
            codes = _make(form, parts, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            return redirect(f"{reverse('pieces:made')}?codes={','.join(codes)}")
    return render(request, "pieces/make.html", {**_page(form, parts), "tree": tree})


def _make(form: MakeForm, parts: Any, scribe: Scribe) -> list[str]:
    typed = form.cleaned_data

    def work() -> list[str]:
        made = making.make(
            scribe,
            typed["form"],
            typed["method"],
            parts.parts(),
            count=typed["count"],
            happened=typed["happened"],
            is_date_known=typed["happened"] is not None,
            words=typed["words"],
            **form.facts(),
        )
        return [piece.code for piece in made]

    return operations.once(typed["token"], scribe, work)


@require_safe
def made(request: HttpRequest) -> HttpResponse:
    """Say which numbers to write on the wood, and offer the tags."""
    pieces = pieces_in(request.GET)
    if not pieces:
        return redirect("pieces:pieces")
    context = {
        "room": "pieces",
        "pieces": pieces,
        "tags": print_address("rough-out", [piece.code for piece in pieces]),
    }
    return render(request, "pieces/made.html", context)


@require_http_methods(["GET", "POST"])
def enter_old(request: HttpRequest) -> HttpResponse:
    """Ask for what is known of a piece from before the book, and enter it."""
    scribe = scribe_of(request)
    form = OldPieceForm(
        _judged(request), initial=_grown(request), scribe=scribe, shop=Shop.current()
    )
    parts = _parts(request, is_old=True)
    if form.is_bound and form.is_valid() & parts.is_valid():
        try:
            [code] = _enter_old(form, parts, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Entered. Its number stands above: burn or write it on.")
            return redirect("bench:piece", code)
    return render(request, "pieces/enter_old.html", _page(form, parts))


def _enter_old(form: OldPieceForm, parts: Any, scribe: Scribe) -> list[str]:
    typed = form.cleaned_data

    def work() -> list[str]:
        piece = making.enter_old(
            scribe,
            typed["form"],
            typed["method"],
            form.past(scribe),
            sources=parts.parts(),
            begun=typed["begun"],
            **form.facts(),
        )
        return [piece.code]

    return operations.once(typed["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def correct_sources(request: HttpRequest, code: str) -> HttpResponse:
    """Show what a piece is made of, and put right what was wrong."""
    scribe = scribe_of(request)
    piece = get_object_or_404(Piece.objects.for_lists(), code=code)
    form = SourcesForm(_judged(request), initial=_grown(request))
    parts = _parts(request, is_old=True, present=_present_parts(piece))
    if form.is_bound and form.is_valid() & parts.is_valid():
        try:
            outcome = _correct_sources(piece, form, parts, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            said = "is put right" if outcome else "is as it was"
            messages.success(request, f"{piece.number}: where its wood comes from {said}.")
            return redirect("bench:piece", code)
    return render(request, "pieces/sources.html", {**_page(form, parts), "piece": piece})


def _correct_sources(piece: Piece, form: SourcesForm, parts: Any, scribe: Scribe) -> list[str]:
    """Return the key of the entry as the operation keeps it; nothing when nothing differed."""
    typed = form.cleaned_data

    def work() -> list[str]:
        entry = sourcing.correct_sources(piece, parts.parts(), scribe, words=typed["words"])
        return [str(entry.pk)] if entry else []

    return operations.once(typed["token"], scribe, work)


def _present_parts(piece: Piece) -> list[dict[str, Any]]:
    """Return the piece's parts as the rows of the form have them."""
    parts = piece.parts.select_related("source_piece")
    return [{**_row_source(part), "role": part.role} for part in parts]


def _row_source(part: Part) -> dict[str, str]:
    if part.section_id:
        return {"source": f"section:{part.section_id}"}
    if part.stock_id:
        return {"source": f"stock:{part.stock_id}"}
    if part.source_piece:
        return {"source": sources.PIECE, "number": str(part.source_piece.number)}
    return {"source": sources.UNKNOWN}


def _is_growing(request: HttpRequest) -> bool:
    """Whether the form was sent to get a row for one more part, not to be judged."""
    return request.method == "POST" and "add_part" in request.POST


def _judged(request: HttpRequest) -> Any:
    """Return what was sent to be saved."""
    return request.POST if request.method == "POST" and not _is_growing(request) else None


def _grown(request: HttpRequest) -> dict[str, Any]:
    """Return what was typed before one more row was asked for."""
    return request.POST.dict() if _is_growing(request) else {}


def _parts(
    request: HttpRequest, *, is_old: bool = False, present: list[dict[str, Any]] | None = None
) -> Any:
    """Return the rows for the parts: as sent, with one more if asked, or the `present` ones.

    Without `present` ones, the first rows are as the address says.
    """
    tree = Tree.objects.numbered(request.GET.get("tree", ""))
    is_sent = request.method == "POST"
    first = present or [_first_part(request, tree, is_old)]
    rows = _rows_sent(request) if is_sent else [*first, *OTHER_PARTS[len(first) - 1 :]]
    chosen = [row.get("source", "") for row in rows]
    options = {"choices": sources.choices(tree, used_up_too=is_old, chosen=chosen)}
    if is_sent and not _is_growing(request):
        return PartFormSet(request.POST, prefix=PREFIX, form_kwargs=options)
    if is_sent:
        rows = [*rows, {}][:MOST_PARTS]
    return PartFormSet(prefix=PREFIX, initial=rows, form_kwargs=options)


def _rows_sent(request: HttpRequest) -> list[dict[str, Any]]:
    """Return the rows as they were typed."""
    total = request.POST.get(f"{PREFIX}-TOTAL_FORMS", "")
    rows = range(min(int(total), MOST_PARTS) if is_key(total) else 0)
    names = ("source", "number", "role", "uses_up")
    return [
        {name: request.POST.get(f"{PREFIX}-{row}-{name}", "") for name in names} for row in rows
    ]


def _first_part(request: HttpRequest, tree: Tree | None, is_old: bool) -> dict[str, Any]:
    """Return the first row, filled from ?section=, ?stock=, ?piece= or ?tree=."""
    first: dict[str, Any] = {"role": Part.Role.WHOLE}
    for kind in ("section", "stock"):
        if is_key(request.GET.get(kind, "")):
            first["source"] = f"{kind}:{request.GET[kind]}"
    if request.GET.get("piece"):
        first |= {"source": sources.PIECE, "number": request.GET["piece"]}
    if tree and "source" not in first and tree.sections.count() == 1:
        first["source"] = f"section:{tree.sections.get().pk}"
    if is_old and "source" not in first:
        first["source"] = sources.UNKNOWN
    return first


def _page(form: Any, parts: Any) -> dict[str, Any]:
    rows = list(parts)
    return {
        "room": "pieces",
        "form": form,
        "parts": parts,
        "first_part": rows[0] if rows else None,
        "more_parts": rows[1:],
        "are_more_open": len(rows) > FIRST_PARTS
        or any(row["source"].value() or row.errors for row in rows[1:]),
        "may_add": len(rows) < MOST_PARTS,
    }
