"""What stands on a receipt's paper, in words: the same for its page and for the printed one."""

from datetime import date

from provenance.maker.models import Shop
from provenance.record.money import format_exact, plain_percent
from provenance.record.partial_dates import PartialDate
from shop.sales.models import Channel, Line, Payment, Receipt, Refund, Terms
from shop.sales.paper import PaperLine, ReceiptPaper

Sum = tuple[str, str]


def paper_of(receipt: Receipt, shop: Shop, terms: Terms) -> ReceiptPaper:
    """Return the paper of a receipt read with `for_page`. No query."""
    lines = list(receipt.lines.all())
    return ReceiptPaper(
        shop_name=shop.name,
        shop_place=shop.place,
        shop_contact=shop.public_contact,
        tax_registration=terms.tax_registration,
        code=receipt.code,
        day=day_words(receipt.sold_on),
        buyer=receipt.buyer.name if receipt.buyer else "",
        place=_place(receipt),
        lines=tuple(_line(line, receipt) for line in lines),
        sums=_sums(receipt, lines),
        total=("Total", exact(receipt.total_minor, receipt)),
        below=(*_tax_contained(receipt), *_paid(receipt)),
        remarks=_since_then(receipt),
        closing=terms.receipt_words,
        is_void=receipt.is_void,
    )


def exact(minor: int, receipt: Receipt) -> str:
    """Return an amount as it stands in a column: "$165.00"."""
    return format_exact(minor, receipt.currency)


def day_words(day: date) -> str:
    return PartialDate.of(day).spoken()


def is_settled_elsewhere(receipt: Receipt) -> bool:
    """Whether the buyer paid a gallery or site, which owes the shop its part.

    What is paid on such a receipt is paid to the shop by them: the buyer's paper does not show it.
    """
    return receipt.due_minor != receipt.total_minor


def tax_words(receipt: Receipt) -> str:
    """Return "Wrenshire sales tax 6.25 %", and by whom it is collected where that is not us."""
    words = f"{receipt.tax_name} {plain_percent(receipt.tax_rate_pct)} %"
    return f"{words}, collected by {seller_of(receipt)}" if receipt.is_tax_theirs else words


def seller_of(receipt: Receipt) -> str:
    """Return who sold it for the shop: the gallery's name, or "the site"."""
    if receipt.gallery:
        return receipt.gallery.name
    return "the site" if receipt.channel == Channel.ONLINE else "the gallery"


def _place(receipt: Receipt) -> str:
    sold_by = f"sold by {receipt.gallery}" if receipt.gallery else ""
    return ", ".join(filter(None, [receipt.place, sold_by]))


def _line(line: Line, receipt: Receipt) -> PaperLine:
    off, spared = line.own_discount_minor, receipt.tax_name and not line.is_taxed
    return PaperLine(
        words=f"{line.words} (no tax on it)" if spared else line.words,
        number=str(line.piece.number) if line.piece else "",
        quantity=line.quantity,
        unit=exact(line.unit_minor, receipt),
        discount=exact(-off, receipt) if off else "",
        amount=exact(_cost(line), receipt),
    )


def _cost(line: Line) -> int:
    """What a line costs after its own discount, as its price is written: with tax or without."""
    return line.quantity * line.unit_minor - line.own_discount_minor


def _sums(receipt: Receipt, lines: list[Line]) -> tuple[Sum, ...]:
    """What stands between the lines and the total; nothing where they say it all."""
    shared = sum(line.shared_discount_minor for line in lines)
    tax = _has_tax(receipt) and not receipt.prices_include_tax
    sums: list[Sum] = []
    if len(lines) > 1 and (shared or tax):
        sums.append(("Together", exact(sum(map(_cost, lines)), receipt)))
    if shared:
        words = f"Discount: {receipt.discount_words}" if receipt.discount_words else "Discount"
        sums.append((words, exact(-shared, receipt)))
    if tax:
        sums.append((tax_words(receipt), exact(receipt.tax_minor, receipt)))
    return tuple(sums)


def _has_tax(receipt: Receipt) -> bool:
    return bool(receipt.tax_name)


def _tax_contained(receipt: Receipt) -> tuple[Sum, ...]:
    if not _has_tax(receipt) or not receipt.prices_include_tax:
        return ()
    return ((f"of which {tax_words(receipt)}", exact(receipt.tax_minor, receipt)),)


def _paid(receipt: Receipt) -> tuple[Sum, ...]:
    """What the buyer paid, got as change and back, and what is still owed."""
    if is_settled_elsewhere(receipt):
        return ()
    stands = [p for p in receipt.payments.all() if not (p.corrects_id or p.is_taken_back)]
    sums = [sum_ for payment in stands for sum_ in _payment(payment, receipt)]
    if receipt.owed_minor:
        sums.append(("Still owed", exact(receipt.owed_minor, receipt)))
    return tuple(sums)


def _payment(payment: Payment, receipt: Receipt) -> list[Sum]:
    amount = exact(payment.amount_minor, receipt)
    later = f", {day_words(payment.on)}" if payment.on != receipt.sold_on else ""
    if payment.kind is None:
        words = "Deposit held again" if payment.amount_minor < 0 else "Deposit taken off"
        return [(f"{words}{later}", amount)]
    if payment.amount_minor < 0:
        return [(f"Paid back: {payment.kind.name}{later}", amount)]
    if payment.change_minor:
        given = exact(payment.given_minor or 0, receipt)
        change = exact(-payment.change_minor, receipt)
        return [(f"{payment.kind.name} given{later}", given), ("Change", change)]
    return [(f"{payment.kind.name}{later}", amount)]


def _since_then(receipt: Receipt) -> tuple[str, ...]:
    """What happened to the receipt since: refunds and the void. Their reasons are the owner's."""
    remarks = [_refunded(refund, receipt) for refund in receipt.refunds.all()]
    if receipt.is_void:
        remarks.append(f"Void since {day_words(receipt.void.on)}.")
    return tuple(remarks)


def _refunded(refund: Refund, receipt: Receipt) -> str:
    day = day_words(refund.on)
    if not refund.amount_minor:
        return f"Came back on {day}."
    tax = sum(line.tax_minor for line in refund.lines.all())
    of_it = f", of which tax {exact(tax, receipt)}" if tax else ""
    return f"Refunded on {day}: {exact(refund.amount_minor, receipt)}{of_it}."
