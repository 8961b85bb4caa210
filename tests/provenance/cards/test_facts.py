"""What cards and tags say of a piece."""

from decimal import Decimal

import pytest

from provenance.cards.facts import (
    card_facts,
    left_out,
    price_row,
    read_facts,
    rough_out_facts,
    tag_facts,
    tree_words,
)
from provenance.drying import measuring
from provenance.pieces import publishing, workflow
from provenance.pieces.models import Finish, Method, Part, Piece
from provenance.record.partial_dates import PartialDate
from tests.factories import a_piece, a_scribe, a_section, a_tree, some_pieces, some_stock

pytestmark = pytest.mark.django_db


def read(piece: Piece) -> Piece:
    return read_facts(Piece.objects.filter(pk=piece.pk)).get()


def plain(words: str) -> str:
    """The words with spaces that may break."""
    return words.replace("\u00a0", " ")


def a_bowl(**facts) -> Piece:
    given = {"price_minor": 16500, "diameter_mm": 292, "height_mm": 108}
    return a_piece("finished", **{**given, **facts})


def test_a_booth_tag_says_number_what_wood_size_and_price(shop):
    piece = a_bowl()
    facts = tag_facts(read(piece), shop)
    assert facts.number == str(piece.number)
    assert facts.description == "Salad bowl, bigleaf maple"
    assert (facts.size, facts.price) == ("292 mm across", "$165")


def test_sizes_and_prices_are_in_the_shops_units_and_currency(shop):
    shop.length_unit, shop.currency = "in", "EUR"
    piece = read(a_bowl(price_minor=16550))
    assert tag_facts(piece, shop).size == "11 1/2 in across"
    assert tag_facts(piece, shop).price == "€165.50"
    assert plain(price_row(piece, shop).size) == "11 1/2 × 4 1/4 in"


def test_a_code_is_for_a_piece_that_has_its_page(shop):
    piece = a_bowl()
    assert tag_facts(read(piece), shop).code == card_facts(read(piece), shop).code == ""
    publishing.publish([piece], a_scribe())
    assert tag_facts(read(piece), shop).code == card_facts(read(piece), shop).code == piece.code


def test_what_is_not_known_is_left_out(shop):
    facts = tag_facts(read(a_piece("blank")), shop)
    assert (facts.size, facts.price) == ("", "")


def test_a_guessed_wood_is_not_sold_as_sure(shop):
    section = a_section(a_tree(certainty="guess"))
    facts = tag_facts(read(a_bowl(source=section)), shop)
    assert facts.species == "perhaps bigleaf maple"


def test_a_title_that_names_the_wood_is_not_followed_by_it(shop):
    titled = read(a_bowl(title="The Bigleaf Maple Moon"))
    assert tag_facts(titled, shop).description == "The Bigleaf Maple Moon"
    other = read(a_bowl(title="Harvest moon"))
    assert tag_facts(other, shop).description == "Harvest moon, bigleaf maple"


def test_a_pen_is_measured_by_its_length(shop):
    pen = a_piece(
        "finished", form="pen", method=Method.STRAIGHT, source=some_stock(), diameter_mm=125
    )
    assert tag_facts(read(pen), shop).size == "125 mm long"


def test_a_rough_out_tag_says_section_day_and_rough_sizes(shop):
    section = a_section()
    [piece] = some_pieces(
        1, source=section, happened=PartialDate("2026"), rough_diameter_mm=310, rough_wall_mm=29
    )
    workflow.move([piece], "rough", a_scribe(), happened=PartialDate("2026-04"))
    facts = rough_out_facts(read(piece), shop)
    assert facts.figures == (
        ("Tree", str(section)), ("Roughed", "April 2026"), ("Wall", "29 mm"), ("Across", "310 mm"),
    )  # fmt: skip


def test_a_rough_out_of_unknown_wood_says_no_tree(shop):
    facts = rough_out_facts(read(a_piece("drying", source=some_stock())), shop)
    assert facts.tree_number == ""
    assert facts.species == "cocobolo"


def test_a_piece_cut_from_a_core_names_the_cores_tree(shop):
    [core] = some_pieces(1)
    [cut] = some_pieces(1, source=core)
    assert rough_out_facts(read(cut), shop).tree_number == str(core.trees.get().number)


def test_a_card_tells_the_oval_of_what_was_left_to_move(shop):
    piece = a_bowl(method=Method.SINGLE, rim_to_pith_mm=60)
    assert ". It moved as it dried: expect its rim about " in card_facts(read(piece), shop).making
    measuring.measure_axes(piece, 290, 283, a_scribe())
    measuring.measure_axes(piece, 290, 281, a_scribe())
    assert "its rim is about 9 mm longer than wide." in card_facts(read(piece), shop).making
    assert "moved" not in card_facts(read(a_bowl()), shop).making


def test_a_card_tells_tree_making_care_and_maker(shop):
    tree = a_tree(story="It shaded the ferry landing.", cause_words="the March gale")
    [piece] = some_pieces(
        1, source=a_section(tree), happened=PartialDate("2023"), diameter_mm=292, height_mm=108
    )
    days = {"rough": "2023-04", "call-dry": "2024-11-02", "finish": "2024-11"}
    for move in [m for m in workflow.METHODS[piece.method] if m.is_onward]:
        when = PartialDate(days[move.slug]) if move.slug in days else None
        workflow.move(
            [piece], move.slug, a_scribe(), happened=when, is_date_known=when is not None,
            finish=Finish.objects.get(slug="oil-beeswax"),
        )  # fmt: skip
    facts = card_facts(read(piece), shop)
    assert facts.title == "Salad bowl in bigleaf maple"
    assert "292 × 108 mm" in plain(facts.subtitle)
    assert "bigleaf maple from Hollin Ferry" in facts.tree_story
    assert "March 2023: the March gale." in facts.tree_story
    assert facts.tree_story.endswith("It shaded the ferry landing.")
    assert "April 2023" in facts.making
    assert "November 2024" in facts.making
    assert "Wash by hand, dry at once." in facts.care
    assert facts.maker == "Saltmarsh Lane Turnery"
    assert (facts.ring_seed, facts.rings) == (tree.code, 90)


def test_a_long_story_of_the_tree_is_told_as_far_as_whole_sentences_fit(shop):
    sentence = "It stood by the ferry landing for a hundred years and one. "
    words = tree_words(read(a_piece(source=a_section(a_tree(story=sentence * 40)))))
    assert len(words) <= 330
    assert words.endswith("a hundred years and one.")


def test_bought_wood_is_said_to_be_bought(shop):
    section, stock = a_section(), some_stock(origin_claim="a private claim", invoice="17-B")
    [both] = some_pieces(1, source=section)
    Part.objects.create(piece=both, stock=stock, role=Part.Role.NECK)
    both.stocks.add(stock)
    assert tree_words(read(both)).endswith("With cocobolo that was bought in.")
    pen = a_piece(form="pen", method=Method.STRAIGHT, source=stock)
    assert tree_words(read(pen)) == "Cocobolo, bought in."


def test_a_piece_of_unknown_wood_tells_nothing_of_a_tree(shop):
    [piece] = some_pieces(1)
    piece.trees.clear()
    facts = card_facts(read(piece), shop)
    assert (facts.tree_story, facts.ring_seed, facts.rings) == ("", "", None)


def test_nothing_private_is_said(shop):
    tree = a_tree(
        private_address="9 Lantern Row", promised="a bowl for the widow", notes="cash only",
        permission="by word of mouth", felled_by="Otto Finch", latitude=Decimal("47.9"),
    )  # fmt: skip
    piece = read(a_bowl(source=a_section(tree), notes="cracked twice", stored="shelf nine"))
    said = " ".join(
        str(say(piece, shop)) for say in (tag_facts, card_facts, price_row, rough_out_facts)
    )
    for private in ("Lantern", "widow", "cash", "mouth", "Finch", "47.9", "cracked", "shelf nine"):
        assert private not in said
    assert "$" not in str(card_facts(piece, shop))


def test_characters_that_our_type_lacks_are_named(shop):
    facts = [tag_facts(read(a_bowl(title="Moon 🌙 bowl")), shop)]
    assert left_out(facts) == "🌙"
    assert left_out([tag_facts(read(a_bowl(title="Schüssel")), shop)]) == ""


@pytest.mark.parametrize("count", [1, 3])
def test_facts_are_read_in_a_fixed_number_of_queries(count, shop, django_assert_num_queries):
    for _ in range(count):
        a_bowl(source=a_section())
        a_bowl(source=a_section(), method=Method.SINGLE)
    with django_assert_num_queries(7):
        for piece in read_facts(Piece.objects.all()):
            for say in (tag_facts, card_facts, price_row, rough_out_facts):
                say(piece, shop)
