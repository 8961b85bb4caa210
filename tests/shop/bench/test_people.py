"""The list of people: found by what is known of them, or by a piece that they have or had."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client

from provenance.people import merging
from provenance.pieces import custody, making, workflow
from provenance.pieces.making import Past
from provenance.pieces.models import Form, Method
from provenance.record.partial_dates import PartialDate
from tests import factories
from tests.factories import a_person, a_scribe

NEW_YEAR, MARCH = datetime(2026, 1, 5, tzinfo=UTC), date(2026, 3, 9)


def rows_for(client: Client, find: str) -> list[Any]:
    rows: list[Any] = client.get("/people/", {"find": find}).context["rows"]
    return rows


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_as_many_queries_for_one_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    for _ in range(count):
        a_person()
    with django_assert_num_queries(7):  # session, user, clock, count, rows, other names, shop
        page = owner_client.get("/people/").content.decode()
    assert page.count('class="row"') == count


@pytest.mark.parametrize(
    "find", ["élodie", "ÉLODIE", "march él", "0134", "EXAMPLE.org", "(555) 01 34", "555.0134"]
)
def test_typing_finds_in_any_case(owner_client: Client, find: str) -> None:
    person = a_person(name="Élodie Marchbank", phone="555-0134", mail="em@example.org")
    a_person(name="Ada Quill")
    assert list(owner_client.get("/people/", {"find": find}).context["page"]) == [person]


@pytest.mark.parametrize("find", ["\x00", "%", ".*", "(", "\\", "[", "x " * 5_000, "\ud800"])
def test_nasty_searches_break_nothing(owner_client: Client, find: str) -> None:
    a_person()
    response = owner_client.get("/people/", {"find": find.encode("utf-8", "surrogatepass")})
    assert response.status_code == 200


def test_an_empty_book_no_hit_and_odd_pages_are_shown(owner_client: Client) -> None:
    assert "Nobody is in the book yet" in owner_client.get("/people/").content.decode()
    a_person()
    page = owner_client.get("/people/", {"find": "zzz"}).content.decode()
    assert "Nobody in the book matches “zzz”" in page
    assert len(owner_client.get("/people/", {"page": "abc"}).context["page"]) == 1
    rows = owner_client.get("/people/", headers={"HX-Request": "true"}).content.decode()
    assert "<h1>" not in rows


def test_the_second_page_keeps_what_was_sought(owner_client: Client) -> None:
    for number in range(51):
        a_person(name=f"Quill {number:02d}")
    page = owner_client.get("/people/", {"find": "quill"}).content.decode()
    assert "51 people" in page
    assert 'href="/people/?find=quill&amp;page=2"' in page
    assert len(owner_client.get("/people/", {"find": "quill", "page": "2"}).context["page"]) == 1


@pytest.mark.parametrize("count", [1, 3])
def test_finding_by_a_piece_takes_as_many_queries_for_one_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    piece = factories.a_piece("finished")
    for _ in range(count):
        custody.hand_over([piece], "buyer", a_scribe(), holder=a_person())
    # As above, and which pieces are meant, and the newest links to them.
    with django_assert_num_queries(9):
        page = owner_client.get("/people/", {"find": str(piece.number)}).content.decode()
    assert page.count('class="row"') == count


@pytest.mark.parametrize(
    "write",
    [str, lambda n: n.code, lambda n: f" {n.spoken.replace('-', ' ')} ",
     lambda n: n.spoken.replace("0", "O").lower(), lambda n: f"https://x.example.org/P/{n.code}"],
)  # fmt: skip
def test_a_pieces_number_finds_who_has_it_and_who_had_it(owner_client: Client, write: Any) -> None:
    piece, other = factories.some_pieces(2, a_scribe(at=NEW_YEAR))
    gallery, buyer = a_person(name="Weir Gallery"), a_person(name="Bo Marsh")
    custody.hand_over([piece, other], "gallery", a_scribe(), holder=gallery, since=MARCH)
    custody.hand_over([piece], "buyer", a_scribe(), holder=buyer, since=PartialDate("2026-05"))
    custody.hand_over([other], "buyer", a_scribe(), holder=a_person(name="Ida Marrow"))
    page = owner_client.get("/people/", {"find": write(piece.number)})
    assert [row.person for row in page.context["rows"]] == [buyer, gallery]
    words = " ".join(page.content.decode().split())
    assert f'has <span class="number">{piece.number}</span>, since May 2026' in words
    assert f'had <span class="number">{piece.number}</span></span>' in words


def test_part_of_an_old_mark_finds_who_has_the_piece(owner_client: Client) -> None:
    nell = a_person(name="Nell Quill")
    past = Past("finished", {"finish": None}, custody="buyer", holder=nell)
    form = Form.objects.get(slug="bowl")
    making.enter_old(a_scribe(), form, Method.SINGLE, past, old_mark="No. 14")
    [row] = rows_for(owner_client, "no. 1")
    assert (row.person, row.has_it, row.since) == (nell, True, "")
    assert "marked “No. 14”" in owner_client.get("/people/", {"find": "14"}).content.decode()


def test_what_was_taken_back_was_never_with_them(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    for _ in range(2):
        custody.hand_over([piece], "gallery", a_scribe(), holder=a_person(name="Weir Gallery"))
    custody.hand_over([piece], "buyer", a_scribe(), holder=a_person(name="Bo Marsh"))
    for _ in range(3):
        workflow.undo([piece], a_scribe())
    assert rows_for(owner_client, piece.code) == []
    page = owner_client.get("/people/", {"find": piece.code}).content.decode()
    assert "Nobody in the book has had" in page and f"/pieces/{piece.code}/" in page


def test_a_piece_in_for_repair_is_still_its_owners(owner_client: Client) -> None:
    piece, buyer = factories.a_piece("finished"), a_person()
    custody.hand_over([piece], "buyer", a_scribe(), holder=buyer)
    custody.hand_over([piece], "repair", a_scribe())
    assert [(row.person, row.verb) for row in rows_for(owner_client, piece.code)] == [
        (buyer, "has")
    ]


def test_two_entries_of_one_person_are_one_row_found_by_either(owner_client: Client) -> None:
    ada, folded = a_person(name="Ada Quill"), a_person(name="A. Quill", mail="aq@example.org")
    piece = factories.a_piece("finished")
    custody.hand_over([piece], "buyer", a_scribe(), holder=folded)
    merging.merge(ada, folded, a_scribe())
    for find in ("A. Quill", "aq@", piece.code, ""):
        assert [row.person for row in rows_for(owner_client, find)] == [ada], find
    [row] = rows_for(owner_client, piece.code)
    assert row.verb == "has"
    assert "also in the book as A. Quill" in owner_client.get("/people/").content.decode()


def test_a_number_that_is_a_phone_too_finds_both(owner_client: Client) -> None:
    piece, buyer = factories.a_piece("finished"), a_person(name="Bo Marsh")
    ada = a_person(name="Ada Quill", phone=f"0{piece.number}")
    custody.hand_over([piece], "buyer", a_scribe(), holder=buyer)
    found = [
        (row.person, row.link is not None) for row in rows_for(owner_client, str(piece.number))
    ]
    assert found == [(ada, False), (buyer, True)]
