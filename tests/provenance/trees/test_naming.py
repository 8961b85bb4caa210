"""What wood is meant by what is typed."""

import pytest

from provenance.trees.naming import OWN_WORDS, best, choices, entry_text, meant
from provenance.wood import species


@pytest.mark.parametrize(
    ("typed", "slug"),
    [
        ("white ash", "white-ash"),
        ("Ash, White", "white-ash"),
        ("Quercus rubra", "northern-red-oak"),
        ("maple", "genus-acer"),
        ("ACER", "genus-acer"),
        ("bigleaf mapel", "bigleaf-maple"),
    ],
)
def test_a_name_without_doubt_is_taken_from_the_table(typed: str, slug: str) -> None:
    assert meant(typed) == (slug, "")


@pytest.mark.parametrize("typed", ["elm by the gate", "don't know", "some conifer", "🌳", "red"])
def test_anything_else_stays_in_the_owners_words(typed: str) -> None:
    assert meant(typed) == ("", typed)


def test_a_choice_from_the_list_counts() -> None:
    assert meant("maple", "red-maple") == ("red-maple", "")


def test_a_choice_from_an_older_list_does_not_count() -> None:
    assert meant("white ash", "red-maple") == ("white-ash", "")
    assert meant("white ash", "no-such-wood") == ("white-ash", "")


def test_own_words_may_be_insisted_on() -> None:
    assert meant("maple", OWN_WORDS) == ("", "maple")


def test_the_list_marks_what_would_be_kept() -> None:
    offered = choices("maple")
    assert [c.species.slug for c in offered.woods if c.is_chosen] == ["genus-acer"]
    assert not offered.is_own_words
    assert choices("maple", OWN_WORDS).is_own_words


def test_a_choice_far_down_the_list_is_shown_all_the_same() -> None:
    last = species.find("maple")[-1].slug
    assert [c.species.slug for c in choices("maple", last).woods if c.is_chosen] == [last]


def test_nothing_typed_offers_nothing() -> None:
    assert choices("").woods == []
    assert best("") is None


def test_every_wood_of_the_table_reads_back_as_itself() -> None:
    for wood in (*species.all_species(), *species.all_genera()):
        assert meant(entry_text(wood.slug, ""), wood.slug) == (wood.slug, "")


def test_limits_on_the_trade_are_marked() -> None:
    [choice] = choices("cocobolo").woods
    assert choice.has_trade_caution


@pytest.mark.parametrize(
    "typed", ["maple, kind unknown", "Maple (kind unknown)", "maple kind unknown"]
)
def test_a_genus_is_meant_as_the_book_prints_it(typed):
    assert meant(typed) == ("genus-acer", "")
