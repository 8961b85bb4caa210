"""What is ready: each piece of the shelf in the lists that it belongs to."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.drying import rounds
from provenance.drying.models import Outlook
from provenance.pieces.models import Piece
from provenance.record.scribe import Scribe
from tests.factories import NOW
from tests.provenance.drying.shelf import a_rough_out

pytestmark = pytest.mark.django_db


@pytest.fixture
def today() -> date:
    return Scribe.now().today


def looks(piece: Piece, today: date, **facts: Any) -> Piece:
    """The piece with a forecast that is kept with it: dry in a year unless said otherwise."""
    usual = {
        "likely": today + timedelta(days=365), "basis": "weighings", "last_mass_g": 1240,
        "last_weighed_on": today, "weigh_again_on": today + timedelta(days=30),
        "weighing_count": 4, "made_at": NOW,
    }  # fmt: skip
    Outlook.objects.create(piece=piece, **{**usual, **facts})
    return piece


def lists(client: Client) -> dict[str, list[str]]:
    """The numbers in each list of the page, by its anchor."""
    parts = client.get(reverse("drying:ready")).context["parts"]
    return {part.slug: [row.piece.code for row in part.rows] for part in parts}


def test_each_piece_stands_where_it_belongs(owner_client, today):
    dry = looks(a_rough_out(), today, is_dry=True)
    nearly = looks(a_rough_out(), today, likely=today + timedelta(days=20))
    overdue = looks(a_rough_out(), today, weigh_again_on=today)
    never = a_rough_out()
    stalled = looks(a_rough_out(), today, pace="stalled")
    fast = looks(a_rough_out(), today, pace="fast")
    looks(a_rough_out(), today)
    found = lists(owner_client)
    assert found["dry"] == [dry.code]
    assert found["nearly"] == [nearly.code]
    assert set(found["overdue"]) == {overdue.code, never.code}
    assert found["stalled"] == [stalled.code]
    assert found["fast"] == [fast.code]


def test_a_row_has_its_likely_day_and_leads_to_its_drying(owner_client, today):
    piece = looks(a_rough_out(), today, likely=date(2999, 3, 12), pace="fast")
    said = owner_client.get(reverse("drying:ready")).content.decode()
    assert "12 March 2999" in said
    assert reverse("drying:piece", args=[piece.code]) in said
    assert "put the piece in a paper bag" in said


def test_a_dry_piece_can_be_called_dry_from_here(owner_client, today):
    piece = looks(a_rough_out(), today, is_dry=True)
    said = owner_client.get(reverse("drying:ready")).content.decode()
    assert reverse("pieces:move", args=[piece.code, "call-dry"]) in said


def test_an_empty_shelf_and_an_empty_list_say_what_belongs_there(owner_client, today):
    said = owner_client.get(reverse("drying:ready")).content.decode()
    assert "Nothing is on the drying shelf." in said
    looks(a_rough_out(), today)
    said = owner_client.get(reverse("drying:ready")).content.decode()
    assert "A piece shows here once its weighings say" in said
    assert 'id="fast"' not in said


def test_a_round_is_started_from_here_or_gone_on_with(owner_client):
    a_rough_out()
    assert reverse("drying:rounds") in owner_client.get("/drying/").content.decode()
    known = rounds.start("", Scribe.now())
    said = owner_client.get("/drying/").content.decode()
    assert reverse("drying:round", args=[known.pk]) in said


@pytest.mark.parametrize("count", [1, 3])
def test_it_takes_a_fixed_number_of_queries(owner_client, today, count, django_assert_num_queries):
    for _ in range(count):
        looks(a_rough_out(), today, is_dry=True)
        looks(a_rough_out(), today, pace="fast")
    with django_assert_num_queries(16):
        owner_client.get(reverse("drying:ready"))
