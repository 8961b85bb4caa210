"""The bench says what wants doing."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from django.urls import reverse

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces import custody, promises, publishing
from provenance.pieces.models import Stage
from shop.bench import wants
from tests import factories

pytestmark = pytest.mark.django_db
VIEWER = wants.Viewer(Shop(name="Saltmarsh Lane Turnery"), date(2026, 6, 15))


def titles(lists):
    return [want.title for want in lists]


def pieces_of(want):
    return [row.piece for row in want.rows]


def test_an_empty_book_says_how_to_begin(owner_client):
    page = owner_client.get(reverse("bench:bench")).content.decode()
    assert "The book is open and empty" in page
    assert reverse("trees:register") in page
    assert reverse("pieces:enter_old") in page


@pytest.mark.parametrize(
    ("stage", "title"),
    [
        ("blank", "Green blanks"),
        ("dry", "Dry, to true up or finish"),
        ("trued", "Turned, waiting for finish"),
        ("in-finish", "In finish"),
    ],
)
def test_each_stage_has_its_list(shop, stage, title):
    factories.a_piece(stage)
    assert titles(wants.at_the_lathe(VIEWER)) == [title]


def test_what_was_dry_first_stands_first(shop):
    early = factories.a_piece("dry", scribe=factories.a_scribe(at=datetime(2026, 1, 5, tzinfo=UTC)))
    late = factories.a_piece("dry", scribe=factories.a_scribe(at=datetime(2026, 3, 5, tzinfo=UTC)))
    assert pieces_of(wants.ready_to_go_on(VIEWER)) == [early, late]


def test_a_piece_that_left_the_shop_wants_nothing(shop):
    piece = factories.a_piece("finished")
    custody.hand_over([piece], "given", factories.a_scribe())
    assert wants.at_the_lathe(VIEWER) == []
    assert not wants.not_yet_for_sale(VIEWER).total


def test_finished_pieces_want_a_price_and_a_page(shop):
    piece = factories.a_piece("finished", price_minor=16500)
    assert pieces_of(wants.not_yet_for_sale(VIEWER)) == [piece]
    publishing.publish([piece], factories.a_scribe())
    assert not wants.not_yet_for_sale(VIEWER).total


def test_in_finish_says_from_when_it_may_be_used(shop):
    piece = factories.a_piece("in-finish")
    [row] = wants.in_finish(VIEWER).rows
    assert (row.piece, row.figure_words, row.figure) == (piece, "cured by then", "17 June 2026")
    [row] = wants.in_finish(replace(VIEWER, today=date(2026, 6, 17))).rows
    assert row.figure == "cured"


def test_a_promise_without_wood_is_remembered_until_wood_is_kept(shop):
    tree = factories.a_tree(promised="A bowl for the family.", donor=factories.a_person())
    assert list(wants.unpinned_promises().rows) == [tree]
    promise = promises.make(factories.a_scribe(), tree.promised, tree=tree, to=tree.donor)
    assert not wants.unpinned_promises().total
    assert list(wants.promises().rows) == [promise]
    promises.settle(promise, factories.a_scribe(), "Handed over at midsummer.")
    assert not wants.promises().total


def test_open_ends_are_listed_until_sealed(shop):
    section = factories.a_section()
    assert list(wants.unsealed_sections(VIEWER).rows) == [section]
    section.end_sealed = "2026-06-01"
    section.save(update_fields=["end_sealed"])
    assert not wants.unsealed_sections(VIEWER).total


def test_the_line_counts_what_the_shop_still_has(shop):
    factories.a_piece("drying")
    factories.a_piece("lost")
    gone = factories.a_piece("finished")
    custody.hand_over(
        [gone],
        "buyer",
        factories.a_scribe(),
        holder=Person.objects.create(name="Ada Quill", created_at=factories.NOW),
    )
    counts = dict(wants.along_the_line())
    assert counts[Stage.DRYING] == 1
    assert sum(counts.values()) == 1


@pytest.mark.parametrize("count", [1, 3])
def test_the_bench_asks_a_fixed_number_of_questions(
    owner_client, count, django_assert_max_num_queries
):
    section = factories.a_section()
    for stage in ("blank", "drying", "dry", "trued", "in-finish", "finished"):
        for _ in range(count):
            factories.a_piece(stage, source=section)
    owner_client.get(reverse("bench:bench"))
    with django_assert_max_num_queries(48):
        owner_client.get(reverse("bench:bench"))


def test_a_long_list_shows_its_first_rows_and_how_many_there_are(owner_client):
    factories.some_pieces(7)
    want = wants.green_blanks(VIEWER)
    assert (len(want.rows), want.total) == (wants.SHOWN, 7)
    assert "All 7" in owner_client.get(reverse("bench:bench")).content.decode()
