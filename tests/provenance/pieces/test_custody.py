"""One piece, one place: the chain of hands."""

from datetime import date

import pytest

from provenance.pieces import custody, promises, workflow
from provenance.pieces.models import Custody, LossCause, Piece
from provenance.pieces.order import TooEarly
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db
Kind = Custody.Kind


def test_a_change_of_hands_adds_a_link_and_points_to_it() -> None:
    piece, gallery = factories.a_piece("finished"), factories.a_person()
    [link] = custody.hand_over(
        [piece], Kind.GALLERY, factories.a_scribe(), holder=gallery, why="Spring show"
    )
    piece.refresh_from_db()
    assert piece.custody == link
    assert (link.position, link.since, str(link)) == (
        2,
        date(2026, 6, 15),
        "at a gallery, Ada Quill",
    )
    assert link.entry.words == "Now at a gallery, Ada Quill. Spring show"


def test_since_may_be_vague_or_unknown() -> None:
    section = factories.a_section(factories.a_tree(felled=None))
    vague, unknown = factories.some_pieces(2, source=section, is_date_known=False)
    [link] = custody.hand_over([vague], Kind.GIVEN, factories.a_scribe(), since=PartialDate("2012"))
    assert (link.since, link.entry.happened) == (date(2012, 1, 1), PartialDate("2012"))
    [link] = custody.hand_over([unknown], Kind.GIVEN, factories.a_scribe(), is_date_known=False)
    assert (link.since, link.entry.happened) == (None, None)


def test_the_same_hands_twice_are_refused_and_another_owner_is_not() -> None:
    piece, buyer = factories.a_piece("finished"), factories.a_person()
    custody.hand_over([piece], Kind.BUYER, factories.a_scribe(), holder=buyer)
    with pytest.raises(custody.SameHands, match="is already with its owner, Ada Quill"):
        custody.hand_over([piece], Kind.BUYER, factories.a_scribe(), holder=buyer)
    heir = factories.a_person(name="Nell Quill")
    custody.hand_over([piece], Kind.BUYER, factories.a_scribe(), holder=heir)
    assert piece.custodies.count() == 3


def test_all_are_handed_over_or_none() -> None:
    pieces = [factories.a_piece("finished"), factories.a_piece("lost")]
    with pytest.raises(custody.NoSuchHands, match="recorded as lost"):
        custody.hand_over(pieces, Kind.MARKET, factories.a_scribe())
    assert not Piece.objects.in_custody(Kind.MARKET).exists()


def test_scrapping_is_a_loss_with_a_cause() -> None:
    with pytest.raises(custody.NoSuchHands, match="with its cause"):
        custody.hand_over([factories.a_piece()], Kind.SCRAPPED, factories.a_scribe())


def test_hands_cannot_change_before_the_last_step() -> None:
    piece = factories.a_piece("finished")
    with pytest.raises(TooEarly, match="15 June 2026"):
        custody.hand_over([piece], Kind.LENT, factories.a_scribe(), since=date(2026, 6, 14))


def test_a_move_cannot_be_dated_before_the_return_from_a_gallery() -> None:
    piece = factories.a_piece("finished", scribe=factories.a_scribe())
    later = factories.a_scribe(at=factories.NOW.replace(day=20))
    custody.hand_over([piece], Kind.GALLERY, later)
    custody.hand_over([piece], Kind.SHOP, later)
    with pytest.raises(TooEarly):
        workflow.move([piece], "refinish", later, happened=PartialDate("2026-06-18"))


def test_promised_wood_leaves_with_a_reason_or_to_whom_it_was_promised() -> None:
    family = factories.a_person(name="Nell Quill")
    kept, gift = factories.a_piece("finished"), factories.a_piece("finished")
    for piece in (kept, gift):
        promises.make(factories.a_scribe(), "The first bowl", to=family, pieces=[piece])
    with pytest.raises(promises.WouldBreak, match="kept for a promise to Nell Quill"):
        custody.hand_over([kept], Kind.GALLERY, factories.a_scribe())
    custody.hand_over([kept], Kind.MARKET, factories.a_scribe())
    custody.hand_over([kept], Kind.GALLERY, factories.a_scribe(), reason="They agreed.")
    custody.hand_over([gift], Kind.GIVEN, factories.a_scribe(), holder=family)
    assert Piece.objects.in_custody(Kind.GIVEN).get() == gift


def test_taking_a_loss_back_brings_the_old_link_back_with_its_day() -> None:
    piece = factories.a_piece("drying")
    later = factories.a_scribe(at=factories.NOW.replace(month=9))
    workflow.lose([piece], LossCause.objects.get(slug="rot"), later)
    workflow.undo([piece], later)
    piece.refresh_from_db()
    assert piece.custody is not None
    assert (piece.custody.kind, piece.custody.since, piece.custody.position) == (
        Kind.SHOP,
        date(2026, 6, 15),
        3,
    )
