"""What cards, tags and lists say of pieces: query in, plain words out, nothing private in them."""

import re
from collections.abc import Iterable, Sequence

from django.db.models import Prefetch

from provenance.cards import type as lettering
from provenance.cards.price_list import PriceRow
from provenance.cards.provenance_card import CardFacts
from provenance.cards.rough_out_tag import RoughOutFacts
from provenance.cards.tags import TagFacts
from provenance.drying.models import Axes
from provenance.drying.oval import words_for_buyer
from provenance.maker.models import Shop
from provenance.pieces import story
from provenance.pieces.care import care_lines
from provenance.pieces.models import Part, Piece, PieceQuerySet
from provenance.record.money import format_money
from provenance.record.units import format_length
from provenance.trees.models import BoughtStock, Tree
from provenance.trees.story import summary

#: How long the tree's part may grow before its own story is left out, in characters.
_LONGEST_TREE = 330
# A full stop behind fewer than three letters is more likely an abbreviation.
_SENTENCE_ENDS = re.compile(r"(?<=\w\w\w[.!?])\s+")


def read_facts(pieces: PieceQuerySet) -> PieceQuerySet:
    """Return `pieces` with all that a print says of them, in a fixed number of queries."""
    parts = Part.objects.select_related("section__tree", "stock").order_by("pk")
    return story.read_ahead(pieces).prefetch_related(
        Prefetch("parts", parts), Prefetch("axes", Axes.objects.standing(), to_attr="axes_ahead")
    )


def tag_facts(piece: Piece, shop: Shop) -> TagFacts:
    """Return what a booth tag says. Without a public page there is nothing for a code to open."""
    return TagFacts(
        number=str(piece.number),
        code=_code(piece),
        what=_name(piece),
        species=_wood_beside(piece),
        size=story.across(piece, shop.length_unit) or story.size_of(piece, shop.length_unit),
        price=_price(piece, shop),
    )


def price_row(piece: Piece, shop: Shop) -> PriceRow:
    """Return what a price list says."""
    return PriceRow(
        number=str(piece.number),
        what=_name(piece),
        species=_wood_beside(piece),
        size=story.size_of(piece, shop.length_unit),
        price=_price(piece, shop),
    )


def rough_out_facts(piece: Piece, shop: Shop) -> RoughOutFacts:
    """Return what the tag on the drying shelf says, in the sizes that it was roughed to."""
    dates = story.move_dates(piece)
    roughed = dates.get("rough") or dates.get("turn-green")
    wall_mm = piece.rough_wall_mm or piece.wall_mm
    across_mm = piece.rough_diameter_mm or piece.diameter_mm
    return RoughOutFacts(
        number=str(piece.number),
        what=_name(piece),
        species=_wood_beside(piece),
        tree_number=_source_number(piece),
        roughed=roughed.spoken() if roughed else "",
        wall=format_length(wall_mm, shop.length_unit) if wall_mm else "",
        diameter=format_length(across_mm, shop.length_unit) if across_mm else "",
    )


def card_facts(piece: Piece, shop: Shop) -> CardFacts:
    """Return what a provenance card says: the tree, the making, the care."""
    tree = piece.first_tree
    return CardFacts(
        number=str(piece.number),
        code=_code(piece),
        title=piece.what,
        subtitle=story.subtitle(piece, shop),
        tree_story=tree_words(piece),
        making=_making(piece, shop),
        care=tuple(care_lines(piece, story.finishes_of(piece))),
        maker=shop.name,
        ring_seed=tree.code if tree else "",
        rings=tree.ring_count if tree else None,
    )


def _making(piece: Piece, shop: Shop) -> str:
    """How it was made, and of one that was left to move the oval that it took on."""
    oval = words_for_buyer(piece, shop, is_brief=True)
    return " ".join(filter(None, [story.making_sentence(piece), oval]))


def tree_words(piece: Piece) -> str:
    """Return the trees in a sentence or two each, as much of a lone tree's story as there is room
    for, and the woods that were bought. Uses the prefetched sources."""
    trees = list(piece.trees.all())
    words = [summary(tree) for tree in trees]
    if len(trees) == 1:
        for sentence in _SENTENCE_ENDS.split(" ".join(trees[0].story.split())):
            if len(" ".join([*words, sentence])) > _LONGEST_TREE:
                break
            words.append(sentence)
    bought = list(dict.fromkeys(s.species_name for s in piece.stocks.all() if s.species_name))
    if bought:
        wood = " and ".join(bought)
        words.append(f"{f'With {wood} that was' if trees else f'{_raised(wood)},'} bought in.")
    return " ".join(filter(None, words))


def left_out(facts: Iterable[TagFacts | PriceRow | RoughOutFacts | CardFacts]) -> str:
    """Return the characters that our type lacks and a print of these facts would leave out."""
    values = [value for one in facts for value in vars(one).values()]
    words = [value for value in values if isinstance(value, str)]
    lines = [line for value in values if isinstance(value, tuple) for line in value]
    return lettering.unprintable(" ".join([*words, *lines]))


def _code(piece: Piece) -> str:
    """The number for a code, only for a piece whose page a stranger can open."""
    return piece.code if piece.is_published else ""


def _name(piece: Piece) -> str:
    return piece.title or _raised(piece.form.name)


def _wood_beside(piece: Piece) -> str:
    """The wood with how sure it is, unless the title names it: "probably white ash"."""
    sources: Sequence[Tree | BoughtStock] = [*piece.trees.all(), *piece.stocks.all()]
    title = piece.title.casefold()
    woods = [s.species_phrase for s in sources if s.species_name]
    named = all(s.species_name.casefold() in title for s in sources)
    return "" if piece.title and named else " and ".join(dict.fromkeys(woods))


def _price(piece: Piece, shop: Shop) -> str:
    return "" if piece.price_minor is None else format_money(piece.price_minor, shop.currency)


def _source_number(piece: Piece) -> str:
    """The section that the wood came from, "T26-014-5 B", or the tree alone."""
    section = next((part.section for part in piece.parts.all() if part.section), None)
    if section:
        return str(section)
    tree = piece.first_tree
    return str(tree.number) if tree else ""


def _raised(words: str) -> str:
    return words[:1].upper() + words[1:]
