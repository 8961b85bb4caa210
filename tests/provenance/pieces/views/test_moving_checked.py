"""On the way to the lathe a check that says no is told, and one that is missing is offered."""

import pytest
from django.urls import reverse

from provenance.drying import measuring
from tests.factories import a_piece, a_scribe

pytestmark = pytest.mark.django_db


def test_truing_up_offers_the_check_and_tells_a_hold(owner_client):
    piece = a_piece("dry")
    page = reverse("pieces:move", args=[piece.code, "true-up"])
    check = reverse("drying:soundness", args=[piece.code])
    said = owner_client.get(page).content.decode()
    assert check in said
    assert "is held back" not in said
    found = dict.fromkeys(measuring.LOOKED_FOR, "good")
    measuring.check_soundness(piece, found | {"tap": "doubtful"}, "hold", a_scribe())
    assert "is held back" in owner_client.get(page).content.decode()
    measuring.check_soundness(piece, found, "lathe", a_scribe())
    assert check not in owner_client.get(page).content.decode()


def test_other_moves_say_nothing_of_it(owner_client):
    piece = a_piece("trued")
    page = reverse("pieces:move", args=[piece.code, "into-finish"])
    assert (
        reverse("drying:soundness", args=[piece.code])
        not in owner_client.get(page).content.decode()
    )
