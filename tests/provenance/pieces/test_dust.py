"""The usual caution about dust: only for woods that something was found about."""

import pytest

from provenance.pieces import dust
from provenance.pieces.models import Piece
from provenance.trees.models import BoughtStock
from tests import factories

pytestmark = pytest.mark.django_db


def texts(**facts: str) -> list[str]:
    stock = factories.some_stock(scribe=None, **facts)
    [piece] = factories.some_pieces(source=stock, form="pen", method="straight")
    return [caution.named for caution in dust.cautions_for([piece])]


def test_a_row_of_the_table_brings_its_caution_once() -> None:
    tree = factories.a_tree(species_slug="black-walnut")
    pieces = factories.some_pieces(3, source=factories.a_section(tree))
    found = dust.cautions_for(Piece.objects.for_lists().filter(pk__in=[p.pk for p in pieces]))
    assert [caution.named for caution in found] == ["Juglans nigra"]


def test_the_owners_words_count_when_they_are_the_name() -> None:
    assert texts(species_words="Cocobolo") == ["Dalbergia retusa (cocobolo)"]
    assert texts(species_words="some red wood") == []


def test_the_papers_of_bought_stock_count() -> None:
    assert texts(species_words="ironwood", listed_scientific_name="Tectona grandis") == [
        "Tectona grandis"
    ]


def test_a_trade_listing_is_no_caution_about_dust() -> None:
    stock = BoughtStock(species_words="cocobolo")
    assert {caution.kind for caution in stock.cautions} == {"dust", "trade"}
    assert texts(species_words="cocobolo") == ["Dalbergia retusa (cocobolo)"]


def test_what_is_toxic_is_told_as_what_sensitises_is() -> None:
    assert texts(species_words="", listed_scientific_name="Nerium oleander") == ["Nerium oleander"]
    assert texts(species_words="", listed_scientific_name="Taxus baccata") == ["Taxus spp. (yew)"]


def test_what_only_irritates_is_left_to_the_page_of_the_wood() -> None:
    assert texts(species_words="", listed_scientific_name="Ulmus americana") == []
