"""Reading a commission under its lock, and writing what happened with it.

Whatever is done with a commission begins here: one whose receipt was voided is ready again, and
the first that happens with it then writes that down and keeps its wood again.
"""

import re
from datetime import date

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces import promises
from provenance.pieces.models import Promise
from provenance.record.errors import RecordError
from provenance.record.money import format_money
from provenance.record.scribe import Scribe
from shop.commissions.models import STANDING, Commission, Event, State
from shop.sales.models import Account

#: What ends a sentence, be it in quotation marks or brackets.
ENDED_BY = re.compile("[.!?…][\"'”’»)]*$")


class CannotMove(RecordError):
    """The commission does not go there from where it is."""


def locked(commission: Commission) -> Commission:
    """Return the commission's row under a lock, as it stands in the book.

    Whoever asked is locked first, as in a merge of people: the two never wait in a ring.
    """
    asked = Commission.objects.filter(pk=commission.pk).values("person")
    Person.objects.select_for_update(no_key=True).filter(pk__in=asked).first()
    return Commission.objects.select_for_update().get(pk=commission.pk)


def held(commission: Commission, scribe: Scribe) -> Commission:
    """Return the commission's row under a lock, taken up again where its receipt is void."""
    row = locked(commission)
    return take_up(row, scribe) if row.is_taken_back else row


def take_up(row: Commission, scribe: Scribe) -> Commission:
    """Write down that the receipt is void: it is ready again, its wood is kept again."""
    receipt, row.receipt, row.state = row.receipt, None, State.READY
    row.save(update_fields=["receipt", "state"])
    promise_of(row, scribe)
    write(row, scribe, scribe.today, f"Receipt {receipt} is void.")
    return row


def standing(commission: Commission, scribe: Scribe) -> Commission:
    """Return the row as `held` does; raise `CannotMove` for one that has ended."""
    row = held(commission, scribe)
    if row.state not in STANDING:
        raise CannotMove(why_ended(row))
    return row


def why_closed(commission: Commission) -> str:
    """Return why nothing more is done for it today; '' for one that stands."""
    return "" if commission.is_standing else why_ended(commission)


def why_ended(row: Commission) -> str:
    """Return the sentence for what can't be done any more."""
    if row.state == State.CALLED_OFF:
        return "This commission was called off: write a new one down if they ask again."
    return f"This commission was handed over: void receipt {row.receipt} to take that back."


def promise_of(row: Commission, scribe: Scribe) -> Promise:
    """Return the promise that stands for it, made anew with the same wood where it was settled."""
    old = row.promise
    if old and old.settled_on is None:
        return old
    row.promise = promises.make(
        scribe,
        row.wished,
        to=row.person,
        tree=row.tree,
        made_on=scribe.today,
        wanted_by=row.wanted_by,
        sections=list(old.sections.all()) if old else [],
        pieces=list(old.pieces.all()) if old else [],
    )
    row.save(update_fields=["promise"])
    return row.promise


def write(row: Commission, scribe: Scribe, day: date, *words: str) -> Event:
    """Write an entry in the state that the row is in."""
    return Event.objects.create(
        commission=row,
        state=row.state,
        on=day,
        written_at=scribe.at,
        by=scribe.user,
        words=sentences(*words),
    )


def sentences(*words: str) -> str:
    """Return what was typed and what is added, one after the other, each with its full stop."""
    said = [text for text in map(str.strip, words) if text]
    return " ".join(text if ENDED_BY.search(text) else f"{text}." for text in said)


def money(minor: int, account: Account | None = None) -> str:
    """Return an amount for a sentence: held on that account, or else in the shop's currency."""
    return format_money(minor, account.currency if account else Shop.current().currency)


def the_day(on: date | None, scribe: Scribe) -> date:
    """Return the day on which it happened: today unless said. Raises for one still to come."""
    if on and on > scribe.today:
        raise RecordError("That day is still to come: enter the day on which it happened.")
    return on or scribe.today
