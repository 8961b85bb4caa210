"""What a page says of steps, and the fragments that the piece's page is made of."""

from typing import Any

import pytest
from django.test import Client

from provenance.pieces import custody, making, workflow
from provenance.pieces.making import Past, Source
from provenance.pieces.models import Custody, Finish, Form, Method, Piece, Stage
from provenance.pieces.templatetags.steps import once_undone, step_title
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db


def last(piece: Piece) -> Any:
    return workflow.last_move(piece)


def page_of(client: Client, piece: Piece) -> str:
    return client.get(f"/pieces/{piece.code}/").content.decode()


def test_a_step_says_what_taking_it_back_would_do() -> None:
    moved, lost, coated = (factories.a_piece(stage) for stage in ("drying", "lost", "in-finish"))
    handed = factories.a_piece("finished")
    workflow.add_coat(coated, factories.a_scribe(), Finish.objects.get(slug="beeswax"))
    custody.hand_over([handed], Custody.Kind.LENT, factories.a_scribe())
    assert [(step_title(last(p)), once_undone(last(p))) for p in (moved, lost, coated, handed)] == [
        ("Roughed out", "It will be blank again."),
        ("Lost", "It will be blank again, and where it was."),
        ("Finish", "That coat will no longer count."),
        ("Changed hands", "It will be where it was before."),
    ]


def test_the_next_move_is_the_main_button_and_the_others_stand_beside_it(
    owner_client: Client,
) -> None:
    page = page_of(owner_client, factories.a_piece("dry"))
    assert 'class="button button-main" href="/pieces/' in page
    shelf = page.index("Back to the drying shelf")
    assert page.index("True it up") < shelf < page.index("Hand it over")
    assert "Take the last step back" in page
    assert "It will be drying again." in page


def test_a_blank_has_nothing_to_take_back_and_a_lost_piece_nothing_else(
    owner_client: Client,
) -> None:
    assert "Take the last step back" not in page_of(owner_client, factories.a_piece())
    lost = page_of(owner_client, factories.a_piece("lost"))
    assert "Take the last step back" in lost
    assert "Hand it over" not in lost
    assert "Record its loss" not in lost


def test_a_piece_out_of_the_shop_says_why_it_makes_no_move(owner_client: Client) -> None:
    piece = factories.a_piece("dry")
    custody.hand_over([piece], Custody.Kind.GALLERY, factories.a_scribe())
    page = page_of(owner_client, piece)
    assert "It is at a gallery: it can be moved on once it is back in the shop." in page


def test_the_line_from_source_to_hands_is_told(owner_client: Client) -> None:
    first = factories.a_piece(source=factories.a_section(factories.a_tree(felled=None)))
    buyer = factories.a_person()
    sources = [Source(first, "body"), Source(factories.some_stock(), "lid"), Source(None, "inlay")]
    past = Past(
        Stage.FINISHED,
        {"finish": PartialDate("2011~")},
        finish=Finish.objects.get(slug="tung-oil"),
        custody=Custody.Kind.BUYER,
        holder=buyer,
        since=PartialDate("2012"),
    )
    box = Form.objects.get(slug="lidded-box")
    piece = making.enter_old(
        factories.a_scribe(), box, Method.TWICE, past, sources=sources, old_mark="GL 14", wall_mm=6
    )
    page = page_of(owner_client, piece)
    for words in ("since 2012", "since about 2011", "Ada Quill", "wall 6", "GL 14", "Tung oil"):
        assert words in page, words
    for words in ("Cocobolo pen blanks", "Not known", str(first), "since when is not known"):
        assert words in page, words
    assert str(piece) in page_of(owner_client, first)


@pytest.mark.parametrize("count", [1, 3])
def test_the_pieces_page_reads_as_often_for_one_part_as_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    sources = [Source(factories.a_section(), role) for role in ("body", "neck", "lid")[:count]]
    [piece] = making.make(
        factories.a_scribe(), Form.objects.get(slug="vase"), Method.TWICE, sources
    )
    for _ in range(count):
        for kind in (Custody.Kind.LENT, Custody.Kind.SHOP):
            custody.hand_over([piece], kind, factories.a_scribe())
    owner_client.get(f"/pieces/{piece.code}/")
    with django_assert_num_queries(26):
        owner_client.get(f"/pieces/{piece.code}/")


@pytest.mark.parametrize("count", [1, 3])
def test_taking_back_reads_as_often_for_one_piece_as_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    pieces = [factories.a_piece("drying", source=factories.a_section()) for _ in range(count)]
    listed = "&".join(f"piece={piece.code}" for piece in pieces)
    with django_assert_num_queries(9):
        owner_client.get(f"/pieces/undo-many/?{listed}")
