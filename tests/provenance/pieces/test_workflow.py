"""The moves: what each method offers, what a move keeps, and what is refused."""

from datetime import date

import pytest

from provenance.pieces import custody, promises, workflow
from provenance.pieces.models import Custody, Finish, LossCause, Method, Piece, Stage
from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from provenance.record.partial_dates import PartialDate
from tests import factories

pytestmark = pytest.mark.django_db

STAGES = [
    (Method.TWICE, ["blank", "drying", "dry", "trued", "in-finish", "finished"]),
    (Method.SINGLE, ["blank", "drying", "dry", "in-finish", "finished"]),
    (Method.STRAIGHT, ["blank", "turned", "in-finish", "finished"]),
]


def moved(piece: Piece, slug: str, **words: object) -> Piece:
    workflow.move([piece], slug, factories.a_scribe(), **words)  # type: ignore[arg-type]
    piece.refresh_from_db()
    return piece


@pytest.mark.parametrize(("method", "stages"), STAGES)
def test_each_method_leads_from_blank_to_finished(method: str, stages: list[str]) -> None:
    [piece] = factories.some_pieces(method=method)
    seen = [piece.stage]
    while step := workflow.next_move(piece):
        seen.append(moved(piece, step.slug).stage)
    assert seen == stages == [str(stage) for stage in workflow.stages_of(method)]


def test_a_dry_piece_may_go_back_on_the_shelf_and_a_finished_one_into_finish() -> None:
    dry = moved(factories.a_piece("dry"), "back-to-dry")
    again = moved(factories.a_piece("finished"), "refinish")
    assert (dry.stage, again.stage) == (Stage.DRYING, Stage.IN_FINISH)


def test_a_move_is_an_entry_with_day_minutes_and_words() -> None:
    piece = moved(
        factories.a_piece(),
        "rough",
        minutes=25,
        words="Bark came off.",
        happened=PartialDate("2026-06"),
    )
    entry = piece.journal.entries.last()
    assert entry is not None
    assert (entry.move, str(entry.happened), entry.minutes) == ("rough", "2026-06", 25)
    assert entry.words == "Roughed out. Bark came off."
    assert (piece.stage_when, piece.stage_since) == (PartialDate("2026-06"), date(2026, 6, 1))


def test_an_unknown_day_stays_unknown() -> None:
    piece = moved(factories.a_piece(), "rough", is_date_known=False)
    entry = piece.journal.entries.last()
    assert entry is not None
    assert (entry.happened, piece.stage_when, piece.stage_since) == (None, None, None)


def test_a_move_keeps_only_the_facts_that_it_asks_for() -> None:
    piece = moved(factories.a_piece(), "rough", facts={"rough_wall_mm": 29, "price_minor": 5})
    assert (piece.rough_wall_mm, piece.price_minor) == (29, None)


def test_a_move_that_the_stage_does_not_offer_is_refused_in_a_sentence() -> None:
    piece = factories.a_piece("drying")
    with pytest.raises(
        workflow.NotOffered, match=r"is drying: “Rough it out” is not its next step"
    ):
        moved(piece, "rough")
    with pytest.raises(workflow.NotOffered, match="no such move"):
        moved(piece, "polish")


def test_a_piece_that_is_out_of_the_shop_makes_no_move() -> None:
    piece = factories.a_piece("finished")
    custody.hand_over([piece], Custody.Kind.BUYER, factories.a_scribe())
    piece.refresh_from_db()
    assert workflow.offered(piece) == ()
    with pytest.raises(workflow.NotOffered, match="is with its owner: bring it back"):
        moved(piece, "refinish")


def test_a_buyers_piece_in_for_repair_can_be_finished_again() -> None:
    piece = factories.a_piece("finished")
    custody.hand_over([piece], Custody.Kind.REPAIR, factories.a_scribe())
    piece.refresh_from_db()
    assert moved(piece, "refinish").stage == Stage.IN_FINISH


def test_several_move_together_or_none_does() -> None:
    blanks = factories.some_pieces(2)
    other = factories.a_piece("dry")
    with pytest.raises(workflow.NotOffered):
        workflow.move([*blanks, other], "rough", factories.a_scribe())
    assert Piece.objects.at_stage(Stage.BLANK).count() == 2
    entries = workflow.move(blanks, "rough", factories.a_scribe())
    assert [entry.journal_id for entry in entries] == [p.journal_id for p in blanks]


def test_days_out_of_order_are_refused() -> None:
    piece = moved(factories.a_piece(), "rough", happened=PartialDate("2026-06-15"))
    with pytest.raises(TooEarly, match="has a step dated 15 June 2026 already"):
        moved(piece, "call-dry", happened=PartialDate("2026-06-14"))
    assert moved(piece, "call-dry", happened=PartialDate("2026-06")).stage == Stage.DRY


def test_an_unknown_day_between_does_not_hide_an_earlier_one() -> None:
    piece = moved(factories.a_piece(), "rough", happened=PartialDate("2026-06-15"))
    moved(piece, "call-dry", is_date_known=False)
    with pytest.raises(TooEarly):
        moved(piece, "true-up", happened=PartialDate("2024"))


def test_a_day_still_to_come_is_refused() -> None:
    with pytest.raises(RecordError, match="still to come"):
        moved(factories.a_piece(), "rough", happened=PartialDate("2026-06-16"))


def test_a_finish_is_usable_when_its_days_are_over_after_an_exact_day_only() -> None:
    walnut = Finish.objects.get(slug="walnut-oil")
    exact, vague = factories.a_piece("trued"), factories.a_piece("trued")
    moved(exact, "into-finish", finish=walnut, lot="L 22", coats=2)
    moved(vague, "into-finish", finish=walnut, happened=PartialDate("2026-06"))
    [applied] = exact.finishes.standing()
    assert (applied.last_coat, applied.usable_from) == (date(2026, 6, 15), date(2026, 7, 15))
    assert (applied.lot, applied.coats) == ("L 22", 2)
    [applied] = vague.finishes.standing()
    assert (applied.last_coat, applied.usable_from) == (None, None)


def test_a_further_coat_can_be_added_and_taken_back() -> None:
    piece = factories.a_piece("in-finish")
    wax = Finish.objects.get(slug="beeswax")
    workflow.add_coat(piece, factories.a_scribe(), wax, coats=1)
    assert [a.finish.slug for a in piece.finishes.standing()] == ["oil-beeswax", "beeswax"]
    workflow.undo([piece], factories.a_scribe())
    assert [a.finish.slug for a in piece.finishes.standing()] == ["oil-beeswax"]
    piece.refresh_from_db()
    assert piece.stage == Stage.IN_FINISH


def test_a_coat_needs_a_piece_in_finish_that_the_shop_has_and_a_day_after_the_first() -> None:
    wax = Finish.objects.get(slug="beeswax")
    sold = factories.a_piece("finished")
    custody.hand_over([sold], Custody.Kind.BUYER, factories.a_scribe())
    for piece in (factories.a_piece("trued"), factories.a_piece("lost"), sold):
        with pytest.raises(workflow.NotOffered, match="a further coat is"):
            workflow.add_coat(piece, factories.a_scribe(), wax)
    with pytest.raises(TooEarly):
        workflow.add_coat(
            factories.a_piece("finished"), factories.a_scribe(), wax, on=date(2026, 6, 14)
        )


def test_a_loss_scraps_the_piece_with_its_cause() -> None:
    piece = factories.a_piece("drying")
    cause = LossCause.objects.get(slug="cracked")
    [entry] = workflow.lose([piece], cause, factories.a_scribe(), words="Along the pith.")
    piece.refresh_from_db()
    assert piece.custody is not None
    assert (piece.stage, piece.custody.kind) == (Stage.LOST, Custody.Kind.SCRAPPED)
    assert (entry.move, entry.words) == ("cracked", "Cracked. Along the pith.")
    with pytest.raises(workflow.NotOffered, match="recorded as lost already"):
        workflow.lose([piece], cause, factories.a_scribe())


def test_a_loss_on_an_unknown_day_stays_without_a_day() -> None:
    piece = factories.a_piece("drying")
    cause = LossCause.objects.get(slug="rot")
    [entry] = workflow.lose([piece], cause, factories.a_scribe(), is_date_known=False)
    piece.refresh_from_db()
    assert (entry.happened, piece.stage_since) == (None, None)


def test_a_piece_with_a_buyer_is_not_the_shops_to_lose() -> None:
    piece = factories.a_piece("finished")
    custody.hand_over([piece], Custody.Kind.BUYER, factories.a_scribe())
    with pytest.raises(workflow.NotOffered, match=r"is with its owner: it is no longer the shop's"):
        workflow.lose([piece], LossCause.objects.get(slug="rot"), factories.a_scribe())


def test_a_promised_piece_is_lost_with_a_reason_only() -> None:
    piece = factories.a_piece("drying")
    promises.make(factories.a_scribe(), "A bowl for the vicar", pieces=[piece])
    cause = LossCause.objects.get(slug="cracked")
    with pytest.raises(promises.WouldBreak, match="A bowl for the vicar"):
        workflow.lose([piece], cause, factories.a_scribe())
    [entry] = workflow.lose([piece], cause, factories.a_scribe(), reason="It split in two.")
    assert entry.words == "Cracked. It split in two."


def test_undo_needs_a_step_to_take_back() -> None:
    with pytest.raises(workflow.NotOffered, match="nothing to take back"):
        workflow.undo([factories.a_piece()], factories.a_scribe())


def test_undo_of_one_named_step_is_done_once() -> None:
    piece = factories.a_piece("dry")
    step = workflow.last_move(piece)
    assert step is not None
    workflow.undo([piece], factories.a_scribe(), entry_id=step.pk)
    with pytest.raises(workflow.TakenBack, match="no longer its last"):
        workflow.undo([piece], factories.a_scribe(), entry_id=step.pk)
    piece.refresh_from_db()
    assert piece.stage == Stage.DRYING


def test_undo_leaves_a_fact_that_was_changed_since() -> None:
    piece = moved(factories.a_piece(), "rough", facts={"rough_wall_mm": 29, "stored": "shelf 2"})
    Piece.objects.filter(pk=piece.pk).update(rough_wall_mm=31)
    workflow.undo([piece], factories.a_scribe(), words="Wrong piece.")
    piece.refresh_from_db()
    assert (piece.stage, piece.rough_wall_mm, piece.stored) == (Stage.BLANK, 31, "")
    entry = piece.journal.entries.last()
    assert entry is not None
    assert entry.words == "Taken back: Roughed out. Wrong piece."


def test_a_piece_undone_goes_on_as_before() -> None:
    piece = factories.a_piece("finished")
    for _ in range(5):
        workflow.undo([piece], factories.a_scribe())
    piece.refresh_from_db()
    assert piece.stage == Stage.BLANK
    assert piece.finishes.standing().count() == 0
    assert moved(piece, "rough").stage == Stage.DRYING


def test_the_already_moved_sentence_reaches_the_second_of_two_tabs() -> None:
    first = factories.a_piece()
    second = Piece.objects.get(pk=first.pk)
    moved(first, "rough")
    with pytest.raises(workflow.NotOffered, match="It may have been moved already"):
        workflow.move([second], "rough", factories.a_scribe())
