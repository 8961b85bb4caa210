"""A commission's way: agreed, being made, ready, handed over, called off."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from provenance.maker.models import Shop
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from shop.commissions import handing, orders
from shop.commissions.entries import why_closed
from shop.commissions.forms.money import AgreeForm, CallOffForm
from shop.commissions.models import Commission, State
from shop.sales.forms.desk import Desk
from shop.sales.models import PaymentKind


def found_one(pk: int) -> Commission:
    """Return the commission as its pages show it, or answer that there is none."""
    return get_object_or_404(Commission.objects.for_lists(), pk=pk)


def closed(request: HttpRequest, found: Commission, to: State | None = None) -> HttpResponse | None:
    """Send a page that asks for what is no longer open back to the commission, with the reason.

    Open is a way to the state `to`; without one, whatever a commission that stands allows.
    """
    sentence = orders.why_not(found, to) if to else why_closed(found)
    # What is sent is left to the verb: sent twice, it has its first outcome.
    if request.method != "GET" or not sentence:
        return None
    messages.error(request, sentence)
    return redirect("commissions:commission", found.pk)


@require_http_methods(["GET", "POST"])
def agree(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the price that was agreed on, and write it down."""
    found, scribe = found_one(pk), scribe_of(request)
    if back := closed(request, found):
        return back
    form = AgreeForm(request.POST or None, commission=found, shop=Shop.current(), scribe=scribe)
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        try:
            operations.once(typed["token"], scribe, lambda: _agreed(found, typed, scribe))
        except RecordError as error:
            form.refuse(error)
        else:
            messages.success(request, "The agreement is written down.")
            return redirect("commissions:commission", pk)
    return render(
        request, "commissions/agree.html", {"room": "sales", "form": form, "commission": found}
    )


def _agreed(found: Commission, typed: dict[str, Any], scribe: Scribe) -> list[str]:
    orders.agree(found, typed["price"], scribe, words=typed["words"], on=typed["on"])
    return []


@require_POST
def begin(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin to make it."""
    return _step(request, pk, orders.begin, "It is being made.")


@require_POST
def ready(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that it is ready to be handed over."""
    return _step(request, pk, orders.mark_ready, "It is ready to be handed over.")


@require_POST
def take_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on with it after its receipt was voided: its wood is kept again."""
    return _step(request, pk, orders.take_up_again, "It is ready again, and its wood is kept.")


def _step(
    request: HttpRequest, pk: int, deed: Callable[[Commission, Scribe], Commission], said: str
) -> HttpResponse:
    found = get_object_or_404(Commission, pk=pk)
    try:
        deed(found, scribe_of(request))
    except RecordError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, said)
    return redirect("commissions:commission", pk)


@require_http_methods(["GET", "POST"])
def hand_over(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for the sale of what was made, its deposit taken off, and record it."""
    found, scribe, is_sent = found_one(pk), scribe_of(request), request.method == "POST"
    if back := closed(request, found, State.HANDED_OVER):
        return back
    desk = handing.desk_of(found, request.POST if is_sent else None, Shop.current(), scribe)
    if is_sent and not desk.is_asking and desk.is_valid():
        said = handing.said_of(desk, found)
        try:
            [code] = _record(desk, found, scribe)
        except RecordError as error:
            desk.refuse(error)
        else:
            messages.success(request, f"Handed over. Receipt {code} is written.{said}")
            return redirect("sales:receipt", code)
    context = {
        "room": "sales",
        "desk": desk,
        "commission": found,
        "agreed_minor": found.price_minor,
        "other_minor": handing.other_price(desk, found),
        "is_unnamed": handing.in_words(desk) is not None,
    }
    return render(request, "commissions/hand_over.html", context)


def _record(desk: Desk, found: Commission, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        return [orders.hand_over(found, desk.draft(scribe), scribe).code]

    return operations.once(desk.token, scribe, work)


@require_http_methods(["GET", "POST"])
def call_off(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask why it is called off and what becomes of the deposit, and end it."""
    found, scribe = found_one(pk), scribe_of(request)
    if back := closed(request, found, State.CALLED_OFF):
        return back
    kinds = list(PaymentKind.objects.filter(is_retired=False))
    form = CallOffForm(
        request.POST or None, commission=found, shop=Shop.current(), scribe=scribe, kinds=kinds
    )
    if request.method == "POST" and form.is_valid():
        try:
            _called_off(form, found, scribe)
        except RecordError as error:
            form.refuse(error)
        else:
            messages.success(request, "It is called off. Its wood is free again.")
            return redirect("commissions:commission", pk)
    context = {"room": "sales", "form": form, "commission": found}
    return render(request, "commissions/call_off.html", context)


def _called_off(form: CallOffForm, found: Commission, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        orders.call_off(found, form.cleaned_data["why"], scribe, **form.facts())
        return []

    return operations.once(form.cleaned_data["token"], scribe, work)
