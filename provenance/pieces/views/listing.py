"""The list of pieces."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.pieces.forms.lists import FilterForm
from provenance.pieces.models import Piece
from provenance.pieces.rows import in_turn, rows_of
from provenance.record.fragments import wants_fragment
from provenance.record.numbers import NotANumber, Number, near_misses
from provenance.record.scribe import scribe_of

PER_PAGE = 50


@require_safe
def pieces(request: HttpRequest) -> HttpResponse:
    """Show the pieces that the filter leaves, fifty a page."""
    shop = Shop.current()
    form = FilterForm(request.GET, shop=shop)
    keys = form.narrow(Piece.objects.all()).values_list("pk", flat=True)
    page = Paginator(keys, PER_PAGE).get_page(request.GET.get("page"))
    shown = in_turn(page.object_list)
    context = {
        "room": "pieces",
        "form": form,
        "page": page,
        "rows": rows_of(shown, shop, scribe_of(request).today),
        "query": _query(request),
        "is_bare": not page.paginator.count and not form.is_narrowed,
        **(_number_words(request.GET.get("find", "")) if not page.paginator.count else {}),
    }
    return render(
        request, "pieces/_rows.html" if wants_fragment(request) else "pieces/list.html", context
    )


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
