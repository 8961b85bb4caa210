"""Wood is not worked before its tree came down."""

import pytest

from provenance.pieces import workflow
from provenance.pieces.models import Piece
from provenance.pieces.order import TooEarly
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_blank_is_not_cut_before_the_tree_came_down():
    section = factories.a_section(factories.a_tree(felled=PartialDate("2023-03")))
    with pytest.raises(TooEarly, match="came down in March 2023"):
        factories.some_pieces(source=section, happened=PartialDate("2022"))
    assert not Piece.objects.exists()
    factories.some_pieces(source=section, happened=PartialDate("2023"))


def test_a_step_is_not_dated_before_the_tree_came_down():
    section = factories.a_section(factories.a_tree(felled=PartialDate("2023-03")))
    [piece] = factories.some_pieces(source=section, is_date_known=False)
    with pytest.raises(TooEarly, match="Check the day here, or the tree"):
        workflow.move([piece], "rough", factories.a_scribe(), happened=PartialDate("2023-02-28"))


@pytest.mark.parametrize("felled", [PartialDate("2023~"), PartialDate("2023?"), None])
def test_a_vague_felling_refuses_nothing(felled):
    section = factories.a_section(factories.a_tree(felled=felled))
    factories.some_pieces(source=section, happened=PartialDate("2022-12"))
