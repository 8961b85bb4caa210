"""A row shows the one figure that matters now."""

from datetime import date
from typing import Any

import pytest

from provenance.maker.models import Shop
from provenance.pieces import custody
from provenance.pieces.models import Custody, Piece
from provenance.pieces.rows import Row, row_of, rows_of, time_between
from provenance.record.partial_dates import PartialDate
from tests import factories

TODAY = date(2026, 6, 15)
SHOP = Shop(name="Saltmarsh Lane Turnery", currency="USD", length_unit="mm")


def unbroken(size: str) -> str:
    """The size with plain spaces."""
    return size.replace("\N{NO-BREAK SPACE}", " ")


def row(piece: Piece) -> Row:
    return row_of(Piece.objects.for_lists().get(pk=piece.pk), SHOP, TODAY)


@pytest.mark.parametrize(
    ("start", "words"),
    [
        (date(2026, 6, 15), "today"),
        (date(2026, 6, 16), "today"),
        (date(2026, 6, 14), "1 day"),
        (date(2026, 6, 2), "13 days"),
        (date(2026, 6, 1), "2 weeks"),
        (date(2026, 4, 16), "2 months"),
        (date(2024, 11, 15), "19 months"),
        (date(2022, 6, 15), "4 years"),
    ],
)
def test_time_is_told_in_the_unit_that_fits(start: date, words: str) -> None:
    assert time_between(start, TODAY) == words


@pytest.mark.django_db
def test_a_drying_piece_shows_its_time_on_the_shelf_and_its_rough_size() -> None:
    piece = factories.a_piece(happened=PartialDate("2024-11-15"))
    Piece.objects.filter(pk=piece.pk).update(
        stage="drying", rough_diameter_mm=300, rough_height_mm=120
    )
    shown = row(piece)
    assert (shown.figure, shown.figure_words) == ("19 months", "on the shelf")
    assert (unbroken(shown.size), shown.next_move and shown.next_move.label) == (
        "rough 300 × 120 mm",
        "Call it dry",
    )
    assert shown.tree == piece.trees.get()


@pytest.mark.django_db
def test_a_vague_or_unknown_day_is_not_counted_from() -> None:
    section = factories.a_section(factories.a_tree(felled=None))
    [vague] = factories.some_pieces(source=section, happened=PartialDate("2019"))
    [unknown] = factories.some_pieces(source=section, is_date_known=False)
    assert row(vague).figure == "since 2019"
    assert row(unknown).figure == ""


@pytest.mark.django_db
def test_a_finished_piece_shows_its_price_or_that_it_has_none() -> None:
    priced, bare, sold = (factories.a_piece("finished") for _ in range(3))
    Piece.objects.filter(pk=priced.pk).update(price_minor=16500, diameter_mm=280, height_mm=105)
    custody.hand_over([sold], Custody.Kind.BUYER, factories.a_scribe())
    assert [row(p).figure for p in (priced, bare, sold)] == ["$165", "no price", ""]
    assert (unbroken(row(priced).size), row(sold).where) == ("280 × 105 mm", "with its owner")


@pytest.mark.django_db
def test_a_lost_piece_shows_when_and_offers_nothing() -> None:
    shown = row(factories.a_piece("lost"))
    assert (shown.figure, shown.next_move, shown.where) == ("June 2026", None, "")


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_rows_are_read_in_three_queries(count: int, django_assert_num_queries: Any) -> None:
    factories.some_pieces(count)
    with django_assert_num_queries(3):
        rows = rows_of(Piece.objects.for_lists(), SHOP, TODAY)
        assert all(r.piece.what == "Salad bowl in bigleaf maple" for r in rows)
    assert len(rows) == count
