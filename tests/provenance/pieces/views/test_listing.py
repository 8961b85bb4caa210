"""The list of pieces: what the filter leaves, and how it is shown."""

from typing import Any

import pytest
from django.test import Client

from provenance.pieces import custody
from provenance.pieces.models import Custody, Form, Piece
from tests import factories

pytestmark = pytest.mark.django_db


def shown(client: Client, **query: Any) -> list[str]:
    page = client.get("/pieces/", query)
    return [row.piece.code for row in page.context["rows"]]


def test_an_empty_book_says_how_a_piece_begins(owner_client: Client) -> None:
    page = owner_client.get("/pieces/").content.decode()
    assert "No piece yet." in page
    assert "Make the first piece" in page


def test_nothing_found_is_told_apart_from_nothing_there(owner_client: Client) -> None:
    factories.a_piece()
    page = owner_client.get("/pieces/?find=ebony").content.decode()
    assert "No piece fits all of that." in page
    assert "No piece yet." not in page


def test_a_slip_in_a_number_offers_the_near_one_that_exists(owner_client: Client) -> None:
    piece = factories.a_piece()
    wrong = piece.code[:-1] + ("1" if piece.code[-1] != "1" else "2")
    page = owner_client.get("/pieces/", {"find": wrong}).content.decode()
    assert "check the last character" in page
    assert f"/pieces/{piece.code}/" in page
    page = owner_client.get("/pieces/?find=26-042-8").content.decode()
    assert "26-042-8 is a sound number, but no piece has it." in page


def test_the_list_narrows_by_stage_hands_form_and_price(owner_client: Client) -> None:
    blank, dry, sold = (
        factories.a_piece(form="vase"),
        factories.a_piece("dry"),
        factories.a_piece("finished"),
    )
    Piece.objects.filter(pk=sold.pk).update(price_minor=16500)
    custody.hand_over([sold], Custody.Kind.BUYER, factories.a_scribe())
    assert shown(owner_client) == [sold.code, dry.code, blank.code]
    assert shown(owner_client, stage="dry") == [dry.code]
    assert shown(owner_client, custody="buyer") == [sold.code]
    assert shown(owner_client, form=Form.objects.get(slug="vase").pk) == [blank.code]
    assert shown(owner_client, least="100", most="165") == [sold.code]
    assert shown(owner_client, most="164.99") == []
    assert shown(owner_client, sort="oldest") == [blank.code, dry.code, sold.code]
    assert shown(owner_client, sort="dear")[0] == sold.code
    assert shown(owner_client, sort="cheap")[0] == sold.code


def test_what_cannot_be_read_narrows_nothing(owner_client: Client) -> None:
    piece = factories.a_piece()
    odd = {"stage": "gone", "form": "9" * 30, "least": "cheap", "sort": "?", "page": "x\x00"}
    assert shown(owner_client, **odd) == [piece.code]


def test_the_pieces_longest_at_their_stage_come_first_and_unknown_days_last(
    owner_client: Client,
) -> None:
    [unknown] = factories.some_pieces(is_date_known=False)
    new = factories.a_piece()
    old = factories.a_piece()
    Piece.objects.filter(pk=old.pk).update(stage_since="2020-01-01")
    assert shown(owner_client, sort="waiting") == [old.code, new.code, unknown.code]


def test_typing_fetches_the_rows_alone_and_going_back_the_whole_page(owner_client: Client) -> None:
    factories.a_piece()
    fragment = owner_client.get("/pieces/", headers={"HX-Request": "true"})
    assert "<h1>" not in fragment.content.decode()
    restored = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
    assert "<h1>" in owner_client.get("/pieces/", headers=restored).content.decode()
    assert "HX-Request" in fragment["Vary"]


def test_long_lists_come_fifty_at_a_time_and_keep_their_filter(owner_client: Client) -> None:
    factories.some_pieces(51)
    page = owner_client.get("/pieces/?stage=blank")
    assert len(page.context["rows"]) == 50
    text = page.content.decode()
    assert "51 pieces, 1 to 50" in text
    assert "stage=blank&amp;page=2" in text
    assert len(owner_client.get("/pieces/?stage=blank&page=2").context["rows"]) == 1


def test_a_row_leads_to_its_next_move_and_can_be_ticked(owner_client: Client) -> None:
    piece = factories.a_piece("drying")
    page = owner_client.get("/pieces/?stage=drying").content.decode()
    assert f"/pieces/{piece.code}/move/call-dry/" in page
    assert f'name="piece" value="{piece.code}"' in page
    assert 'name="back" value="/pieces/?stage=drying"' in page
    assert 'formaction="/print/choose/"' in page


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_reads_as_often_for_one_row_as_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    factories.some_pieces(count)
    with django_assert_num_queries(12):
        owner_client.get("/pieces/")
