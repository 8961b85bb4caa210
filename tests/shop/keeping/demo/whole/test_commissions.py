"""The demo's commissions: two handed over, one called off, two that stand."""

import pytest
from django.db.models import Sum

from provenance.pieces.models import Custody, Stage
from shop.commissions.models import Commission, State
from shop.sales.models import Payment

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # the demo always is on SQLite


def test_they_stand_at_every_end_and_on_the_way() -> None:
    states = Commission.objects.order_by("state").values_list("state", flat=True)
    assert list(states) == [
        State.AGREED,
        State.CALLED_OFF,
        State.HANDED_OVER,
        State.HANDED_OVER,
        State.READY,
    ]


def test_what_was_handed_over_is_paid_less_the_deposit() -> None:
    for commission in Commission.objects.filter(state=State.HANDED_OVER):
        receipt = commission.receipt
        assert receipt is not None
        assert receipt.gross_minor == commission.price_minor
        assert receipt.buyer == commission.person
        taken_off, rest = receipt.payments.order_by("pk")
        assert (taken_off.kind, taken_off.account) == (None, commission.account)
        assert taken_off.amount_minor + rest.amount_minor == receipt.due_minor
        assert commission.held_minor == 0
        made = set(commission.pieces.all())
        assert made == {line.piece for line in receipt.lines.select_related("piece")}
        assert {piece.custody.kind for piece in made if piece.custody} == {Custody.Kind.BUYER}
        assert commission.promise is not None
        assert commission.promise.settled_on == receipt.sold_on


def test_six_bowls_share_the_agreed_price_to_the_cent() -> None:
    commission = Commission.objects.get(wished__startswith="Six small bowls")
    assert commission.receipt is not None
    lines = commission.receipt.lines.all()
    assert len(lines) == 6
    assert sum(line.unit_minor for line in lines) == commission.price_minor


def test_of_the_one_called_off_part_was_returned_and_part_kept() -> None:
    commission = Commission.objects.get(state=State.CALLED_OFF)
    account, receipt = commission.account, commission.receipt
    assert account is not None
    assert receipt is not None
    moves = Payment.objects.filter(account=account, receipt=None)
    assert moves.filter(amount_minor__gt=0).aggregate(sum=Sum("amount_minor"))["sum"] == 120_00
    assert moves.get(amount_minor__lt=0).amount_minor == -80_00
    assert (receipt.total_minor, receipt.tax_minor, account.held_minor) == (40_00, 0, 0)


def test_the_one_agreed_on_has_a_deposit_and_wood_that_is_kept() -> None:
    commission = Commission.objects.get(state=State.AGREED)
    assert commission.held_minor == 60_00
    assert commission.promise is not None
    [section] = commission.promise.sections.all()
    assert section.tree == commission.tree
    assert not section.parts.exists()


def test_the_one_that_is_ready_waits_finished_in_the_shop() -> None:
    commission = Commission.objects.get(state=State.READY)
    [piece] = commission.pieces.select_related("custody")
    assert piece.stage == Stage.FINISHED
    assert piece.custody is not None
    assert piece.custody.kind == Custody.Kind.SHOP
    assert commission.open_minor == 90_00
