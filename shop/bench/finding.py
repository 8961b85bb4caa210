"""One box that finds anything: by number, wood, place or name."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_safe

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces.models import Piece
from provenance.pieces.rows import rows_of
from provenance.record.numbers import NotANumber, Number, near_misses, parse_section
from provenance.record.scribe import scribe_of
from provenance.record.text import clean_text
from provenance.trees.models import BoughtStock, Tree
from shop.sales.codes import receipt_code
from shop.sales.models import Receipt
from shop.sales.rows import in_turn
from shop.sales.rows import rows_of as receipt_rows_of

MOST = 20


def by_number(text: str) -> str | None:
    """Return the address of the piece or tree whose number `text` is, if it is in the book."""
    try:
        number = Number.parse(text)
    except NotANumber:
        try:
            number, _letter = parse_section(text)
        except NotANumber:
            return None
    model = Piece if number.kind == "piece" else Tree
    if not model.objects.filter(code=number.code).exists():
        return None
    return reverse(f"bench:{number.kind}", args=[number.code])


def by_receipt(text: str) -> str | None:
    """Return the address of the receipt whose number `text` is, if it is in the book."""
    code = receipt_code(text)
    if not code or not Receipt.objects.filter(code=code).exists():
        return None
    return reverse("sales:receipt", args=[code])


def why_no_number(text: str) -> str:
    """Return the sentence for what looks like a number and is none of ours; '' for other words."""
    if code := receipt_code(text):
        return f"No receipt has the number {code}."
    if sum(c.isdigit() for c in text) < 4:
        return ""
    try:
        return f"{Number.parse(text)} is a sound number, but nothing in the book has it."
    except NotANumber as error:
        return str(error)


def near_numbers(text: str) -> list[Piece | Tree]:
    """Return what the book holds under numbers one slip away from `text`. Two queries."""
    codes = [number.code for number in near_misses(text)]
    found: dict[str, Piece | Tree] = {}
    found |= {piece.code: piece for piece in Piece.objects.for_lists().filter(code__in=codes)}
    found |= {tree.code: tree for tree in Tree.objects.filter(code__in=codes)}
    return [found[code] for code in codes if code in found][:6]


@require_safe
def find(request: HttpRequest) -> HttpResponse:
    """Go straight to a number; otherwise list what matches."""
    text = clean_text(request.GET.get("q", "")).strip()[:100]
    if not text:
        return render(request, "bench/find.html", {"room": "", "sought": ""})
    straight = by_receipt(text) or by_number(text)
    if straight:
        return redirect(straight)
    context = {
        "sought": text,
        "sentence": why_no_number(text),
        "near": near_numbers(text) if why_no_number(text) else [],
        "pieces": rows_of(
            Piece.objects.for_lists().search(text)[:MOST], Shop.current(), scribe_of(request).today
        ),
        "trees": Tree.objects.search(text)[:MOST],
        "people": Person.objects.search(text)[:MOST],
        "stocks": BoughtStock.objects.search(text)[:MOST],
        "receipts": receipt_rows_of(
            in_turn(Receipt.objects.search(text).values_list("pk", flat=True)[:MOST])
        ),
        "most": MOST,
    }
    context["is_empty"] = not any(
        context[k] for k in ("pieces", "trees", "people", "stocks", "receipts", "near")
    )
    return render(request, "bench/find.html", context)
