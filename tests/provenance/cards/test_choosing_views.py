"""Choosing what to print, and laying it out."""

import re
import uuid

import pytest
from django.urls import reverse

from provenance.cards import printing, views
from provenance.cards.models import PrintRun
from provenance.maker.models import Shop
from provenance.pieces import custody
from provenance.pieces.models import Custody, Piece
from tests.factories import a_piece, a_scribe, a_section, a_shop, a_tree, some_pieces, some_stock
from tests.provenance.cards.printing_pages import (
    EVERYTHING,
    HTMX,
    QUERIES_TO_CHOOSE,
    a_run,
    choose,
    listed,
    make,
    prepare,
    ticked,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db: None) -> Shop:
    return a_shop(public_url="https://saltmarsh.example.org", paper="a4")


# -- choosing ------------------------------------------------------------------------------------


def test_each_kind_starts_with_the_pieces_it_is_for(owner_client):
    finished, drying, [blank] = a_piece("finished"), a_piece("drying"), some_pieces()
    sold = a_piece("finished")
    custody.hand_over([sold], Custody.Kind.BUYER, a_scribe())
    for kind in ("booth", "card", "price-list"):
        assert listed(choose(owner_client, kind=kind)) == [finished.code]
    assert listed(choose(owner_client, kind="rough-out")) == [drying.code]
    everything = [sold.code, blank.code, drying.code, finished.code]
    assert listed(choose(owner_client, kind="booth", **EVERYTHING)) == everything


def test_pieces_are_found_by_words_stage_custody_and_price(owner_client):
    cheap, dear = some_pieces(2)
    Piece.objects.filter(pk=cheap.pk).update(price_minor=2000)
    Piece.objects.filter(pk=dear.pk).update(price_minor=16550)
    pen = a_piece("turned", form="pen", method="straight", source=some_stock())
    custody.hand_over([pen], Custody.Kind.MARKET, a_scribe())
    for query, found in (
        ({"find": "maple"}, [dear, cheap]),
        ({"find": str(cheap.number)}, [cheap]),
        ({"stage": "turned"}, [pen]),
        ({"custody": "market"}, [pen]),
        ({"price_from": "20.01"}, [dear]),
        ({"price_to": "$20"}, [cheap]),
        ({"price_from": "20", "price_to": "165.50", "order": "price"}, [cheap, dear]),
        ({"order": "number"}, [cheap, dear, pen]),
    ):
        page = choose(owner_client, **{**EVERYTHING, **query})
        assert listed(page) == [piece.code for piece in found], query


def test_a_price_that_cannot_be_read_is_said_and_filters_nothing(owner_client):
    piece = a_piece("finished")
    page = choose(owner_client, price_from="dear")
    assert "Enter an amount" in page
    assert '<details class="more" open>' in page
    assert listed(page) == [piece.code]


def test_a_link_from_a_piece_comes_ticked_whatever_its_stage(owner_client):
    one, two = some_pieces(2)
    page = choose(owner_client, kind="card", codes=f"{two.code},{one.number},nonsense,260009")
    assert ticked(page) == [two.code, one.code]
    assert f"kind=price-list&amp;codes={two.code},{one.code}" in page


def test_ticks_stay_while_the_list_is_narrowed(owner_client):
    one, two = a_piece("finished"), a_piece("finished")
    query = {"kind": "booth", "find": str(two.number), "piece": [one.code]}
    response = owner_client.get(reverse("cards:choose"), query, headers=HTMX)
    page = response.content.decode()
    assert "<html" not in page
    assert ticked(page) == [one.code]
    assert listed(page) == [one.code, two.code]


def test_a_tick_taken_away_is_not_brought_back_by_the_link(owner_client):
    piece = a_piece("finished")
    query = {"kind": "booth", "codes": piece.code}
    page = owner_client.get(reverse("cards:choose"), query, headers=HTMX).content.decode()
    assert ticked(page) == []


def test_a_page_brought_back_by_the_browser_is_whole(owner_client):
    headers = {**HTMX, "HX-History-Restore-Request": "true"}
    response = owner_client.get(reverse("cards:choose"), headers=headers)
    assert "<html" in response.content.decode()


def test_an_empty_book_and_an_empty_list_say_what_to_do(owner_client):
    assert "no piece in the book yet" in choose(owner_client)
    some_pieces()
    assert "No piece matches" in choose(owner_client, find="ebony")


def test_a_long_list_is_shown_in_pages_and_all_of_it_can_be_chosen(owner_client, monkeypatch):
    monkeypatch.setattr(views, "A_PAGE", 2)
    pieces = some_pieces(5)
    page = choose(owner_client, stage="blank", custody="", page="2")
    assert listed(page) == [pieces[2].code, pieces[1].code]
    assert "5 pieces, 3 to 4 shown" in page
    prepare(owner_client, stage="blank", everything="yes", order="number")
    assert list(PrintRun.objects.get().in_order()) == pieces


@pytest.mark.parametrize("count", [1, 3])
def test_choosing_takes_a_fixed_number_of_queries(owner_client, count, django_assert_num_queries):
    for _ in range(count):
        a_piece("finished", source=a_section(a_tree()))
    with django_assert_num_queries(QUERIES_TO_CHOOSE):
        choose(owner_client)


# -- laying out ----------------------------------------------------------------------------------


def test_ticked_pieces_are_laid_out_in_their_order_on_a_page_of_its_own(owner_client):
    one, two, three = some_pieces(3)
    response = prepare(owner_client, piece=[two.code, three.code, one.code])
    run = PrintRun.objects.get()
    assert response["Location"] == reverse("cards:run", args=[run.pk])
    assert list(run.in_order()) == [two, three, one]
    page = owner_client.get(response["Location"]).content.decode()
    places = [page.index(reverse("bench:piece", args=[p.code])) for p in (two, three, one)]
    assert places == sorted(places)


def test_a_form_sent_twice_makes_one_run(owner_client):
    [piece] = some_pieces()
    token = str(uuid.uuid4())
    answers = [prepare(owner_client, piece=piece.code, token=token) for _ in range(2)]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert PrintRun.objects.count() == 1


def test_nothing_ticked_is_said_on_the_same_page(owner_client):
    some_pieces()
    page = prepare(owner_client, **EVERYTHING).content.decode()
    assert "tick at least one piece" in page
    assert len(listed(page)) == 1
    assert not PrintRun.objects.exists()


def test_more_than_a_run_takes_is_said(owner_client, monkeypatch):
    monkeypatch.setattr(printing, "MOST_PIECES", 2)
    some_pieces(3)
    page = prepare(owner_client, **EVERYTHING, everything="yes").content.decode()
    assert "up to 2 pieces" in page


def test_a_kind_that_is_none_makes_nothing(owner_client):
    [piece] = some_pieces()
    response = prepare(owner_client, kind="poster", piece=piece.code)
    assert response.status_code == 200
    assert not PrintRun.objects.exists()


def test_pieces_are_added_to_a_run(owner_client):
    one, two = some_pieces(2)
    run = a_run([one])
    page = choose(owner_client, run=run.pk, **EVERYTHING)
    assert listed(page) == [two.code]
    response = prepare(owner_client, run=run.pk, piece=two.code)
    assert response["Location"] == reverse("cards:run", args=[run.pk])
    assert list(run.in_order()) == [one, two]


def test_sheet_and_first_place_survive_a_reload(owner_client):
    run = a_run(some_pieces(2))
    change = reverse("cards:change", args=[run.pk])
    owner_client.post(change, {"sheet": "letter-30", "first_cell": "20"})
    owner_client.post(change, {"sheet": "letter-30", "first_cell": "29"})
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert re.search(r'value="letter-30" selected', page)
    assert re.search(r'value="29" checked', page)
    assert "take 2 sheets" in page


def test_another_sheet_begins_at_its_first_place(owner_client):
    run = a_run(first_cell=20)
    owner_client.post(
        reverse("cards:change", args=[run.pk]), {"sheet": "letter-10", "first_cell": "20"}
    )
    run.refresh_from_db()
    assert (run.sheet, run.first_cell) == ("letter-10", 0)


@pytest.mark.parametrize("first_cell", ["21", "-1", "many"])
def test_a_place_off_the_sheet_is_refused_in_a_sentence(owner_client, first_cell):
    run = a_run(first_cell=3)
    response = owner_client.post(
        reverse("cards:change", args=[run.pk]), {"sheet": run.sheet, "first_cell": first_cell}
    )
    assert response.status_code == 200
    assert "choose the first free one" in response.content.decode()
    run.refresh_from_db()
    assert run.first_cell == 3


def test_a_changed_layout_comes_back_as_a_fragment(owner_client):
    run = a_run()
    form = {"sheet": "a4-21", "first_cell": "4"}
    response = owner_client.post(reverse("cards:change", args=[run.pk]), form, headers=HTMX)
    page = response.content.decode()
    assert page.strip().startswith('<div id="run">')
    assert re.search(r'value="4" checked', page)


def test_a_made_sheet_that_is_changed_says_that_it_has_to_be_made_again(owner_client):
    run = a_run()
    make(owner_client, run)
    change, form = reverse("cards:change", args=[run.pk]), {"sheet": run.sheet, "first_cell": "4"}
    pages = [owner_client.post(change, form, headers=HTMX).content.decode() for _ in range(2)]
    assert ["make it again below" in page for page in pages] == [True, False]


def test_a_piece_is_taken_out_but_never_the_last(owner_client):
    one, two = some_pieces(2)
    run = a_run([one, two])
    for piece in (one, two):
        response = owner_client.post(
            reverse("cards:remove", args=[run.pk, piece.code]), follow=True
        )
    assert "last piece here" in response.content.decode()
    assert list(run.in_order()) == [two]


def test_measures_known_from_memory_are_said_to_be(owner_client):
    page = owner_client.get(reverse("cards:run", args=[a_run(sheet="a4-65").pk])).content.decode()
    assert "from memory only" in page
    page = owner_client.get(reverse("cards:run", args=[a_run(sheet="a4-21").pk])).content.decode()
    assert "from memory only" not in page
