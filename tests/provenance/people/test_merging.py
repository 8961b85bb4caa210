"""Two entries of one person made one, and parted again."""

from datetime import UTC, date, datetime
from typing import Any
from uuid import uuid4

import pytest
from django.db import models
from django.test import Client

from provenance.people import merging
from provenance.people.acquaintance import Named, add_person, alike, same_person
from provenance.people.forms import offer
from provenance.people.merging import NotFolded, NotTwoPeople
from provenance.people.models import Merge, Person
from provenance.pieces import custody, promises
from provenance.trees.models import BoughtStock, Tree
from tests import factories
from tests.factories import a_person, a_scribe

pytestmark = pytest.mark.django_db
LATER = a_scribe(at=datetime(2026, 7, 1, tzinfo=UTC))


def two(**of_the_folded: Any) -> tuple[Person, Person]:
    return a_person(name="Ada Quill"), a_person(**{"name": "A. Quill", **of_the_folded})


def test_what_may_be_changed_is_moved_and_ledgers_are_left() -> None:
    ada, folded = two()
    tree, stock = factories.a_tree(donor=folded), factories.some_stock(supplier=folded)
    promise = promises.make(a_scribe(), "A bowl.", to=folded)
    piece = factories.a_piece("finished")
    custody.hand_over([piece], "buyer", a_scribe(), holder=folded)
    made = merging.merge(ada, folded, LATER)
    for thing in (tree, stock, promise, folded):
        thing.refresh_from_db()
    assert tree.donor == stock.supplier == promise.to == folded.merged_into == ada
    assert piece.custodies.get(position=2).holder == folded
    assert made.moved == {
        "trees.Tree.donor": [tree.pk],
        "trees.BoughtStock.supplier": [stock.pk],
        "pieces.Promise.to": [promise.pk],
    }
    assert (made.at, made.parted_at) == (LATER.at, None)
    assert ada.keys() == folded.keys() == [ada.pk, folded.pk]


def test_every_column_that_names_a_person_is_moved_or_a_ledgers() -> None:
    movable = {(column.model, column.name) for column in merging.movable()}
    assert {(Tree, "donor"), (BoughtStock, "supplier")} <= movable
    for relation in Person._meta.get_fields(include_hidden=True):
        if relation.auto_created and not relation.concrete:
            # Many to one: of anything else a merge would have to know what to do with two.
            assert type(relation) is models.ManyToOneRel, relation
            model = relation.related_model
            is_kept = getattr(model, "ledger", False) or model in (Person, Merge)
            assert is_kept != ((model, relation.field.name) in movable), relation


def test_parting_moves_back_what_still_points_to_the_kept_person() -> None:
    ada, folded = two(phone="555-0101")
    mine, theirs = factories.a_tree(donor=ada), factories.a_tree(donor=folded)
    given_on = factories.a_tree(donor=folded)
    made = merging.merge(ada, folded, a_scribe())
    somebody = a_person(name="Bo Marsh")
    Tree.objects.filter(pk=given_on.pk).update(donor=somebody)
    merging.part(made, LATER)
    donors = {tree.pk: tree.donor for tree in Tree.objects.all()}
    assert donors == {mine.pk: ada, theirs.pk: folded, given_on.pk: somebody}
    folded.refresh_from_db()
    ada.refresh_from_db()
    assert (folded.merged_into, folded.phone, ada.phone) == (None, "555-0101", "")
    assert Merge.objects.get().parted_at == LATER.at
    assert merging.merge(ada, folded, LATER).pk != made.pk


def test_many_rows_are_moved_back_in_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(merging, "AT_ONCE", 2)
    ada, folded = two()
    for _ in range(5):
        factories.some_stock(supplier=folded)
    merging.part(merging.merge(ada, folded, a_scribe()), a_scribe())
    assert folded.stock_supplied.count() == 5


def test_what_the_kept_entry_lacks_is_taken_over_and_what_differs_is_noted() -> None:
    ada = a_person(phone="555-0101", notes="Two oaks.")
    folded = a_person(
        name="A. Quill", phone="555-0102", mail="ada@example.org", address="Mill Lane",
        notes="Comes on\nSaturdays.",
    )  # fmt: skip
    made = merging.merge(ada, folded, a_scribe())
    ada.refresh_from_db()
    assert (ada.phone, ada.mail, ada.address) == ("555-0101", "ada@example.org", "Mill Lane")
    assert ada.notes == "Two oaks.\nAlso reached at 555-0102.\nComes on\nSaturdays."
    assert (made.moved["filled"], made.moved["noted"]) == (["mail", "address"], ["phone", "notes"])
    Person.objects.filter(pk=ada.pk).update(address="Weir House", notes=f"{ada.notes}\nLikes ash.")
    merging.part(made, a_scribe())
    ada.refresh_from_db()
    assert (ada.phone, ada.mail, ada.address) == ("555-0101", "", "Weir House")
    assert ada.notes == "Two oaks.\nLikes ash."


def test_the_same_said_in_another_way_is_not_noted() -> None:
    ada = a_person(phone="555-0101", mail="ada@example.org", notes="Also reached at x@example.org.")
    folded = a_person(name="A.", phone="(555) 0101", mail="ADA@example.org")
    assert merging.merge(ada, folded, a_scribe()).moved == {}
    merging.merge(ada, a_person(mail="x@example.org", notes="oak"), a_scribe())
    ada.refresh_from_db()
    assert ada.notes == "Also reached at x@example.org.\noak"


def test_notes_that_were_written_anew_are_left_alone_when_parting() -> None:
    ada = a_person()
    made = merging.merge(ada, a_person(notes="oak"), a_scribe())
    Person.objects.filter(pk=ada.pk).update(notes="Two oaks.")
    merging.part(made, a_scribe())
    ada.refresh_from_db()
    assert ada.notes == "Two oaks."


def test_consent_is_never_widened() -> None:
    ada = add_person(a_scribe(), name="Ada Quill")
    folded = add_person(
        a_scribe(), name="A. Quill", may_be_named=True, public_name="the Quills",
        may_be_written_to=True,
    )  # fmt: skip
    merging.merge(ada, folded, a_scribe())
    ada.refresh_from_db()
    assert (ada.name_in_public, ada.may_be_named, ada.may_be_written_to) == ("", False, False)
    assert (ada.may_be_named_on, ada.may_be_written_to_on) == (None, None)


def test_nobody_is_folded_into_themselves_or_twice() -> None:
    ada, folded = two()
    bo = a_person(name="Bo Marsh")
    with pytest.raises(NotTwoPeople, match="one and the same entry"):
        merging.merge(ada, Person.objects.get(pk=ada.pk), a_scribe())
    merging.merge(ada, folded, a_scribe())
    stale = Person(pk=folded.pk, name="A. Quill", created_at=factories.NOW)
    for one, other in ((ada, stale), (bo, stale), (stale, bo)):
        with pytest.raises(NotTwoPeople, match=r"A\. Quill is one with Ada Quill already"):
            merging.merge(one, other, a_scribe())
    assert Merge.objects.count() == 1


def test_folding_is_flat_and_parted_in_the_other_order() -> None:
    ada, folded = two()
    nell = a_person(name="Nell Quill")
    tree = factories.a_tree(donor=folded)
    first = merging.merge(ada, folded, a_scribe())
    second = merging.merge(nell, ada, a_scribe())
    folded.refresh_from_db()
    assert folded.merged_into == nell
    assert nell.keys() == [nell.pk, ada.pk, folded.pk]
    with pytest.raises(NotFolded, match="made one with Nell Quill afterwards: part those two"):
        merging.part(first, a_scribe())
    merging.part(second, a_scribe())
    folded.refresh_from_db()
    tree.refresh_from_db()
    assert (folded.merged_into, tree.donor) == (ada, ada)
    merging.part(first, a_scribe())
    tree.refresh_from_db()
    assert tree.donor == folded
    with pytest.raises(NotFolded, match="were parted already"):
        merging.part(first, a_scribe())


# Everywhere else they are one person


@pytest.mark.parametrize("text", ["a. q", "A. QUILL", "0102", "aq@example", "ada"])
def test_a_search_for_the_folded_entry_finds_the_kept_one_once(text: str) -> None:
    ada, folded = two(phone="555-0102", mail="aq@example.org")
    a_person(name="Bo Marsh", phone="555-0103")
    merging.merge(ada, folded, a_scribe())
    assert list(Person.objects.search(text)) == [ada]
    assert Person.objects.search("").by_name()[0] == ada
    assert Person.objects.search("").count() == Person.objects.by_name().count() == 2


def test_a_name_or_a_choice_of_the_folded_entry_is_the_kept_person() -> None:
    ada, folded = two(phone="555-0102")
    merging.merge(ada, folded, a_scribe())
    assert same_person(Named(pk=folded.pk, name="A. Quill"), a_scribe()) == ada
    assert same_person(Named(name="a. quill"), a_scribe()) == ada
    assert same_person(Named(name="Ada Quill", phone="(555) 0102"), a_scribe()) == ada
    assert same_person(Named(name="A. Quill", phone="555-0199"), a_scribe()) not in (ada, folded)


def test_the_folded_entry_is_offered_to_nobody_and_its_name_marks_the_kept_one() -> None:
    ada, folded = two()
    merging.merge(ada, folded, a_scribe())
    offered = offer("a. quill")
    assert (offered.people, offered.chosen) == ([ada], str(ada.pk))
    assert offer("quill", str(folded.pk)).chosen == str(ada.pk)
    assert offer("quill", str(folded.pk)).meant(str(folded.pk)) == str(ada.pk)
    assert offer("quill").chosen == offer("a. quill", "new").chosen == "new"


def test_the_folded_entry_is_no_duplicate() -> None:
    ada, folded = two(phone="555-0102", mail="aq@example.org")
    merging.merge(ada, folded, a_scribe())
    assert alike("A. Quill", "", "") == [ada]
    assert alike("Somebody", "AQ@example.org", "") == [ada]
    assert alike("Somebody", "", "555 0102") == [ada]
    assert alike("Ada Quill", "", "555-0102", besides=ada.pk) == []


def test_a_promise_to_either_entry_is_kept_by_a_parting_to_the_other() -> None:
    ada, folded = two()
    piece = factories.a_piece("finished")
    promise = promises.make(a_scribe(), "A bowl.", pieces=[piece], to=folded)
    merging.merge(ada, folded, a_scribe())
    stale = Person.objects.get(pk=folded.pk)
    assert promises.broken_by(piece, to=ada) == promises.broken_by(piece, to=stale) == []
    assert promises.broken_by(piece, to=a_person()) == [promise]


def test_what_the_folded_entry_has_is_with_the_kept_one_already() -> None:
    ada, folded = two()
    piece = factories.a_piece("finished")
    custody.hand_over([piece], "buyer", a_scribe(), holder=folded)
    merging.merge(ada, folded, a_scribe())
    with pytest.raises(custody.SameHands):
        custody.hand_over([piece], "buyer", a_scribe(), holder=ada)


# The pages


def test_those_who_look_the_same_are_offered_first(owner_client: Client) -> None:
    ada = a_person(phone="555-0101")
    same = a_person(name="A. Quill", phone="(555) 01-01")
    bo = a_person(name="Bo Marsh")
    page = owner_client.get(f"/people/{ada.pk}/merge/").content.decode()
    assert f'name="other" value="{same.pk}"' in page and f'value="{bo.pk}"' not in page
    assert f"/people/{ada.pk}/merge/" in owner_client.get(f"/people/{ada.pk}/").content.decode()
    typed = owner_client.get(
        f"/people/{ada.pk}/merge/", {"find": "marsh"}, headers={"HX-Request": "true"}
    ).content.decode()
    assert f'value="{bo.pk}"' in typed and f'value="{same.pk}"' not in typed and "<h1" not in typed


def test_a_name_that_only_one_has_is_the_other_entry(owner_client: Client) -> None:
    ada, bo = a_person(name="Ada Quill"), a_person(name="Bo Marsh")
    url = f"/people/{ada.pk}/merge/"
    page = owner_client.get(url, {"find": "marsh"}).content.decode()
    assert "Make these two entries one?" in page
    assert f'name="other" value="{bo.pk}"' in page
    typed = owner_client.get(url, {"find": "marsh"}, headers={"HX-Request": "true"})
    assert f'value="{bo.pk}" checked' in typed.content.decode()
    assert not Merge.objects.exists()


@pytest.mark.parametrize(
    ("find", "sentence"),
    [
        ("marsh", "More than one matches “marsh”: choose the one below."),
        ("walnut", "Nobody else in the book matches “walnut”."),
        ("ada", "Nobody else in the book matches “ada”."),  # that is the entry itself
        ("", "Type whom you mean, then choose the other entry."),
    ],
)
def test_a_name_that_none_or_several_have_is_answered_beside_the_field(
    owner_client: Client, find: str, sentence: str
) -> None:
    ada = a_person(name="Ada Quill")
    for name in ("Bo Marsh", "Cleo Marsh"):
        a_person(name=name)
    url = f"/people/{ada.pk}/merge/"
    page = owner_client.get(url, {"find": find}).content.decode()
    field = page.partition('id="id_find"')[2].partition('id="others"')[0]
    assert 'aria-invalid="true"' in field and sentence in field
    assert page.count(sentence) == 1
    assert " checked" not in page
    assert "aria-invalid" not in owner_client.get(url).content.decode()


@pytest.mark.parametrize(
    ("name", "is_offered"),
    [
        ("Nell Quill", True), ("ADA QUILLE", True), ("Quillan & Reed", True),
        ("Ada Reed", False), ("Bo Tranquill", False),
    ],
)  # fmt: skip
def test_who_has_a_last_name_like_it_is_offered_too(
    owner_client: Client, name: str, is_offered: bool
) -> None:
    ada, other = a_person(name="Ada Quill"), a_person(name=name)
    page = owner_client.get(f"/people/{ada.pk}/merge/").content.decode()
    assert (f'name="other" value="{other.pk}"' in page) == is_offered
    assert ("or a last name that begins like it: type above" in page) != is_offered


def test_both_are_shown_before_they_are_made_one(owner_client: Client) -> None:
    ada, folded = two(may_be_named=True, may_be_named_on=date(2026, 1, 2))
    factories.a_tree(donor=folded)
    for _ in range(2):
        promises.make(a_scribe(), "A bowl.", to=folded)
    url = f"/people/{ada.pk}/merge/"
    page = owner_client.get(url, {"other": folded.pk}).content.decode()
    assert "2 promises" in page and "1 tree" in page
    assert "The other entry says more" in page
    assert f"/people/{folded.pk}/merge/?other={ada.pk}" in page
    assert not Merge.objects.exists()
    form = {"other": folded.pk, "token": str(uuid4())}
    places = {owner_client.post(url, form).headers["Location"] for _ in range(2)}
    assert places == {f"/people/{ada.pk}/"}
    assert Merge.objects.get().folded == folded


@pytest.mark.parametrize("other", ["", "x", "9" * 18, "9" * 30, "9" * 5000, "\0", "-1", "self"])
def test_who_cannot_be_the_other_is_refused_in_a_sentence(owner_client: Client, other: str) -> None:
    ada = a_person()
    sent = {"other": str(ada.pk) if other == "self" else other}
    url = f"/people/{ada.pk}/merge/"
    assert "Look at both" in owner_client.get(url, sent).content.decode()
    page = owner_client.post(url, sent).content.decode()
    assert "notice-bad" in page
    assert not Merge.objects.exists()


def test_a_folded_entrys_pages_lead_to_the_kept_one(owner_client: Client) -> None:
    ada, folded = two()
    merging.merge(ada, folded, a_scribe())
    for page in ("edit/", "merge/"):
        answer = owner_client.get(f"/people/{folded.pk}/{page}")
        assert answer.headers["Location"] == f"/people/{ada.pk}/{page}"
    answer = owner_client.post(f"/people/{folded.pk}/edit/", {"name": "Else"}, follow=True)
    assert "Nothing was changed" in answer.content.decode()
    folded.refresh_from_db()
    assert folded.name == "A. Quill"


def test_parting_from_the_page_says_so_once(owner_client: Client) -> None:
    ada, folded = two()
    made = merging.merge(ada, folded, a_scribe())
    url = f"/people/merges/{made.pk}/part"
    assert url in owner_client.get(f"/people/{ada.pk}/").content.decode()
    page = owner_client.post(url, follow=True).content.decode()
    assert "A. Quill and Ada Quill are two people again." in page and url not in page
    assert "were parted already" in owner_client.post(url, follow=True).content.decode()


def test_who_came_with_another_entry_has_no_way_to_be_parted_alone(owner_client: Client) -> None:
    ada, folded = two()
    nell = a_person(name="Nell Quill")
    first = merging.merge(ada, folded, a_scribe())
    second = merging.merge(nell, ada, a_scribe())
    page = owner_client.get(f"/people/{nell.pk}/").content.decode()
    assert f"/people/merges/{second.pk}/part" in page
    assert f"/people/merges/{first.pk}/part" not in page and "came with Ada Quill" in page


def test_a_form_opened_before_still_names_the_right_person(owner_client: Client) -> None:
    ada, folded = two()
    merging.merge(ada, folded, a_scribe())
    piece = factories.a_piece("finished")
    sent = {
        "kind": "buyer",
        "holder_name": "Quill",
        "holder_choice": folded.pk,
        "since": "15 June 2026",
    }
    owner_client.post(f"/pieces/{piece.code}/hands/", sent | {"token": str(uuid4())})
    piece.refresh_from_db()
    assert piece.custody.holder == ada
