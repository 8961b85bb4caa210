"""Recording a sale."""

import hashlib

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from provenance.maker.models import Shop
from provenance.pieces.views.chosen import pieces_in
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from shop.sales import checkout, offering
from shop.sales.checkout import Sold
from shop.sales.forms.desk import Desk, Start


@require_http_methods(["GET", "POST"])
def sell(request: HttpRequest) -> HttpResponse:
    """Ask for a sale, and record it; buttons that add a line come back with what was typed."""
    scribe, shop = scribe_of(request), Shop.current()
    is_sent = request.method == "POST"
    desk = Desk(request.POST if is_sent else None, shop=shop, scribe=scribe, start=_start(request))
    if is_sent and not desk.is_asking and desk.is_valid():
        try:
            code, is_as_sent = _record(desk, scribe, _mark(request))
        except RecordError as error:
            desk.refuse(error)
        else:
            _say(request, code, is_as_sent)
            return redirect("sales:receipt", code)
    return render(request, "sales/sell.html", {"room": "sales", "desk": desk})


def _start(request: HttpRequest) -> Start:
    """Return what the address brings along: pieces to sell."""
    pieces = pieces_in(request.GET)
    return Start(
        [Sold(-1 if p.price_minor is None else p.price_minor, piece=p) for p in pieces],
    )


def _record(desk: Desk, scribe: Scribe, mark: str) -> tuple[str, bool]:
    """Return the receipt's code, and whether it holds what was sent this time.

    The same form sent again, after the Back button, with something changed in it gets the first
    receipt like any second press, but is told so.
    """

    def work() -> list[str]:
        return [checkout.sell(desk.draft(scribe), scribe).code, mark]

    code, first_mark = operations.once(desk.token, scribe, work)
    return code, mark == first_mark


def _mark(request: HttpRequest) -> str:
    """Return a mark of what was sent: another one as soon as anything in the form differs."""
    secret = {"csrfmiddlewaretoken"}
    sent = sorted((name, value) for name, value in request.POST.items() if name not in secret)
    return hashlib.sha256(repr(sent).encode("utf-8", "replace")).hexdigest()[:16]


def _say(request: HttpRequest, code: str, is_as_sent: bool) -> None:
    if is_as_sent:
        messages.success(request, f"Receipt {code} is written.")
    else:
        messages.warning(
            request,
            f"That form was recorded before, as receipt {code}, and is not recorded twice: what "
            "you changed in it since is not on it. Begin a new sale for anything else.",
        )


@require_safe
def offer(request: HttpRequest) -> HttpResponse:
    """Offer the pieces for sale that a few typed letters may mean. A fragment."""
    found = offering.sought(request.GET.get("add", ""))
    pieces = [found.piece] if found.piece else found.pieces
    return render(request, "sales/_offers.html", {"offers": pieces, "sentence": found.sentence})
