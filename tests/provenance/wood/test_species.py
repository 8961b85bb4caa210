"""The table of woods: names, figures with source and trust, and finding a hastily typed name."""

import math
import subprocess
import sys
import time

import pytest

from provenance.wood import cautions
from provenance.wood.species import (
    FIGURES,
    TRUSTS,
    all_genera,
    all_species,
    find,
    get,
    with_figures,
)

# Names as the project's reference table of species prints them (147 rows, gathered from the USDA
# Forest Service's FIA table REF_SPECIES and the Wood Handbook, FPL-GTR-190 and -282), November
# 2026. A sample of all letters, copied by hand, "surname" first.
REFERENCE_NAMES = {
    "Alder, red": "Alnus rubra",
    "Apple": "Malus spp.",
    "Ash, Oregon": "Fraxinus latifolia",
    "Ash, white": "Fraxinus americana",
    "Aspen, quaking": "Populus tremuloides",
    "Basswood, American": "Tilia americana",
    "Beech, American": "Fagus grandifolia",
    "Birch, yellow": "Betula alleghaniensis",
    "Boxelder": "Acer negundo",
    "Butternut": "Juglans cinerea",
    "Catalpa, northern": "Catalpa speciosa",
    "Cherry, black": "Prunus serotina",
    "Cottonwood, eastern": "Populus deltoides",
    "Dogwood, flowering": "Cornus florida",
    "Elm, Siberian": "Ulmus pumila",
    "Hackberry": "Celtis occidentalis",
    "Hickory, shagbark": "Carya ovata",
    "Holly, American": "Ilex opaca",
    "Honeylocust": "Gleditsia triacanthos",
    "Kentucky coffeetree": "Gymnocladus dioicus",
    "Locust, black": "Robinia pseudoacacia",
    "Madrone, Pacific": "Arbutus menziesii",
    "Magnolia, southern": "Magnolia grandiflora",
    "Maple, bigleaf": "Acer macrophyllum",
    "Maple, Norway": "Acer platanoides",
    "Maple, silver": "Acer saccharinum",
    "Oak, California black": "Quercus kelloggii",
    "Oak, northern red": "Quercus rubra",
    "Oak, white": "Quercus alba",
    "Osage-orange": "Maclura pomifera",
    "Persimmon, common": "Diospyros virginiana",
    "Sassafras": "Sassafras albidum",
    "Sweetgum": "Liquidambar styraciflua",
    "Sycamore, American": "Platanus occidentalis",
    "Tanoak": "Notholithocarpus densiflorus",
    "Walnut, black": "Juglans nigra",
    "Walnut, English": "Juglans regia",
    "Willow, black": "Salix nigra",
    "Redcedar, eastern": "Juniperus virginiana",
    "Cedar, Port-Orford": "Chamaecyparis lawsoniana",
    "Douglas-fir, coast": "Pseudotsuga menziesii",
    "Pine, eastern white": "Pinus strobus",
    "Spruce, Sitka": "Picea sitchensis",
    "Yew, Pacific": "Taxus brevifolia",
    "Cocobolo": "Dalbergia retusa",
    "Purpleheart": "Peltogyne spp.",
    "Padauk, African": "Pterocarpus soyauxii",
    "Rosewood, Indian": "Dalbergia latifolia",
    "Spanish-cedar": "Cedrela spp.",
    "Teak": "Tectona grandis",
    "Wenge": "Millettia laurentii",
}

# Wood Handbook (FPL-GTR-190/282): specific gravity green and at 12 %, Table 4-3's shrinkage
# radial, tangential, volumetric, Table 4-1's moisture of heartwood and sapwood.
HANDBOOK = {
    "white-ash": (0.55, 0.60, 4.9, 7.8, 13.3, 46, 44),
    "sugar-maple": (0.56, 0.63, 4.8, 9.9, 14.7, 65, 72),
    "black-cherry": (0.47, 0.50, 3.7, 7.1, 11.5, 58, None),
    "northern-red-oak": (0.56, 0.63, 4.0, 8.6, 13.7, 80, 69),
    "american-beech": (0.56, 0.64, 5.5, 11.9, 17.2, 55, 72),
}


def test_the_table_is_the_whole_reference():
    assert len(all_species()) == 147
    assert sum(wood.origin == "imported" for wood in all_species()) == 40


@pytest.mark.parametrize(("printed", "scientific"), REFERENCE_NAMES.items())
def test_names_are_those_of_the_reference_in_natural_order(printed, scientific):
    wood = find(printed)[0]
    assert wood.scientific_name == scientific
    if "," in printed:
        surname, first = printed.split(", ")
        assert wood.common_name.casefold() == f"{first} {surname}".casefold()
        assert find(wood.common_name)[0] == wood
    assert wood in find(scientific)


@pytest.mark.parametrize(("slug", "figures"), HANDBOOK.items())
def test_figures_are_the_handbook_s(slug, figures):
    assert tuple(getattr(get(slug), name) for name in FIGURES) == figures


def test_every_wood_is_found_first_or_next_by_each_of_its_names():
    for wood in (*all_species(), *all_genera()):
        assert get(wood.slug) is wood
        for name in (wood.common_name, wood.scientific_name, *wood.other_names):
            assert wood in find(name)[:4], (wood.slug, name)


@pytest.mark.parametrize("wood", all_species(), ids=lambda wood: wood.slug)
def test_each_row_is_consistent(wood):
    for figure in FIGURES:
        value = getattr(wood, figure)
        assert (
            (value is None) == (wood.trust_of(figure) is None) == (wood.source_of(figure) is None)
        )
        if value is not None:
            assert wood.trust_of(figure) in TRUSTS
            assert wood.source_of(figure)
            low, high = {"sg": (0.1, 1.1), "shrink": (1.5, 20), "mc": (25, 260)}[
                figure.split("_")[0]
            ]
            assert low <= value <= high
    if wood.sg_green is not None and wood.sg_12 is not None:
        assert wood.sg_green < wood.sg_12
    if wood.shrink_radial_pct is not None and wood.shrink_tangential_pct is not None:
        assert wood.shrink_radial_pct < wood.shrink_tangential_pct
    if wood.shrink_volumetric_pct is not None:
        assert wood.shrink_tangential_pct < wood.shrink_volumetric_pct
    assert bool(wood.source) == (len(wood.missing) < len(FIGURES))


def test_what_is_remembered_says_so_on_the_screen():
    pin_oak = get("pin-oak")
    assert pin_oak.trust_of("shrink_radial_pct") == "memory"
    assert pin_oak.source_of("shrink_radial_pct") == (
        "Wood Handbook, Table 4-3 (FPL-GTR-190/282); from memory, unconfirmed"
    )
    assert get("white-oak").source_of("shrink_radial_pct") == (
        "Wood Handbook, Table 4-3 (FPL-GTR-190/282)"
    )
    # Bigleaf maple: radial and tangential confirmed by a second table, volumetric remembered.
    bigleaf = get("bigleaf-maple")
    assert bigleaf.trust_of("shrink_tangential_pct") == "confirmed"
    assert bigleaf.trust_of("shrink_volumetric_pct") == "memory"


def test_what_the_sources_lack_stays_unknown():
    boxelder = get("boxelder")
    assert boxelder.sg_green == 0.42
    assert boxelder.shrink_radial_pct is None
    assert "shrink_radial_pct" in boxelder.missing
    assert get("norway-maple").source == ""


def test_a_genus_gives_lowest_and_highest_of_its_kinds():
    maple = get("genus-acer")
    assert maple.common_name == "maple (kind unknown)"
    assert maple.is_genus
    assert len(maple.members) == 8
    # Silver maple 3.0 to sugar and black maple 4.8; bigleaf 7.1 to sugar 9.9 (Table 4-3).
    assert maple.shrink_radial_pct == (3.0, 4.8)
    assert maple.shrink_tangential_pct == (7.1, 9.9)
    # A range is trusted no further than its weakest figure: black and striped maple's.
    assert maple.trust_of("shrink_radial_pct") == "memory"
    for genus in all_genera():
        kinds = [get(slug) for slug in genus.members]
        for figure in FIGURES:
            known = [v for kind in kinds if (v := getattr(kind, figure)) is not None]
            wanted = (min(known), max(known)) if len(known) > 1 else None
            assert getattr(genus, figure) == wanted, (genus.slug, figure)


def test_one_kind_makes_no_range():
    cherry = get("genus-prunus")
    assert cherry.members == ("black-cherry",)
    assert cherry.missing == FIGURES
    assert cherry.source == ""


@pytest.mark.parametrize(
    ("typed", "slug"),
    [
        ("blck walnut", "black-walnut"),
        ("walnut, blakc", "black-walnut"),
        ("acer macrophylum", "bigleaf-maple"),
        ("BIGLEAF maple", "bigleaf-maple"),
        ("big leaf maple", "bigleaf-maple"),
        ("MAPLE", "genus-acer"),
        ("maple, kind unknown", "genus-acer"),
        ("acer", "genus-acer"),
        ("Fraxnus", "genus-fraxinus"),
        ("ash", "genus-fraxinus"),
        ("sugr mapel", "sugar-maple"),
        ("suger mapel", "sugar-maple"),
        ("acer sacharum", "sugar-maple"),
        ("ASH, white", "white-ash"),
        ("hard maple", "sugar-maple"),
        ("Q. alba", "white-oak"),
        ("hony locust", "honeylocust"),
        ("tulip tree", "yellow-poplar"),
        ("yellow wood", "yellowwood"),
        ("blackwalnut", "black-walnut"),
        ("cocobola", "cocobolo"),
        ("gonçalo alves", "goncalo-alves"),
        ("spalted maple", "genus-acer"),
        ("red walnut", "genus-juglans"),
        ("mapl", "genus-acer"),
        # Slips in a short word, and in the space between two.
        ("black sh", "black-ash"),
        ("blackmash", "black-ash"),
        ("black aok", "black-oak"),
        ("bigleafzmaple", "bigleaf-maple"),
        ("amefricanchestnut", "american-chestnut"),
        ("aple", "apple"),
        ("oka", "genus-quercus"),
        ("ulus amerzcana", "american-elm"),
    ],
)
def test_a_slip_or_two_is_forgiven(typed, slug):
    assert find(typed)[0].slug == slug


@pytest.mark.parametrize("slips", [1, 2])
def test_wherever_the_slip_is_a_longer_name_is_found_among_the_first(slips):
    for wood in all_species():
        for name in (wood.common_name, wood.scientific_name):
            if len(name) < 9:
                continue
            for place in range(slips, len(name) - 1, 4):
                # One letter lost, and for a second slip the two before it swapped.
                typed = name[:place] + name[place + 1 :]
                if slips == 2:
                    typed = typed[: place - 2] + typed[place - 1] + typed[place - 2] + typed[place:]
                assert wood in find(typed)[:4], (typed, wood.slug)


def test_a_bare_name_gives_the_genus_and_then_its_kinds():
    slugs = [wood.slug for wood in find("ash")]
    assert slugs[0] == "genus-fraxinus"
    assert set(slugs[1:]) >= {"black-ash", "blue-ash", "green-ash", "oregon-ash", "white-ash"}
    assert all(wood.genus in {"Fraxinus", "Acer"} for wood in find("ash"))  # ash-leaved maple


def test_either_order_finds_the_same():
    assert find("white ash") == find("ash, white") == find("ASH WHITE")


@pytest.mark.parametrize(
    "nonsense",
    [
        "",
        "   ",
        "xyzzy",
        "asdf qwer",
        "12345",
        "%%%",
        "a",
        "wood",
        "kind unknown",
        "\x00",
        "☃",
        "lpe",
    ],
)
def test_nonsense_finds_nothing(nonsense):
    assert find(nonsense) == []


def test_finding_is_quick_enough_for_every_key_typed():
    find("warm")
    for typed in ("blck walnutt", "acer macrofylum", "mapel", "red oka nrthern", "q" * 10_000):
        begun = time.perf_counter()
        find(typed)
        assert time.perf_counter() - begun < 0.05  # 0.4 ms at most; room for a busy machine


def test_an_answer_is_the_caller_s_own():
    find("ash").clear()
    assert find("ash")


def test_a_wood_in_words_is_both_its_names():
    assert str(get("white-ash")) == "white ash (Fraxinus americana)"


def test_slugs_are_unique_and_fit_an_address():
    slugs = [wood.slug for wood in (*all_species(), *all_genera())]
    assert len(set(slugs)) == len(slugs)
    assert all(slug.replace("-", "").isalnum() and slug == slug.lower() for slug in slugs)
    assert get("no-such-wood") is None


def test_the_science_needs_neither_django_nor_the_record():
    code = (
        "import sys; import provenance.wood.species as s; s.find('ash');"
        "print([m for m in sys.modules if m.startswith(('django', 'reportlab'))"
        " or m.startswith('provenance.') and not m.startswith('provenance.wood')])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


class TestTheOwnersFigures:
    OWN = {"shrink_radial_pct": 3.9, "shrink_tangential_pct": 7.4}

    def test_they_fill_what_lacks_and_say_whose_they_are(self):
        wood = with_figures(get("boxelder"), self.OWN, " my boards, 2025 ")
        assert (wood.shrink_radial_pct, wood.shrink_tangential_pct) == (3.9, 7.4)
        assert wood.trust_of("shrink_radial_pct") == "owner"
        assert wood.source_of("shrink_radial_pct") == "your own figure: my boards, 2025"
        assert wood.source.endswith("the owner: my boards, 2025")
        assert "shrink_radial_pct" not in wood.missing
        assert wood.trust_of("sg_green") == get("boxelder").trust_of("sg_green")
        assert get("boxelder").shrink_radial_pct is None  # the table is as it was

    def test_what_the_table_has_is_never_replaced(self):
        maple = get("sugar-maple")
        assert with_figures(maple, {"shrink_radial_pct": 1.0}, "hearsay") == maple

    def test_a_second_source_does_not_take_over_the_first(self):
        once = with_figures(get("boxelder"), {"shrink_radial_pct": 3.9}, "my boards")
        twice = with_figures(once, self.OWN, "a neighbour")
        assert (twice.shrink_radial_pct, twice.shrink_tangential_pct) == (3.9, 7.4)
        assert twice.own_source == "my boards; a neighbour"

    @pytest.mark.parametrize(
        ("figures", "source", "says"),
        [
            (OWN, "  ", "Say where the figures come from."),
            ({"hardness": 3}, "x", "There is no figure called hardness."),
            ({"shrink_radial_pct": -1}, "x", "Shrinkage in per cent can’t be below 0."),
            ({"shrink_radial_pct": 31}, "x", "Shrinkage in per cent can’t be more than 30."),
            ({"shrink_radial_pct": math.nan}, "x", "Shrinkage in per cent must be a number."),
            ({"sg_12": 0}, "x", "A specific gravity must be more than 0."),
            (
                {"mc_green_sapwood_pct": 401},
                "x",
                "A green moisture in per cent can’t be more than 400.",
            ),
        ],
    )
    def test_what_no_wood_has_is_refused(self, figures, source, says):
        with pytest.raises(ValueError) as refused:
            with_figures(get("boxelder"), figures, source)
        assert str(refused.value) == says


class TestCautions:
    def test_the_species_own_finding_goes_before_its_genus_s(self):
        trade = [c for c in get("brazilian-rosewood").cautions if c.kind == cautions.TRADE]
        assert [c.text.partition(":")[2].strip()[:6] for c in trade] == ["App. I"]
        dust = [c for c in get("brazilian-rosewood").cautions if c.kind == cautions.DUST]
        assert [c.named for c in dust] == ["Dalbergia spp. (rosewoods)"]

    def test_a_genus_gets_what_is_said_of_any_of_its_species(self):
        named = {c.named for c in get("genus-dalbergia").cautions}
        assert {"Dalbergia nigra (Brazilian rosewood)", "Dalbergia retusa (cocobolo)"} <= named

    def test_a_finding_on_other_species_of_the_genus_is_not_this_one_s(self):
        assert get("benge").cautions == ()  # the listed Guibourtia are three others
        assert get("english-walnut").cautions == ()

    def test_every_wood_s_dust_has_its_own_caution(self):
        assert any("IARC Group 1" in c.text for c in cautions.for_all_woods())

    def test_looked_for_and_not_found_is_never_said_to_be_safe(self):
        [caution] = get("black-cherry").cautions
        assert caution.kind == cautions.UNLISTED
        assert "not evidence of safety" in caution.sentence()

    def test_a_trade_listing_shows_its_month_and_sends_to_the_authority(self):
        listing = next(c for c in get("cocobolo").cautions if c.kind == cautions.TRADE)
        assert "checked 2026-11" in listing.sentence()
        assert "ask the authority" in listing.sentence()

    def test_what_is_remembered_says_so(self):
        ramin = next(c for c in get("ramin").cautions if c.kind == cautions.DUST)
        assert ramin.trust == "memory"
        assert "from memory" in ramin.sentence()

    def test_a_condition_is_kept_apart(self):
        [spalted] = get("sugar-maple").cautions
        assert spalted.when == "spalted"

    def test_own_words_get_cautions_by_their_scientific_name(self):
        assert [c.named for c in cautions.cautions_for("Olea europaea")] == [
            "Olea spp. (olivewood)"
        ]
        assert cautions.cautions_for("") == cautions.cautions_for("something else") == ()
