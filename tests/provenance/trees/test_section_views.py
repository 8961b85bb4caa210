"""Cutting sections from a tree, changing them, sealing their ends."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from provenance.trees.models import Section
from tests.factories import a_section, a_tree


def typed(**more: Any) -> dict[str, Any]:
    return {"token": str(uuid4()), "kind": "trunk", "count": "1", **more}


def test_the_first_section_gets_the_letter_a(owner_client: Client) -> None:
    tree = a_tree()
    form = typed(small_end_mm="400", large_end_mm="48 cm", length_mm="24 in", stored="yard")
    response = owner_client.post(f"/trees/{tree.code}/sections/add/", form)
    assert response.headers["Location"] == f"/trees/{tree.code}/"
    section = tree.sections.get()
    assert (section.letter, section.stored) == ("A", "yard")
    assert (section.small_end_mm, section.large_end_mm, section.length_mm) == (400, 480, 610)


def test_several_alike_are_cut_at_once(owner_client: Client) -> None:
    tree = a_tree()
    page = owner_client.post(
        f"/trees/{tree.code}/sections/add/", typed(count="3", length_mm="500"), follow=True
    )
    assert [s.letter for s in tree.sections.all()] == ["A", "B", "C"]
    assert f"Sections {tree.number} A to C are in the book." in page.content.decode()


def test_another_begins_with_what_the_last_one_had(owner_client: Client) -> None:
    tree = a_tree()
    form = typed(kind="crotch", stored="north wall", cut="March 2023", another="yes")
    response = owner_client.post(f"/trees/{tree.code}/sections/add/", form)
    again = response.headers["Location"]
    assert again == f"/trees/{tree.code}/sections/add/?again=1"
    fresh = owner_client.get(again).context["form"]
    assert (fresh["kind"].value(), fresh["stored"].value()) == ("crotch", "north wall")
    assert fresh["cut"].value() == "March 2023"
    assert fresh["length_mm"].value() is None


def test_a_form_sent_twice_cuts_once(owner_client: Client) -> None:
    tree = a_tree()
    form = typed(count="2")
    for _ in range(2):
        owner_client.post(f"/trees/{tree.code}/sections/add/", form)
    assert tree.sections.count() == 2


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("count", "0"),
        ("count", "31"),
        ("count", "9" * 40),
        ("kind", "twig"),
        ("length_mm", "long"),
        ("small_end_mm", "900"),
        ("cut", "2999"),
        ("notes", "x" * 10_000),
        ("stored", "x" * 10_000),
    ],
)
def test_what_cannot_be_kept_comes_back_as_typed(
    owner_client: Client, field: str, value: str
) -> None:
    tree = a_tree()
    form = typed(position="second length", large_end_mm="480") | {field: value}
    response = owner_client.post(f"/trees/{tree.code}/sections/add/", form)
    assert response.context["form"].errors[field]
    assert "second length" in response.content.decode()
    assert not tree.sections.exists()


def test_nasty_words_are_kept_clean(owner_client: Client) -> None:
    tree = a_tree()
    owner_client.post(
        f"/trees/{tree.code}/sections/add/", typed(stored="Élodie’s\x00 shed 🌲", position="<i>")
    )
    assert tree.sections.get().stored == "Élodie’s shed 🌲"
    assert "&lt;i&gt;" in owner_client.get(f"/trees/{tree.code}/").content.decode()


def edit_form(client: Client, section: Section) -> dict[str, Any]:
    form = client.get(f"/trees/{section.tree.code}/sections/{section.letter}/").context["form"]
    values = {name: form[name].value() for name in form.fields}
    return {name: value for name, value in values.items() if value not in (None, False)}


def test_a_section_is_changed_and_the_change_journalled(owner_client: Client) -> None:
    section = a_section(length_mm=600)
    form = edit_form(owner_client, section) | {"length_mm": "580", "state": "lost"}
    owner_client.post(f"/trees/{section.tree.code}/sections/A/", form)
    section.refresh_from_db()
    assert (section.length_mm, section.state) == (580, "lost")
    page = owner_client.get(f"/trees/{section.tree.code}/sections/A/").content.decode()
    assert "<del>600 mm</del> → 580 mm" in page


def test_two_windows_do_not_overwrite_each_other_unseen(owner_client: Client) -> None:
    section = a_section()
    url = f"/trees/{section.tree.code}/sections/A/"
    one, other = edit_form(owner_client, section), edit_form(owner_client, section)
    owner_client.post(url, one | {"stored": "yard"})
    page = owner_client.post(url, other | {"stored": "shed"}).content.decode()
    assert "changed in another window" in page
    section.refresh_from_db()
    assert section.stored == "yard"


def test_ends_are_sealed_by_one_press(owner_client: Client) -> None:
    section = a_section()
    url = f"/trees/{section.tree.code}/sections/A/seal/"
    for _ in range(2):
        response = owner_client.post(url, {"next": "https://elsewhere.example.org/"})
    assert response.headers["Location"] == f"/trees/{section.tree.code}/"
    section.refresh_from_db()
    assert section.end_sealed is not None and section.end_sealed.is_exact
    assert section.journal.entries.exclude(changes={}).count() == 1
    assert owner_client.get(url).status_code == 405


def test_a_letter_that_was_never_cut_is_not_found(owner_client: Client) -> None:
    tree = a_section().tree
    assert owner_client.get(f"/trees/{tree.code}/sections/B/").status_code == 404
    assert owner_client.post(f"/trees/{tree.code}/sections/B/seal/").status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_takes_as_many_queries_for_one_section_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    tree = a_tree()
    for _ in range(count):
        a_section(tree)
    with django_assert_num_queries(9):
        owner_client.get(f"/trees/{tree.code}/sections/add/?again=1")
