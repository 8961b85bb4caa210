"""The list of receipts, a receipt, and its paper."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.record.fragments import wants_fragment
from shop.sales.facts import is_settled_elsewhere, paper_of, tax_words
from shop.sales.forms.finding import FilterForm
from shop.sales.models import Receipt, Terms
from shop.sales.paper import receipt_pdf
from shop.sales.rows import how_of, in_turn, rows_of
from shop.sales.story import events_of

PER_PAGE = 50


@require_safe
def receipts(request: HttpRequest) -> HttpResponse:
    """Show the receipts that the filter leaves, newest first, fifty a page."""
    form = FilterForm(request.GET)
    keys = form.narrow(Receipt.objects.all()).values_list("pk", flat=True)
    page = Paginator(keys, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "room": "sales",
        "tab": "receipts",
        "form": form,
        "page": page,
        "rows": rows_of(in_turn(page.object_list)),
        "is_bare": not page.paginator.count and not form.is_narrowed,
    }
    template = "sales/_receipt_rows.html" if wants_fragment(request) else "sales/receipts.html"
    return render(request, template, context)


@require_safe
def receipt(request: HttpRequest, code: str) -> HttpResponse:
    """Show one receipt: its paper, what the owner knows beside it, what may be done next."""
    found = get_object_or_404(Receipt.objects.for_page(), code=code)
    paper = paper_of(found, Shop.current(), Terms.current())
    lines, refunds = list(found.lines.all()), list(found.refunds.all())
    context = {
        "room": "sales",
        "tab": "receipts",
        "receipt": found,
        "paper": paper,
        "lines": list(zip(paper.lines, lines, strict=True)),
        "pieces": [line.piece for line in lines if line.piece],
        "how": how_of(found),
        "tax_words": tax_words(found) if found.tax_name else "",
        "fees_minor": sum(payment.fee_minor for payment in found.payments.all()),
        "back_minor": sum(r.due_minor for refund in refunds for r in refund.lines.all()),
        "is_settled_elsewhere": is_settled_elsewhere(found),
        "may_be_voided": not (found.is_void or refunds),
        "may_be_refunded": not found.is_void and _is_something_out(found),
        "events": events_of(found),
    }
    return render(request, "sales/receipt.html", context)


def _is_something_out(found: Receipt) -> bool:
    """Return whether money or a piece of the receipt has not come back. No query."""
    given = sum(refund.amount_minor for refund in found.refunds.all())
    is_piece_out = any(hasattr(line, "holding") for line in found.lines.all())
    return is_piece_out or given < found.total_minor


@require_safe
def receipt_file(request: HttpRequest, code: str) -> HttpResponse:
    """Send the receipt's paper as a file, in the size that the shop prints on."""
    found = get_object_or_404(Receipt.objects.for_page(), code=code)
    shop = Shop.current()
    body = receipt_pdf(paper_of(found, shop, Terms.current()), size=shop.paper)
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="receipt-{found.code}.pdf"'
    return response
