"""Will it true up: what is typed is worked out, what lacks is named, and nothing is kept."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.maker.models import Jaws
from provenance.pieces.models import Method, Piece
from tests.factories import a_piece, a_section, a_tree

pytestmark = pytest.mark.django_db


def page(client: Client, piece: Piece, **typed: Any) -> str:
    return client.get(reverse("drying:true_up", args=[piece.code]), typed).content.decode()


def a_rough_out(**facts: Any) -> Piece:
    """A bigleaf maple bowl (R 3.7, T 7.1) on the shelf."""
    given = {"rough_diameter_mm": 300, "rim_to_pith_mm": 20, "rough_height_mm": 110, **facts}
    return a_piece("drying", **given)


def test_it_begins_with_what_the_piece_says_and_shows_the_rim(owner_client: Client) -> None:
    said = page(owner_client, a_rough_out())
    assert 'name="rough_diameter_mm" value="300 mm"' in said
    assert 'name="tenon_to_pith_mm" value="130 mm"' in said
    assert "20 °C and 50 % humidity are assumed" in said
    assert 'class="rim-picture"' in said
    assert "Wood Handbook, Table 4-3" in said
    assert "derived: a wedge of free shrinkage" in said


def test_the_foot_of_a_natural_edge_lies_towards_the_pith(owner_client: Client) -> None:
    piece = a_rough_out(form="natural-edge-bowl", rim_to_pith_mm=150)
    assert 'name="tenon_to_pith_mm" value="40 mm"' in page(owner_client, piece)


def test_wall_and_tenon_are_told_beside_rule_and_jaws(owner_client: Client) -> None:
    Jaws.objects.create(name="Small jaws", smallest_mm=40, largest_mm=60)
    Jaws.objects.create(name="Wide jaws", smallest_mm=90, largest_mm=130)
    said = page(
        owner_client, a_rough_out(), wall_mm="10", rough_wall_mm="30", mount_diameter_mm="100",
        to_mc_pct="0",
    )  # fmt: skip
    assert "For a finished wall of 10 mm leave" in said
    assert "a tenth of the diameter: 30 mm" in said
    assert "A wall of 30 mm leaves" in said
    assert "A tenon of 100 mm leaves a true circle of" in said
    assert said.index("Small jaws") < said.index("Don’t hold it".replace("’", "&#x27;"))
    assert "Hold it green, and dry once it is true" in said


def test_a_tenon_that_no_jaws_hold_when_dry_is_pointed_out(owner_client: Client) -> None:
    Jaws.objects.create(name="Wide jaws", smallest_mm=99, largest_mm=130)
    assert "None of your jaws" in page(owner_client, a_rough_out(), mount_diameter_mm="100")


def test_where_the_pith_lay_unknown_or_the_kind_it_is_a_range(owner_client: Client) -> None:
    unknown = page(owner_client, a_rough_out(), rim_to_pith_mm="")
    genus = a_rough_out(source=a_section(a_tree(species_slug="genus-acer", certainty="guess")))
    assert "where it moves the most" in unknown
    assert "where it moves the most" in page(owner_client, genus)
    assert "is a guess, and so is all of this" in page(owner_client, genus)
    assert "where it moves the most" not in page(owner_client, a_rough_out())


def test_a_wood_without_figures_leads_to_its_page(owner_client: Client) -> None:
    piece = a_rough_out(source=a_section(a_tree(species_slug="", species_words="hedge wood")))
    said = page(owner_client, piece)
    assert reverse("trees:woods") in said
    assert "hedge wood" in said
    assert "rim-picture" not in said
    assert "asks for 30 mm: common practice" in said


def test_a_wood_unknown_leads_to_its_tree(owner_client: Client) -> None:
    tree = a_tree(species_slug="", species_words="")
    said = page(owner_client, a_rough_out(source=a_section(tree)))
    assert reverse("trees:edit", args=[tree.code]) in said


def test_end_grain_with_the_pith_inside_is_warned_and_not_forecast(owner_client: Client) -> None:
    piece = a_piece("drying", rough_diameter_mm=90, grain="end")
    assert "round its rings" in page(owner_client, piece)
    inside = page(owner_client, piece, is_pith_inside="on")
    assert "split" in inside
    assert "rim-picture" not in inside


def test_what_cannot_be_read_comes_back_with_its_error(owner_client: Client) -> None:
    said = page(owner_client, a_rough_out(), rough_diameter_mm="wide")
    assert 'value="wide"' in said
    assert "can&#x27;t be read as a measure" in said
    assert "Type the diameter" in said


def test_in_place_it_is_a_part_that_takes_what_is_typed(owner_client: Client) -> None:
    url = reverse("drying:true_up", args=[a_piece().code])
    answer = owner_client.get(url, {"rough_diameter_mm": "12 in"}, headers={"HX-Request": "true"})
    said = answer.content.decode()
    assert "<html" not in said
    assert "<form" not in said
    assert "Round at 305 mm" in said


def test_what_is_turned_once_is_asked_for_its_one_diameter(owner_client: Client) -> None:
    said = page(owner_client, a_piece(method=Method.SINGLE), diameter_mm="200")
    assert "Round at 200 mm" in said
    assert "tenth of the diameter" not in said


def test_a_core_moves_as_the_wood_it_came_from(owner_client: Client) -> None:
    core = a_piece(source=a_rough_out())
    assert "Round at 200 mm" in page(owner_client, core, rough_diameter_mm="200")


@pytest.mark.parametrize("jaws", [1, 3])
def test_it_takes_a_fixed_number_of_queries(
    owner_client: Client, jaws: int, django_assert_num_queries: Any
) -> None:
    for number in range(jaws):
        Jaws.objects.create(name=f"Jaws {number}", smallest_mm=40, largest_mm=60 + number)
    url = reverse("drying:true_up", args=[a_rough_out(mount_diameter_mm=50).code])
    with django_assert_num_queries(13):
        owner_client.get(url)


def test_a_wall_that_no_blank_leaves_is_refused_alone(owner_client: Client) -> None:
    said = page(owner_client, a_rough_out(), wall_mm="148", rough_diameter_mm="300")
    assert "half the" in said
    assert 'class="rim-picture"' in said


def test_the_foot_of_a_rim_towards_the_bark_lies_at_the_pith(owner_client: Client) -> None:
    piece = a_rough_out(rim_to_pith_mm=92, rough_height_mm=80)
    assert 'name="tenon_to_pith_mm" value="12 mm"' in page(owner_client, piece)
