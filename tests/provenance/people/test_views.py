"""The people of the book: entering, changing and choosing them."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from provenance.people.models import Person
from tests.factories import a_person


def typed(**more: Any) -> dict[str, Any]:
    return {"token": str(uuid4()), "name": "Ada Quill", **more}


def test_a_name_is_enough(owner_client: Client) -> None:
    response = owner_client.post("/people/add/", typed())
    person = Person.objects.get()
    assert response.headers["Location"] == f"/people/{person.pk}/"
    assert (person.may_be_named, person.may_be_written_to) == (False, False)


def test_consent_is_dated_when_ticked(owner_client: Client) -> None:
    owner_client.post(
        "/people/add/",
        typed(may_be_named="on", public_name="the Quill family", may_be_written_to="on",
              may_be_written_to_on="2026-01-02"),
    )  # fmt: skip
    person = Person.objects.get()
    assert person.may_be_named_on is not None
    assert str(person.may_be_written_to_on) == "2026-01-02"
    assert person.name_in_public == "the Quill family"
    page = owner_client.get(f"/people/{person.pk}/").content.decode()
    assert "May be named as the Quill family, agreed on" in page


def test_a_form_sent_twice_enters_one_person(owner_client: Client) -> None:
    form = typed(confirmed="on")
    places = {owner_client.post("/people/add/", form).headers["Location"] for _ in range(2)}
    assert len(places) == 1 and Person.objects.count() == 1


@pytest.mark.parametrize(
    "known", [{"name": "ada quill"}, {"mail": "Ada@example.org"}, {"phone": "(555) 01-01"}]
)
def test_somebody_who_may_be_in_the_book_is_shown_first(
    owner_client: Client, known: dict[str, str]
) -> None:
    a_person(**{"name": "Somebody", **known})
    form = typed(mail="ada@example.org", phone="555-0101", notes="Two oaks")
    page = owner_client.post("/people/add/", form).content.decode()
    assert "Already in the book?" in page and "Two oaks" in page
    assert Person.objects.count() == 1
    owner_client.post("/people/add/", form | {"confirmed": "on"})
    assert Person.objects.count() == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", " "),
        ("name", "\x00"),
        ("name", "x" * 10_000),
        ("mail", "ada at example"),
        ("may_be_named_on", "2999-01-01"),
        ("may_be_written_to_on", "yesterday"),
        ("notes", "x" * 10_000),
    ],
)
def test_what_cannot_be_kept_comes_back_as_typed(
    owner_client: Client, field: str, value: str
) -> None:
    form = typed(address="14 Saltmarsh Lane") | {field: value}
    response = owner_client.post("/people/add/", form)
    assert response.context["form"].errors[field]
    assert "14 Saltmarsh Lane" in response.content.decode()
    assert not Person.objects.exists()


def test_nasty_words_are_kept_clean(owner_client: Client) -> None:
    owner_client.post("/people/add/", typed(name="E\u0301lodie\x00 <b> 🌳", address="a\r\nb"))
    person = Person.objects.get()
    assert (person.name, person.address) == ("Élodie <b> 🌳", "a\nb")
    assert "Élodie &lt;b&gt; 🌳" in owner_client.get(f"/people/{person.pk}/").content.decode()


def edit_form(client: Client, person: Person) -> dict[str, Any]:
    form = client.get(f"/people/{person.pk}/edit/").context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in values.items() if value not in (None, False)}


def test_a_change_is_written(owner_client: Client) -> None:
    person = a_person(phone="555-0101", may_be_named=True, may_be_named_on="2026-01-02")
    form = edit_form(owner_client, person) | {"phone": "555-0102"}
    owner_client.post(f"/people/{person.pk}/edit/", form)
    person.refresh_from_db()
    assert person.phone == "555-0102"
    assert str(person.may_be_named_on) == "2026-01-02"


def test_two_windows_do_not_overwrite_each_other_unseen(owner_client: Client) -> None:
    person = a_person()
    url = f"/people/{person.pk}/edit/"
    one, other = edit_form(owner_client, person), edit_form(owner_client, person)
    owner_client.post(url, one | {"phone": "555-0101"})
    response = owner_client.post(url, other | {"notes": "Two oaks"})
    assert "changed in another window" in response.content.decode()
    person.refresh_from_db()
    assert (person.phone, person.notes) == ("555-0101", "")
    again = other | {"notes": "Two oaks", "seen": response.context["form"]["seen"].value()}
    owner_client.post(url, again)
    person.refresh_from_db()
    assert person.notes == "Two oaks"


def test_a_change_that_makes_two_alike_says_so(owner_client: Client) -> None:
    person = a_person(name="Bo")
    a_person(name="Ada Quill")
    form = edit_form(owner_client, person) | {"name": "Ada Quill"}
    page = owner_client.post(f"/people/{person.pk}/edit/", form, follow=True).content.decode()
    assert "Ada Quill has the same name, mail or phone." in page


# Offered while a name is typed in another form


def test_people_are_offered_while_a_name_is_typed(owner_client: Client) -> None:
    elodie = a_person(name="Élodie Marchbank", phone="555-0134")
    page = owner_client.get("/people/choices", {"role": "donor", "donor_name": "éLO"})
    assert f'name="donor_choice" value="{elodie.pk}"' in page.content.decode()
    assert 'value="new" checked' in page.content.decode()
    exact = owner_client.get(
        "/people/choices", {"role": "donor", "donor_name": "élodie marchbank"}
    ).content.decode()
    assert f'value="{elodie.pk}" checked' in exact


def test_a_name_that_nobody_has_is_said_to_be_new(owner_client: Client) -> None:
    page = owner_client.get("/people/choices", {"role": "donor", "donor_name": "<b>"})
    assert "New in the book: &lt;b&gt;" in page.content.decode()
    empty = owner_client.get("/people/choices", {"role": "donor"})
    assert empty.content.decode().strip() == ""


@pytest.mark.parametrize("role", ["", '"><script>', "a b", "x" * 50, "é"])
def test_a_role_that_is_no_field_is_not_found(owner_client: Client, role: str) -> None:
    assert owner_client.get("/people/choices", {"role": role}).status_code == 404
