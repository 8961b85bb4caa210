"""The open list of reasons for a tree to come down."""

import pytest
from django.test import Client

from provenance.trees.models import Cause
from provenance.trees.story import downfall
from tests.factories import a_tree


def test_a_reason_of_ones_own_is_added_before_the_last(owner_client: Client) -> None:
    form = {"name": "a flood", "sentence": "A flood undermined it."}
    owner_client.post("/lists/causes/add/", form)
    cause = Cause.objects.get(name="a flood")
    assert cause.sentence == "A flood undermined it"
    assert list(Cause.objects.all())[-2:] == [cause, Cause.objects.get(slug="other")]


@pytest.mark.parametrize("name", ["", "storm", "x" * 10_000, "\x00"])
def test_what_cannot_be_added_comes_back_as_typed(owner_client: Client, name: str) -> None:
    count = Cause.objects.count()
    form = {"name": name, "sentence": "A flood undermined it"}
    response = owner_client.post("/lists/causes/add/", form)
    assert response.context["form"].errors["name"]
    assert 'value="A flood undermined it"' in response.content.decode()
    assert Cause.objects.count() == count


def test_names_without_letters_for_an_address_get_one_each(owner_client: Client) -> None:
    for name in ("洪水", "🌊"):
        owner_client.post("/lists/causes/add/", {"name": name, "sentence": "Water took it"})
    assert Cause.objects.filter(slug__startswith="cause").count() == 2


def test_a_reason_is_reworded_for_its_trees_too(owner_client: Client) -> None:
    tree = a_tree()
    form = {"storm-name": "gale", "storm-sentence": "A gale threw it"}
    owner_client.post("/lists/causes/storm/", form)
    tree.refresh_from_db()
    assert downfall(tree) == "A gale threw it in March 2023."


def test_two_reasons_cannot_have_one_name(owner_client: Client) -> None:
    form = {"storm-name": "construction", "storm-sentence": "A gale threw it"}
    page = owner_client.post("/lists/causes/storm/", form).content.decode()
    assert "in the list already" in page
    assert "A gale threw it" in page
    assert Cause.objects.get(slug="storm").name == "storm"


def test_the_list_is_shown_with_its_sentences(owner_client: Client) -> None:
    page = owner_client.get("/lists/causes/").content.decode()
    assert page.count("<details") == Cause.objects.count()
    assert "“A storm brought it down”" in page
    assert owner_client.post("/lists/causes/no-such/", {}).status_code == 404
