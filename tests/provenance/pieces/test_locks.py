"""A step that waited for another one sees what that one did."""

import threading
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Piece
from tests import factories

GALLERY = Custody.Kind.GALLERY


def refusal_of(work: Callable[[], object]) -> str:
    """Return the sentence that refuses `work`, done by another connection; '' when nothing does."""
    said: list[str] = []

    def try_it() -> None:
        try:
            work()
        except Exception as error:
            said.append(f"{type(error).__name__}: {error}")
        finally:
            connection.close()

    waiting = threading.Thread(target=try_it)
    with transaction.atomic():
        [piece] = Piece.objects.locked(Piece.objects.all())
        waiting.start()
        waiting.join(0.5)
        assert waiting.is_alive(), "it did not wait for the lock"
        custody.hand_over([piece], GALLERY, factories.a_scribe())
    waiting.join()
    return "".join(said)


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_the_same_change_of_hands_at_once_is_made_once() -> None:
    piece = factories.a_piece("finished")
    said = refusal_of(lambda: custody.hand_over([piece], GALLERY, factories.a_scribe()))
    assert said == f"SameHands: {piece.number} is already at a gallery."
    assert piece.custodies.count() == 2


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_move_that_waited_knows_where_the_piece_went() -> None:
    piece = factories.a_piece("finished")
    said = refusal_of(lambda: workflow.move([piece], "refinish", factories.a_scribe()))
    assert said == f"NotOffered: {piece.number} is at a gallery: bring it back to the shop first."


@pytest.mark.django_db
def test_pieces_are_locked_and_read_in_number_order_whatever_order_they_came_in() -> None:
    pieces = factories.some_pieces(3)
    assert Piece.objects.locked(reversed(pieces)) == pieces
