"""What a stranger reads of a tree."""

import pytest

from provenance.record.partial_dates import PartialDate
from provenance.trees.models import Cause
from provenance.trees.story import downfall, introduction
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({}, "A bigleaf maple from Hollin Ferry, about 90 rings."),
        ({"ring_count": None}, "A bigleaf maple from Hollin Ferry."),
        ({"certainty": "likely"}, "A bigleaf maple, we think, from Hollin Ferry, about 90 rings."),
        ({"certainty": "guess"}, "Perhaps a bigleaf maple from Hollin Ferry, about 90 rings."),
        ({"species_slug": "genus-fraxinus"}, "An ash from Hollin Ferry, about 90 rings."),
        (
            {"species_slug": "", "species_words": "plum of some sort", "certainty": "guess"},
            "Perhaps plum of some sort from Hollin Ferry, about 90 rings.",
        ),
    ],
)
def test_a_tree_is_introduced_as_surely_as_it_is_known(facts, words):
    assert introduction(factories.a_tree(**facts)) == words


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        ({}, "A storm brought it down in March 2023."),
        ({"felled": None}, "A storm brought it down."),
        ({"cause": None}, "It came down in March 2023."),
        ({"cause": None, "felled": None}, ""),
        (
            {"cause_words": "the March gale."},
            "A storm brought it down in March 2023: the March gale.",
        ),
        ({"felled": PartialDate("2024-05?")}, "A storm brought it down perhaps in May 2024."),
    ],
)
def test_its_downfall_is_told_as_far_as_it_is_known(facts, words):
    assert downfall(factories.a_tree(**facts)) == words


def test_every_cause_begins_a_sentence(db):
    for cause in Cause.objects.all():
        words = downfall(factories.a_tree(cause=cause))
        assert words[0].isupper()
        assert words.endswith(" in March 2023.")


def test_a_kind_unknown_is_said_to_the_owner():
    tree = factories.a_tree(species_slug="genus-acer", certainty="likely")
    assert tree.species_phrase == "probably maple, kind unknown"
    assert tree.species_name == "maple"
