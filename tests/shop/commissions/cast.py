"""Commissions for the tests, brought to a state by their own moves."""

from datetime import timedelta
from typing import Any

from provenance.pieces.models import Promise
from provenance.record.scribe import Scribe
from shop.commissions import orders
from shop.commissions.models import Commission, State
from shop.sales.checkout import Draft
from shop.sales.models import Receipt
from shop.sales.paying import Paid
from tests import factories

ONWARD = (State.AGREED, State.MAKING, State.READY, State.HANDED_OVER)
WISH = "A salad bowl for eight, of their own maple."


def a_commission(state: str = "asked", scribe: Scribe | None = None, **facts: Any) -> Commission:
    """A salad bowl for Ada Quill at $180, brought to `state`."""
    scribe = scribe or factories.a_scribe()
    person = facts.pop("person", None) or factories.a_person()
    price = facts.pop("price_minor", 18000)
    commission = orders.ask(scribe, person, facts.pop("wished", WISH), **facts)
    for step in ONWARD if state != "called-off" else ():
        if commission.state == state:
            break
        move_to(commission, step, scribe, price)
        commission.refresh_from_db()
    if state == "called-off":
        orders.call_off(commission, "They moved away.", scribe)
        commission.refresh_from_db()
    return commission


def move_to(commission: Commission, step: str, scribe: Scribe, price: int = 18000) -> None:
    if step == State.AGREED:
        orders.agree(commission, price, scribe)
    elif step == State.MAKING:
        orders.begin(commission, scribe)
    elif step == State.READY:
        orders.mark_ready(commission, scribe)
    else:
        orders.hand_over(commission, a_draft(commission, scribe), scribe)


def a_draft(commission: Commission, scribe: Scribe, **facts: Any) -> Draft:
    return Draft(**{"lines": orders.lines_of(commission), "sold_on": scribe.today, **facts})


def paid(amount: int | None, slug: str = "cash", **facts: Any) -> Paid:
    return Paid(factories.a_kind(slug), amount, **facts)


def later(days: int) -> Scribe:
    """A scribe who writes so many days later."""
    return factories.a_scribe(at=factories.NOW + timedelta(days=days))


def promise_of(commission: Commission) -> Promise:
    assert commission.promise
    return commission.promise


def receipt_of(commission: Commission) -> Receipt:
    assert commission.receipt
    return commission.receipt
