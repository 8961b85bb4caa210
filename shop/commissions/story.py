"""What happened with a commission, entry by entry: its states and its money in one line."""

from dataclasses import dataclass
from datetime import date, datetime

from provenance.maker.models import User
from provenance.record.money import format_money
from shop.commissions.entries import sentences
from shop.commissions.models import Commission, Event, State
from shop.sales.models import Payment


@dataclass(frozen=True)
class Entry:
    """One thing that happened: on which day, in what words, and who wrote it when."""

    on: date
    words: str
    written_at: datetime
    by: User | None
    #: The key of a deposit that can be taken back by itself; 0 for anything else.
    payment_pk: int = 0
    is_taken_back: bool = False


def told(commission: Commission) -> list[Entry]:
    """Return all that happened, the latest first. Two queries."""
    entries = _events(commission) + _payments(commission)
    # As written; what belongs to one deed was written at one moment, its money before its state.
    return sorted(entries, key=lambda entry: entry.written_at, reverse=True)


def _events(commission: Commission) -> list[Entry]:
    entries, before = [], ""
    for event in commission.events.select_related("by"):
        words = _said(event) if event.state != before else event.words
        entries.append(Entry(event.on, words, event.written_at, event.by))
        before = event.state
    return entries[::-1]


def _said(event: Event) -> str:
    """Return the state that it came to, and the words."""
    label = str(State(event.state).label)
    return sentences(f"{label[0].upper()}{label[1:]}", event.words)


def _payments(commission: Commission) -> list[Entry]:
    payments = Payment.objects.filter(account=commission.account_id or 0)
    payments = payments.select_related("account", "by", "kind", "receipt", "correction")
    return [_entry(payment) for payment in payments][::-1]


def _entry(payment: Payment) -> Entry:
    held = payment.account.held_minor if payment.account else 0
    is_alone = payment.kind_id and not (payment.receipt_id or payment.corrects_id)
    is_open = is_alone and not payment.is_taken_back and payment.amount_minor <= held
    return Entry(
        payment.on,
        _moved(payment),
        payment.written_at,
        payment.by,
        payment_pk=payment.pk if is_open else 0,
        is_taken_back=payment.is_taken_back,
    )


def _moved(payment: Payment) -> str:
    account = payment.account
    amount = format_money(abs(payment.amount_minor), account.currency if account else "")
    if payment.receipt:
        how = "taken off" if payment.amount_minor > 0 else "held again:"
        void = "" if payment.amount_minor > 0 else " is void"
        return f"{amount} of the deposit {how} receipt {payment.receipt}{void}."
    is_deposit = (payment.amount_minor > 0) != bool(payment.corrects_id)
    deed = f"Deposit of {amount}" if is_deposit else f"{amount} of the deposit given back"
    if payment.corrects_id:
        deed = f"Taken back, as it was never made so: {deed[0].lower()}{deed[1:]}"
    by = f", {payment.kind.name.lower()}" if payment.kind else ""
    return sentences(f"{deed}{by}", payment.words)
