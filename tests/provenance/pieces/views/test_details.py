"""A piece's details, notes and photos."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces.models import Piece
from provenance.record import journal
from provenance.record.errors import RecordError
from tests import factories

pytestmark = pytest.mark.django_db


def edit(piece: Piece) -> str:
    return reverse("pieces:edit", args=[piece.code])


def as_shown(client: Client, piece: Piece) -> dict[str, Any]:
    """What the browser would send if nothing were changed."""
    form = client.get(edit(piece)).context["form"]
    return {bound.name: "" if bound.value() is None else bound.value() for bound in form}


def test_saving_what_is_shown_changes_nothing(owner_client: Client) -> None:
    [piece] = factories.some_pieces(
        title="Storm bowl", diameter_mm=285, price_minor=16550, notes="Ours.\nKept.", mount="recess"
    )
    page = owner_client.post(edit(piece), as_shown(owner_client, piece), follow=True)
    assert "Nothing was different." in page.content.decode()
    assert not piece.journal.entries.filter(kind="details").exists()


def test_a_change_is_saved_and_stands_in_the_journal(owner_client: Client) -> None:
    piece = factories.a_piece()
    typed = as_shown(owner_client, piece) | {"title": "Storm  bowl", "diameter_mm": "11 1/2 in"}
    owner_client.post(edit(piece), typed)
    piece.refresh_from_db()
    assert (piece.title, piece.diameter_mm) == ("Storm  bowl", 292)
    entry = piece.journal.entries.get(kind="details")
    assert entry.changes == {"title": ["", "Storm  bowl"], "diameter_mm": [None, 292]}


def test_a_rim_in_the_plane_of_the_pith_is_a_measure_and_not_nothing(owner_client: Client) -> None:
    piece = factories.a_piece()
    assert 'name="rim_to_pith_mm"' in owner_client.get(edit(piece)).content.decode()
    typed = as_shown(owner_client, piece) | {"rim_to_pith_mm": "0"}
    owner_client.post(edit(piece), typed)
    piece.refresh_from_db()
    assert piece.rim_to_pith_mm == 0
    page = owner_client.get(reverse("bench:piece", args=[piece.code])).content.decode()
    assert "<dt>Rim to pith</dt><dd>0 mm</dd>" in page
    again = owner_client.post(edit(piece), as_shown(owner_client, piece), follow=True)
    assert "Nothing was different." in again.content.decode()


def test_what_somebody_else_changed_meanwhile_is_not_overwritten_unseen(
    owner_client: Client,
) -> None:
    piece = factories.a_piece()
    typed = as_shown(owner_client, piece) | {"stored": "shelf 1"}
    journal.amend(piece, {"stored": "shelf 2"}, factories.a_scribe())
    page = owner_client.post(edit(piece), typed)
    assert "changed in another window" in page.content.decode()
    seen = page.context["form"]["seen"].value()
    owner_client.post(edit(piece), typed | {"seen": seen})
    piece.refresh_from_db()
    assert piece.stored == "shelf 1"


def test_pieces_of_a_set_are_kept_together_by_its_name(owner_client: Client) -> None:
    first, second = factories.some_pieces(2)
    owner_client.post(edit(first), as_shown(owner_client, first) | {"set_name": "Élan salad set"})
    owner_client.post(edit(second), as_shown(owner_client, second) | {"set_name": "élan salad SET"})
    first.refresh_from_db()
    second.refresh_from_db()
    assert first.piece_set == second.piece_set
    assert set(Piece.objects.search("élan salad")) == {first, second}
    for spaced in ("Tea  for  two", "Tea  for  two "):
        owner_client.post(edit(second), as_shown(owner_client, second) | {"set_name": spaced})
        second.refresh_from_db()
        assert str(second.piece_set) == "Tea for two"
        owner_client.post(edit(second), as_shown(owner_client, second) | {"set_name": ""})
    second.refresh_from_db()
    assert second.piece_set is None


def test_a_method_that_never_passes_the_stage_is_refused(owner_client: Client) -> None:
    piece = factories.a_piece("trued")
    typed = as_shown(owner_client, piece)
    page = owner_client.post(edit(piece), typed | {"method": "straight"}).content.decode()
    assert "No piece of this method is ever “trued up”" in page
    blank = factories.a_piece()
    owner_client.post(edit(blank), as_shown(owner_client, blank) | {"method": "single"})
    blank.refresh_from_db()
    assert blank.method == "single"


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"price_minor": "0"}, "above nothing"),
        ({"price_minor": "9" * 20}, "too large"),
        ({"price_minor": "1e3"}, "Enter an amount"),
        ({"diameter_mm": "-3"}, "is below zero"),
        ({"form": ""}, "required"),
        ({"title": "x" * 121}, "at most 120"),
    ],
)
def test_what_cannot_be_is_refused(
    owner_client: Client, typed: dict[str, str], sentence: str
) -> None:
    piece = factories.a_piece()
    page = owner_client.post(edit(piece), as_shown(owner_client, piece) | typed)
    assert "Not saved yet" in page.content.decode()
    assert sentence in page.content.decode()


def test_a_refusal_of_the_record_comes_back_on_the_page(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise RecordError("The book is shut.")

    piece = factories.a_piece()
    typed = as_shown(owner_client, piece)
    monkeypatch.setattr(journal, "amend", refuse)
    assert "The book is shut." in owner_client.post(edit(piece), typed).content.decode()


def test_a_note_and_a_photo_go_into_the_pieces_journal(owner_client: Client) -> None:
    piece = factories.a_piece()
    home = f"/pieces/{piece.code}/"
    answer = owner_client.post(
        reverse("pieces:note", args=[piece.code]), {"words": "A small check."}
    )
    assert answer["Location"] == home
    assert piece.journal.entries.get(kind="note").words == "A small check."
    picture = factories.a_picture()
    url = reverse("pieces:add_photo", args=[piece.code])
    answer = owner_client.post(url, {"photos": picture, "is_public": "on"})
    assert answer["Location"] == home
    assert piece.journal.photos.public().count() == 1
    owner_client.post(url, {"photos": factories.a_picture("teal")})
    assert (piece.journal.photos.shown().count(), piece.journal.photos.public().count()) == (2, 1)
    assert 'name="is_public" checked' in owner_client.get(home).content.decode()
