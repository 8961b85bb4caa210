"""The page of a section's cut plan."""

from typing import Any

import pytest
from django.test import Client

from provenance.pieces.models import Piece
from provenance.trees.models import Section
from tests import factories

pytestmark = pytest.mark.django_db


def plan_url(section: Section) -> str:
    return f"/trees/{section.tree.code}/sections/{section.letter}/plan/"


def a_section(**facts: Any) -> Section:
    return factories.a_section(
        **{"small_end_mm": 400, "large_end_mm": 460, "length_mm": 900, **facts}
    )


def sent(page: Any, *keys: str, **typed: Any) -> dict[str, Any]:
    """What the browser sends with the blanks ticked."""
    form = page.context["form"]
    return {
        "token": str(form["token"].value()),
        "form": form["form"].value(),
        "method": "twice",
        "blank": list(keys),
        **typed,
    }


def blanks_url(section: Section, page: Any) -> str:
    return f"{plan_url(section)}blanks/?{page.context['query']}"


def test_a_measured_section_shows_its_rounds_its_mass_and_the_caution(owner_client: Client) -> None:
    tree = factories.a_tree(species_slug="white-ash")
    section = a_section(tree=tree)
    text = owner_client.get(plan_url(section)).content.decode()
    assert "kg when green, as white ash" in text
    assert "Wood Handbook" in text
    assert "leave chainsaw work to people trained for it" in text
    assert 'class="section-end"' in text
    assert text.count('name="blank"') == 4
    for page in (f"/trees/{tree.code}/", f"/trees/{tree.code}/sections/A/"):
        assert plan_url(section) in owner_client.get(page).content.decode()


def test_an_unmeasured_section_is_asked_for_its_sizes_and_keeps_them(owner_client: Client) -> None:
    section = factories.a_section()
    asked = owner_client.get(plan_url(section))
    assert "Measure it first" in asked.content.decode()
    assert not asked.context["plan_form"].errors
    page = owner_client.get(plan_url(section), {"small_end_mm": "16 in", "length_mm": "900"})
    data = sent(page, "1a", keeps_sizes="on")
    owner_client.post(blanks_url(section, page), data)
    section.refresh_from_db()
    assert (section.small_end_mm, section.large_end_mm, section.length_mm) == (406, 406, 900)


def test_the_ticked_ones_are_made_once_however_often_they_are_sent(owner_client: Client) -> None:
    section = a_section()
    page = owner_client.get(plan_url(section), {"kerf_mm": "6"})
    assert page.context["asked"].kerf_mm == 6
    data = sent(page, "1a", "1b")
    first = owner_client.post(blanks_url(section, page), data)
    second = owner_client.post(blanks_url(section, page), data)
    assert first["Location"] == second["Location"]
    codes = [piece.code for piece in Piece.objects.order_by("pk")]
    assert first["Location"] == f"/pieces/made/?codes={','.join(codes)}"
    assert len(codes) == 2


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("small_end_mm", "wide"),
        ("small_end_mm", "500"),
        ("pith_offset_mm", "210"),
        ("pith_slab_mm", "2"),
        ("end_loss_mm", "450"),
        ("kerf_mm", "9" * 30),
        ("cut", "slices"),
        ("lengths", "0"),
        ("length_mm", ""),
    ],
)
def test_what_cannot_be_sawn_comes_back_as_typed(
    owner_client: Client, name: str, value: str
) -> None:
    section = a_section()
    page = owner_client.get(plan_url(section), {"least_mm": "123 mm", name: value})
    assert page.context["plan_form"].errors[name]
    assert page.context["plan_form"][name].value() == value
    assert "123 mm" in page.content.decode()
    assert "plan" not in page.context


def test_end_grain_asks_how_long_the_rounds_are(owner_client: Client) -> None:
    page = owner_client.get(plan_url(a_section()), {"cut": "end"})
    assert page.context["plan_form"].errors["height_mm"]


def test_nothing_ticked_is_said_and_the_plan_stays(owner_client: Client) -> None:
    section = a_section()
    page = owner_client.get(plan_url(section))
    again = owner_client.post(blanks_url(section, page), sent(page, uses_up="on"))
    text = again.content.decode()
    assert "none is ticked" in text
    assert "checked" not in text.split('name="blank"')[1].split(">")[0]
    assert again.context["form"]["uses_up"].value()
    wrong = owner_client.post(blanks_url(section, page), sent(page, "1b", method="straight"))
    assert wrong.context["form"].errors["method"]
    assert wrong.context["ticked"] == ["1b"]
    assert not Piece.objects.exists()


def test_a_used_up_section_shows_its_plan_but_makes_nothing(owner_client: Client) -> None:
    section = a_section(state="used-up")
    text = owner_client.get(plan_url(section)).content.decode()
    assert "no blank is made from it" in text
    assert "Make these blanks" not in text


def test_a_wood_without_figures_says_which_are_missing(owner_client: Client) -> None:
    tree = factories.a_tree(species_slug="red-maple")
    text = owner_client.get(plan_url(a_section(tree=tree))).content.decode()
    assert "the table lacks the green moisture content of the heartwood" in text
    assert "/woods/red-maple/" in text


@pytest.mark.parametrize("length", [450, 2200])
def test_the_page_takes_as_many_queries_for_few_rounds_as_for_many(
    owner_client: Client, django_assert_num_queries: Any, length: int
) -> None:
    section = a_section(length_mm=length)
    with django_assert_num_queries(11):
        owner_client.get(plan_url(section))


def test_coring_and_low_sides_are_told_beside_each_blank(owner_client: Client) -> None:
    section = a_section()
    cored = owner_client.get(plan_url(section), {"is_cored": "on"})
    assert "cores of " in cored.content.decode()
    assert "is_cored=on" in cored.context["query"]
    natural = owner_client.get(plan_url(section), {"cut": "natural"}).content.decode()
    assert "low sides " in natural


def test_a_plan_that_cannot_be_is_refused_in_words_and_makes_nothing(owner_client: Client) -> None:
    section = a_section()
    page = owner_client.get(
        plan_url(section), {"kerf_mm": "50", "pith_slab_mm": "25", "lengths": "90"}
    )
    assert "The saw cuts take the whole length" in page.content.decode()
    good = owner_client.get(plan_url(section))
    address = f"{plan_url(section)}blanks/?small_end_mm=wide"
    again = owner_client.post(address, sent(good, "1a"))
    assert again.context["plan_form"].errors["small_end_mm"]
    assert not Piece.objects.exists()
