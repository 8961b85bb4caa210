"""What the bench says of the drying shelf."""

from datetime import timedelta
from typing import Any

import pytest

from provenance.drying.models import Outlook
from provenance.maker.models import Shop
from shop.bench import wants
from tests.factories import a_shop
from tests.provenance.drying.shelf import DRIED, TODAY, a_rough_out, weigh, weigh_often

pytestmark = pytest.mark.django_db


def viewer(days: int = 0) -> wants.Viewer:
    return wants.Viewer(Shop.current(), TODAY + timedelta(days=days))


def test_what_the_weighings_say_is_dry_is_told_as_such() -> None:
    a_shop()
    dry, other = a_rough_out(190), a_rough_out(40)
    weigh_often(dry, *DRIED)
    weigh_often(other, 1560, 1385, 1285)
    want = wants.dry_on_the_shelf(viewer())
    assert [(row.piece, row.figure) for row in want.rows] == [(dry, "dry")]
    assert want.all_url == "/drying/#dry"


def test_a_row_that_waits_for_the_scale_says_since_when() -> None:
    a_shop()
    never, due = a_rough_out(30), a_rough_out(100)
    weigh(due, 1560, TODAY - timedelta(days=100))
    rows = wants.overdue_for_weighing(viewer()).rows
    assert [(r.piece, r.figure, r.figure_words) for r in rows] == [
        (due, "3 months", "since it was weighed"),
        (never, "4 weeks", "not weighed yet"),
    ]


def test_nearly_dry_says_the_likely_day() -> None:
    a_shop()
    piece = a_rough_out(190)
    weigh_often(piece, *DRIED[:9])
    likely = Outlook.objects.get().likely
    assert likely
    early = wants.Viewer(Shop.current(), likely - timedelta(days=40))
    assert wants.nearly_dry(early).total == 0
    [row] = wants.nearly_dry(wants.Viewer(Shop.current(), likely - timedelta(days=20))).rows
    assert row.piece == piece


@pytest.mark.parametrize("count", [1, 3])
def test_a_list_of_the_shelf_takes_a_fixed_number_of_queries(
    count: int, django_assert_num_queries: Any
) -> None:
    a_shop()
    for _ in range(count):
        a_rough_out(30)
    who = viewer()
    with django_assert_num_queries(5):
        assert wants.overdue_for_weighing(who).total == count
