"""What was entered by mistake keeps its number and is passed over."""

import pytest
from django.urls import reverse

from provenance.pieces import promises
from provenance.record import journal
from shop.bench import wants
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_tree_entered_by_mistake_nags_nobody(owner_client):
    tree = factories.a_tree(promised="A bowl.", public_place="Mill Lane")
    journal.amend(tree, {"is_mistake": True}, factories.a_scribe())
    assert not wants.trees_to_ask_about().total
    assert not promises.said_at_pick_up().exists()
    assert "Mill Lane" not in owner_client.get(reverse("trees:trees")).content.decode()
    found = owner_client.get(reverse("trees:trees"), {"find": str(tree.number)}).content.decode()
    assert "Mill Lane" in found
    page = owner_client.get(reverse("bench:tree", args=[tree.code])).content.decode()
    assert "Entered by mistake" in page


def test_words_said_at_pick_up_fill_the_promises_form(owner_client):
    tree = factories.a_tree(promised="A bowl for the porch.", donor=factories.a_person())
    assert "A bowl for the porch." in owner_client.get(reverse("pieces:promises")).content.decode()
    address = f"{reverse('pieces:add_promise')}?tree={tree.code}"
    assert address in owner_client.get(reverse("bench:bench")).content.decode()
    page = owner_client.get(address).content.decode()
    assert "A bowl for the porch." in page
    assert 'value="Ada Quill"' in page


def test_making_from_a_tree_without_sections_says_what_to_do(owner_client):
    tree = factories.a_tree()
    page = owner_client.get(f"{reverse('pieces:make')}?tree={tree.code}").content.decode()
    assert f"No section of {tree.number} is in the book yet." in page
    assert reverse("trees:add_section", args=[tree.code]) in page
