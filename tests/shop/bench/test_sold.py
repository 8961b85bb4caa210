"""What a piece's page says of its sales."""

import pytest
from django.urls import reverse

from shop.sales import undoing
from shop.sales.models import Channel
from shop.sales.undoing import Wish
from tests import factories

pytestmark = pytest.mark.django_db


def page_of(client, piece) -> str:
    return client.get(reverse("bench:piece", args=[piece.code])).content.decode()


def test_a_sold_piece_leads_to_its_receipt_and_is_taken_back_there(owner_client):
    piece, ada = factories.a_piece("finished"), factories.a_person()
    receipt = factories.a_receipt(piece, channel=Channel.BOOTH, place="Quay Market", buyer=ada)
    page = page_of(owner_client, piece)
    for words in ("Sold on receipt", "Booth, Quay Market", "$100", "15 June 2026", "Ada Quill"):
        assert words in page
    assert "to take it back, void or refund receipt" in page
    assert "Take the last step back" not in page
    assert page.count(reverse("sales:receipt", args=[receipt.code])) == 2


@pytest.mark.parametrize("way", ["void", "refunded"])
def test_a_piece_that_came_back_says_on_which_receipt_it_was(owner_client, way):
    piece, scribe = factories.a_piece("finished"), factories.a_scribe()
    receipt = factories.a_receipt(piece)
    if way == "void":
        undoing.void(receipt, "Wrong", scribe)
    else:
        wish = Wish(receipt.lines.get(), 10_000, True)
        undoing.refund(receipt, [wish], "Split", scribe, kind=factories.a_kind())
    page = page_of(owner_client, piece)
    assert "Was on receipt" in page
    assert f"({way})" in page
    assert "It came back with receipt" in page
    assert "Take the last step back" not in page


def test_a_piece_that_was_never_sold_says_nothing_of_it(owner_client):
    page = page_of(owner_client, factories.a_piece("finished"))
    assert "on receipt" not in page
    assert "Take the last step back" in page


def test_a_merged_buyer_leads_to_the_kept_entry(owner_client):
    piece, ada, kept = factories.a_piece(), factories.a_person(), factories.a_person(name="A. Q.")
    factories.a_receipt(piece, buyer=ada)
    ada.merged_into = kept
    ada.save()
    assert reverse("bench:person", args=[kept.pk]) in page_of(owner_client, piece)
