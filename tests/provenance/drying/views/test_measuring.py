"""The pages of axes and of the check before the lathe."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.drying import measuring
from provenance.drying.models import Axes, SoundnessCheck
from provenance.pieces.models import Custody, Piece
from tests.factories import a_piece, a_scribe, a_section, a_tree

pytestmark = pytest.mark.django_db

ALL_GOOD = dict.fromkeys(measuring.LOOKED_FOR, "good")


def address(name: str, piece: Piece, *more: int) -> str:
    return reverse(f"drying:{name}", args=[piece.code, *more])


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), "on": "2026-06-20", **typed}


def test_measured_axes_stand_beside_the_predicted_and_say_what_is_left(
    owner_client: Client,
) -> None:
    piece = a_piece(
        "dry", rough_diameter_mm=300, rough_height_mm=110, rough_wall_mm=30, rim_to_pith_mm=20
    )
    url = address("axes", piece)
    said = owner_client.post(url, sent(long_mm="299", short_mm="11 1/4 in"), follow=True)
    row = Axes.objects.get()
    assert (row.long_mm, row.short_mm) == (299, 286)
    text = said.content.decode()
    assert "13 mm" in text
    assert "The largest true bowl in it" in text
    assert "rim-picture" in text


def test_what_is_not_known_of_the_wood_does_not_keep_one_from_measuring(
    owner_client: Client,
) -> None:
    hedge = a_section(a_tree(species_slug="", species_words="hedge wood"))
    piece = a_piece("dry", source=hedge, rough_diameter_mm=300)
    url = address("axes", piece)
    text = owner_client.post(url, sent(long_mm="299", short_mm="286"), follow=True).content.decode()
    assert "Nothing is predicted" in text
    assert "The largest circle in it is 286 mm across." in text
    assert "wall and height" in text


def test_a_form_sent_twice_measures_once(owner_client: Client) -> None:
    piece, typed = a_piece("dry"), sent(long_mm="299", short_mm="286")
    for _ in range(2):
        owner_client.post(address("axes", piece), typed)
    assert Axes.objects.count() == 1


def test_what_the_record_refuses_comes_back_as_typed(owner_client: Client) -> None:
    piece = a_piece("dry")
    typed = sent(long_mm="299", short_mm="286", on="1999-01-01")
    text = owner_client.post(address("axes", piece), typed).content.decode()
    assert "enter that day or a later one" in text
    assert 'value="299"' in text
    assert not Axes.objects.exists()


def test_a_measure_is_taken_back_from_its_page(owner_client: Client) -> None:
    piece = a_piece("dry")
    row = measuring.measure_axes(piece, 299, 286, a_scribe())
    other = a_piece("dry")
    assert owner_client.post(address("take_back_axes", other, row.pk)).status_code == 404
    owner_client.post(address("take_back_axes", piece, row.pk), {"words": "Misread."})
    assert measuring.last_axes(piece) is None
    again = owner_client.post(address("take_back_axes", piece, row.pk), follow=True)
    assert "taken back already" in again.content.decode()


def test_sound_leads_on_to_truing_it_up(owner_client: Client) -> None:
    piece = a_piece("dry")
    page = owner_client.get(address("soundness", piece)).content.decode()
    assert "face shield" in page
    assert "safe" not in page
    answer = owner_client.post(address("soundness", piece), sent(**ALL_GOOD, then="lathe"))
    assert answer["Location"] == reverse("pieces:move", args=[piece.code, "true-up"])


def test_what_is_doubtful_cannot_be_called_sound(owner_client: Client) -> None:
    piece = a_piece("dry")
    typed = sent(**{**ALL_GOOD, "tap": "doubtful"}, then="lathe")
    text = owner_client.post(address("soundness", piece), typed).content.decode()
    assert "Not all was found good (the tap)" in text
    assert not SoundnessCheck.objects.exists()


@pytest.mark.parametrize(
    ("then", "goes_to"),
    [("hold", "bench:piece"), ("repair", "bench:piece"), ("loss", "pieces:lose")],
)
def test_not_sound_leads_to_hold_repair_or_loss(
    owner_client: Client, then: str, goes_to: str
) -> None:
    piece = a_piece("dry")
    typed = sent(**{**ALL_GOOD, "tenon": "doubtful"}, then=then)
    answer = owner_client.post(address("soundness", piece), typed)
    assert answer["Location"] == reverse(goes_to, args=[piece.code])
    piece.refresh_from_db()
    assert (piece.custody.kind == Custody.Kind.REPAIR) == (then == "repair")
    page = owner_client.get(reverse("bench:piece", args=[piece.code])).content.decode()
    assert "Held back from the lathe" in page


def test_a_check_is_taken_back_from_its_page(owner_client: Client) -> None:
    piece = a_piece("dry")
    check = measuring.check_soundness(piece, ALL_GOOD, "lathe", a_scribe())
    long_words = {"words": "x" * 501}
    owner_client.post(address("take_back_check", piece, check.pk), long_words)
    assert measuring.last_check(piece) == check
    owner_client.post(address("take_back_check", piece, check.pk))
    assert measuring.last_check(piece) is None
