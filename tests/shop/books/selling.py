"""A shop that sold something: what the tests of the books are made of."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from provenance.pieces import making
from provenance.pieces.making import Source
from provenance.pieces.models import Form, Method, Part, Piece
from provenance.trees.models import BoughtStock, Section
from shop.books import monthly
from shop.books.figures import Entry
from shop.books.months import Month
from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Extra, Line, PaymentKind, Receipt, Refund, TaxRate
from shop.sales.paying import Paid
from tests import factories

EARLY = factories.a_scribe(at=datetime(2023, 1, 5, 9, tzinfo=UTC))
LATE = factories.a_scribe(at=datetime(2027, 3, 1, 9, tzinfo=UTC))
OCTOBER, NOVEMBER, LAST_NOVEMBER = Month(2026, 10), Month(2026, 11), Month(2025, 11)
NOV_30, DEC_1 = date(2026, 11, 30), date(2026, 12, 1)


def a_piece_of(
    *sources: Section | BoughtStock | None, form: str = "salad-bowl", **facts: Any
) -> Piece:
    """A piece made in 2023 of these sources; None is wood that nobody knows."""
    roles = [Part.Role.BODY, Part.Role.NECK, Part.Role.LID]
    tied = [Source(source, role) for source, role in zip(sources, roles, strict=False)]
    form_of_work = Form.objects.get(slug=form)
    [piece] = making.make(EARLY, form_of_work, Method.SINGLE, tied, **facts)
    return piece


def wood(slug: str = "white-ash", **facts: Any) -> Section:
    """A section of a tree of that wood, felled in 2022."""
    tree = factories.a_tree(EARLY, species_slug=slug, felled=None, **facts)
    return factories.a_section(tree, EARLY)


def a_rate(pct: str = "10") -> TaxRate:
    return TaxRate.objects.create(name="Tax", rate_pct=Decimal(pct), since=date(2020, 1, 1))


def card(pct: str = "3", fixed_minor: int = 0) -> PaymentKind:
    """The card, with a fee."""
    PaymentKind.objects.filter(slug="card").update(
        fee_pct=Decimal(pct), fee_fixed_minor=fixed_minor
    )
    return factories.a_kind("card")


def wax(unit_minor: int = 1_000, **facts: Any) -> Sold:
    return Sold(unit_minor, extra=Extra.objects.get(slug="wax"), **facts)


def sell(on: date, *sold: Piece | Sold, **facts: Any) -> Receipt:
    return factories.a_receipt(*(sold or (wax(),)), scribe=LATE, sold_on=on, **facts)


def void(receipt: Receipt, on: date) -> None:
    undoing.void(receipt, "Entered twice", LATE, on=on)


def refund(receipt: Receipt, on: date, *amounts: int, is_returned: bool = False) -> Refund:
    """Give back so much on each of the receipt's lines in order, in cash."""
    lines: Sequence[Line] = list(receipt.lines.order_by("position"))
    wishes = [
        undoing.Wish(line, amount, is_returned)
        for line, amount in zip(lines, amounts, strict=False)
    ]
    return undoing.refund(receipt, wishes, "It cracked", LATE, kind=factories.a_kind(), on=on)


def in_card(amount_minor: int | None = None) -> list[Paid]:
    return [Paid(factories.a_kind("card"), amount_minor)]


def entries_of(month: Month, currency: str = "USD") -> list[Entry]:
    return monthly.entries(month.first, month.last, currency).entries
