"""Payments on a receipt after the sale, and payments put right."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from provenance.maker.own_addresses import own_address
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from shop.sales import paying, putting_right
from shop.sales.forms.paying import PayForm, TakeBackForm
from shop.sales.models import Payment, PaymentKind, Receipt


@require_http_methods(["GET", "POST"])
def pay(request: HttpRequest, code: str) -> HttpResponse:
    """Ask for a payment of what is still owed, and write it down."""
    receipts = Receipt.objects.select_related("owing", "void", "gallery", "buyer")
    receipt = get_object_or_404(receipts, code=code)
    scribe, kinds = scribe_of(request), list(PaymentKind.objects.filter(is_retired=False))
    form = PayForm(request.POST or None, receipt=receipt, kinds=kinds, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            _pay(form, receipt, scribe)
        except RecordError as error:
            form.refuse(error)
        else:
            messages.success(request, "The payment is written.")
            return redirect("sales:receipt", code)
    context = {"room": "sales", "receipt": receipt, "form": form}
    return render(request, "sales/pay.html", context)


def _pay(form: PayForm, receipt: Receipt, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        paying.pay(receipt, form.paid(), scribe, on=form.cleaned_data["on"])
        return [receipt.code]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask why a payment or deposit was written down wrongly, and take it back by an entry."""
    payments = Payment.objects.select_related("kind", "receipt__void", "account__person")
    payment = get_object_or_404(payments, pk=pk)
    scribe, back = scribe_of(request), _back(request, payment)
    form = TakeBackForm(request.POST or None)
    refusal = putting_right.why_not(payment)
    if request.method == "POST" and form.is_valid():
        try:
            _take_back(form, payment, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Taken back. Write it down anew as it was.")
            return redirect(back)
    context = {
        "room": "sales", "payment": payment, "form": form, "back": back, "refusal": refusal,
    }  # fmt: skip
    return render(request, "sales/take_back.html", context)


def _back(request: HttpRequest, payment: Payment) -> str:
    """Return where the payment is shown: where the address says, on its receipt, at its giver's."""
    asked = own_address(request, request.POST.get("back") or request.GET.get("back") or "")
    if asked:
        return asked
    if payment.receipt:
        return reverse("sales:receipt", args=[payment.receipt.code])
    return reverse("bench:person", args=[payment.account.person_id if payment.account else 0])


def _take_back(form: TakeBackForm, payment: Payment, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        return [str(putting_right.take_back(payment, form.cleaned_data["reason"], scribe).pk)]

    return operations.once(form.cleaned_data["token"], scribe, work)
