"""Weighing one piece from its own drying page."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from provenance.drying.models import Outlook, Scale, Weighing
from provenance.pieces.models import Piece
from provenance.record import journal
from tests.factories import a_piece, a_scribe
from tests.provenance.drying.shelf import TODAY, a_rough_out, weigh, weigh_often

pytestmark = pytest.mark.django_db


def send(client, piece: Piece, mass: str, on=TODAY, **more):
    url = reverse("drying:weigh", args=[piece.code])
    return client.post(url, {"mass_g": mass, "on": on.isoformat(), **more})


def test_a_weighing_is_kept_with_its_day_scale_and_words(owner_client):
    piece, scale = a_rough_out(), Scale.objects.create(name="Kitchen", step_g=1)
    said = owner_client.get(reverse("drying:piece", args=[piece.code])).content.decode()
    assert f'<input type="hidden" name="scale" value="{scale.pk}"' in said
    sent = send(owner_client, piece, "1.24 kg", scale=scale.pk, words="Waxed anew.")
    assert sent.status_code == 302
    kept = Weighing.objects.get()
    assert (kept.mass_g, kept.weighed_on, kept.scale) == (1240, TODAY, scale)
    assert kept.entry.words == "Weighed: 1240 g. Waxed anew."


def test_an_impossible_mass_is_asked_about_and_kept_if_it_is_right(owner_client):
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385)
    asked = send(owner_client, piece, "1800", words="Rained in.")
    assert "more than the 1385 g" in asked.content.decode()
    assert "Rained in." in asked.content.decode()
    sure = asked.context["asked_about"]
    for _ in range(2):
        send(owner_client, piece, "1800", sure=sure, token="7d0c1a52-0f3f-4b4e-9a3e-0c2f6a1b7d13")
    assert [each.mass_g for each in Weighing.objects.standing()] == [1560, 1385, 1800]


@pytest.mark.parametrize(
    ("mass", "said"), [("", "Type what the scale shows."), ("0.1", "between 0.5 g and 500 kg")]
)
def test_what_is_no_mass_is_said(owner_client, mass, said):
    piece = a_rough_out()
    assert said in send(owner_client, piece, mass).content.decode()
    assert not Weighing.objects.exists()


def test_a_piece_that_does_not_dry_offers_no_form_and_takes_no_mass(owner_client):
    piece = a_piece("blank")
    said = owner_client.get(reverse("drying:piece", args=[piece.code])).content.decode()
    assert "Only pieces that dry in the shop are weighed: this one is blank" in said
    assert "only pieces that dry" in send(owner_client, piece, "900").content.decode()
    assert not Weighing.objects.exists()


def test_a_weighing_is_taken_back_once(owner_client):
    piece = a_rough_out()
    weigh(piece, 1560, TODAY - timedelta(days=30))
    wrong = weigh(piece, 1400)
    url = reverse("drying:take_back_weighing", args=[piece.code, wrong.pk])
    assert url in owner_client.get(reverse("drying:piece", args=[piece.code])).content.decode()
    owner_client.post(url, {"words": "The neighbour's."})
    assert "taken back before" in owner_client.post(url, follow=True).content.decode()
    assert Outlook.objects.get().last_mass_g == Decimal(1560)


def test_a_weighing_of_another_piece_is_not_taken_back_here(owner_client):
    piece, other = a_rough_out(), a_rough_out()
    wrong = weigh(other, 1400)
    url = reverse("drying:take_back_weighing", args=[piece.code, wrong.pk])
    assert owner_client.post(url).status_code == 404


def test_a_wall_noted_later_is_taken_up_when_asked(owner_client):
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385, 1285, 1218)
    journal.amend(piece, {"rough_wall_mm": 40}, a_scribe())
    url = reverse("drying:piece", args=[piece.code])
    again = reverse("drying:work_out_again", args=[piece.code])
    assert again in owner_client.get(url).content.decode()
    owner_client.post(again)
    assert Outlook.objects.get().wall_mm == 40
    assert again not in owner_client.get(url).content.decode()


def test_a_weighing_that_the_forecast_passes_over_is_named(owner_client):
    piece = a_rough_out(150)
    weigh_often(piece, 1560, 1385, 1285, 1128, 1166, 1126, 1099, 1080)
    page = owner_client.get(reverse("drying:piece", args=[piece.code])).content.decode()
    assert page.count("doesn’t fit the others") == 1
