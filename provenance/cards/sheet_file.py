"""The file of a run: its pieces' facts on its sheet, as PDF."""

from collections.abc import Callable
from typing import TypeVar

from provenance.cards import facts
from provenance.cards.a6_card import A6_SHEETS, a6_cards
from provenance.cards.kinds import BOOTH, CARD, PRICE_LIST, ROUGH_OUT
from provenance.cards.models import PrintRun
from provenance.cards.price_list import PriceRow, price_list
from provenance.cards.provenance_card import CardFacts, business_cards
from provenance.cards.rough_out_tag import RoughOutFacts, rough_out_tags
from provenance.cards.sheets import SHEETS
from provenance.cards.tags import TagFacts, booth_tags
from provenance.maker.models import Shop
from provenance.pieces.models import Piece

Facts = TagFacts | PriceRow | RoughOutFacts | CardFacts
_Facts = TypeVar("_Facts", TagFacts, PriceRow, RoughOutFacts, CardFacts)


_SAY: dict[str, Callable[[Piece, Shop], Facts]] = {
    BOOTH.slug: facts.tag_facts,
    CARD.slug: facts.card_facts,
    ROUGH_OUT.slug: facts.rough_out_facts,
    PRICE_LIST.slug: facts.price_row,
}


def facts_of(run: PrintRun, shop: Shop) -> list[Facts]:
    """Return what the sheet says of each piece, in order, in a fixed number of queries."""
    say = _SAY[run.kind]
    pieces: list[Piece] = list(facts.read_facts(run.in_order()))
    return [say(piece, shop) for piece in pieces]


def pdf_of(run: PrintRun, shop: Shop, *, is_trial: bool = False) -> bytes:
    """Return the sheet as PDF; the same run of unchanged pieces gives the same bytes.

    Codes are on it only when the run was made with them, and lead to the address kept with it.
    A trial has no codes and shows the edges of labels and cards.
    """
    said = facts_of(run, shop)
    if run.kind == PRICE_LIST.slug:
        return price_list(
            _of(said, PriceRow), paper=run.sheet, maker=shop.name, subtitle=run.heading
        )
    sheet = SHEETS[run.sheet]
    first, url = run.first_cell, None if is_trial else run.public_url or None
    if run.kind == ROUGH_OUT.slug:
        tags = _of(said, RoughOutFacts)
        return rough_out_tags(tags, sheet, first_cell=first, maker=shop.name, outlines=is_trial)
    if run.kind == BOOTH.slug:
        return booth_tags(
            _of(said, TagFacts), sheet, first_cell=first, public_url=url, maker=shop.name,
            outlines=is_trial,
        )  # fmt: skip
    draw = a6_cards if sheet.slug in A6_SHEETS else business_cards
    return draw(
        _of(said, CardFacts), sheet, first_cell=first, public_url=url, maker=shop.name,
        outlines=is_trial,
    )  # fmt: skip


def _of(said: list[Facts], kind: type[_Facts]) -> list[_Facts]:
    return [one for one in said if isinstance(one, kind)]
