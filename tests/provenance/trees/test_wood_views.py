"""The pages of the woods: what the sources say, what they lack, and the owner's own figures."""

import re
from html import unescape

import pytest
from django.test import Client

from provenance.trees.models import WoodFigures
from provenance.wood import species as reference
from tests import factories

pytestmark = pytest.mark.django_db


def text_of(client: Client, address: str) -> str:
    """What a page says, without its marks."""
    page = client.get(address).content.decode()
    return unescape(" ".join(re.sub(r"<[^>]+>", " ", page).split())).replace(
        "\N{NO-BREAK SPACE}", " "
    )


def lacking_shrinkage() -> reference.Species:
    return next(w for w in reference.all_species() if w.shrink_radial_pct is None)


def test_each_figure_stands_with_its_unit_and_its_source(owner_client: Client) -> None:
    page = text_of(owner_client, "/woods/white-ash/")
    wood = reference.get("white-ash")
    assert wood is not None
    assert f"{wood.shrink_tangential_pct:.1f} %" in page
    assert "Wood Handbook, Table 4-3" in page
    assert "not in the sources" not in page


def test_what_is_remembered_only_says_so(owner_client: Client) -> None:
    wood = next(w for w in reference.all_species() if w.trust_of("sg_12") == "memory")
    assert "from memory, unconfirmed" in text_of(owner_client, f"/woods/{wood.slug}/")


def test_a_genus_shows_a_range_and_its_kinds(owner_client: Client) -> None:
    wood = reference.get("genus-acer")
    assert wood is not None
    assert isinstance(wood.shrink_radial_pct, tuple)
    low, high = wood.shrink_radial_pct
    page = text_of(owner_client, "/woods/genus-acer/")
    assert "Maple, kind unknown" in page
    assert f"{low:.1f}–{high:.1f} %" in page
    assert "silver maple" in page


def test_a_missing_figure_is_typed_with_its_source_and_changed(owner_client: Client) -> None:
    wood = lacking_shrinkage()
    address = f"/woods/{wood.slug}/"
    assert "not in the sources" in text_of(owner_client, address)
    typed = {"shrink_radial_pct": "4,5 %", "source": "A handbook, page 12"}
    page = owner_client.post(address, typed, follow=True)
    assert page.redirect_chain == [(address, 302)]
    said = text_of(owner_client, address)
    assert "4.5 %" in said
    assert "Your own figure: A handbook, page 12" in said
    owner_client.post(address, {**typed, "shrink_radial_pct": "4.75"})
    assert "4.75 %" in text_of(owner_client, address)
    owner_client.post(address, {"source": ""})
    assert WoodFigures.objects.get().shrink_radial_pct is None


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"shrink_radial_pct": "4.5", "source": " "}, "source"),
        ({"shrink_radial_pct": "450", "source": "a book"}, "shrink_radial_pct"),
        ({"shrink_radial_pct": "nan", "source": "a book"}, "shrink_radial_pct"),
        ({"shrink_radial_pct": "1e1", "source": "a book"}, "shrink_radial_pct"),
        ({"shrink_radial_pct": "-4", "source": "a book"}, "shrink_radial_pct"),
        ({"shrink_radial_pct": "4.5", "source": "x" * 201}, "source"),
    ],
)
def test_what_cannot_be_comes_back_as_typed(
    owner_client: Client, typed: dict[str, str], field: str
) -> None:
    response = owner_client.post(f"/woods/{lacking_shrinkage().slug}/", typed)
    assert list(response.context["form"].errors) == [field]
    assert f'value="{typed["shrink_radial_pct"]}"' in response.content.decode()
    assert not WoodFigures.objects.exists()


def test_what_the_table_has_is_not_asked_for(owner_client: Client) -> None:
    owner_client.post("/woods/white-ash/", {"sg_green": "0.1", "source": "a book"})
    assert not WoodFigures.objects.filter(sg_green__isnull=False).exists()


def test_a_wood_in_own_words_points_to_its_namesake(owner_client: Client) -> None:
    tree = factories.a_tree(species_slug="", species_words="White ash")
    page = text_of(owner_client, f"/woods/{tree.wood_slug}/")
    assert "The table knows a wood of that name: white ash (Fraxinus americana)" in page
    assert page.count("not in the sources") == 7
    tree_page = owner_client.get(f"/trees/{tree.code}/").content.decode()
    assert f'href="/woods/{tree.wood_slug}/"' in tree_page


def test_cautions_come_with_their_source_and_silence_is_no_safety(owner_client: Client) -> None:
    walnut = text_of(owner_client, "/woods/black-walnut/")
    assert "Juglans nigra: " in walnut
    for page in (walnut, text_of(owner_client, "/woods/white-ash/")):
        assert "that does not make it safe, or free to trade" in page


def test_the_list_shows_the_woods_of_the_book_and_any_other_by_typing(
    owner_client: Client, django_assert_num_queries
) -> None:
    assert "No wood is in the book yet" in text_of(owner_client, "/woods/")
    factories.a_tree()
    with django_assert_num_queries(7):
        assert "1 wood in the book" in text_of(owner_client, "/woods/")
    factories.a_tree(species_slug="white-ash")
    factories.a_tree(species_slug="", species_words="Some conifer")
    with django_assert_num_queries(7):
        assert "3 woods in the book" in text_of(owner_client, "/woods/")
    found = text_of(owner_client, "/woods/?find=red+alder")
    assert "Alnus rubra · not in the book" in found
    part = owner_client.get("/woods/?find=qqq", headers={"HX-Request": "true"}).content.decode()
    assert "No wood goes by “qqq”" in part
    assert "<h1" not in part


def test_an_address_of_no_wood_is_not_found(owner_client: Client) -> None:
    assert owner_client.get("/woods/own-conifer-00000000/").status_code == 404
