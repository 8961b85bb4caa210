"""Where the drying stands, in words: honest about range, basis and what the air allows."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from provenance.drying import measuring, story
from provenance.drying.air_of_store import Moisture
from provenance.drying.models import Outlook
from provenance.maker.models import Shop
from provenance.pieces.models import Method
from tests.factories import NOW, a_piece, a_scribe

TODAY = date(2026, 6, 15)
DAMP = Moisture(14.2, True, "In the air of the garage wood comes to about 14 %.")
ASSUMED = Moisture(9.2, False, "The air of the garage was not read yet: …")
SHOP = Shop(name="Saltmarsh Lane Turnery")


def an_outlook(**facts: Any) -> Outlook:
    given = {
        "earliest": date(2026, 8, 1), "likely": date(2026, 9, 10), "latest": date(2026, 10, 1),
        "final_mass_g": Decimal(1600), "basis": "weighings", "weighing_count": 5,
        "last_mass_g": Decimal(1850), "last_weighed_on": date(2026, 6, 10),
        "roughed_on": date(2026, 1, 1), "wall_mm": 30, "made_at": NOW,
    }  # fmt: skip
    return Outlook(**{**given, **facts})


def told(moisture: Moisture = DAMP, **facts: Any) -> story.Standing:
    return story.standing(an_outlook(**facts), moisture, SHOP, TODAY)


def test_a_forecast_is_a_likely_day_with_its_range_and_its_basis():
    said = told()
    assert said.headline == "Likely dry about 10 September 2026."
    assert "between 1 August 2026 and 1 October 2026" in said.between
    assert said.basis == "Worked out from its 5 weighings."
    assert said.to_lose == "It weighs 1850 g and has about 250 g to lose."
    assert "held about 32 %" in said.holds


def test_a_wide_range_is_called_a_guess_and_a_narrow_one_fairly_sure():
    narrow = told(earliest=date(2026, 9, 1), latest=date(2026, 9, 20))
    wide = told(earliest=date(2026, 7, 1), latest=date(2027, 1, 20))
    assert "fairly sure" in narrow.sureness
    assert "guess" in wide.sureness


def test_the_rule_of_thumb_is_named_and_no_surer_than_it_is():
    said = told(basis="inch a year", weighing_count=2, final_mass_g=None)
    assert said.headline.endswith("by the rule of thumb.")
    assert "common practice, and widely called inaccurate" in said.basis
    assert "at any time between 1 August 2026 and 1 October 2026" in said.between
    assert (said.sureness, said.to_lose) == ("", "")


def test_a_likely_day_that_went_by_is_not_told_as_to_come():
    said = told(likely=TODAY - timedelta(days=3))
    assert said.headline == "It should be dry by now: 12 June 2026 was the likely day."


def test_dry_is_said_plainly():
    assert told(is_dry=True).headline == "Dry, by its weighings."
    assert story.short_words(an_outlook(is_dry=True), TODAY) == "dry by its weighings"


@pytest.mark.parametrize(("pace", "word"), [("fast", "checks"), ("stalled", "stopped")])
def test_what_loses_too_fast_or_stalls_is_told_as_a_worry(pace, word):
    said = told(pace=pace)
    assert said.is_worrying
    assert word in said.pace


def test_without_a_wall_or_a_day_it_says_what_is_wanted():
    assert "wall" in told(likely=None, wall_mm=None).basis
    assert "day" in told(likely=None, roughed_on=None).basis


def test_wood_that_stops_in_a_damp_store_is_done_there_and_not_indoors():
    assert "it is done for that store" in story.why_it_stops(DAMP)
    assert "stops at 14 %" in story.why_it_stops(DAMP)
    assert story.why_it_stops(ASSUMED) == ""
    dry_air = Moisture(8.0, True, "")
    assert "heated room" not in story.why_it_stops(dry_air)


@pytest.mark.django_db
def test_the_piece_page_offers_what_its_stage_allows():
    blank = story.on_piece(a_piece(), SHOP, TODAY)
    drying = story.on_piece(a_piece("drying"), SHOP, TODAY)
    assert (blank["may_be_weighed"], blank["is_asked_if_true"]) == (False, True)
    assert (drying["may_be_weighed"], drying["may_be_checked"]) == (True, True)
    assert story.on_piece(a_piece("finished"), SHOP, TODAY) is None
    assert story.on_piece(a_piece(method=Method.STRAIGHT), SHOP, TODAY) is None


@pytest.mark.django_db
def test_the_piece_page_says_that_a_piece_is_held():
    piece = a_piece("dry")
    found = {**dict.fromkeys(measuring.LOOKED_FOR, "good"), "tap": "doubtful"}
    measuring.check_soundness(piece, found, "hold", a_scribe())
    told_there = story.on_piece(piece, SHOP, TODAY)
    assert told_there["is_held"]
