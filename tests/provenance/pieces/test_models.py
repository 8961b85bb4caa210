"""Finding pieces, and what the database itself refuses."""

import pytest
from django.db import IntegrityError, transaction

from provenance.pieces.models import Custody, Finish, Part, Piece, Stage
from tests import factories

pytestmark = pytest.mark.django_db


def found(text: str) -> set[str]:
    return set(Piece.objects.search(text).values_list("code", flat=True))


def test_a_piece_is_found_by_number_mark_title_form_and_wood() -> None:
    [bowl] = factories.some_pieces(old_mark="GL 14/2", title="Élodie")
    [pen] = factories.some_pieces(form="pen", method="straight", source=factories.some_stock())
    for text in (str(bowl), bowl.code, "26-001", "gl 14", "élodie", "salad", "acer", "BIGLEAF"):
        assert found(text) == {bowl.code}, text
    assert found("cocobolo") == found("pen") == {pen.code}
    assert found("  ") == {bowl.code, pen.code}


def test_a_trees_number_finds_all_that_was_made_of_it() -> None:
    section = factories.a_section()
    pieces = factories.some_pieces(2, source=section)
    factories.some_pieces()
    assert found(str(section.tree.number)) == {piece.code for piece in pieces}
    assert found(section.tree.code) == {piece.code for piece in pieces}


def test_what_is_for_sale_is_finished_and_still_the_shops() -> None:
    finished = factories.a_piece("finished")
    factories.a_piece("dry")
    assert list(Piece.objects.for_sale()) == [finished]


def test_prices_are_found_between_two_amounts() -> None:
    pieces = factories.some_pieces(3)
    for piece, price in zip(pieces, (100, 200, None), strict=True):
        Piece.objects.filter(pk=piece.pk).update(price_minor=price)
    assert list(Piece.objects.priced(150, None)) == [pieces[1]]
    assert list(Piece.objects.priced(None, 150)) == [pieces[0]]
    assert Piece.objects.priced(None, None).count() == 3


def test_a_part_has_exactly_one_source() -> None:
    piece = factories.a_piece()
    with pytest.raises(IntegrityError), transaction.atomic():
        Part.objects.create(piece=piece)
    with pytest.raises(IntegrityError), transaction.atomic():
        Part.objects.create(piece=piece, is_unknown=True, source_piece=piece)


def test_a_piece_has_one_link_at_each_place_of_its_chain() -> None:
    piece = factories.a_piece()
    entry = piece.journal.entries.create(kind="note", written_at=factories.NOW)
    with pytest.raises(IntegrityError), transaction.atomic():
        Custody.objects.create(piece=piece, position=1, kind=Custody.Kind.LENT, entry=entry)


def test_rows_say_what_they_are() -> None:
    piece = factories.a_piece("in-finish")
    assert str(piece) == str(piece.number)
    assert str(piece.parts.get()) == f"whole: {piece.parts.get().section}"
    assert str(piece.finishes.get()) == "mineral oil and beeswax"
    assert str(Finish(name="beeswax")) == "beeswax"
    assert piece.custody is not None
    assert (str(piece.custody), piece.stage) == ("in the shop", Stage.IN_FINISH)
