"""A person's page: the history of every piece that they have or had."""

from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.people import merging
from provenance.people.models import Person
from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Piece
from provenance.record import journal
from provenance.record.partial_dates import PartialDate
from shop.bench import history, people
from tests import factories
from tests.factories import a_person, a_scribe

pytestmark = pytest.mark.django_db


def give(piece: Piece, kind: str, to: Person | None = None, since: Any = None) -> None:
    custody.hand_over([piece], kind, a_scribe(), holder=to, since=since)


def both(*entries: Person) -> tuple[list[Piece], list[Piece]]:
    keys = [entry.pk for entry in entries]
    return list(history.with_them(keys)), list(history.passed_on(keys))


def page_of(client: Client, person: Person, **query: str) -> Any:
    return client.get(reverse("bench:person", args=[person.pk]), query)


def test_what_they_have_and_what_they_passed_on() -> None:
    gallery, buyer, heir = a_person(), a_person(), a_person()
    at_gallery, sold, given = factories.some_pieces(3)
    for piece in (at_gallery, sold, given):
        give(piece, "gallery", gallery)
    give(sold, "buyer", buyer)
    give(given, "buyer", buyer)
    give(given, "given", heir)
    assert both(gallery) == ([at_gallery], [given, sold])
    assert both(buyer) == ([sold], [given])
    assert both(heir) == ([given], [])


def test_what_was_taken_back_is_neither() -> None:
    piece, gallery, buyer = factories.a_piece("finished"), a_person(), a_person()
    give(piece, "gallery", gallery)
    give(piece, "buyer", buyer)
    workflow.undo([piece], a_scribe())
    assert (both(gallery), both(buyer)) == (([piece], []), ([], []))
    workflow.undo([piece], a_scribe())
    assert (both(gallery), both(buyer)) == (([], []), ([], []))


def test_a_chain_holds_without_what_was_taken_back() -> None:
    piece, gallery, buyer = factories.a_piece("finished"), a_person(), a_person()
    give(piece, "gallery", gallery)
    give(piece, "buyer", buyer)
    for expected in (["shop", "gallery"], ["shop"]):
        workflow.undo([piece], a_scribe())
        chain = history.happened_links().filter(piece=piece).order_by("position")
        assert [link.kind for link in chain] == expected
        piece.refresh_from_db()
        assert (chain.last().kind, chain.last().holder) == (
            piece.custody.kind,
            piece.custody.holder,
        )


def test_a_piece_in_for_repair_is_still_with_its_owner() -> None:
    piece, buyer = factories.a_piece("finished"), a_person()
    give(piece, "buyer", buyer)
    give(piece, "repair")
    assert both(buyer) == ([piece], [])
    give(piece, "shop")
    assert both(buyer) == ([], [piece])


def test_what_came_last_stands_first_and_unknown_days_last() -> None:
    gallery = a_person()
    early, late, unknown = factories.some_pieces(3)
    custody.hand_over([unknown], "gallery", a_scribe(), holder=gallery, is_date_known=False)
    give(late, "gallery", gallery, date(2026, 6, 15))
    give(early, "gallery", gallery, date(2026, 6, 15))
    assert both(gallery)[0] == [late, early, unknown]


def stay_of(piece: Piece, *entries: Person) -> history.Stay:
    keys = [entry.pk for entry in entries]
    [stay] = history.stays([piece.pk], keys, factories.Shop(), date(2026, 6, 15))
    return stay


def an_old_piece(since: PartialDate | None, holder: Person) -> Piece:
    return factories.making.enter_old(
        a_scribe(),
        factories.Form.objects.get(slug="bowl"),
        factories.Method.SINGLE,
        factories.making.Past(
            "finished", {"finish": None}, custody="buyer", holder=holder, since=since
        ),
    )


def test_a_stay_says_since_when_and_until_when() -> None:
    buyer, heir = a_person(), a_person()
    piece = an_old_piece(PartialDate("2009~"), buyer)
    stay = stay_of(piece, buyer)
    assert (stay.since, stay.until) == (PartialDate("2009~"), None)
    give(piece, "given", heir, PartialDate("2026-05"))
    stay = stay_of(piece, buyer)
    assert (stay.since, stay.until) == (PartialDate("2009~"), PartialDate("2026-05"))
    assert stay.now.holder == heir
    give(piece, "buyer", buyer, PartialDate("2026-06"))
    assert (stay_of(piece, buyer).since, stay_of(piece, buyer).until) == (
        PartialDate("2026-06"),
        None,
    )


def test_a_day_that_nobody_knows_stays_unknown() -> None:
    buyer = a_person()
    stay = stay_of(an_old_piece(None, buyer), buyer)
    assert (stay.since, stay.until) == (None, None)


def test_a_stay_that_a_correction_brings_back_keeps_its_day() -> None:
    gallery = a_person()
    piece = an_old_piece(PartialDate("2024-03"), gallery)
    give(piece, "buyer", a_person())
    workflow.undo([piece], a_scribe())
    assert stay_of(piece, gallery).since == PartialDate("2024-03")


def test_under_two_entries_it_is_one_stay() -> None:
    ada, folded = a_person(), a_person(name="A. Quill")
    piece = an_old_piece(PartialDate("2024-03"), folded)
    give(piece, "lent", ada)
    assert stay_of(piece, ada, folded).since == PartialDate("2024-03")
    assert both(ada, folded) == ([piece], [])


def test_a_stay_has_the_newest_entries_and_the_care_of_its_own_piece() -> None:
    buyer = a_person()
    piece, other = (
        factories.a_piece("finished"),
        factories.a_piece(care_words="Look, do not touch."),
    )
    give(piece, "buyer", buyer)
    give(other, "buyer", buyer)
    for words in ("one", "two", "three"):
        journal.write(other.journal, "note", a_scribe(), words=words)
    assert [entry.words for entry in stay_of(other, buyer).entries] == ["three", "two", "one"]
    assert stay_of(other, buyer).care == ["Look, do not touch."]
    assert "Oil it again when it looks dry." in stay_of(piece, buyer).care
    assert stay_of(piece, buyer).entries[0].kind == "custody"


# The page


@pytest.mark.parametrize("count", [1, 3])
def test_a_person_takes_as_many_queries_for_one_piece_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    buyer, folded, heir = a_person(), a_person(name="A. Quill"), a_person(name="Nell Quill")
    section = factories.a_section()
    for _ in range(count):
        piece, given = factories.some_pieces(2, source=section)
        give(piece, "buyer", buyer)
        give(given, "buyer", folded)
        give(given, "given", heir)
        workflow.undo([given], a_scribe())
        give(given, "given", heir)
    merging.merge(buyer, folded, a_scribe())
    owner_client.get("/people/")
    # Clock, session, user; person, keys; with them and passed on: count and keys each; shop, clock;
    # pieces, trees, stocks, chains, finishes, entries; receipts, commissions; trees given, stock,
    # promises; shop; who was folded.
    with django_assert_num_queries(24):
        page = page_of(owner_client, buyer).content.decode()
    assert page.count('class="row stay"') == 2 * count


def test_the_page_tells_when_from_which_tree_and_who_has_it_now(owner_client: Client) -> None:
    tree, winter = factories.a_tree(), a_scribe(at=datetime(2026, 1, 5, tzinfo=UTC))
    [piece] = factories.some_pieces(1, winter, source=factories.a_section(tree))
    buyer, heir = a_person(name="Bo Marsh"), a_person(name="Nell Quill")
    give(piece, "buyer", buyer, date(2026, 3, 9))
    words = " ".join(page_of(owner_client, buyer).content.decode().split())
    assert "With its owner, since 9 March 2026" in words
    assert f"/trees/{tree.code}/" in words and "Passed on" not in words
    assert f"/pieces/{piece.code}/#journal" in words and "Wash by hand, dry at once." in words
    give(piece, "given", heir)
    words = " ".join(page_of(owner_client, buyer).content.decode().split())
    assert "With them now" not in words and "9 March 2026 to 15 June 2026" in words
    assert f'<a href="/people/{heir.pk}/">Now given away: Nell Quill</a>' in words
    give(piece, "shop")
    words = page_of(owner_client, heir).content.decode()
    assert ">15 June 2026" in words and "to 15 June 2026" not in words
    assert "Now in the shop" in words
    assert 'id="journal"' in owner_client.get(f"/pieces/{piece.code}/").content.decode()


def test_a_person_with_much_shows_it_page_by_page(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(people, "PAGE", 2)
    monkeypatch.setattr(people, "MOST", 1)
    gallery = a_person()
    factories.a_tree(donor=gallery)
    section = factories.a_section(factories.a_tree(donor=gallery))
    held, sold = factories.some_pieces(3, source=section), factories.some_pieces(3, source=section)
    custody.hand_over([*held, *sold], "gallery", a_scribe(), holder=gallery)
    custody.hand_over(sold, "buyer", a_scribe(), holder=a_person(name="Bo Marsh"))

    def shown(**query: str) -> tuple[list[Piece], list[Piece]]:
        context = page_of(owner_client, gallery, **query).context
        return tuple([s.row.piece for s in context[name]] for name in ("with_them", "passed_on"))  # type: ignore[return-value]

    assert shown() == ([held[2], held[1]], [sold[2], sold[1]])
    assert shown(page="2") == ([held[0]], [sold[2], sold[1]])
    assert shown(page="2", past="2") == ([held[0]], [sold[0]])
    assert shown(past="x", page="-1")[1] == [sold[2], sold[1]]
    page = page_of(owner_client, gallery, page="2").content.decode()
    assert 'href="?page=2&amp;past=2#passed-on"' in page
    assert "All 2 trees" in page
    assert f"{reverse('trees:trees')}?find=Ada%20Quill" in page


def test_a_piece_in_for_repair_says_whose_it_is_and_since_when(owner_client: Client) -> None:
    buyer = a_person()
    give(an_old_piece(PartialDate("2009~"), buyer), "repair")
    page = page_of(owner_client, buyer).content.decode()
    assert "With its owner, since about 2009 · in for repair now" in page


def test_an_empty_page_says_what_belongs_there(owner_client: Client) -> None:
    page = page_of(owner_client, a_person()).content.decode()
    assert "No piece has gone through the hands of Ada Quill yet." in page


def test_a_folded_entry_leads_to_the_kept_one_with_its_pieces(owner_client: Client) -> None:
    ada, folded = a_person(name="Ada Quill"), a_person(name="A. Quill", phone="555-0101")
    piece = factories.a_piece("finished")
    give(piece, "buyer", folded)
    merging.merge(ada, folded, a_scribe())
    assert page_of(owner_client, folded).headers["Location"] == f"/people/{ada.pk}/"
    response = page_of(owner_client, ada)
    assert [stay.row.piece for stay in response.context["with_them"]] == [piece]
    assert (
        "A. Quill" in response.content.decode() and "Part them again" in response.content.decode()
    )
    hands = owner_client.get(f"/pieces/{piece.code}/").content.decode()
    assert f'<a href="/people/{folded.pk}/">A. Quill</a>' in hands
    assert Custody.objects.get(holder=folded).piece == piece
