"""What happened to a receipt, entry by entry, for its owner."""

from dataclasses import dataclass
from datetime import date, datetime

from provenance.record.money import format_money
from shop.sales.models import Payment, Receipt, Refund, Void


@dataclass(frozen=True)
class Event:
    """One entry: what it was, on which day, with its lines of words, and who wrote it when."""

    on: date
    what: str
    words: tuple[str, ...]
    written_at: datetime
    by: object
    #: The key of a payment that can be taken back by itself; 0 for anything else.
    payment_pk: int = 0
    is_taken_back: bool = False


def events_of(receipt: Receipt) -> list[Event]:
    """Return what happened since the sale, the newest first, of a receipt read with `for_page`.

    A payment made with a refund or a void is told with it.
    """
    alone = [p for p in receipt.payments.all() if not (p.void_id or p.refund_id)]
    events = [*map(_payment, alone), *(_refund(r, receipt) for r in receipt.refunds.all())]
    if receipt.is_void:
        events.append(_void(receipt.void, receipt))
    return sorted(events, key=lambda event: event.written_at)[::-1]


def _void(made: Void, receipt: Receipt) -> Event:
    back = [p for p in receipt.payments.all() if p.void_id == made.pk]
    words = (made.reason, *(_went_back(payment) for payment in back))
    return Event(made.on, "Void", words, made.written_at, made.by)


def _refund(made: Refund, receipt: Receipt) -> Event:
    lines = list(made.lines.all())
    tax = sum(line.tax_minor for line in lines)
    of_it = f", {_money(tax, receipt)} of it tax" if tax else ""
    amount = made.amount_minor
    what = f"Refund of {_money(amount, receipt)}{of_it}" if amount else "Came back"
    told = []
    for line in lines:
        back = _money(line.amount_minor, receipt) if line.amount_minor else ""
        came = "came back" if line.is_returned else ""
        told.append(f"{line.line.words}: {', '.join(filter(None, [back, came]))}")
    paid = [_went_back(p) for p in receipt.payments.all() if p.refund_id == made.pk]
    return Event(made.on, what, (made.reason, *told, *paid), made.written_at, made.by)


def _went_back(payment: Payment) -> str:
    assert payment.receipt is not None  # noqa: S101 (a receipt's own payments)
    amount = _money(-payment.amount_minor, payment.receipt)
    if payment.kind is None:
        return f"{amount} is held as a deposit again"
    return f"{amount} went back: {payment.kind.name}"


def _payment(payment: Payment) -> Event:
    receipt = payment.receipt
    assert receipt is not None  # noqa: S101 (a receipt's own payments)
    amount = _money(abs(payment.amount_minor), receipt)
    if payment.corrects_id and payment.kind:
        what = f"Taken back: the payment of {amount}, {payment.kind.name.lower()}"
        return Event(payment.on, what, (payment.words,), payment.written_at, payment.by)
    if payment.kind is None:
        what = f"Deposit taken off: {amount}"
    else:
        what = f"Paid: {amount}, {payment.kind.name.lower()}"
    told = []
    if payment.change_minor:
        given, change = payment.given_minor or 0, payment.change_minor
        told.append(f"{_money(given, receipt)} given, {_money(change, receipt)} change")
    if payment.fee_minor:
        told.append(f"Fee {_money(payment.fee_minor, receipt)}")
    if payment.words:
        told.append(payment.words)
    is_open = payment.kind is not None and not (payment.is_taken_back or receipt.is_void)
    return Event(
        payment.on,
        what,
        tuple(told),
        payment.written_at,
        payment.by,
        payment_pk=payment.pk if is_open else 0,
        is_taken_back=payment.is_taken_back,
    )


def _money(minor: int, receipt: Receipt) -> str:
    return format_money(minor, receipt.currency)
