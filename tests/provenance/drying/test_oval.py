"""The oval in a buyer's words: measured before predicted, and nothing that is not known."""

import pytest

from provenance.drying import measuring
from provenance.drying.oval import words_for_buyer
from provenance.drying.range_words import about_words, range_words
from provenance.maker.models import Shop
from provenance.pieces.models import Method
from tests.factories import a_piece, a_scribe, a_section, a_tree

pytestmark = pytest.mark.django_db


def a_bowl(**facts):
    given = {"method": Method.SINGLE, "diameter_mm": 200, "rim_to_pith_mm": 60, **facts}
    return a_piece(given.pop("stage", "finished"), **given)


def test_a_predicted_oval_is_told_as_one_to_expect():
    # Bigleaf maple, R 3.7, T 7.1 (Wood Handbook, Table 4-3): from 60 mm the rim loses 5.7 %
    # across, of which at 8 % 22/30 have gone, some 8 mm of 200.
    said = words_for_buyer(a_bowl(), Shop())
    assert said == (
        "Turned green in one go and left to move as it dried: expect its rim about 8 mm longer "
        "than wide."
    )


def test_measured_axes_stand_before_any_prediction():
    piece = a_bowl()
    measuring.measure_axes(piece, 201, 196, a_scribe())
    said = words_for_buyer(piece, Shop(length_unit="in"))
    assert said.endswith(": its rim is about 3/16 in longer than wide.")
    assert words_for_buyer(piece, Shop(), is_brief=True).startswith("It moved as it dried")


def test_nothing_is_said_where_figures_lack_or_no_oval_shows():
    shop = Shop()
    unknown = a_section(a_tree(species_slug="", species_words="hedge wood"))
    assert words_for_buyer(a_bowl(source=unknown), shop) == ""
    guess = a_section(a_tree(certainty="guess"))
    assert words_for_buyer(a_bowl(source=guess), shop) == ""
    assert words_for_buyer(a_bowl(diameter_mm=None), shop) == ""
    assert words_for_buyer(a_bowl(diameter_mm=9), shop) == ""
    assert words_for_buyer(a_piece("finished", diameter_mm=200), shop) == ""
    assert words_for_buyer(a_piece("blank", method=Method.SINGLE, diameter_mm=200), shop) == ""


def test_a_kind_unknown_is_told_as_a_range():
    genus = a_section(a_tree(species_slug="genus-acer"))
    said = words_for_buyer(a_bowl(source=genus, diameter_mm=300, rim_to_pith_mm=None), Shop())
    assert " to " in said
    assert "about" not in said


def test_ranges_are_rounded_to_what_one_measures():
    assert about_words((5.6, 6.3), "mm") == "about 6 mm"
    assert about_words((4.0, 8.0), "mm") == "4 to 8 mm"
    assert about_words((0.1, 0.6), "mm") == ""
    assert range_words((286.2, 288.4), "mm") == "286 to 288 mm"
    assert range_words((286.6, 287.4), "mm") == "287 mm"
    assert range_words((254.0, 256.0), "in") == "10 to 10 1/16 in"
