"""Pieces named in an address or a form, and the way back to where they were ticked."""

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, QueryDict
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from provenance.pieces.models import Piece
from provenance.pieces.workflow import Move
from provenance.record.numbers import codes_of

MOST = 200


def codes_in(data: QueryDict) -> list[str]:
    """Return the codes that `data` names, each once: piece=… again and again, or codes=…,…"""
    return codes_of([*data.getlist("piece"), *data.get("codes", "").split(",")][:MOST])


def pieces_in(data: QueryDict) -> list[Piece]:
    """Return the pieces that `data` names, in number order. Four queries."""
    return list(Piece.objects.for_lists().filter(code__in=codes_in(data)).order_by("pk"))


def way_back(data: QueryDict) -> str:
    """Return the list that the pieces were ticked in, with its filters, or the whole list."""
    home = reverse("pieces:pieces")
    back = data.get("back", "")
    return back if back == home or back.startswith(f"{home}?") else home


def print_address(kind: str, codes: Iterable[str]) -> str:
    """Return the address that offers to print tags or cards of these pieces."""
    return f"{reverse('cards:choose')}?kind={kind}&codes={','.join(codes)}"


PRINTS = {
    "rough-out tag": ("rough-out", "Print rough-out tags"),
    "provenance card": ("card", "Print provenance cards"),
}


def print_offer(step: Move, codes: list[str]) -> SafeString:
    """Return a link to print what belongs to the move, or nothing."""
    if step.prints not in PRINTS:
        return SafeString("")
    kind, label = PRINTS[step.prints]
    label = label if len(codes) > 1 else label.removesuffix("s")
    return format_html('<a class="button" href="{}">{}</a>', print_address(kind, codes), label)


def say_done(request: HttpRequest, codes: list[str], done: str, offer: str = "") -> None:
    """Tell what was done with one piece or with several, and what may be printed now."""
    numbers = [str(piece) for piece in Piece.objects.filter(code__in=codes).order_by("pk")]
    whom = numbers[0] if len(numbers) == 1 else f"{len(numbers)} pieces"
    words = format_html('<span><span class="number">{}</span>: {}.</span> {}', whom, done, offer)
    messages.success(request, words)
