"""Taking a sale back: the whole of a receipt, or some of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe, scribe_of
from shop.sales import undoable, undoing
from shop.sales.forms.undoing import RefundForm, VoidForm
from shop.sales.models import PaymentKind, Receipt, Refund


@require_http_methods(["GET", "POST"])
def void(request: HttpRequest, code: str) -> HttpResponse:
    """Say what a void does, ask why, and take the whole receipt back."""
    receipt = get_object_or_404(Receipt, code=code)
    scribe = scribe_of(request)
    form = VoidForm(request.POST or None, receipt=receipt, scribe=scribe)
    if request.method == "POST" and form.is_valid():
        try:
            _void(form, receipt, scribe)
        except RecordError as error:
            form.refuse(error)
        else:
            messages.success(request, f"Receipt {receipt} is void.")
            return redirect("sales:receipt", code)
    context = {
        "room": "sales",
        "receipt": receipt,
        "form": form,
        "refusal": undoable.why_not_void(receipt),
        "money": undoable.money_back(receipt),
        "pieces": undoable.pieces_back(receipt),
    }
    return render(request, "sales/void.html", context)


def _void(form: VoidForm, receipt: Receipt, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        undoing.void(receipt, form.cleaned_data["reason"], scribe, on=form.cleaned_data["on"])
        return [receipt.code]

    return operations.once(form.cleaned_data["token"], scribe, work)


@require_http_methods(["GET", "POST"])
def refund(request: HttpRequest, code: str) -> HttpResponse:
    """Ask what is given back, line by line, and write it down."""
    receipt = get_object_or_404(Receipt.objects.select_related("owing"), code=code)
    scribe, left = scribe_of(request), undoable.left_of(receipt)
    kinds = list(PaymentKind.objects.filter(is_retired=False))
    form = RefundForm(request.POST or None, receipt=receipt, scribe=scribe, left=left, kinds=kinds)
    form.fields["kind"].initial = _paid_with(receipt)
    if request.method == "POST" and form.is_valid():
        try:
            [pk] = _refund(form, receipt, scribe)
        except RecordError as error:
            form.refuse(error)
        else:
            messages.success(request, _said(Refund.objects.get(pk=pk), receipt))
            return redirect("sales:receipt", code)
    context = {
        "room": "sales",
        "receipt": receipt,
        "form": form,
        "refusal": undoable.why_not_refund(receipt, left),
        "money": undoable.refund_of_all(receipt, left),
        "is_piece_out": any(one.is_out for one in left),
    }
    return render(request, "sales/refund.html", context)


def _paid_with(receipt: Receipt) -> int | None:
    """The kind of the first payment that came in, to be offered for what goes back."""
    paid = receipt.payments.filter(amount_minor__gt=0).exclude(kind=None)
    return paid.values_list("kind", flat=True).first()


def _refund(form: RefundForm, receipt: Receipt, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        typed = form.cleaned_data
        made = undoing.refund(
            receipt, form.wishes(), typed["reason"], scribe, kind=typed["kind"], on=typed["on"]
        )
        return [str(made.pk)]

    return operations.once(form.cleaned_data["token"], scribe, work)


def _said(made: Refund, receipt: Receipt) -> str:
    """Return what was given back, and the tax in it, as a sentence."""
    lines = list(made.lines.all())
    amount, tax = sum(line.amount_minor for line in lines), sum(line.tax_minor for line in lines)
    if not amount:
        return "Written: it came back."
    of_it = f", {format_money(tax, receipt.currency)} of it tax" if tax else ""
    return f"Refunded: {format_money(amount, receipt.currency)}{of_it}."
