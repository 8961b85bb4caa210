"""How much of what was roughed came through, and how little a small number says."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from provenance.drying import survival
from provenance.drying.survival import Fate, Tally, share_between
from provenance.pieces import custody, making, workflow
from provenance.pieces.making import Past
from provenance.pieces.models import Custody, Form, LossCause, Piece
from tests import factories

ROUGHED = Fate(
    "rough", "through", "", ("white-ash", "white ash"), ("T26-001-3", "ash"), "Dec–Feb", (1, "thin")
)


CRACKED = "cracked\N{NO-BREAK SPACE}1"
LOST = ROUGHED._replace(outcome="lost", cause="cracked")


def lose(piece: Piece, cause: str = "cracked") -> None:
    workflow.lose([piece], LossCause.objects.get(slug=cause), factories.a_scribe())


@given(st.integers(1, 400), st.floats(0, 1))
def test_the_range_of_a_share_is_wilsons(trials: int, part: float) -> None:
    successes = round(part * trials)
    outside = stats.binomtest(successes, trials).proportion_ci(0.95, method="wilson")
    assert share_between(successes, trials) == pytest.approx((outside.low, outside.high), abs=1e-6)


@pytest.mark.parametrize("wrong", [(0, 0), (3, 2), (-1, 4)])
def test_a_share_of_nothing_is_refused(wrong: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="at least one trial"):
        share_between(*wrong)


@pytest.mark.parametrize(
    ("through", "lost", "words"),
    [
        (9, 0, "too few to tell"),
        (10, 0, "at least 7 in ten"),
        (0, 10, "at most 3 in ten"),
        (8, 2, "at least 4 in ten"),
        (60, 40, "5 to 7 in ten"),
    ],
)
def test_few_say_nothing_and_more_say_a_range(through: int, lost: int, words: str) -> None:
    tally = Tally("all", through=through)
    tally.lost["cracked"] = lost
    assert tally.share == words


def test_what_is_on_its_way_counts_neither_way() -> None:
    fates = [ROUGHED, ROUGHED._replace(outcome="waiting"), LOST]
    total = survival.survival("rough", fates).total
    assert (total.roughed, total.decided, total.through, total.causes) == (
        3,
        2,
        1,
        "cracked\N{NO-BREAK SPACE}1",
    )
    assert survival.survival("turn-green", fates).total.roughed == 0


def test_each_row_adds_up_to_the_whole_and_seasons_stand_in_order() -> None:
    seasons = ("not noted", "Sep–Nov", "Dec–Feb")
    fates = [ROUGHED._replace(season=season, wood=("", season)) for season in seasons]
    parted = survival.survival("rough", fates)
    assert [row.label for row in parted.by_season] == ["Dec–Feb", "Sep–Nov", "not noted"]
    for rows in (parted.by_wood, parted.by_tree, parted.by_season, parted.by_wall):
        assert sum(row.roughed for row in rows) == 3


@pytest.mark.parametrize(
    ("edtf", "season"),
    [
        ("2025-12-31", "Dec–Feb"), ("2026-02", "Dec–Feb"), ("2026-03-01", "Mar–May"),
        ("2025-11~", "Sep–Nov"), ("2025", "not noted"), ("202X", "not noted"), (None, "not noted"),
    ],
)  # fmt: skip
def test_a_season_needs_the_month(edtf: str | None, season: str) -> None:
    assert survival.season_of(edtf) == season


@pytest.mark.parametrize(
    ("move", "wall_mm", "unit", "band"),
    [
        ("rough", 19, "mm", "under 20 mm"), ("rough", 20, "mm", "20 to under 25 mm"),
        ("rough", 40, "mm", "40 mm and over"), ("rough", None, "mm", "not noted"),
        ("rough", 19, "in", "3/4 to under 1 in"), ("turn-green", 8, "in", "5/16 to under 1/2 in"),
    ],
)  # fmt: skip
def test_walls_go_in_bands_of_the_shops_unit(
    move: str, wall_mm: int | None, unit: str, band: str
) -> None:
    assert survival.wall_band(move, wall_mm, unit)[1] == band


@pytest.mark.django_db
def test_pieces_are_told_by_what_became_of_them() -> None:
    for stage in ("drying", "dry", "trued", "finished", "blank"):
        factories.a_piece(stage)
    lose(factories.a_piece("drying"))
    lose(factories.a_piece("trued"), "torn-out")
    lose(factories.a_piece("finished"))  # it came through; what happened later is another matter
    lose(factories.a_piece("blank"))
    given_away = factories.a_piece("drying")
    custody.hand_over(
        [given_away], Custody.Kind.GIVEN, factories.a_scribe(), holder=factories.a_person()
    )
    total = survival.figures("mm").roughed.total
    assert (total.through, total.waiting, total.left, total.lost_count) == (3, 2, 1, 2)
    assert set(total.lost) == {"cracked", LossCause.objects.get(slug="torn-out").name}


@pytest.mark.django_db
def test_a_move_or_a_loss_that_was_taken_back_is_none() -> None:
    undone, mended = factories.a_piece("drying"), factories.a_piece("trued")
    lose(mended)
    workflow.undo([undone, mended], factories.a_scribe())
    total = survival.figures("mm").roughed.total
    assert (total.roughed, total.through, total.lost_count) == (1, 1, 0)


@pytest.mark.django_db
def test_turned_green_stands_apart_and_is_through_once_dry() -> None:
    factories.a_piece("dry", method="single", wall_mm=6)
    factories.a_piece("drying", method="single")
    figures = survival.figures("mm")
    assert figures.roughed.total.roughed == 0
    assert (figures.turned_green.total.through, figures.turned_green.total.waiting) == (1, 1)
    assert [row.label for row in figures.turned_green.by_wall] == ["5 to under 8 mm", "not noted"]


@pytest.mark.django_db
def test_pieces_from_before_the_book_would_flatter_and_are_left_out() -> None:
    form = Form.objects.get(slug="salad-bowl")
    making.enter_old(factories.a_scribe(), form, "twice", Past("finished"))
    figures = survival.figures("mm")
    assert (figures.roughed.total.roughed, figures.from_before) == (0, 1)


@pytest.mark.django_db
def test_woods_and_trees_are_those_of_the_pieces() -> None:
    guess = factories.a_tree(species_slug="", species_words="Some conifer")
    again = factories.a_tree(species_slug="", species_words="some  conifer")
    for tree in (guess, again, factories.a_tree()):
        factories.a_piece("drying", source=factories.a_section(tree), rough_wall_mm=30)
    factories.a_piece("drying", source=factories.some_stock())
    parted = survival.figures("mm").roughed
    assert {(row.label, row.roughed) for row in parted.by_wood} == {
        ("Some conifer", 2), ("bigleaf maple", 1), ("cocobolo", 1),
    }  # fmt: skip
    assert {row.key for row in parted.by_tree} == {*(t.code for t in (guess, again, tree)), ""}
    assert [row.label for row in parted.by_wall] == ["30 to under 35 mm", "not noted"]


@pytest.mark.django_db
def test_the_page_asks_as_much_of_three_pieces_as_of_one(owner_client: Client) -> None:
    factories.a_piece("drying")
    assert queries(owner_client) == queries(owner_client, more=2) == 12


def queries(client: Client, more: int = 0) -> int:
    for _ in range(more):
        lose(factories.a_piece("drying"))
    with CaptureQueriesContext(
        connection,
    ) as asked:
        client.get("/drying/survival/")
    return len(asked)


@pytest.mark.django_db
def test_the_page_says_how_little_few_pieces_say(owner_client: Client) -> None:
    assert "Nothing has been roughed out" in owner_client.get("/drying/survival/").content.decode()
    lose(factories.a_piece("drying"))
    page = owner_client.get("/drying/survival/").content.decode()
    assert "1 decided so far: too few to tell what is usual." in page
    assert "(cracked\N{NO-BREAK SPACE}1)" in page
    assert "in ten come through" not in page
