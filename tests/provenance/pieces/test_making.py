"""Making pieces: numbers, sources, runs; and those from before the book."""

from datetime import UTC, date, datetime

import pytest

from provenance.pieces import making
from provenance.pieces.making import NoSource, Past, Source
from provenance.pieces.models import Custody, Finish, Form, LossCause, Method, Part, Piece, Stage
from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from provenance.record.models import Counter
from provenance.record.partial_dates import PartialDate
from provenance.trees.models import Section
from tests import factories

pytestmark = pytest.mark.django_db


def bowl() -> Form:
    return Form.objects.get(slug="bowl")


def test_a_run_gets_numbers_that_follow_each_other() -> None:
    pieces = factories.some_pieces(3)
    assert [p.number.sequence for p in pieces] == [1, 2, 3]
    assert {p.number.year for p in pieces} == {26}


def test_two_hundred_pieces_are_made_at_once_and_no_more() -> None:
    assert len(factories.some_pieces(200)) == 200
    with pytest.raises(RecordError, match="between 1 and 200"):
        factories.some_pieces(201)
    assert Counter.objects.get(kind="piece").last == 200


def test_the_year_of_a_number_is_the_shops_not_the_servers() -> None:
    eve = datetime(2026, 12, 31, 23, 30, tzinfo=UTC)
    scribe = factories.a_scribe(at=eve)
    east = type(scribe)(user=None, at=eve, zone=__import__("zoneinfo").ZoneInfo("Asia/Tokyo"))
    section = factories.a_section()
    assert factories.some_pieces(scribe=scribe, source=section)[0].number.year == 26
    assert factories.some_pieces(scribe=east, source=section)[0].number.year == 27


def test_a_two_part_vase_has_a_part_from_each_of_two_trees() -> None:
    body = factories.a_section()
    neck = factories.a_section(factories.a_tree(species_slug="white-ash"))
    [vase] = making.make(
        factories.a_scribe(),
        Form.objects.get(slug="vase"),
        Method.TWICE,
        [Source(body, Part.Role.BODY), Source(neck, Part.Role.NECK, uses_up=True)],
    )
    assert [(p.role, p.source) for p in vase.parts.all()] == [("body", body), ("neck", neck)]
    assert set(vase.trees.all()) == {body.tree, neck.tree}
    assert vase.first_tree == body.tree
    body.refresh_from_db()
    neck.refresh_from_db()
    assert (body.state, neck.state) == (Section.State.CUT_INTO, Section.State.USED_UP)


def test_bought_stock_can_be_used_up() -> None:
    stock = factories.some_stock()
    [pen] = making.make(
        factories.a_scribe(), bowl(), Method.STRAIGHT, [Source(stock, uses_up=True)]
    )
    stock.refresh_from_db()
    assert stock.used_up
    assert (list(pen.stocks.all()), pen.wood) == ([stock], "cocobolo")


def test_a_piece_from_another_carries_its_trees_on() -> None:
    first = factories.a_piece()
    [core] = making.make(factories.a_scribe(), bowl(), Method.TWICE, [Source(first)])
    assert list(core.trees.all()) == list(first.trees.all())
    assert core.parts.get().source == first


def test_unknown_wood_is_said_and_not_assumed() -> None:
    with pytest.raises(NoSource):
        making.make(factories.a_scribe(), bowl(), Method.TWICE, [])
    [piece] = making.make(factories.a_scribe(), bowl(), Method.TWICE, [Source(None)])
    assert piece.parts.get().is_unknown
    assert (piece.wood, piece.what) == ("", "Bowl")


def test_a_refused_making_gives_its_number_back() -> None:
    factories.some_pieces()
    with pytest.raises(RecordError, match="still to come"):
        factories.some_pieces(happened=PartialDate("2027"))
    [piece] = factories.some_pieces()
    assert piece.number.sequence == 2


def test_a_cutting_day_that_nobody_knows_stays_unknown() -> None:
    [piece] = factories.some_pieces(is_date_known=False)
    assert piece.custody is not None
    assert (piece.stage_since, piece.custody.since) == (None, None)


def test_an_old_piece_comes_to_its_stage_with_what_is_known() -> None:
    gallery = factories.a_person(name="Ferry Street Gallery")
    past = Past(
        Stage.FINISHED,
        {"rough": PartialDate("2009"), "finish": PartialDate("2011~")},
        finish=Finish.objects.get(slug="walnut-oil"),
        custody=Custody.Kind.GALLERY,
        holder=gallery,
    )
    piece = making.enter_old(
        factories.a_scribe(), bowl(), Method.TWICE, past, old_mark=" GL 14/2", price_minor=9000
    )
    moves = dict(piece.journal.entries.filter(kind="moved").values_list("move", "happened"))
    assert moves == {
        "rough": PartialDate("2009"),
        "call-dry": None,
        "true-up": None,
        "into-finish": None,
        "finish": PartialDate("2011~"),
    }
    assert (piece.old_mark, piece.stage, piece.stage_when) == (
        " GL 14/2",
        Stage.FINISHED,
        PartialDate("2011~"),
    )
    assert piece.custody is not None
    assert (piece.custody.kind, piece.custody.holder, piece.custody.since) == (
        "gallery",
        gallery,
        None,
    )
    [applied] = piece.finishes.standing()
    assert (applied.finish.slug, applied.last_coat) == ("walnut-oil", None)
    assert piece.parts.get().is_unknown


def test_an_old_loss_needs_its_cause_and_keeps_its_day_unknown() -> None:
    with pytest.raises(RecordError, match="Say how the piece was lost"):
        making.enter_old(factories.a_scribe(), bowl(), Method.TWICE, Past(Stage.LOST))
    cause = LossCause.objects.get(slug="unknown")
    lost = Past(Stage.LOST, {"lost": None}, loss_cause=cause)
    piece = making.enter_old(factories.a_scribe(), bowl(), Method.TWICE, lost)
    assert (piece.stage, piece.stage_when) == (Stage.LOST, None)
    assert piece.number.sequence == 1


def test_an_old_piece_cannot_be_at_a_stage_its_method_never_reaches() -> None:
    with pytest.raises(RecordError, match="no such stage"):
        making.enter_old(factories.a_scribe(), bowl(), Method.STRAIGHT, Past(Stage.DRY))
    assert not Piece.objects.exists()


def test_old_days_out_of_order_leave_nothing_behind() -> None:
    past = Past(Stage.DRY, {"rough": PartialDate("2011"), "call-dry": PartialDate("2010")})
    with pytest.raises(TooEarly):
        making.enter_old(factories.a_scribe(), bowl(), Method.TWICE, past)
    assert not Piece.objects.exists()


def test_an_old_piece_of_a_known_tree_keeps_its_days() -> None:
    section = factories.a_section()
    past = Past(Stage.BLANK)
    piece = making.enter_old(
        factories.a_scribe(),
        bowl(),
        Method.SINGLE,
        past,
        sources=[Source(section)],
        begun=PartialDate("2024-02-10"),
    )
    assert (piece.stage_since, list(piece.trees.all())) == (date(2024, 2, 10), [section.tree])
