"""Planning the cuts of a section, what it weighs, and making its blanks."""

from dataclasses import replace

import pytest

from provenance.maker.models import Shop
from provenance.pieces import cut_words, cutting
from provenance.pieces.cutting import Asked, Wish
from provenance.pieces.models import Form, Piece
from provenance.record.errors import RecordError
from provenance.trees.models import Section
from provenance.wood.species import get
from tests import factories

pytestmark = pytest.mark.django_db

ASKED = Asked(400, 400, 900, pith_offset_mm=20)


def wish(*keys: str, **more: object) -> Wish:
    form = Form.objects.get(slug="bowl")
    return Wish(**{"keys": keys, "form": form, "method": "twice", "unit": "mm", **more})  # type: ignore[arg-type]


def test_the_ticked_blanks_are_made_with_their_place_and_their_distance_to_the_pith() -> None:
    section = factories.a_section()
    made = cutting.make_blanks(section, ASKED, wish("1a", "2b"), factories.a_scribe())
    assert [p.grain for p in made] == ["side", "side"]
    assert {p.rim_to_pith_mm for p in made} == {12}
    assert {p.parts.get().section for p in made} == {section}
    first, second = (p.journal.entries.get().words for p in made)
    plan = {cutting.key_of(one): one for one in cutting.plan_of(ASKED).rounds}
    size = cutting.size_words(plan["1a"], "mm")
    assert first == (
        f"Blank cut, planned as {size}, rim towards the pith: "
        "length 1 from the small end, wider half."
    )
    assert "length 2 from the small end, narrower half" in second
    section.refresh_from_db()
    assert section.state == "cut-into"


def test_a_natural_edge_is_noted_and_end_grain_knows_no_rim_to_the_pith() -> None:
    section = factories.a_section()
    scribe = factories.a_scribe()
    natural = replace(ASKED, cut="natural", pith_offset_mm=0)
    [bowl] = cutting.make_blanks(section, natural, wish("1a"), scribe)
    assert (bowl.edge and bowl.edge.slug, bowl.grain) == ("natural", "side")
    assert bowl.rim_to_pith_mm == round(12 + 0.6 * (200 - 12))
    end = replace(ASKED, cut="end", height_mm=200)
    [vase] = cutting.make_blanks(section, end, wish("1a", uses_up=True), scribe)
    assert (vase.grain, vase.rim_to_pith_mm) == ("end", None)
    section.refresh_from_db()
    assert section.state == "used-up"
    with pytest.raises(RecordError, match="noted as used up"):
        cutting.make_blanks(section, end, wish("1a"), scribe)


def test_sizes_are_kept_only_where_the_section_has_none() -> None:
    section = factories.a_section(length_mm=880)
    cutting.make_blanks(section, ASKED, wish("1a", keeps_sizes=True), factories.a_scribe())
    again = replace(ASKED, small_end_mm=390)
    cutting.make_blanks(section, again, wish("1a", keeps_sizes=True), factories.a_scribe())
    section = Section.objects.get()
    assert (section.small_end_mm, section.large_end_mm, section.length_mm) == (400, 400, 880)


def test_nothing_is_made_when_nothing_is_ticked_or_nothing_fits_together() -> None:
    section = factories.a_section()
    with pytest.raises(RecordError, match="none is ticked"):
        cutting.make_blanks(section, ASKED, wish("9a"), factories.a_scribe())
    with pytest.raises(RecordError, match="outside the bark"):
        cutting.plan_of(replace(ASKED, pith_offset_mm=200))
    assert not Piece.objects.exists()


def test_a_genus_gives_a_range_and_what_the_table_lacks_is_named() -> None:
    ash, _ = cutting.green_of(get("genus-fraxinus"))
    assert ash is not None
    low, high = ash.log_kg(ASKED)
    assert low < high
    one_kind, missing = cutting.green_of(get("black-cherry"))
    assert one_kind is not None and one_kind.sg[0] == one_kind.sg[1]
    assert missing == ["green moisture content of the sapwood"]
    assert cutting.green_of(None) == (None, ["the kind of wood"])
    green, lacking = cutting.green_of(get("red-maple"))
    assert green is None
    assert lacking == [
        "green moisture content of the heartwood", "green moisture content of the sapwood"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("kg", "unit", "words"),
    [
        ((22.1, 30.4), "g", "23 to 31 kg"),
        ((22.1, 22.9), "kg", "23 kg"),
        ((10.0, 20.0), "lb", "23 to 45 lb"),
        ((0.1, 0.2), "oz", "1 lb"),
    ],
)
def test_masses_to_lift_are_rounded_up(kg: tuple[float, float], unit: str, words: str) -> None:
    assert cut_words.mass_words(kg, unit) == words


def test_the_picture_has_the_sizes_in_words_and_every_cut() -> None:
    shop = Shop(length_unit="mm", mass_unit="kg")
    for cut, height in (("pith", None), ("bark", 90), ("natural", None), ("end", 200)):
        asked = replace(ASKED, cut=cut, height_mm=height)
        plan = cutting.plan_of(asked)
        svg = cut_words.picture(asked, plan, shop)
        first = plan.rounds[0]
        size = f"{round(first.diameter_mm)} mm" if cut == "end" else cutting.size_words(first, "mm")
        assert f">{size}</text>" in svg
        assert "slab 24 mm" in svg
        assert svg.count('class="section-length"') == plan.lengths
