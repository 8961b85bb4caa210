"""The lists that the owner may add to."""

import pytest
from django.test import Client

from provenance.pieces.models import Edge, Finish, Form

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("which", "words"),
    [
        ("forms", "For the hand"),
        ("edges", "Natural edge, bark on"),
        ("finishes", "contains walnut oil"),
        ("losses", "Bug-eaten"),
    ],
)
def test_each_list_shows_what_it_holds(owner_client: Client, which: str, words: str) -> None:
    assert words in owner_client.get(f"/lists/{which}/").content.decode()


def test_a_form_of_work_is_added_with_what_it_is_for(owner_client: Client) -> None:
    typed = {"name": "Kerzenständer", "use": "display", "is_long": "", "position": "5"}
    owner_client.post("/lists/forms/add/", typed)
    form = Form.objects.get(name="Kerzenständer")
    assert (form.slug, form.use, form.position) == ("kerzenstander", "display", 5)


def test_a_name_without_latin_letters_and_a_taken_slug_get_slugs_of_their_own(
    owner_client: Client,
) -> None:
    for name in ("木", "土", "Plain", "plain!"):
        owner_client.post("/lists/edges/add/", {"name": name, "position": "9"})
    slugs = set(Edge.objects.filter(position=9).values_list("slug", flat=True))
    assert slugs == {"entry", "entry-2", "plain-2", "plain-3"}


def test_a_name_twice_is_refused(owner_client: Client) -> None:
    page = owner_client.post("/lists/edges/add/", {"name": "beaded", "position": "9"})
    assert "in the list already: choose another name" in page.content.decode()


@pytest.mark.parametrize("days", ["-1", "3651", "9" * 18, "many"])
def test_a_cure_that_no_calendar_holds_is_refused(owner_client: Client, days: str) -> None:
    typed = {"name": "Slow oil", "kind": "oil", "cure_days": days, "position": "9"}
    page = owner_client.post("/lists/finishes/add/", typed).content.decode()
    assert "Not saved yet" in page
    assert not Finish.objects.filter(name="Slow oil").exists()


def test_a_finish_is_changed(owner_client: Client) -> None:
    finish = Finish.objects.get(slug="tung-oil")
    url = f"/lists/finishes/{finish.pk}/"
    assert "Tung oil" in owner_client.get(url).content.decode()
    typed = {"name": "pure tung oil", "kind": "oil", "cure_days": "20", "position": "1"}
    assert "Not saved yet" in owner_client.post(url, typed | {"kind": ""}).content.decode()
    owner_client.post(url, typed)
    finish.refresh_from_db()
    assert (finish.name, finish.cure_days, finish.slug) == ("pure tung oil", 20, "tung-oil")


def test_there_is_no_other_list(owner_client: Client) -> None:
    assert owner_client.get("/lists/users/").status_code == 404
