"""What the page of a piece says that was made for a commission."""

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces import promises
from provenance.pieces.models import Piece
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from tests import factories
from tests.shop.commissions.cast import a_commission

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def page_of(client: Client, piece: Piece) -> str:
    return client.get(reverse("bench:piece", args=[piece.code])).content.decode()


def made_for_it(stage: str) -> tuple[Piece, Commission]:
    piece, commission = factories.a_piece(stage), a_commission("making")
    wood.make_for_it(commission, [piece], factories.a_scribe())
    return piece, commission


def test_a_finished_piece_is_handed_over_to_who_ordered_it_and_not_sold_past_them(
    owner_client: Client,
) -> None:
    piece, commission = made_for_it("finished")
    page = page_of(owner_client, piece)
    way = reverse("commissions:hand_over", args=[commission.pk])
    assert f'<a class="button button-main" href="{way}">Hand it over to Ada Quill</a>' in page
    assert page.count("button-main") == 1
    assert "Made for the commission of Ada Quill" in page
    assert reverse("commissions:commission", args=[commission.pk]) in page
    assert reverse("sales:sell") + "?piece" not in page
    assert "Kept for a promise" not in page  # that promise is the commission's own


def test_one_that_is_not_finished_is_not_sold_as_it_is_either(owner_client: Client) -> None:
    piece, _ = made_for_it("dry")
    page = page_of(owner_client, piece)
    assert "Made for the commission of Ada Quill" in page
    assert "Sell it as it is" not in page
    assert "True it up" in page


def test_once_the_commission_is_called_off_the_piece_is_sold_like_any(
    owner_client: Client,
) -> None:
    piece, commission = made_for_it("finished")
    orders.call_off(commission, "They moved away.", factories.a_scribe())
    page = page_of(owner_client, piece)
    assert "Sell it</a>" in page
    assert "Made for the commission" not in page


def test_the_promise_of_a_commission_and_another_are_told_apart(owner_client: Client) -> None:
    piece, _ = made_for_it("finished")
    ivo = factories.a_person(name="Ivo Reed")
    promises.make(factories.a_scribe(), "The second choice.", to=ivo, pieces=[piece])
    page = page_of(owner_client, piece)
    assert "Kept for a promise to Ivo Reed" in page
    assert "Kept for a promise to Ada Quill" not in page


def test_a_piece_kept_by_a_promise_alone_is_told_so_and_may_be_sold(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    promises.make(factories.a_scribe(), "A cup.", to=factories.a_person(), pieces=[piece])
    page = page_of(owner_client, piece)
    assert "Kept for a promise to Ada Quill" in page
    assert "Sell it</a>" in page
