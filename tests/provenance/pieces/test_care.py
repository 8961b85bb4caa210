"""The care text, from use and finish."""

import pytest

from provenance.pieces import care
from provenance.pieces.models import Finish, Piece, Use
from tests import factories

WALNUT = Finish(pk=1, name="walnut oil", kind="oil", allergen="walnut oil, a tree-nut oil")
WAX = Finish(pk=2, name="beeswax", kind="wax", care_words="Warm the wax in your hand.\nBuff it.")


def test_use_and_finish_both_speak_and_an_allergen_is_named() -> None:
    lines = care.care_lines(Piece(use=Use.FOOD), [WALNUT])
    assert lines == [
        "Wash by hand, dry at once.",
        "No dishwasher, oven or soaking.",
        "Oil it again when it looks dry.",
        "The finish contains walnut oil, a tree-nut oil.",
    ]


def test_a_finish_with_words_of_its_own_speaks_them() -> None:
    assert care.care_lines(Piece(use=Use.HAND), [WAX])[-2:] == [
        "Warm the wax in your hand.",
        "Buff it.",
    ]


def test_the_owners_words_stand_instead_of_all() -> None:
    piece = Piece(use=Use.FOOD, care_words="Love it.\n\n Leave it be. ")
    assert care.care_lines(piece, [WALNUT]) == ["Love it.", "Leave it be."]


@pytest.mark.django_db
def test_a_finish_taken_back_no_longer_speaks() -> None:
    from provenance.pieces import workflow

    piece = factories.a_piece("in-finish")
    assert "Oil it again when it looks dry." in care.care_of(piece)
    workflow.undo([piece], factories.a_scribe())
    assert "Oil it again when it looks dry." not in care.care_of(piece)
