"""Receipts as rows of a list: the number, what was sold, to whom, how, and the figure."""

from collections.abc import Iterable
from dataclasses import dataclass

from provenance.pieces.models import Piece
from provenance.record.money import format_money
from shop.sales.models import Channel, Line, Receipt


@dataclass(frozen=True)
class Row:
    """What a list shows of one receipt. `state` is as `state_of` says."""

    receipt: Receipt
    what: str
    who: str
    how: str
    figure: str
    state: str


def in_turn(keys: Iterable[int]) -> list[Receipt]:
    """Return the receipts with these keys in the order of the keys, read for `rows_of`."""
    wanted = list(keys)
    found = Receipt.objects.for_lists().in_bulk(wanted)
    return [found[key] for key in wanted]


def rows_of(receipts: Iterable[Receipt]) -> list[Row]:
    """Return a row for each receipt read with `for_lists`. No query."""
    return [row_of(receipt) for receipt in receipts]


def row_of(receipt: Receipt) -> Row:
    """Return the row of one receipt."""
    return Row(
        receipt=receipt,
        what=what_of(receipt),
        who=receipt.buyer.name if receipt.buyer else "",
        how=how_of(receipt),
        figure=format_money(receipt.total_minor, receipt.currency),
        state=state_of(receipt),
    )


def what_of(receipt: Receipt) -> str:
    """Return what was sold: "Salad bowl in ash and 2 more". Uses the prefetched lines."""
    first, *others = receipt.lines.all()
    what = f"{first.quantity} × {first.words}" if first.quantity > 1 else first.words
    return f"{what} and {len(others)} more" if others else what


def how_of(receipt: Receipt) -> str:
    """Return the channel and the place: "Booth, Quay Market", "Through Weir Gallery"."""
    if receipt.channel == Channel.GALLERY and receipt.gallery:
        return f"Through {receipt.where}"
    label = receipt.get_channel_display()
    return ", ".join(filter(None, [label[0].upper() + label[1:], receipt.where]))


def state_of(receipt: Receipt) -> str:
    """Return "void", "refunded", "$5 of it refunded, owed $10", or ''; read with `for_lists`."""
    if receipt.is_void:
        return "void"
    owed = receipt.owed_minor
    still = f"owed {format_money(owed, receipt.currency)}" if owed else ""
    return ", ".join(filter(None, [_back(receipt), still]))


def _back(receipt: Receipt) -> str:
    lines = list(receipt.lines.all())
    amount = sum(line.back_minor for line in lines)
    if amount:
        is_all = amount == receipt.total_minor
        return "refunded" if is_all else f"{format_money(amount, receipt.currency)} of it refunded"
    if not any(line.is_back for line in lines):
        return ""
    return "came back" if all(line.is_back for line in lines) else "some of it came back"


@dataclass(frozen=True)
class Sale:
    """A sale of one piece: its receipt, how and for how much, and whether it still holds."""

    receipt: Receipt
    how: str
    figure: str
    is_over: bool
    state: str


def sales_of(piece: Piece) -> list[Sale]:
    """Return the sales on which a piece stands or stood, the newest first. Two queries."""
    lines = Line.objects.filter(piece=piece).prefetch_related("refund_lines")
    lines = lines.select_related("receipt__buyer", "receipt__gallery", "receipt__void")
    return [_sale(line) for line in lines.order_by("-pk")]


def _sale(line: Line) -> Sale:
    receipt, given = line.receipt, list(line.refund_lines.all())
    is_back = any(row.is_returned for row in given)
    refunded = sum(row.amount_minor for row in given)
    state = "void" if receipt.is_void else "refunded" if is_back else ""
    if not state and refunded:
        state = f"{format_money(refunded, receipt.currency)} of it refunded"
    return Sale(
        receipt=receipt,
        how=how_of(receipt),
        figure=format_money(charged_on(line, receipt), receipt.currency),
        is_over=receipt.is_void or is_back,
        state=state,
    )


def charged_on(line: Line, receipt: Receipt) -> int:
    """Return what a line cost after discounts, as prices are written there: with tax or without."""
    return line.paid_minor - (0 if receipt.prices_include_tax else line.tax_minor)
