"""The list of pieces."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.pieces.forms.lists import FilterForm
from provenance.pieces.models import Piece
from provenance.pieces.rows import rows_of
from provenance.record.numbers import NotANumber, Number, near_misses
from provenance.record.scribe import scribe_of

PER_PAGE = 50


@require_safe
def pieces(request: HttpRequest) -> HttpResponse:
    """Show the pieces that the filter leaves, fifty a page."""
    shop = Shop.current()
    form = FilterForm(request.GET, shop=shop)
    page = Paginator(form.narrow(Piece.objects.for_lists()), PER_PAGE).get_page(
        request.GET.get("page")
    )
    context = {
        "room": "pieces",
        "form": form,
        "page": page,
        "rows": rows_of(page.object_list, shop, scribe_of(request).today),
        "query": _query(request),
        "is_bare": not page.paginator.count and not form.is_narrowed,
        **(_number_words(request.GET.get("find", "")) if not page.paginator.count else {}),
    }
    part = request.htmx and not request.htmx.history_restore_request  # type: ignore[attr-defined]
    return render(request, "pieces/_rows.html" if part else "pieces/list.html", context)


def _query(request: HttpRequest) -> str:
    """Return the filter without the page, to lead from page to page."""
    query = request.GET.copy()
    query.pop("page", None)
    return query.urlencode()


def _number_words(text: str) -> dict[str, object]:
    """Return why what looks like a number finds nothing, and the near ones that exist."""
    if sum(character.isdigit() for character in text) < 5:
        return {}
    try:
        sentence = f"{Number.parse(text)} is a sound number, but no piece has it."
    except NotANumber as error:
        sentence = str(error)
    codes = [number.code for number in near_misses(text)]
    return {"sentence": sentence, "near": Piece.objects.for_lists().filter(code__in=codes)[:6]}
