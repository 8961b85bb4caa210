"""The pages of promises."""

import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces import promises
from provenance.pieces.forms import promises as promise_forms
from provenance.pieces.models import Promise
from tests import factories

pytestmark = pytest.mark.django_db
ADD = "/promises/add/"


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), "promised": "A bowl for each daughter.", **typed}


def test_a_promise_is_written_down_once_with_its_wood(owner_client: Client) -> None:
    section, piece = factories.a_section(), factories.a_piece()
    other = factories.a_section()
    url = f"{ADD}?tree={section.tree.code}"
    page = owner_client.get(url).content.decode()
    assert f'value="{section.pk}"' in page
    typed = sent(
        holder_name="Nell Quill",
        tree=section.tree.pk,
        sections=[section.pk],
        numbers=f"{piece}, {other}; {piece}",
        made_on="2026-06-01",
        wanted_by="2027-01-01",
    )
    owner_client.post(url, typed)
    owner_client.post(url, typed)
    promise = Promise.objects.get()
    assert promise.to is not None
    assert (promise.to.name, promise.tree) == ("Nell Quill", section.tree)
    assert set(promise.sections.all()) == {section, other}
    assert list(promise.pieces.all()) == [piece]
    assert (promise.made_on, promise.wanted_by) == (date(2026, 6, 1), date(2027, 1, 1))


@pytest.mark.parametrize(
    ("numbers", "sentence"),
    [
        ("26-042-3", "check the last character"),
        ("26-042-8", "no piece in the book"),
        ("T26-001-8 B", "is not a number of ours"),
        (",".join(["26-042-8"] * 61), "60 things at most"),
    ],
)
def test_a_number_that_is_no_wood_of_ours_is_refused(
    owner_client: Client, numbers: str, sentence: str
) -> None:
    page = owner_client.post(ADD, sent(numbers=numbers))
    assert sentence in page.content.decode()
    assert not Promise.objects.exists()


def test_a_section_that_the_tree_does_not_have_is_refused(owner_client: Client) -> None:
    tree = factories.a_tree()
    page = owner_client.post(ADD, sent(numbers=f"{tree.number} B"))
    assert f"{tree.number} has no section B" in page.content.decode()


def test_a_day_still_to_come_is_no_day_on_which_it_was_given(owner_client: Client) -> None:
    page = owner_client.post(ADD, sent(made_on="2999-01-01"))
    assert "still to come" in page.content.decode()


def test_a_refusal_of_the_record_comes_back_on_the_page(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise promises.WouldBreak("Not that.")

    monkeypatch.setattr(promises, "make", refuse)
    assert "Not that." in owner_client.post(ADD, sent()).content.decode()


def test_other_wood_can_be_kept_until_it_is_settled(owner_client: Client) -> None:
    section = factories.a_section()
    old, new = factories.some_pieces(2, source=section)
    promise = promises.make(
        factories.a_scribe(), "One bowl", tree=section.tree, sections=[section], pieces=[old]
    )
    url = reverse("pieces:promise", args=[promise.pk])
    form = owner_client.get(url).context["form"]
    assert (form["sections"].value(), form["numbers"].value()) == ([section.pk], str(old))
    owner_client.post(url, {"numbers": str(new)})
    assert (list(promise.sections.all()), list(promise.pieces.all())) == ([], [new])
    settle = reverse("pieces:settle_promise", args=[promise.pk])
    assert "Fill this in." in owner_client.post(settle, {}).content.decode()
    owner_client.post(settle, {"how": "Given on Sunday.", "on": "2026-06-14"})
    promise.refresh_from_db()
    assert (promise.settled_on, promise.settled_how) == (date(2026, 6, 14), "Given on Sunday.")
    assert "Given on Sunday." in owner_client.get(url).content.decode()
    for late in (url, settle):
        answer = owner_client.post(late, {"how": "Again", "numbers": ""})
        assert answer.status_code == 200
    promise.refresh_from_db()
    assert promise.settled_how == "Given on Sunday."


def test_the_list_shows_those_wanted_soonest_first(owner_client: Client) -> None:
    assert "Nothing is promised." in owner_client.get("/promises/").content.decode()
    scribe = factories.a_scribe()
    for words, wanted in (
        ("Whenever", None),
        ("Later", date(2028, 1, 1)),
        ("Soon", date(2027, 1, 1)),
    ):
        promises.make(scribe, words, wanted_by=wanted)
    done = promises.make(scribe, "Long ago")
    promises.settle(done, scribe, "Kept.")
    page = owner_client.get("/promises/")
    assert [p.words for p in page.context["standing"]] == ["Soon", "Later", "Whenever"]
    assert [p.words for p in page.context["page"]] == ["Long ago"]


def test_the_newest_trees_are_offered_and_the_one_it_is_about(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    old, older_one, new = (factories.a_tree() for _ in range(3))
    monkeypatch.setattr(promise_forms, "OFFERED", 1)
    offered = owner_client.get(f"{ADD}?tree={old.code}").context["form"].fields["tree"].queryset
    assert set(offered) == {old, new}
    owner_client.post(f"{ADD}?tree={old.code}", sent(tree=old.pk))
    assert Promise.objects.get().tree == old
    refused = owner_client.post(ADD, sent(tree=older_one.pk))
    assert "Select a valid choice" in refused.content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_reads_as_often_for_one_promise_as_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        section = factories.a_section()
        promises.make(
            factories.a_scribe(),
            "One",
            to=factories.a_person(),
            tree=section.tree,
            sections=[section],
        )
    with django_assert_num_queries(8):
        owner_client.get("/promises/")
