"""A commission's deposit: taken, and given back."""

from collections.abc import Callable
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from provenance.maker.models import Shop
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe, scribe_of
from shop.commissions import orders
from shop.commissions.forms.money import DepositForm, GiveBackForm
from shop.commissions.models import Commission
from shop.commissions.views.moving import closed, found_one
from shop.sales.models import Payment, PaymentKind


@require_http_methods(["GET", "POST"])
def deposit(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask for a deposit, and write it down as money owed until the hand-over."""
    found, scribe, shop = found_one(pk), scribe_of(request), Shop.current()
    if back := closed(request, found):
        return back
    kinds = list(PaymentKind.objects.filter(is_retired=False))
    form = DepositForm(
        request.POST or None, commission=found, shop=shop, scribe=scribe, kinds=kinds
    )
    if request.method == "POST" and form.is_valid():
        try:
            deed = partial(orders.take_deposit, is_sure=form.is_sure)
            payment = _move(form, found, scribe, deed)
        except RecordError as error:
            form.refuse(error)
        else:
            change = payment.change_minor
            words = f" Change: {_money(change, payment)}." if change else ""
            messages.success(request, f"The deposit is written down.{words}")
            return redirect("commissions:commission", pk)
    context = {"room": "sales", "form": form, "commission": found}
    return render(request, "commissions/deposit.html", context)


@require_http_methods(["GET", "POST"])
def give_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask what of the deposit goes back, and write it down."""
    found, scribe, shop = found_one(pk), scribe_of(request), Shop.current()
    kinds = list(PaymentKind.objects.filter(is_retired=False))
    form = GiveBackForm(
        request.POST or None, commission=found, shop=shop, scribe=scribe, kinds=kinds
    )
    if request.method == "POST" and form.is_valid():
        try:
            payment = _move(form, found, scribe, orders.give_back_deposit)
        except RecordError as error:
            form.refuse(error)
        else:
            given = _money(-payment.amount_minor, payment)
            messages.success(request, f"{given} given back.")
            return redirect("commissions:commission", pk)
    context = {"room": "sales", "form": form, "commission": found}
    return render(request, "commissions/give_back.html", context)


def _money(minor: int, payment: Payment) -> str:
    return format_money(minor, payment.account.currency if payment.account else "")


def _move(
    form: DepositForm | GiveBackForm,
    found: Commission,
    scribe: Scribe,
    deed: Callable[..., Payment],
) -> Payment:
    def work() -> list[str]:
        payment = deed(found, form.paid(), scribe, on=form.cleaned_data["on"])
        return [str(payment.pk)]

    [key] = operations.once(form.cleaned_data["token"], scribe, work)
    return Payment.objects.select_related("account").get(pk=int(key))
