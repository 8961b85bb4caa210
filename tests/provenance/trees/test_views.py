"""Registering a tree at pick-up, finding it, changing what is known of it."""

import io
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from provenance.people.models import Person
from provenance.record.models import JournalEntry
from provenance.trees.models import Cause, Tree
from tests.factories import a_person, a_picture, a_section, a_tree

REGISTER = "/trees/register/"


def typed(**more: Any) -> dict[str, Any]:
    """A form with only what must be there."""
    return {
        "token": str(uuid4()),
        "species": "bigleaf maple",
        "certainty": "guess",
        "public_place": "Hollin Ferry",
        **more,
    }


def test_wood_and_place_are_enough(owner_client: Client) -> None:
    response = owner_client.post(REGISTER, typed())
    tree = Tree.objects.get()
    assert response.headers["Location"] == f"/trees/{tree.code}/"
    assert (tree.species_slug, tree.certainty) == ("bigleaf-maple", "guess")
    assert tree.public_place == "Hollin Ferry"
    assert tree.felled is None and tree.donor is None and tree.cause is None
    assert len(tree.missing()) == 10


@pytest.mark.parametrize("left_out", ["species", "public_place"])
def test_without_wood_or_place_the_form_comes_back_as_typed(
    owner_client: Client, left_out: str
) -> None:
    form = typed(story="It shaded the ferry house.") | {left_out: "  "}
    page = owner_client.post(REGISTER, form).content.decode()
    assert "It shaded the ferry house." in page
    assert 'role="alert"' in page
    assert not Tree.objects.exists()


def test_everything_can_be_told_at_once(owner_client: Client) -> None:
    storm = Cause.objects.get(slug="storm")
    owner_client.post(
        REGISTER,
        typed(
            species="maple",
            species_choice="red-maple",
            cause=storm.pk,
            cause_words="the gale of the 12th",
            felled="March 2023",
            collected="20 March 2023",
            felled_by="the county",
            donor_name="Ada Quill",
            donor_phone="555-0101",
            permission="Take it all",
            promised="A bowl for the daughter",
            private_address="14 Saltmarsh Lane\nHollin Ferry",
            coordinates="44.0521, -123.0868",
            trunk_diameter_mm="24 1/2 in",
            ring_count="90",
            hardware="suspected",
            hardware_words="swing hook",
            movement_asked_of="county plant health office",
            movement_asked="no limit known to them",
            movement_asked_on="2023-03-19",
            story="It shaded the ferry house.",
            notes="Gate code on the fridge",
        ),
    )
    tree = Tree.objects.get()
    assert tree.species_slug == "red-maple"
    assert (tree.felled and tree.felled.edtf) == "2023-03"
    assert tree.trunk_diameter_mm == 622
    assert tree.donor == Person.objects.get(name="Ada Quill", phone="555-0101")
    assert tree.coordinates == "44.0521, -123.0868"
    assert tree.missing() == []


def test_a_form_sent_twice_registers_one_tree_and_one_giver(owner_client: Client) -> None:
    form = typed(donor_name="Ada Quill")
    places = {owner_client.post(REGISTER, form).headers["Location"] for _ in range(2)}
    assert len(places) == 1
    assert (Tree.objects.count(), Person.objects.count()) == (1, 1)


def test_the_giver_may_be_somebody_in_the_book(owner_client: Client) -> None:
    ada, other = a_person(name="Ada Quill", phone=""), a_person(name="Ada Quill")
    form = typed(donor_name="ada", donor_choice=str(ada.pk), donor_phone="555-0102")
    owner_client.post(REGISTER, form)
    assert Tree.objects.get().donor == ada
    ada.refresh_from_db()
    assert ada.phone == "555-0102"
    assert other.trees_given.count() == 0


def test_without_a_choice_the_one_of_that_name_is_meant(owner_client: Client) -> None:
    ada = a_person(name="Ada Quill")
    owner_client.post(REGISTER, typed(donor_name="ada quill"))
    assert Tree.objects.get().donor == ada


def test_somebody_new_may_have_the_name_of_somebody_known(owner_client: Client) -> None:
    a_person(name="Ada Quill")
    owner_client.post(REGISTER, typed(donor_name="Ada Quill", donor_choice="new"))
    assert Person.objects.filter(name="Ada Quill").count() == 2


def test_a_refused_photo_keeps_the_tree_and_the_other_photos(owner_client: Client) -> None:
    broken = io.BytesIO(b"no picture")
    broken.name = "roof.jpg"
    form = typed(photos=[a_picture("sienna"), broken, a_picture("olive")], photos_public="on")
    page = owner_client.post(REGISTER, form, follow=True).content.decode()
    tree = Tree.objects.get()
    assert tree.journal.photos.public().count() == 2
    assert "“roof.jpg”: This is not a picture" in page


def test_photos_wait_while_the_form_comes_back(owner_client: Client) -> None:
    broken = io.BytesIO(b"no picture")
    broken.name = "roof.jpg"
    form = typed(felled="3/4/2023", photos=[a_picture("sienna"), a_picture("olive"), broken])
    response = owner_client.post(REGISTER, form)
    slips = [photo.slip for photo in response.context["waiting_photos"]]
    page = response.content.decode()
    assert len(slips) == 2 and all(slip in page for slip in slips)
    assert "Not kept: “roof.jpg”" in page
    assert not Tree.objects.exists()
    again = typed(felled="?", waiting=slips, photos=[a_picture("teal")])
    slips = [p.slip for p in owner_client.post(REGISTER, again).context["waiting_photos"]]
    last = typed(felled="March 2023", waiting=[*slips[1:], "forged", slips[2]])
    shown = owner_client.post(REGISTER, last, follow=True).content.decode()
    assert Tree.objects.get().journal.photos.count() == 2
    assert "2 photos kept." in shown


def test_a_tree_without_photos_says_nothing_of_photos(owner_client: Client) -> None:
    assert "hoto kept" not in owner_client.post(REGISTER, typed(), follow=True).content.decode()


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("felled", "3/4/2023", "felled"),
        ("collected", "12 March 2022", "before it came down"),
        ("coordinates", "by the mill", "decimal degrees"),
        ("trunk_diameter_mm", "-3", "trunk_diameter_mm"),
        ("ring_count", "9" * 30, "6000"),
        ("movement_asked_on", "2999-01-01", "still to come"),
        ("story", "x" * 10_000, "5000"),
        ("public_place", "x" * 10_000, "120"),
        ("species", "x" * 10_000, "120"),
        ("cause", "999", "Select a valid choice"),
        ("certainty", "certain", "certain"),
    ],
)
def test_what_cannot_be_kept_comes_back_with_a_sentence(
    owner_client: Client, field: str, value: str, sentence: str
) -> None:
    form = typed(felled="March 2023", private_address="14 Saltmarsh Lane") | {field: value}
    response = owner_client.post(REGISTER, form)
    page = response.content.decode()
    assert response.context["form"].errors[field]
    assert sentence in page
    assert "14 Saltmarsh Lane" in page
    assert not Tree.objects.exists()


def test_nasty_words_are_kept_clean(owner_client: Client) -> None:
    owner_client.post(
        REGISTER,
        typed(
            species="El\x00m 🌳",
            public_place="E\u0301lodie’s\r\nYard <b>",
            story="one\r\ntwo\x00",
            donor_name="\x00",
            token="no token",
        )
        | {"token": ""},
    )
    tree = Tree.objects.get()
    assert tree.species_words == "Elm 🌳"
    assert tree.public_place == "Élodie’s Yard <b>"
    assert tree.story == "one\ntwo"
    assert tree.donor is None
    page = owner_client.get(f"/trees/{tree.code}/edit/").content.decode()
    assert "Élodie’s Yard &lt;b&gt;" in page


def test_folds_with_something_in_them_stand_open(owner_client: Client) -> None:
    fresh = owner_client.get(REGISTER).content.decode()
    assert '<details class="fold" open' not in fresh
    page = owner_client.post(REGISTER, typed(felled="3/4/2023")).content.decode()
    assert page.count('<details class="fold" open') == 1


def test_the_form_says_when_the_phones_place_cannot_be_had(owner_client: Client) -> None:
    page = owner_client.get(REGISTER).content.decode()
    assert 'data-place="id_coordinates"' in page
    assert "data-place-ask hidden" in page


def test_the_book_never_says_that_a_move_is_allowed(owner_client: Client) -> None:
    page = owner_client.get(REGISTER).content.decode()
    assert "it cannot say that a move is allowed" in page
    assert "plant health authority" in page


# Changing


def edit_form(client: Client, tree: Tree) -> dict[str, Any]:
    """The edit page's form as a browser would send it back."""
    form = client.get(f"/trees/{tree.code}/edit/").context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in values.items() if value not in (None, False)}


def test_a_form_sent_back_untouched_changes_nothing(owner_client: Client) -> None:
    tree = a_tree(donor=a_person(), latitude="44.052100", longitude="-123.086800")
    entries = tree.journal.entries.count()
    response = owner_client.post(f"/trees/{tree.code}/edit/", edit_form(owner_client, tree))
    assert response.status_code == 302
    assert tree.journal.entries.count() == entries


def test_a_change_is_written_and_journalled(owner_client: Client) -> None:
    tree = a_tree()
    form = edit_form(owner_client, tree) | {
        "ring_count": "94",
        "coordinates": "44.0521, -123.0868",
        "donor_name": "Ada Quill",
        "species": "silver maple",
    }
    owner_client.post(f"/trees/{tree.code}/edit/", form)
    tree.refresh_from_db()
    assert (tree.ring_count, tree.species_slug) == (94, "silver-maple")
    assert tree.donor is not None and tree.donor.name == "Ada Quill"
    entry = tree.journal.entries.get(kind=JournalEntry.Kind.DETAILS)
    assert entry.changes["ring_count"] == [90, 94]
    page = owner_client.get(f"/trees/{tree.code}/").content.decode()
    assert "<del>90</del> → 94" in page


def test_two_windows_do_not_overwrite_each_other_unseen(owner_client: Client) -> None:
    tree = a_tree()
    one, other = edit_form(owner_client, tree), edit_form(owner_client, tree)
    owner_client.post(f"/trees/{tree.code}/edit/", one | {"ring_count": "94"})
    response = owner_client.post(f"/trees/{tree.code}/edit/", other | {"story": "Mine."})
    page = response.content.decode()
    assert "changed in another window" in page and "Mine." in page
    tree.refresh_from_db()
    assert (tree.ring_count, tree.story) == (94, "")
    again = other | {"story": "Mine.", "seen": response.context["form"]["seen"].value()}
    owner_client.post(f"/trees/{tree.code}/edit/", again)
    tree.refresh_from_db()
    assert tree.story == "Mine."


def test_clearing_the_name_takes_the_giver_away(owner_client: Client) -> None:
    tree = a_tree(donor=a_person())
    form = edit_form(owner_client, tree) | {"donor_name": ""}
    owner_client.post(f"/trees/{tree.code}/edit/", form)
    tree.refresh_from_db()
    assert tree.donor is None


def test_unknown_trees_are_not_found(owner_client: Client) -> None:
    for name in ("edit", "add_section"):
        assert owner_client.get(reverse(f"trees:{name}", args=["T269999"])).status_code == 404
    for name in ("add_photo", "note"):
        assert owner_client.post(reverse(f"trees:{name}", args=["T269999"])).status_code == 404


# The list


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_as_many_queries_for_one_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    for _ in range(count):
        a_section(a_tree(donor=a_person()))
    with django_assert_num_queries(6):  # session, user, shop's clock, count, rows, shop
        page = owner_client.get("/trees/").content.decode()
    assert page.count('class="row"') == count


def test_the_newest_stands_first_with_its_sections_counted(owner_client: Client) -> None:
    old = a_tree()
    new = a_tree(public_place="Overy")
    a_section(new)
    a_section(new)
    trees = list(owner_client.get("/trees/").context["page"])
    assert [tree.pk for tree in trees] == [new.pk, old.pk]
    assert [tree.section_count for tree in trees] == [2, 0]


@pytest.mark.parametrize("find", ["élodie", "ÉLODIE", "É", "T26-", "MAPLE", "hollin", "acer"])
def test_typing_finds_in_any_case(owner_client: Client, find: str) -> None:
    tree = a_tree(donor=a_person(name="Élodie Marchbank"))
    a_tree(
        species_slug="white-ash", public_place="Overy", ring_count=None
    ) if find != "T26-" else None
    assert list(owner_client.get("/trees/", {"find": find}).context["page"]) == [tree]


@pytest.mark.parametrize("find", ["\x00", "%", ".*", "(", "\\", "🌳", "x" * 10_000, "\ud800"])
def test_nasty_searches_find_nothing_and_break_nothing(owner_client: Client, find: str) -> None:
    a_tree()
    response = owner_client.get("/trees/", {"find": find.encode("utf-8", "surrogatepass")})
    assert response.status_code == 200


def test_an_empty_book_and_no_hit_are_two_things(owner_client: Client) -> None:
    assert "No tree is in the book yet" in owner_client.get("/trees/").content.decode()
    a_tree()
    page = owner_client.get("/trees/", {"find": "larch"}).content.decode()
    assert "No tree matches “larch”" in page


@pytest.mark.parametrize("page", ["abc", "0", "-1", "99", "", "9" * 50])
def test_a_wrong_page_number_shows_a_page(owner_client: Client, page: str) -> None:
    a_tree()
    assert list(owner_client.get("/trees/", {"page": page}).context["page"])


def test_a_filter_typed_gets_only_the_rows(owner_client: Client) -> None:
    a_tree()
    rows = owner_client.get("/trees/", headers={"HX-Request": "true"}).content.decode()
    assert "<h1>" not in rows and 'class="row"' in rows
    whole = owner_client.get(
        "/trees/", headers={"HX-Request": "true", "HX-History-Restore-Request": "true"}
    )
    assert "<h1>" in whole.content.decode()


def test_the_wood_is_offered_while_it_is_typed(owner_client: Client) -> None:
    page = owner_client.get("/trees/species", {"species": "maple"}).content.decode()
    assert page.count('name="species_choice"') == 7
    assert 'value="genus-acer" checked' in page
    assert (
        "Limits on its trade"
        in owner_client.get("/trees/species", {"species": "cocobolo"}).content.decode()
    )
    page = owner_client.get("/trees/species", {"species": "<b>elm?</b>\x00"}).content.decode()
    assert "&lt;b&gt;" in page and "<b>elm" not in page
    assert owner_client.get("/trees/species").content.decode().strip() == ""


# Photos and notes


def test_photos_are_kept_private_unless_said(owner_client: Client) -> None:
    tree = a_tree()
    url = f"/trees/{tree.code}/photos/"
    owner_client.post(url, {"photos": [a_picture("sienna"), a_picture("olive")]})
    assert tree.journal.photos.count() == 2
    assert not tree.journal.photos.public().exists()
    page = owner_client.post(url, {}, follow=True).content.decode()
    assert "No photo was chosen" in page


def test_a_note_is_written_once(owner_client: Client) -> None:
    tree = a_tree()
    form = {
        "token": str(uuid4()),
        "words": "Looked at it",
        "happened": "2026-06-14",
        "minutes": "20",
    }
    for _ in range(2):
        owner_client.post(f"/trees/{tree.code}/notes/", form)
    entry = tree.journal.entries.get(kind=JournalEntry.Kind.NOTE)
    assert (entry.words, entry.minutes) == ("Looked at it", 20)


@pytest.mark.parametrize(
    "wrong", [{"words": " "}, {"happened": "3/4/2023"}, {"minutes": "-1"}, {"happened": "2999"}]
)
def test_a_note_that_cannot_be_kept_comes_back_as_typed(
    owner_client: Client, wrong: dict[str, str]
) -> None:
    tree = a_tree()
    form = {"words": "Looked at it", "happened": "yesterday", "minutes": "20", **wrong}
    page = owner_client.post(f"/trees/{tree.code}/notes/", form).content.decode()
    assert ("Looked at it" in page) == ("words" not in wrong)
    assert not tree.journal.entries.filter(kind=JournalEntry.Kind.NOTE).exists()


def test_a_strangers_hand_writes_nothing(shop: Any) -> None:
    tree = a_tree()
    for url in (REGISTER, f"/trees/{tree.code}/edit/", f"/trees/{tree.code}/notes/"):
        assert "/sign-in" in Client().post(url, typed(words="x")).headers["Location"]
    assert Tree.objects.count() == 1
