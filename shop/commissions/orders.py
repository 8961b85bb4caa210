"""What happens with a commission, from the wish to the hand-over: its moves and its money.

Each function locks the commission first, then its promise, the pieces, and last the account.
"""

from dataclasses import replace
from datetime import date
from typing import Any

from django.db import transaction

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces import promises
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe
from shop.commissions.entries import (
    CannotMove,
    held,
    locked,
    money,
    promise_of,
    standing,
    take_up,
    the_day,
    why_ended,
    write,
)
from shop.commissions.models import STANDING, Commission, State
from shop.sales import checkout, deposits
from shop.sales.checkout import Draft, Sold
from shop.sales.models import Account, Payment, PaymentKind, Receipt, Terms
from shop.sales.paying import Paid
from shop.sales.reckoning import share_out

#: Where a commission may go from where it is.
MOVES: dict[str, tuple[State, ...]] = {
    State.ASKED: (State.AGREED, State.CALLED_OFF),
    State.AGREED: (State.MAKING, State.READY, State.HANDED_OVER, State.CALLED_OFF),
    State.MAKING: (State.READY, State.HANDED_OVER, State.CALLED_OFF),
    State.READY: (State.MAKING, State.HANDED_OVER, State.CALLED_OFF),
    State.HANDED_OVER: (),
    State.CALLED_OFF: (),
}

#: What the entries call the fields.
LABELS = {
    "person": "who",
    "wished": "what is wished",
    "least_mm": "smallest size in mm",
    "most_mm": "largest size in mm",
    "wanted_by": "wanted by",
    "asked_on": "asked on",
}


class WrongSplit(RecordError):
    """What is returned and what is kept don't come to what is held."""


class MoreThanAgreed(RecordError):
    """The deposits would come to more than the agreed price, and nobody said that it is right."""


@transaction.atomic
def ask(
    scribe: Scribe, person: Person, wished: str, *, on: date | None = None, **facts: Any
) -> Commission:
    """Write down what somebody wishes. `facts` are further fields of `Commission`."""
    asked_on = the_day(on, scribe)
    commission = Commission.objects.create(
        person=person, wished=wished, asked_on=asked_on, created_at=scribe.at, **facts
    )
    write(commission, scribe, asked_on)
    return commission


@transaction.atomic
def agree(
    commission: Commission,
    price_minor: int,
    scribe: Scribe,
    *,
    words: str = "",
    on: date | None = None,
) -> Commission:
    """Agree on a price, or on another one; from then on a promise stands for it."""
    row, day = standing(commission, scribe), the_day(on, scribe)
    row.price_minor = price_minor
    if row.state == State.ASKED:
        row.state = State.AGREED
    row.save(update_fields=["price_minor", "state"])
    promise_of(row, scribe)
    write(row, scribe, day, f"Price {money(price_minor)}.", words)
    return row


@transaction.atomic
def begin(commission: Commission, scribe: Scribe, *, on: date | None = None) -> Commission:
    """Begin to make it, or go back to that from ready."""
    return _move(held(commission, scribe), State.MAKING, scribe, the_day(on, scribe))


@transaction.atomic
def mark_ready(commission: Commission, scribe: Scribe, *, on: date | None = None) -> Commission:
    """Say that it is made and waits to be handed over."""
    return _move(held(commission, scribe), State.READY, scribe, the_day(on, scribe))


@transaction.atomic
def take_up_again(commission: Commission, scribe: Scribe) -> Commission:
    """Go on with a commission whose receipt was voided: it is ready, its wood is kept again."""
    row = locked(commission)
    if not row.is_taken_back:
        raise CannotMove("No receipt of it was voided: there is nothing to take up again.")
    return take_up(row, scribe)


@transaction.atomic
def amend(commission: Commission, values: dict[str, Any], scribe: Scribe) -> list[str]:
    """Write changed details; return the names of the fields that differ from the book's.

    What stood there before is in the entry that is written; promise and account go with it.
    """
    row = held(commission, scribe)
    changed = [name for name, value in values.items() if getattr(row, name) != value]
    if not changed:
        return []
    before = [_before(row, name) for name in changed]
    for name in changed:
        setattr(row, name, values[name])
    row.save(update_fields=changed)
    _bring_in_step(row)
    write(row, scribe, scribe.today, f"Changed: {'; '.join(before)}.")
    return changed


@transaction.atomic
def hand_over(commission: Commission, draft: Draft, scribe: Scribe) -> Receipt:
    """Sell what was made; its deposit is taken off, its promise is kept. Return the receipt.

    Unless the draft names another buyer, it is the one who asked. Raises what `checkout.sell`
    raises, and `CannotMove`.
    """
    row = held(commission, scribe)
    _check_move(row, State.HANDED_OVER)
    # Settled first, so that a piece kept for them may go to whoever fetches it in their name.
    _settle(row, scribe, "Kept: handed over.", the_day(draft.sold_on, scribe))
    buyer = draft.buyer or row.person
    draft = replace(draft, buyer=buyer, account=row.account, is_agreed=True)
    row.receipt = checkout.sell(draft, scribe)
    row.state = State.HANDED_OVER
    row.save(update_fields=["receipt", "state"])
    write(row, scribe, draft.sold_on, f"Receipt {row.receipt}.")
    return row.receipt


@transaction.atomic
def call_off(
    commission: Commission,
    words: str,
    scribe: Scribe,
    *,
    returned_minor: int = 0,
    kind: PaymentKind | None = None,
    kept_minor: int = 0,
    on: date | None = None,
) -> Commission:
    """End it without a hand-over. What is held is returned by `kind`, or kept, to the cent.

    What is kept becomes a receipt, so that every income is one. Raises `WrongSplit`.
    """
    row, day = held(commission, scribe), the_day(on, scribe)
    _check_move(row, State.CALLED_OFF)
    _settle(row, scribe, f"Let go: {words}"[:300], day)
    account = Account.objects.select_for_update().filter(pk=row.account_id or 0).first()
    row.account, whole = account, account.held_minor if account else 0
    if returned_minor < 0 or kept_minor < 0 or returned_minor + kept_minor != whole:
        raise WrongSplit(
            f"{money(whole, account)} is held: what is returned and what is kept come to that "
            "together."
        )
    said = [words]
    if account and returned_minor:
        if kind is None:
            raise WrongSplit("Say how the deposit is returned.")
        paid = Paid(kind, returned_minor, words="Commission called off")
        deposits.give_back(account, paid, scribe, on=day)
        said.append(f"{money(returned_minor, account)} returned.")
    if account and kept_minor:
        row.receipt = _keep(row, account, kept_minor, day, scribe)
        said.append(f"{money(kept_minor, account)} kept, receipt {row.receipt}.")
    row.state = State.CALLED_OFF
    row.save(update_fields=["receipt", "state"])
    write(row, scribe, day, *said)
    return row


@transaction.atomic
def take_deposit(
    commission: Commission,
    paid: Paid,
    scribe: Scribe,
    *,
    on: date | None = None,
    is_sure: bool = True,
) -> Payment:
    """Take money for it beforehand. It is owed to its giver until the hand-over.

    Unless `is_sure`, raises `MoreThanAgreed` where the deposits come to more than the price.
    """
    row = standing(commission, scribe)
    if not is_sure:
        _check_price(row, paid.amount_minor or 0)
    if row.account is None:
        row.account = deposits.open_account(row.person, f"Commission: {_one_line(row)}", scribe)
        row.save(update_fields=["account"])
    return deposits.take(row.account, paid, scribe, on=on)


@transaction.atomic
def give_back_deposit(
    commission: Commission, paid: Paid, scribe: Scribe, *, on: date | None = None
) -> Payment:
    """Give some of the deposit back, or all of it; also what an ended commission still holds."""
    row = held(commission, scribe)
    if row.account is None:
        raise deposits.NotHeld(f"No deposit of {row.person} is held: there is none to give back.")
    return deposits.give_back(row.account, paid, scribe, on=on)


def lines_of(commission: Commission) -> list[Sold]:
    """Return the lines of its receipt: the pieces made for it, the agreed price shared over them.

    In proportion to their own prices where each has one, otherwise evenly; without a piece one
    line in the words of the wish. Read anew from the book: at most five queries.
    """
    row = Commission.objects.get(pk=commission.pk)
    price = row.price_minor or 0
    made = list(row.pieces.for_lists().order_by("pk"))
    if not made:
        return [Sold(price, words=_one_line(row)[:200])]
    weights = [piece.price_minor or 0 for piece in made]
    parts = share_out(price, weights if all(weights) else [1 for _ in made])
    return [Sold(part, piece=piece) for part, piece in zip(parts, made, strict=True)]


def why_not(commission: Commission, to: State) -> str:
    """Return why it can't go there from where it is today; '' when it can."""
    now = commission.now
    if to in MOVES[now]:
        return ""
    if now not in STANDING:
        return why_ended(commission)
    if now == to:
        return f"This commission is {to.label} already."
    return "No price is agreed yet: agree on one first."


def _check_move(row: Commission, to: State) -> None:
    if sentence := why_not(row, to):
        raise CannotMove(sentence)


def _check_price(row: Commission, amount_minor: int) -> None:
    """Raise `MoreThanAgreed` where that much more is held than the price; tax may be a reason."""
    account, price = row.account, row.price_minor
    if price is None or (account and account.currency != Shop.current().currency):
        return
    whole = row.held_minor + amount_minor
    if whole > price:
        raise MoreThanAgreed(
            f"With this {money(whole)} is held, and the price agreed is {money(price)}. Check the "
            "amount; if it is right, write the same deposit down once more."
        )


def _move(row: Commission, to: State, scribe: Scribe, day: date) -> Commission:
    _check_move(row, to)
    row.state = to
    row.save(update_fields=["state"])
    write(row, scribe, day)
    return row


def _settle(row: Commission, scribe: Scribe, how: str, day: date) -> None:
    """Close its promise, unless somebody settled that by itself."""
    if row.promise and row.promise.settled_on is None:
        promises.settle(row.promise, scribe, how, on=day)


def _bring_in_step(row: Commission) -> None:
    """Let promise and account say what the commission says."""
    promise, account = row.promise, row.account
    if promise and promise.settled_on is None:
        promise.to, promise.tree = row.person, row.tree
        promise.words, promise.wanted_by = row.wished, row.wanted_by
        promise.save(update_fields=["to", "tree", "words", "wanted_by"])
    if account and account.person_id != row.person_id:
        account.person = row.person
        account.save(update_fields=["person"])


def _keep(row: Commission, account: Account, kept_minor: int, day: date, scribe: Scribe) -> Receipt:
    """Write the receipt of a deposit that is kept, paid by it."""
    terms = Terms.current()
    line = Sold(kept_minor, words=f"Deposit kept: {_one_line(row)}"[:200], is_taxed=False)
    draft = Draft(
        lines=[line],
        sold_on=day,
        buyer=row.person,
        prices_include_tax=terms.prices_include_tax,
        rounding=terms.rounding,
        account=account,
        words="Commission called off",
    )
    return checkout.sell(draft, scribe)


def _before(row: Commission, name: str) -> str:
    """Return a changed field with what stood there before: "wood (before: cherry)"."""
    value, label = getattr(row, name), LABELS.get(name, name)
    return label if value in (None, "") else f"{label} (before: {str(value)[:200]})"


def _one_line(row: Commission) -> str:
    return " ".join(row.wished.split())
