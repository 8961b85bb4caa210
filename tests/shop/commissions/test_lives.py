"""Whatever happens with a commission, its money adds up and its promise stands while it does."""

from datetime import timedelta
from typing import Any

from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from provenance.pieces.models import Promise
from provenance.record.errors import RecordError
from shop.commissions import orders, wood
from shop.commissions.models import ENDED, STANDING, Commission, Event, State
from shop.sales import undoing
from shop.sales.models import Account, Payment, Receipt
from tests import factories
from tests.shop.commissions.cast import a_commission, a_draft, paid

DEEDS = st.tuples(
    st.sampled_from(
        [
            *("agree", "begin", "ready", "deposit", "deposit", "back", "hand-over", "hand-over"),
            *("call-off", "void", "void", "again", "wood", "pieces", "amend"),
        ]
    ),
    st.integers(1, 12000),
)


def book() -> tuple[Any, ...]:
    """All that a refused deed must leave alone."""
    models = (Commission, Event, Account, Payment, Receipt, Promise)
    return tuple(list(model.objects.order_by("pk").values()) for model in models)


class Lives(TestCase):
    """Random lives of a commission."""

    def do(self, deed: str, amount: int, commission: Commission, day: int) -> None:
        scribe = factories.a_scribe(at=factories.NOW + timedelta(days=day))
        held = commission.held_minor
        deeds = {
            "agree": lambda: orders.agree(commission, amount, scribe),
            "begin": lambda: orders.begin(commission, scribe),
            "ready": lambda: orders.mark_ready(commission, scribe),
            "deposit": lambda: orders.take_deposit(commission, paid(amount), scribe),
            "back": lambda: orders.give_back_deposit(commission, paid(amount % 3000), scribe),
            "hand-over": lambda: orders.hand_over(
                commission, a_draft(commission, scribe, payments=[paid(None)]), scribe
            ),
            "call-off": lambda: orders.call_off(
                commission, "No.", scribe, kind=factories.a_kind(),
                returned_minor=held - amount % (held + 1), kept_minor=amount % (held + 1),
            ),
            "void": lambda: undoing.void(self.receipt(), "Wrong.", scribe),
            "again": lambda: orders.take_up_again(commission, scribe),
            "wood": lambda: wood.keep_wood(
                commission, scribe, sections=[], pieces=self.pieces[:1]
            ),
            "pieces": lambda: wood.make_for_it(commission, self.pieces[amount % 3 :], scribe),
            "amend": lambda: orders.amend(commission, {"notes": str(amount)}, scribe),
        }  # fmt: skip
        deeds[deed]()

    def receipt(self) -> Receipt:
        found = Receipt.objects.standing().first()
        if found is None:
            raise RecordError("There is none.")
        return found

    @settings(max_examples=20, suppress_health_check=list(HealthCheck))
    @given(
        start=st.sampled_from([State.ASKED, State.AGREED, State.READY]),
        deeds=st.lists(DEEDS, min_size=3, max_size=10),
    )
    def test_money_adds_up_and_the_promise_stands_while_it_does(
        self, start: State, deeds: list[tuple[str, int]]
    ) -> None:
        factories.a_shop()
        self.pieces = factories.some_pieces(2)
        key = a_commission(start).pk
        for day, (deed, amount) in enumerate(deeds):
            before = book()
            try:
                self.do(deed, amount, Commission.objects.get(pk=key), day)
            except RecordError:
                assert book() == before
            else:
                # What is returned and what is kept come to all that was taken.
                assert deed != "call-off" or Commission.objects.get(pk=key).held_minor == 0
            self.check(Commission.objects.get(pk=key))

    def check(self, commission: Commission) -> None:
        moved = Payment.objects.filter(account__commission=commission)
        direct, taken_off = (moved.filter(receipt=None), moved.exclude(receipt=None))
        came, used = (
            payments.aggregate(sum=Sum("amount_minor"))["sum"] or 0
            for payments in (direct, taken_off)
        )
        assert commission.held_minor == came - used >= 0
        last = commission.events.order_by("-pk")[0]
        assert last.state == commission.state
        is_void = commission.state == State.HANDED_OVER and commission.receipt.is_void
        assert commission.now == (State.READY if is_void else commission.state)
        found = Commission.objects.now(commission.now)
        assert commission in found
        others = [state for state in State if state != commission.now]
        assert commission not in Commission.objects.now(*others)
        assert (commission in Commission.objects.standing()) == commission.is_standing
        # Until a voided one is taken up again, its promise stays settled.
        promised = Promise.objects.standing().filter(commission=commission)
        if commission.state in ENDED:
            assert not promised
        elif commission.price_minor is not None:
            assert promised.get().to == commission.person
        assert Promise.objects.standing().count() == promised.count()
        assert (commission.state in STANDING) or not Promise.objects.standing().exists()
