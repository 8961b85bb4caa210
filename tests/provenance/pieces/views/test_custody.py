"""The pages of hands, and the public page's door."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.people.models import Person
from provenance.pieces import promises, publishing
from provenance.pieces.models import Custody, Piece
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db


def sent(*pieces: Piece, **typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), "piece": [p.code for p in pieces], **typed}


def hands(piece: Piece) -> str:
    return reverse("pieces:hand_over", args=[piece.code])


def test_a_piece_goes_to_somebody_from_the_book(owner_client: Client) -> None:
    piece, gallery = factories.a_piece("finished"), factories.a_person()
    assert "now in the shop" in owner_client.get(hands(piece)).content.decode()
    typed = sent(kind="gallery", since="July 2026", why="Summer show")
    typed |= {"holder_name": gallery.name, "holder_choice": gallery.pk}
    owner_client.post(hands(piece), typed)
    piece.refresh_from_db()
    assert piece.custody is not None
    assert (piece.custody.kind, piece.custody.holder) == ("gallery", gallery)
    assert (piece.custody.entry.happened, piece.custody.why) == (
        PartialDate("2026-07"),
        "Summer show",
    )


def test_a_new_name_is_entered_once_however_often_it_is_sent(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    typed = sent(kind="given", holder_name="Nell Quill")
    owner_client.post(hands(piece), typed)
    owner_client.post(hands(piece), typed)
    assert Person.objects.get().name == "Nell Quill"
    assert piece.custodies.count() == 2


def test_a_refused_change_of_hands_enters_nobody(owner_client: Client) -> None:
    piece = factories.a_piece("lost")
    page = owner_client.post(hands(piece), sent(kind="given", holder_name="Nell Quill"))
    assert "take the loss back first" in page.content.decode()
    assert not Person.objects.exists()


def test_scrapping_is_not_offered_and_in_the_shop_nobody_holds_it(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    assert 'value="scrapped"' not in owner_client.get(hands(piece)).content.decode()
    page = owner_client.post(hands(piece), sent(kind="shop", holder_name="Nell Quill"))
    assert "In the shop nobody else has it" in page.content.decode()


def test_a_promise_in_the_way_asks_for_a_reason(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    promises.make(factories.a_scribe(), "This bowl", pieces=[piece])
    page = owner_client.post(hands(piece), sent(kind="lent", why="For a wedding")).content.decode()
    assert "“This bowl”" in page
    assert "For a wedding" in page
    owner_client.post(hands(piece), sent(kind="lent", reason="A week only."))
    assert Piece.objects.in_custody(Custody.Kind.LENT).get() == piece


def test_several_go_to_market_together(owner_client: Client) -> None:
    pieces = [factories.a_piece("finished") for _ in range(2)]
    listed = "&".join(f"piece={piece.code}" for piece in pieces)
    page = owner_client.get(f"/pieces/hand-over-many/?{listed}").content.decode()
    assert "Hand over 2 pieces" in page
    answer = owner_client.post("/pieces/hand-over-many/", sent(*pieces, kind="market"))
    assert answer["Location"] == "/pieces/"
    assert Piece.objects.in_custody(Custody.Kind.MARKET).count() == 2


def test_a_page_is_opened_and_closed(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    for name, state in (
        ("publish", True),
        ("publish", True),
        ("withdraw", False),
        ("withdraw", False),
    ):
        owner_client.post(reverse(f"pieces:{name}", args=[piece.code]))
        piece.refresh_from_db()
        assert piece.is_published is state
    assert piece.journal.entries.filter(kind="public").count() == 2


def test_what_becomes_public_is_said_before(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    page = owner_client.get(f"/pieces/{piece.code}/").content.decode()
    assert "Strangers will read" in page
    assert "Never: price, notes, where it is kept" in page
    publishing.publish([piece], factories.a_scribe())
    page = owner_client.get(f"/pieces/{piece.code}/").content.decode()
    assert "Close its public page" in page


@pytest.mark.parametrize("name", ["publish", "withdraw", "undo", "note", "add_photo"])
def test_a_deed_is_not_done_by_a_link(owner_client: Client, name: str) -> None:
    piece = factories.a_piece()
    assert owner_client.get(reverse(f"pieces:{name}", args=[piece.code])).status_code == 405
