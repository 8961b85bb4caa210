"""A commission's moves and its money."""

from datetime import date
from typing import Any

import pytest

from provenance.pieces import promises
from provenance.pieces.models import Custody
from provenance.record.errors import RecordError
from shop.commissions import orders, wood
from shop.commissions.entries import CannotMove, sentences
from shop.commissions.models import Commission, Event, State
from shop.sales import deposits, undoing
from shop.sales.checkout import NothingSold
from shop.sales.models import Holding, Payment, Receipt, TaxRate
from tests import factories
from tests.shop.commissions.cast import (
    a_commission,
    a_draft,
    later,
    move_to,
    paid,
    promise_of,
    receipt_of,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]
TODAY = date(2026, 6, 15)


def told(commission: Commission) -> list[tuple[str, str]]:
    return list(commission.events.values_list("state", "words"))


def test_what_is_wished_is_written_down_as_asked_without_price_or_promise() -> None:
    person = factories.a_person()
    commission = orders.ask(
        factories.a_scribe(), person, "A bowl.", on=date(2026, 5, 1), wood="cherry"
    )
    assert (commission.state, commission.price_minor, commission.promise) == ("asked", None, None)
    assert (commission.asked_on, commission.wood) == (date(2026, 5, 1), "cherry")
    event = commission.events.get()
    assert (event.state, event.on, event.words) == ("asked", date(2026, 5, 1), "")


def test_an_agreement_sets_the_price_and_makes_the_promise_to_them() -> None:
    tree = factories.a_tree()
    commission = a_commission(tree=tree, wanted_by=date(2026, 9, 1))
    agreed = orders.agree(commission, 18000, factories.a_scribe(), words="By letter.")
    assert (agreed.state, agreed.price_minor) == ("agreed", 18000)
    promise = agreed.promise
    assert (promise.to, promise.tree, promise.wanted_by, promise.words) == (
        commission.person, tree, date(2026, 9, 1), commission.wished,
    )  # fmt: skip
    assert told(commission)[-1] == ("agreed", "Price $180. By letter.")


@pytest.mark.parametrize("state", ["agreed", "making", "ready"])
def test_another_agreement_changes_the_price_and_leaves_the_state_and_the_promise(
    state: str,
) -> None:
    commission = a_commission(state)
    again = orders.agree(commission, 20050, factories.a_scribe())
    assert (again.state, again.price_minor, again.promise) == (state, 20050, commission.promise)
    assert told(commission)[-1] == (state, "Price $200.50.")


@pytest.mark.parametrize(
    ("state", "step", "sentence"),
    [
        ("asked", State.MAKING, "No price is agreed yet"),
        ("asked", State.READY, "No price is agreed yet"),
        ("asked", State.HANDED_OVER, "No price is agreed yet"),
        ("making", State.MAKING, "is being made already"),
        ("ready", State.READY, "is ready already"),
        ("handed-over", State.AGREED, "void receipt R26-001"),
        ("handed-over", State.MAKING, "void receipt R26-001"),
        ("handed-over", State.HANDED_OVER, "void receipt R26-001"),
        ("called-off", State.AGREED, "was called off"),
        ("called-off", State.READY, "was called off"),
        ("called-off", State.HANDED_OVER, "was called off"),
    ],
)
def test_a_move_that_does_not_go_from_here_is_refused_with_a_sentence(
    state: str, step: State, sentence: str
) -> None:
    commission = a_commission(state)
    before = told(commission)
    with pytest.raises(CannotMove, match=sentence):
        move_to(commission, step, factories.a_scribe())
    commission.refresh_from_db()
    assert (commission.state, told(commission)) == (state, before)


def test_what_is_ready_may_turn_out_not_to_be() -> None:
    commission = a_commission("ready")
    assert orders.begin(commission, factories.a_scribe()).state == "making"


def test_no_day_to_come_is_taken() -> None:
    commission, scribe, morrow = a_commission("agreed"), factories.a_scribe(), date(2026, 6, 16)
    deeds: list[Any] = [
        lambda: orders.ask(scribe, commission.person, "A bowl.", on=morrow),
        lambda: orders.agree(commission, 1, scribe, on=morrow),
        lambda: orders.begin(commission, scribe, on=morrow),
        lambda: orders.call_off(commission, "No.", scribe, on=morrow),
        lambda: orders.take_deposit(commission, paid(1), scribe, on=morrow),
        lambda: orders.hand_over(commission, a_draft(commission, scribe, sold_on=morrow), scribe),
    ]
    for deed in deeds:
        with pytest.raises(RecordError, match="still to come"):
            deed()
    assert Event.objects.count() == 2
    assert not Receipt.objects.exists()


def test_entries_can_be_neither_changed_nor_deleted() -> None:
    event = a_commission().events.get()
    with pytest.raises(Exception, match="only added to"):
        Event.objects.filter(pk=event.pk).update(words="Otherwise.")


@pytest.mark.parametrize(
    ("words", "whole"),
    [
        (["Moved away", "$25 returned."], "Moved away. $25 returned."),
        (["Moved away. ", "$25 returned."], "Moved away. $25 returned."),
        (["Why not?", " ", "Yes!", "So…"], "Why not? Yes! So…"),
        (["She said “no.”", "He (Ivo) agreed (late)"], "She said “no.” He (Ivo) agreed (late)."),
        (["", ""], ""),
    ],
)
def test_words_typed_without_a_full_stop_get_one_where_sentences_are_joined(
    words: list[str], whole: str
) -> None:
    assert sentences(*words) == whole


def test_why_it_was_called_off_and_what_was_returned_are_two_sentences() -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    orders.agree(commission, 18000, scribe, words="by letter")
    orders.take_deposit(commission, paid(2500), scribe)
    orders.call_off(commission, "Moved away", scribe, returned_minor=2500, kind=factories.a_kind())
    assert [words for _, words in told(commission)[-2:]] == [
        "Price $180. by letter.", "Moved away. $25 returned.",
    ]  # fmt: skip


# Money


def test_a_first_deposit_opens_the_account_and_the_next_goes_into_it() -> None:
    commission, scribe = a_commission(), factories.a_scribe()
    orders.take_deposit(commission, paid(5000, given_minor=10000), scribe)
    orders.take_deposit(commission, paid(2500, "card"), scribe, on=date(2026, 6, 1))
    commission.refresh_from_db()
    assert (commission.held_minor, commission.account.person) == (7500, commission.person)
    assert [p.amount_minor for p in commission.account.payments.all()] == [5000, 2500]
    assert commission.state == "asked"


def test_some_of_a_deposit_goes_back_and_no_more_than_is_held() -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    with pytest.raises(deposits.NotHeld, match="none to give back"):
        orders.give_back_deposit(commission, paid(100), scribe)
    orders.take_deposit(commission, paid(5000), scribe)
    orders.give_back_deposit(commission, paid(2000), scribe)
    with pytest.raises(deposits.NotHeld, match=r"\$30 is held"):
        orders.give_back_deposit(commission, paid(3001), scribe)
    commission.refresh_from_db()
    assert commission.held_minor == 3000


@pytest.mark.parametrize("state", ["handed-over", "called-off"])
def test_an_ended_commission_takes_no_deposit(state: str) -> None:
    with pytest.raises(CannotMove):
        orders.take_deposit(a_commission(state), paid(100), factories.a_scribe())
    assert not Payment.objects.exists()


# Handing over


def test_handing_over_makes_the_receipt_takes_the_deposit_off_and_keeps_the_promise() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    piece = factories.a_piece("finished")
    wood.make_for_it(commission, [piece], scribe)
    orders.take_deposit(commission, paid(5000), scribe)
    commission.refresh_from_db()
    draft = a_draft(commission, scribe, payments=[paid(None, "card")])
    receipt = orders.hand_over(commission, draft, scribe)
    commission.refresh_from_db()
    assert (commission.state, commission.receipt, commission.held_minor) == (
        "handed-over", receipt, 0,
    )  # fmt: skip
    assert (receipt.buyer, receipt.total_minor) == (commission.person, 18000)
    assert sorted(p.amount_minor for p in receipt.payments.all()) == [5000, 13000]
    assert receipt.owed_minor == 0
    piece.refresh_from_db()
    assert (piece.custody.kind, piece.custody.holder) == ("buyer", commission.person)
    commission.promise.refresh_from_db()
    assert (commission.promise.settled_on, commission.promise.settled_how) == (
        TODAY, "Kept: handed over.",
    )  # fmt: skip
    assert told(commission)[-1] == ("handed-over", "Receipt R26-001.")


def test_what_a_deposit_is_more_than_the_price_stays_held_and_can_be_given_back() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    orders.take_deposit(commission, paid(20000), scribe)
    orders.hand_over(commission, a_draft(commission, scribe), scribe)
    commission.refresh_from_db()
    assert (commission.now, commission.held_minor) == ("handed-over", 2000)
    orders.give_back_deposit(commission, paid(None), scribe)
    commission.refresh_from_db()
    assert commission.held_minor == 0


def test_somebody_else_may_fetch_and_pay_for_what_is_kept_for_them() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    piece, friend = factories.a_piece("finished"), factories.a_person(name="Ivo Reed")
    wood.make_for_it(commission, [piece], scribe)
    draft = a_draft(commission, scribe, buyer=friend)
    assert orders.hand_over(commission, draft, scribe).buyer == friend


def test_what_can_not_be_sold_leaves_commission_promise_and_deposit_as_they_were() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    with pytest.raises(NothingSold):
        orders.hand_over(commission, a_draft(commission, scribe, lines=[]), scribe)
    commission.refresh_from_db()
    assert (commission.state, commission.held_minor) == ("ready", 5000)
    commission.promise.refresh_from_db()
    assert commission.promise.settled_on is None


def test_a_promise_settled_by_itself_stands_in_no_way() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    promises.settle(promise_of(commission), scribe, "Settled at its own page.")
    orders.hand_over(commission, a_draft(commission, scribe), scribe)
    commission.promise.refresh_from_db()
    assert commission.promise.settled_how == "Settled at its own page."


@pytest.mark.parametrize(
    ("prices", "shares"),
    [
        ([None, None, None], [6000, 6000, 6000]),
        ([10000, 20000, 30000], [3000, 6000, 9000]),
        ([10000, None, 30000], [6000, 6000, 6000]),
    ],
)
def test_the_agreed_price_is_shared_over_the_pieces_by_their_own_prices_or_evenly(
    prices: list[int | None], shares: list[int]
) -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    pieces = factories.some_pieces(3)
    for piece, price in zip(pieces, prices, strict=True):
        piece.price_minor = price
        piece.save(update_fields=["price_minor"])
    wood.make_for_it(commission, pieces, scribe)
    lines = orders.lines_of(commission)
    assert [(sold.piece, sold.unit_minor) for sold in lines] == list(
        zip(pieces, shares, strict=True)
    )


def test_without_a_piece_the_wish_is_the_line() -> None:
    commission = a_commission("ready", wished="A lid\nfor the old jar.")
    [sold] = orders.lines_of(commission)
    assert (sold.words, sold.unit_minor) == ("A lid for the old jar.", 18000)


# A receipt that is voided


def handed_over() -> Commission:
    """One with a piece and a deposit, handed over."""
    commission, scribe = a_commission("ready"), factories.a_scribe()
    wood.make_for_it(commission, [factories.a_piece("finished")], scribe)
    orders.take_deposit(commission, paid(5000), scribe)
    commission.refresh_from_db()
    orders.hand_over(commission, a_draft(commission, scribe, payments=[paid(None)]), scribe)
    return Commission.objects.get(pk=commission.pk)


def test_once_its_receipt_is_void_it_is_ready_again_and_the_deposit_held() -> None:
    commission = handed_over()
    undoing.void(receipt_of(commission), "Wrong person", later(1))
    commission = Commission.objects.get(pk=commission.pk)
    assert (commission.state, commission.now, commission.held_minor) == (
        "handed-over", "ready", 5000,
    )  # fmt: skip
    again = orders.hand_over(commission, a_draft(commission, later(2)), later(2))
    commission.refresh_from_db()
    assert (commission.now, commission.receipt, again.code) == ("handed-over", again, "R26-002")
    assert told(commission)[-2:] == [
        ("ready", "Receipt R26-001 is void."), ("handed-over", "Receipt R26-002."),
    ]  # fmt: skip


def test_taken_up_again_its_wood_is_kept_again() -> None:
    commission = handed_over()
    kept = commission.promise
    with pytest.raises(CannotMove, match="nothing to take up again"):
        orders.take_up_again(commission, later(1))
    undoing.void(receipt_of(commission), "Wrong person", later(1))
    row = orders.take_up_again(commission, later(1))
    assert (row.state, row.receipt) == ("ready", None)
    assert row.promise != kept
    assert row.promise.settled_on is None
    assert list(promise_of(row).pieces.all()) == list(row.pieces.all())
    assert told(commission)[-1] == ("ready", "Receipt R26-001 is void.")


def test_called_off_after_its_receipt_was_voided_it_no_longer_names_that() -> None:
    commission = handed_over()
    undoing.void(receipt_of(commission), "Wrong person", later(1))
    row = orders.call_off(
        commission,
        "After all.",
        later(1),
        returned_minor=5000,
        kind=factories.a_kind(),
        kept_minor=0,
    )
    assert (row.state, row.receipt, row.held_minor) == ("called-off", None, 0)
    assert row.promise.settled_how == "Let go: After all."


# Calling off


def test_what_is_kept_becomes_a_receipt_and_what_is_returned_a_payment() -> None:
    TaxRate.objects.create(name="Sales tax", rate_pct="6.25", since=date(2020, 1, 1))
    commission, scribe = a_commission("making"), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    row = orders.call_off(
        commission, "They moved away.", scribe,
        returned_minor=3000, kind=factories.a_kind("transfer"), kept_minor=2000,
    )  # fmt: skip
    assert (row.state, row.held_minor) == ("called-off", 0)
    commission.refresh_from_db()
    receipt = receipt_of(commission)
    [line] = receipt.lines.all()
    assert (receipt.total_minor, receipt.tax_minor, receipt.buyer) == (2000, 0, commission.person)
    assert (line.is_taxed, line.words) == (False, f"Deposit kept: {commission.wished}")
    assert receipt.owed_minor == 0
    amounts = commission.account.payments.values_list("amount_minor", "kind__slug", "receipt")
    assert list(amounts) == [
        (5000, "cash", None), (-3000, "transfer", None), (2000, None, receipt.pk),
    ]  # fmt: skip
    assert told(commission)[-1] == (
        "called-off", "They moved away. $30 returned. $20 kept, receipt R26-001.",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("returned", "kept", "slug"), [(4000, 0, "cash"), (5000, 1, "cash"), (-1, 5001, "cash")]
)
def test_returned_and_kept_come_to_what_is_held_to_the_cent(
    returned: int, kept: int, slug: str
) -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    with pytest.raises(orders.WrongSplit, match=r"\$50 is held"):
        orders.call_off(
            commission, "No.", scribe,
            returned_minor=returned, kind=factories.a_kind(slug), kept_minor=kept,
        )  # fmt: skip
    commission.refresh_from_db()
    assert (commission.state, commission.held_minor) == ("agreed", 5000)
    assert commission.promise.settled_on is None


def test_how_a_deposit_is_returned_must_be_said() -> None:
    commission, scribe = a_commission(), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    with pytest.raises(orders.WrongSplit, match="how the deposit is returned"):
        orders.call_off(commission, "No.", scribe, returned_minor=5000)


def test_called_off_its_wood_and_pieces_are_free_again() -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    piece = factories.a_piece("finished")
    wood.make_for_it(commission, [piece], scribe)
    assert promises.broken_by(piece)
    row = orders.call_off(commission, "They moved away.", scribe)
    assert row.promise.settled_how == "Let go: They moved away."
    assert not promises.broken_by(piece)
    other = a_commission("agreed", person=factories.a_person(name="Ivo Reed"))
    wood.make_for_it(other, [piece], scribe)
    assert list(other.pieces.all()) == [piece]


def test_what_only_was_asked_can_be_called_off() -> None:
    row = orders.call_off(a_commission(), "Too dear.", factories.a_scribe())
    assert (row.state, row.promise, row.receipt) == ("called-off", None, None)
    assert not Receipt.objects.exists()


# Details


def test_changed_details_are_written_with_what_stood_before() -> None:
    commission, scribe = a_commission("agreed", wood="cherry"), factories.a_scribe()
    values = {"wood": "ash", "wanted_by": date(2026, 10, 1), "wished": "A platter.", "notes": ""}
    assert orders.amend(commission, values, scribe) == ["wood", "wanted_by", "wished"]
    assert told(commission)[-1] == (
        "agreed",
        "Changed: wood (before: cherry); wanted by; what is wished (before: A salad bowl for "
        "eight, of their own maple.).",
    )
    assert orders.amend(commission, values, scribe) == []
    assert commission.events.count() == 3


def test_promise_and_account_go_with_the_details() -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    orders.take_deposit(commission, paid(100), scribe)
    other, tree = factories.a_person(name="Ivo Reed"), factories.a_tree()
    values = {"person": other, "tree": tree, "wanted_by": TODAY, "wished": "A platter."}
    orders.amend(commission, values, scribe)
    commission.refresh_from_db()
    assert commission.account.person == other
    promise = commission.promise
    assert (promise.to, promise.tree, promise.wanted_by, promise.words) == (
        other, tree, TODAY, "A platter.",
    )  # fmt: skip


def test_a_settled_promise_keeps_its_words() -> None:
    commission = handed_over()
    orders.amend(commission, {"wished": "A platter."}, later(1))
    commission.promise.refresh_from_db()
    assert commission.promise.words != "A platter."


def test_a_piece_that_stayed_behind_is_free() -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    first, second = factories.some_pieces(2)
    wood.make_for_it(commission, [first, second], scribe)
    lines = [sold for sold in orders.lines_of(commission) if sold.piece == first]
    orders.hand_over(commission, a_draft(commission, scribe, lines=lines), scribe)
    second.refresh_from_db()
    assert second.custody.kind == Custody.Kind.SHOP
    assert not promises.broken_by(second)
    assert Holding.objects.get().piece == first
