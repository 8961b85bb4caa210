"""What is kept for a commission, and what is made for it."""

from typing import Any

import pytest

from provenance.pieces import custody, promises
from provenance.pieces.models import Custody, Promise
from shop.commissions import orders, wood
from shop.commissions.entries import CannotMove
from shop.sales import checkout
from shop.sales.checkout import Draft, Sold
from shop.sales.models import Receipt
from tests import factories
from tests.shop.commissions.cast import a_commission, promise_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def sell(piece: Any, **facts: Any) -> Receipt:
    scribe = factories.a_scribe()
    return checkout.sell(Draft([Sold(1000, piece=piece)], scribe.today, **facts), scribe)


def test_promised_wood_is_not_sold_to_others_without_a_reason() -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    section = factories.a_section()
    [cut] = factories.some_pieces(source=section)
    kept = factories.a_piece()
    wood.keep_wood(commission, scribe, sections=[section], pieces=[kept])
    stranger = factories.a_person(name="Ivo Reed")
    for piece in (cut, kept):
        with pytest.raises(promises.WouldBreak, match="kept for a promise to Ada Quill"):
            sell(piece, buyer=stranger)
    sell(cut, buyer=stranger, reason="They agreed to another one.")
    with pytest.raises(promises.WouldBreak, match="If it is a commission, hand it over there"):
        sell(kept, buyer=commission.person)
    sell(kept, buyer=commission.person, reason="A second one, at its own price.")


def test_wood_may_be_kept_before_a_price_is_agreed() -> None:
    commission, section = a_commission(), factories.a_section()
    row = wood.keep_wood(commission, factories.a_scribe(), sections=[section], pieces=[])
    assert (row.state, list(promise_of(row).sections.all())) == ("asked", [section])
    agreed = orders.agree(commission, 100, factories.a_scribe())
    assert agreed.promise == row.promise
    assert Promise.objects.count() == 1


def test_what_is_made_for_it_stays_kept_whatever_other_wood_is() -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    made, other = factories.some_pieces(2)
    wood.make_for_it(commission, [made], scribe)
    wood.keep_wood(commission, scribe, sections=[], pieces=[other])
    commission.refresh_from_db()
    assert set(promise_of(commission).pieces.all()) == {made, other}
    wood.keep_wood(commission, scribe, sections=[], pieces=[])
    assert set(promise_of(commission).pieces.all()) == {made}


def test_what_is_made_for_it_is_kept_and_told_and_let_go_again() -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    first, second = factories.some_pieces(2)
    wood.make_for_it(commission, [first, second], scribe)
    row = wood.make_for_it(commission, [second], scribe)
    assert list(row.pieces.all()) == list(promise_of(row).pieces.all()) == [second]
    assert wood.make_for_it(commission, [second], scribe) == row
    said = list(commission.events.values_list("words", flat=True))
    assert said[-2:] == [
        f"Made for it: {first.number}, {second.number}.", f"No longer for it: {first.number}."
    ]  # fmt: skip
    assert commission.events.last().state == "making"


def test_a_promise_that_was_settled_by_itself_is_made_anew() -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    old, piece = promise_of(commission), factories.a_piece()
    promises.settle(old, scribe, "By mistake.")
    row = wood.keep_wood(commission, scribe, sections=[], pieces=[piece])
    assert row.promise != old
    assert list(promise_of(row).pieces.all()) == [piece]


@pytest.mark.parametrize("state", ["handed-over", "called-off"])
def test_nothing_is_kept_or_made_for_one_that_has_ended(state: str) -> None:
    commission, scribe = a_commission(state), factories.a_scribe()
    piece = factories.a_piece()
    with pytest.raises(CannotMove):
        wood.keep_wood(commission, scribe, sections=[], pieces=[piece])
    with pytest.raises(CannotMove):
        wood.make_for_it(commission, [piece], scribe)
    assert not promises.broken_by(piece)


def test_a_piece_that_is_not_the_shops_to_promise_is_refused() -> None:
    scribe, ivo = factories.a_scribe(), factories.a_person(name="Ivo Reed")
    lost, sold, given = factories.a_piece("lost"), factories.a_piece(), factories.a_piece()
    sell(sold)
    custody.hand_over([given], Custody.Kind.GIVEN, scribe)
    theirs, promised = factories.a_piece(), factories.a_piece()
    wood.make_for_it(a_commission("making", person=ivo), [theirs], scribe)
    promises.make(scribe, "A cup for the ferryman.", to=ivo, pieces=[promised])
    commission = a_commission("making")
    for piece, sentence in [
        (lost, "recorded as lost"),
        (sold, "is sold, on receipt R26-001"),
        (given, "is given away"),
        (theirs, "is made for Ivo Reed"),
        (promised, "A cup for the ferryman"),
    ]:
        with pytest.raises(wood.NotForThis, match=sentence) as caught:
            wood.make_for_it(commission, [piece], scribe)
        assert caught.value.piece == piece
        with pytest.raises(wood.NotForThis, match=sentence):
            wood.keep_wood(commission, scribe, sections=[], pieces=[piece])
    assert not commission.pieces.exists()


def test_what_is_offered_is_made_or_kept_for_it_or_finished_and_of_its_form() -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    orders.amend(commission, {"form": factories.a_piece().form}, scribe)
    section = factories.a_section()
    cut, made, kept = (
        *factories.some_pieces(source=section), factories.a_piece(), factories.a_piece()
    )  # fmt: skip
    finished = factories.a_piece("finished")
    sold, other_form = factories.a_piece("finished"), factories.a_piece("finished", form="vase")
    sell(sold)
    promised = factories.a_piece("finished")
    promises.make(scribe, "A cup.", pieces=[promised])
    wood.keep_wood(commission, scribe, sections=[section], pieces=[kept])
    wood.make_for_it(commission, [made], scribe)
    commission.refresh_from_db()
    offered = set(wood.likely(commission))
    assert offered == {cut, made, kept, finished}
    assert not offered & {sold, other_form, promised}
