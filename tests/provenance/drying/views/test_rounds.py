"""The weigh round: a phone on the shelf, one piece after the other."""

from decimal import Decimal
from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from provenance.drying import rounds, weighing
from provenance.drying.models import Outlook, Scale, Weighing, WeighRound
from provenance.maker.models import Shop
from provenance.pieces import custody
from provenance.pieces.models import Custody, Piece
from provenance.record.numbers import Number
from provenance.record.scribe import Scribe
from tests.factories import a_scribe
from tests.provenance.drying.shelf import DRIED, a_rough_out, weigh_often

pytestmark = pytest.mark.django_db


@pytest.fixture
def a_round(owner_client: Client) -> WeighRound:
    """A round of all stores, begun now."""
    return rounds.start("", Scribe.now())


def page(client: Client, weigh_round: WeighRound) -> str:
    return client.get(reverse("drying:round", args=[weigh_round.pk])).content.decode()


def weigh_in(client: Client, weigh_round: WeighRound, number: str, mass: str, **more: Any) -> Any:
    """What comes back when a mass is sent."""
    url = reverse("drying:weigh_in_round", args=[weigh_round.pk])
    return client.post(url, {"number": number, "mass_g": mass, **more})


def text(response: HttpResponse) -> str:
    return response.content.decode()


def offered(client: Client, weigh_round: WeighRound) -> str:
    """The code of the piece that the page offers; '' for none."""
    place = client.get(reverse("drying:round", args=[weigh_round.pk])).context["place"]
    return place.at.code if place.at else ""


def test_it_goes_from_piece_to_piece_and_counts(owner_client, a_round):
    one, two = a_rough_out(), a_rough_out()
    assert "0 of 2 weighed" in page(owner_client, a_round)
    weigh_in(owner_client, a_round, one.code, "1240.5")
    assert Weighing.objects.get().mass_g == Decimal("1240.5")
    assert Weighing.objects.get().weighed_on == a_round.started_on
    assert offered(owner_client, a_round) == two.code
    weigh_in(owner_client, a_round, two.code, "2 lb 3 oz")
    assert "2 of 2 weighed" in page(owner_client, a_round)
    assert "Every piece of this round is weighed." in page(owner_client, a_round)


def test_the_last_mass_is_shown_large_and_the_shops_unit_is_typed(owner_client, a_round):
    Shop.objects.update(mass_unit="oz")
    piece = a_rough_out()
    weigh_often(piece, 1134)
    assert '<strong class="figure">40 oz</strong>' in page(owner_client, a_round)
    weigh_in(owner_client, a_round, piece.code, "38")
    assert Outlook.objects.get().last_mass_g == Decimal("1077.3")


@pytest.mark.parametrize(
    "typed",
    ["{0.number}", "{0.code}", "https://shop.example.org/P/{0.code}", "{0.number.sequence}"],
)
def test_a_number_is_read_in_every_way(owner_client, a_round, typed):
    a_rough_out()
    piece = a_rough_out()
    weigh_in(owner_client, a_round, typed.format(piece), "900")
    assert Weighing.objects.get().piece == piece


def test_a_few_digits_that_mean_several_are_asked_back(a_round):
    old, new = a_rough_out(), a_rough_out()
    sequence = f"{new.number.sequence}"
    Piece.objects.filter(pk=old.pk).update(code=Number("piece", 19, new.number.sequence).code)
    old.refresh_from_db()
    with pytest.raises(rounds.NoSuchPiece, match=f"{old.number} or {new.number}"):
        rounds.meant(sequence, a_round.pieces())
    assert rounds.meant(new.code[:-1], a_round.pieces()) == new


@pytest.mark.parametrize("typed", ["77", "26-999-9", "T26-001-9", "the bowl"])
def test_what_is_no_piece_is_said_and_stays_typed(owner_client, a_round, typed):
    a_rough_out()
    said = text(weigh_in(owner_client, a_round, typed, "1240"))
    assert 'class="error"' in said
    assert f'value="{typed}"' in said
    assert 'value="1240"' in said
    assert not Weighing.objects.exists()


def test_a_number_alone_turns_to_its_piece(owner_client, a_round):
    one, two = a_rough_out(), a_rough_out()
    weigh_in(owner_client, a_round, two.code, "", offered=one.code)
    assert offered(owner_client, a_round) == two.code
    again = weigh_in(owner_client, a_round, two.code, "", offered=two.code)
    assert "Type what the scale shows." in text(again)


def test_skipping_keeps_its_place_and_comes_back_to_the_skipped(owner_client, a_round):
    one, two = a_rough_out(), a_rough_out()
    turn = reverse("drying:turn_to", args=[a_round.pk])
    assert f'name="piece" value="{two.code}">Skip for now' in page(owner_client, a_round)
    owner_client.post(turn, {"piece": two.code})
    assert offered(owner_client, a_round) == two.code
    weigh_in(owner_client, a_round, two.code, "900")
    assert offered(owner_client, a_round) == one.code


def test_an_impossible_mass_is_asked_about_before_it_is_kept(owner_client, a_round):
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385)
    asked = weigh_in(owner_client, a_round, piece.code, "1800")
    assert "more than the 1385 g" in text(asked)
    assert 'value="1800"' in text(asked)
    assert Weighing.objects.count() == 2
    sure = asked.context["asked_about"]
    # What was typed after the question is asked about anew.
    assert "more than" in text(weigh_in(owner_client, a_round, piece.code, "1900", sure=sure))
    weigh_in(owner_client, a_round, piece.code, "1800", sure=sure)
    assert Outlook.objects.get().last_mass_g == 1800


def test_two_phones_at_the_same_piece_are_told_of_each_other(owner_client, a_round):
    piece = a_rough_out()
    weigh_in(owner_client, a_round, piece.code, "1240")
    assert "was weighed in this round already: 1240 g" in text(
        weigh_in(owner_client, a_round, piece.code, "1241")
    )
    assert Weighing.objects.count() == 1


def test_a_double_tap_weighs_once_and_an_old_page_says_so(owner_client, a_round):
    one, two = a_rough_out(), a_rough_out()
    token = "5e0c1a52-0f3f-4b4e-9a3e-0c2f6a1b7d11"
    for _ in range(2):
        weigh_in(owner_client, a_round, one.code, "1240", token=token)
    assert Weighing.objects.count() == 1
    weigh_in(owner_client, a_round, two.code, "990", token=token)
    assert f"what you typed for {two.number} was not kept" in page(owner_client, a_round)


def test_a_piece_that_left_in_between_is_not_weighed_and_counts_no_more(owner_client, a_round):
    gone, stays = a_rough_out(), a_rough_out()
    rounds.turn_to(a_round, gone)
    custody.hand_over([gone], Custody.Kind.GIVEN, a_scribe())
    assert "only pieces that dry in the shop" in text(
        weigh_in(owner_client, a_round, gone.code, "900")
    )
    assert "0 of 1 weighed" in page(owner_client, a_round)
    assert offered(owner_client, a_round) == stays.code


def test_a_round_goes_by_its_store_and_its_scale_is_remembered(owner_client, a_round):
    scale, _ = (Scale.objects.create(name=name, step_g=1) for name in ("Loft", "Bench"))
    here, there = a_rough_out(stored="The loft"), a_rough_out(stored="The garage")
    of_loft = rounds.start("the  loft", Scribe.now())
    said = page(owner_client, of_loft)
    assert str(here.number) in said
    assert str(there.number) not in said
    weigh_in(owner_client, of_loft, here.code, "900", scale=scale.pk)
    assert Weighing.objects.get().scale == scale
    assert rounds.start("", Scribe.now()) == a_round  # begun today: gone on with
    rounds.end(a_round, Scribe.now())
    assert rounds.start("", Scribe.now()).scale == scale


def test_it_ends_once_and_says_what_it_came_to(owner_client, a_round):
    dry, wet, left = a_rough_out(250), a_rough_out(), a_rough_out()
    weigh_often(dry, *DRIED)
    weigh_in(owner_client, a_round, dry.code, "1049")
    weigh_in(owner_client, a_round, wet.code, "1240")
    end = reverse("drying:end_round", args=[a_round.pk])
    owner_client.post(end)
    ended_at = WeighRound.objects.get().ended_at
    owner_client.post(end)
    assert WeighRound.objects.get().ended_at == ended_at
    said = page(owner_client, a_round)
    assert "2 pieces weighed" in said
    assert reverse("drying:piece", args=[dry.code]) in said
    assert reverse("drying:piece", args=[wet.code]) not in said
    assert "1 piece was left out" in said
    assert reverse("drying:ready") in said
    weigh_in(owner_client, a_round, left.code, "900")
    assert Weighing.objects.filter(piece=left).count() == 0
    assert "This round has ended" in page(owner_client, a_round)


def test_a_round_is_started_once_and_offered_to_go_on_with(owner_client):
    url = reverse("drying:start_round")
    a_rough_out()
    token = "7d0c1a52-0f3f-4b4e-9a3e-0c2f6a1b7d11"
    for _ in range(2):
        owner_client.post(url, {"store": "loft", "token": token})
    known = WeighRound.objects.get()
    said = text(owner_client.get(reverse("drying:rounds")))
    assert reverse("drying:round", args=[known.pk]) in said


@pytest.mark.parametrize("count", [1, 3])
def test_it_takes_a_fixed_number_of_queries(
    owner_client, a_round, count, django_assert_num_queries
):
    for _ in range(count):
        weighing.weigh(a_rough_out(), Decimal(1240), a_scribe(), on=a_scribe().today)
    with django_assert_num_queries(13):
        page(owner_client, a_round)


def test_a_second_round_of_the_day_begins_anew(owner_client, a_round):
    piece = a_rough_out()
    weigh_in(owner_client, a_round, piece.code, "1240")
    assert "1 of 1 weighed" in page(owner_client, a_round)
    owner_client.post(reverse("drying:end_round", args=[a_round.pk]))
    again = rounds.start("", Scribe.now())
    assert "0 of 1 weighed" in page(owner_client, again)
    weigh_in(owner_client, again, piece.code, "1238")
    assert Weighing.objects.count() == 2
