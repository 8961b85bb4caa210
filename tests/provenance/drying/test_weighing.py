from datetime import timedelta
from decimal import Decimal

import pytest

from provenance.drying import weighing
from provenance.drying.models import Outlook, Weighing
from provenance.maker.models import Shop
from provenance.pieces import custody
from provenance.pieces.models import Custody
from provenance.record.errors import RecordError
from tests.factories import a_piece, a_scribe, a_shop
from tests.provenance.drying.shelf import DRIED, TODAY, a_rough_out, weigh, weigh_often

pytestmark = pytest.mark.django_db


def asked(piece, mass, on=TODAY, neighbours=()):
    shop = Shop.current()
    return weighing.questions(piece, Decimal(str(mass)), on, shop=shop, neighbours=neighbours)


def test_a_weighing_is_journalled_and_kept_to_a_tenth_of_a_gram():
    piece = a_rough_out()
    kept = weigh(piece, 1240.26, words="On the loft scale.")
    assert Weighing.objects.get().mass_g == Decimal("1240.3")
    assert kept.entry.words == "Weighed: 1240.3 g. On the loft scale."
    assert (kept.entry.kind, kept.entry.happened.earliest) == ("weighed", TODAY)


def test_a_weighing_renews_the_kept_forecast():
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385, 1285, 1218, 1166)
    outlook = Outlook.objects.get(piece=piece)
    assert (outlook.weighing_count, outlook.last_mass_g) == (5, 1166)
    assert outlook.basis == "weighings"
    weigh(piece, 1126, TODAY)
    assert Outlook.objects.get().weighing_count == 6


def test_a_weighing_taken_back_counts_no_more_and_stays_in_the_journal():
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385)
    wrong = weigh(piece, 950)
    entry = weighing.take_back(wrong, a_scribe(), "The neighbour's bowl.")
    assert entry.words.startswith("Taken back: weighed 950 g on 2026-06-15.")
    assert [w.mass_g for w in Weighing.objects.standing()] == [1560, 1385]
    assert Outlook.objects.get().last_mass_g == 1385
    with pytest.raises(weighing.TakenBackAlready):
        weighing.take_back(wrong, a_scribe())


def test_without_a_standing_weighing_there_is_no_forecast_left():
    piece = a_rough_out()
    weighing.take_back(weigh(piece, 1560), a_scribe())
    assert not Outlook.objects.exists()


@pytest.mark.parametrize("stage", ["blank", "trued", "finished", "lost"])
def test_only_what_dries_is_weighed(stage):
    with pytest.raises(weighing.NotWeighed, match="only pieces that dry"):
        weigh(a_piece(stage), 900)


def test_what_left_the_shop_is_not_weighed():
    piece = a_rough_out()
    custody.hand_over([piece], Custody.Kind.LENT, a_scribe())
    with pytest.raises(weighing.NotWeighed, match="lent"):
        weigh(piece, 900)


@pytest.mark.parametrize("mass", ["0", "0.04", "600000"])
def test_a_mass_out_of_range_is_refused(mass):
    with pytest.raises(weighing.NotWeighed, match=r"0\.5 g to 500 kg"):
        weigh(a_rough_out(), float(mass))


def test_a_day_to_come_is_refused():
    with pytest.raises(RecordError, match="still to come"):
        weigh(a_rough_out(), 900, TODAY + timedelta(days=1))


def test_what_can_be_is_not_asked_about():
    piece = a_rough_out()
    assert asked(piece, 1560) == []
    weigh_often(piece, 1560, 1385, 1285)
    assert asked(piece, 1230, TODAY) == []
    assert asked(piece, 1310, TODAY) == []  # a damp month


def test_a_gain_is_asked_about():
    piece = a_rough_out()
    weigh_often(piece, 1560, 1385)
    [question] = asked(piece, 1450)
    assert "5 % more than the 1385 g" in question


def test_a_loss_faster_than_ever_is_asked_about():
    piece = a_rough_out(days_ago=42)
    weigh_often(piece, 1560, 1500, 1450)  # 4 % in two weeks
    [question] = asked(piece, 1200, TODAY)
    assert "17 % less" in question
    assert "much faster than it lost" in question


def test_a_first_loss_has_only_a_plain_bound():
    piece = a_rough_out(days_ago=10)
    weigh(piece, 1560, TODAY - timedelta(days=10))
    assert asked(piece, 1300) == []
    assert asked(piece, 900) != []


def test_a_neighbours_mass_is_asked_about():
    a_shop()
    piece, other = a_rough_out(), a_rough_out()
    weigh_often(piece, 1560, 1385, 1285)
    weigh(other, 1100, TODAY - timedelta(days=30))
    questions = asked(piece, 1104, TODAY, neighbours=[piece, other])
    assert f"That is what {other.number} weighed last: is it the right number?" in questions
    assert len(asked(piece, 1150, TODAY, neighbours=[other])) < len(questions)


def test_a_day_before_the_roughing_is_asked_about():
    piece = a_rough_out(days_ago=20)
    [question] = asked(piece, 1560, TODAY - timedelta(days=21))
    assert "roughed out on" in question
    assert asked(piece, 1560, TODAY - timedelta(days=20)) == []


def test_a_loss_is_asked_about_after_the_curve_has_flattened():
    piece = a_rough_out(days_ago=260)
    weigh_often(piece, *DRIED)
    last = Outlook.objects.get().last_weighed_on
    for day in (last + timedelta(days=days) for days in (14, 30, 60)):
        for slip in (990, 900, 549, 104.9):
            [question] = asked(piece, slip, day)
            assert "much faster than it lost before" in question
        assert asked(piece, 1047, day) == []


def test_the_very_weighing_again_is_asked_about():
    piece = a_rough_out()
    weigh(piece, 1560)
    [question] = asked(piece, 1560)
    assert "written down for that day already" in question
    assert asked(piece, 1558) == []
