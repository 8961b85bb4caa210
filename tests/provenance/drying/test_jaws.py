"""The jaws of the chuck: entered, changed and removed in the shop's unit."""

import pytest
from django.test import Client

from provenance.maker.models import Jaws, Shop

pytestmark = pytest.mark.django_db

TYPED = {"name": "the long ones", "smallest_mm": "50", "largest_mm": "65"}


def test_the_profile_leads_to_them(owner_client: Client) -> None:
    assert 'href="/shop/jaws/"' in owner_client.get("/shop/").content.decode()


def test_a_set_is_typed_and_shown_in_the_shops_unit(owner_client: Client) -> None:
    Shop.objects.update(length_unit="in")
    typed = {"name": "the long ones", "smallest_mm": "2", "largest_mm": "2 1/2"}
    page = owner_client.post("/shop/jaws/add/", typed, follow=True).content.decode()
    assert "2 in to 2 1/2 in" in page
    assert Jaws.objects.values_list("name", "smallest_mm", "largest_mm").get() == (
        "the long ones", 51, 64,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 81}, "name"),
        ({"smallest_mm": "0"}, "smallest_mm"),
        ({"smallest_mm": "65"}, "largest_mm"),
        ({"largest_mm": "wide"}, "largest_mm"),
        ({"largest_mm": "20 m"}, "largest_mm"),
    ],
)
def test_what_cannot_be_comes_back_with_a_sentence(
    owner_client: Client, wrong: dict[str, str], field: str
) -> None:
    response = owner_client.post("/shop/jaws/add/", TYPED | wrong)
    assert list(response.context["form"].errors) == [field]
    assert not Jaws.objects.exists()


def test_two_sets_cannot_have_one_name(owner_client: Client) -> None:
    owner_client.post("/shop/jaws/add/", TYPED)
    page = owner_client.post("/shop/jaws/add/", TYPED).content.decode()
    assert "You have jaws of that name" in page
    assert Jaws.objects.count() == 1


def test_a_set_is_changed(owner_client: Client) -> None:
    jaws = Jaws.objects.create(name="the long ones", smallest_mm=50, largest_mm=65)
    owner_client.post(f"/shop/jaws/{jaws.pk}/", TYPED | {"largest_mm": "70 mm"})
    jaws.refresh_from_db()
    assert jaws.largest_mm == 70


def test_a_set_is_removed_by_a_form_alone(owner_client: Client) -> None:
    jaws = Jaws.objects.create(name="the long ones", smallest_mm=50, largest_mm=65)
    assert owner_client.get(f"/shop/jaws/{jaws.pk}/remove/").status_code == 405
    page = owner_client.post(f"/shop/jaws/{jaws.pk}/remove/", follow=True).content.decode()
    assert "Removed: the long ones." in page
    assert "No jaws are entered yet" in page
