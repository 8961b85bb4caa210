"""The month: its page, what makes up each figure, and the same as PDF and CSV."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from provenance.drawing.columns import columns_svg
from provenance.maker.models import Shop
from provenance.record.scribe import scribe_of
from shop.books import monthly
from shop.books.csv_file import csv_file
from shop.books.months import Month
from shop.books.opened import Asked, NoSuchFigure, opened
from shop.books.page import page_of
from shop.books.paper import month_pdf
from shop.books.printed import month_paper


@require_safe
def this_month(request: HttpRequest) -> HttpResponse:
    """Go to the month that it is in the shop's time zone."""
    return redirect("books:month", Month.of(scribe_of(request).today))


@require_safe
def month(request: HttpRequest, month: Month) -> HttpResponse:
    """Show a month's figures beside other months, the year in a picture, and the breakdowns."""
    today = scribe_of(request).today
    _check(month, today)
    page = page_of(month, today, Shop.current().currency)
    svg = columns_svg(page.columns, title=page.picture_title)
    context = {
        "room": "sales",
        "tab": "month",
        "page": page,
        "month": month,
        "picture": mark_safe(svg),  # noqa: S308 -- our own drawing, which escapes its texts
    }
    return render(request, "books/month.html", context)


@require_safe
def entries(request: HttpRequest, month: Month) -> HttpResponse:
    """Show what makes up one figure of a month."""
    _check(month, scribe_of(request).today)
    query = request.GET
    try:
        asked = Asked(month, query.get("figure", "net"), query.get("by", ""), query.get("key", ""))
    except NoSuchFigure as error:
        raise Http404(str(error)) from error
    context = {
        "room": "sales",
        "tab": "month",
        "month": month,
        "opened": opened(asked, Shop.current().currency),
    }
    return render(request, "books/entries.html", context)


@require_safe
def month_csv(request: HttpRequest, month: Month) -> HttpResponse:
    """Send a month's entries as a file for a spreadsheet."""
    _check(month, scribe_of(request).today)
    currency = Shop.current().currency
    happened = monthly.entries(month.first, month.last, currency)
    response = HttpResponse(
        csv_file(happened.entries, currency), content_type="text/csv; charset=utf-8"
    )
    response["Content-Disposition"] = f'attachment; filename="month-{month}.csv"'
    return response


@require_safe
def month_file(request: HttpRequest, month: Month) -> HttpResponse:
    """Send a month's page on the shop's paper."""
    today = scribe_of(request).today
    _check(month, today)
    shop = Shop.current()
    paper = month_paper(page_of(month, today, shop.currency), shop)
    response = HttpResponse(month_pdf(paper, size=shop.paper), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="month-{month}.pdf"'
    return response


def _check(month: Month, today: date) -> None:
    """Raise `Http404` for a month that is still to come."""
    if month > Month.of(today):
        raise Http404(f"{month} is still to come")
