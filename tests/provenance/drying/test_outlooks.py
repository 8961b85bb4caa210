from datetime import timedelta

import pytest

from provenance.drying import measuring, models, outlooks, weighing
from provenance.drying.models import Outlook, Scale
from provenance.pieces import workflow
from provenance.record import journal
from provenance.record.partial_dates import PartialDate
from tests.factories import a_scribe, a_section, a_tree
from tests.provenance.drying.shelf import DRIED, TODAY, a_rough_out, weigh, weigh_often

pytestmark = pytest.mark.django_db


def outlook_of(piece):
    return Outlook.objects.get(piece=piece)


def test_the_roughing_is_the_day_of_the_standing_move():
    piece = a_rough_out(days_ago=50)
    assert outlooks.roughed_on(piece) == TODAY - timedelta(days=50)
    workflow.undo([piece], a_scribe())
    piece.refresh_from_db()
    assert outlooks.roughed_on(piece) is None
    workflow.move([piece], "rough", a_scribe())
    piece.refresh_from_db()
    assert outlooks.roughed_on(piece) == TODAY


def test_without_a_wall_the_masses_are_kept_and_no_date_is_made_up():
    piece = a_rough_out()
    journal.amend(piece, {"rough_wall_mm": None}, a_scribe())
    weigh_often(piece, 1560, 1385, 1285)
    outlook = outlook_of(piece)
    assert (outlook.basis, outlook.likely, outlook.wall_mm) == ("", None, None)
    assert (outlook.weighing_count, outlook.last_mass_g) == (3, 1285)


def test_a_wall_noted_later_is_counted_on_when_it_is_worked_out_again():
    piece = a_rough_out()
    journal.amend(piece, {"rough_wall_mm": None}, a_scribe())
    weigh_often(piece, 1560, 1385, 1285, 1218)
    journal.amend(piece, {"rough_wall_mm": 28}, a_scribe())
    weighing.work_out_again(piece, a_scribe())
    assert outlook_of(piece).basis == "weighings"


def test_the_next_weighing_is_due_two_weeks_then_a_month_later():
    piece = a_rough_out(days_ago=100)
    weigh(piece, 1560, TODAY - timedelta(days=100))
    assert outlook_of(piece).weigh_again_on == TODAY - timedelta(days=86)
    weigh(piece, 1385, TODAY - timedelta(days=30))
    assert outlook_of(piece).weigh_again_on == TODAY


def test_the_coarsest_scale_decides():
    piece = a_rough_out(days_ago=200)
    coarse = Scale.objects.create(name="bathroom scale", step_g=100)
    for days_ago in (80, 60, 40):  # alike, but within its step
        weigh(piece, 1500, TODAY - timedelta(days=days_ago), scale=coarse)
    assert outlooks.basis_of(piece, list(piece.weighings.standing())).scale_step_g == 100


def test_dry_siblings_of_the_tree_and_thickness_are_asked():
    tree = a_tree()
    kin = a_rough_out(190, source=a_section(tree))
    thick = a_rough_out(190, wall_mm=60, source=a_section(tree))
    stranger = a_rough_out(190)
    for piece in (kin, thick, stranger):
        weigh_often(piece, *DRIED)
    assert outlook_of(kin).is_dry
    young = a_rough_out(60, source=a_section(tree))
    [sibling] = outlooks.siblings_of(young, 28)
    assert sibling.wall_mm == 28
    assert len(sibling.readings) == len(DRIED)
    alone = a_rough_out(60)
    for piece in (young, alone):
        weigh_often(piece, 1560, 1385, 1285, 1218)
    spans = [(o.latest - o.earliest).days for o in map(outlook_of, (young, alone))]
    assert spans[0] < spans[1]


def test_the_lists_of_the_shelf():
    dry, unweighed, fresh = a_rough_out(190), a_rough_out(30), a_rough_out(5)
    due = a_rough_out(100)
    weigh_often(dry, *DRIED)
    weigh(due, 1560, TODAY - timedelta(days=100))
    assert list(models.dry_on_the_shelf()) == [dry]
    assert list(models.overdue_for_weighing(TODAY)) == [due, unweighed]
    assert fresh not in models.overdue_for_weighing(TODAY)
    assert dry not in models.nearly_dry(TODAY)


def test_nearly_stalled_and_fast_are_told_apart():
    nearly, stalled, fast = (a_rough_out(190) for _ in range(3))
    weigh_often(nearly, *DRIED[:9])
    weigh_often(stalled, *DRIED[:5])
    weigh(stalled, DRIED[4] - 1, stalled.stage_since + timedelta(days=84))
    weigh_often(fast, *DRIED[:4])
    weigh(fast, 1050, fast.stage_since + timedelta(days=56))
    likely = outlook_of(nearly).likely
    assert nearly in models.nearly_dry(likely - timedelta(days=30))
    assert nearly not in models.nearly_dry(likely - timedelta(days=31))
    assert list(models.stalled()) == [stalled]
    assert list(models.losing_fast()) == [fast]


@pytest.mark.parametrize("count", [1, 3])
def test_renewing_takes_a_fixed_number_of_queries(count, django_assert_num_queries):
    tree = a_tree()
    for _ in range(count):
        weigh_often(a_rough_out(190, source=a_section(tree)), *DRIED)
    young = a_rough_out(60, source=a_section(tree))
    weigh_often(young, 1560, 1385, 1285)
    with django_assert_num_queries(12):
        weighing.work_out_again(young, a_scribe())


def test_a_piece_put_back_on_the_shelf_dries_anew():
    piece = a_rough_out(190)
    weigh_often(piece, *DRIED)
    for slug in ("call-dry", "back-to-dry"):
        workflow.move([piece], slug, a_scribe(), happened=PartialDate.of(TODAY))
    piece.refresh_from_db()
    assert not models.dry_on_the_shelf().exists()
    assert list(models.overdue_for_weighing(TODAY)) == [piece]
    weigh(piece, 1060)
    assert not outlook_of(piece).is_dry
    assert outlook_of(piece).roughed_on == TODAY


def test_what_was_trued_up_before_dries_with_its_finished_wall():
    piece = a_rough_out(190)
    weigh_often(piece, *DRIED)
    for slug in ("call-dry", "true-up", "back-to-dry"):
        facts = {"wall_mm": 9} if slug == "true-up" else {}
        workflow.move([piece], slug, a_scribe(), happened=PartialDate.of(TODAY), facts=facts)
    piece.refresh_from_db()
    weigh(piece, 420)
    assert outlook_of(piece).wall_mm == 9


def test_what_is_held_back_is_not_offered_as_dry():
    piece = a_rough_out(190)
    weigh_often(piece, *DRIED)
    found = dict.fromkeys(measuring.LOOKED_FOR, "good") | {"tap": "doubtful"}
    check = measuring.check_soundness(piece, found, "hold", a_scribe())
    assert not models.dry_on_the_shelf().exists()
    assert list(models.held(models.on_the_shelf())) == [piece]
    measuring.take_back(check, a_scribe())
    assert list(models.dry_on_the_shelf()) == [piece]


def test_a_forecast_of_another_wall_is_to_be_weighed_not_dry():
    piece = a_rough_out(190)
    weigh_often(piece, *DRIED)
    journal.amend(piece, {"rough_wall_mm": 60}, a_scribe())
    assert not models.dry_on_the_shelf().exists()
    assert list(models.overdue_for_weighing(TODAY)) == [piece]


def test_what_was_trued_up_before_is_told_dry_when_it_is():
    piece = a_rough_out(300)
    ago = [PartialDate.of(TODAY - timedelta(days=days)) for days in (100, 99, 98)]
    for slug, when in zip(("call-dry", "true-up", "back-to-dry"), ago, strict=True):
        facts = {"wall_mm": 9} if slug == "true-up" else {}
        workflow.move([piece], slug, a_scribe(), happened=when, facts=facts)
    piece.refresh_from_db()
    weigh_often(piece, 420, 416, 415, 415, 415, every=15)
    assert outlook_of(piece).is_dry
    assert list(models.dry_on_the_shelf()) == [piece]
    assert piece not in models.overdue_for_weighing(TODAY)
