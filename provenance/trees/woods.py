"""The woods of the book: their figures, and those that the owner typed where the table has none."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import transaction
from django.db.models import Count, QuerySet

from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import Journal, JournalEntry
from provenance.record.scribe import Scribe
from provenance.trees.models import BoughtStock, OfSpecies, Tree, WoodFigures
from provenance.trees.naming import best, wood_key, wood_slug
from provenance.wood import species as reference
from provenance.wood.cautions import Caution, cautions_for
from provenance.wood.species import FIGURES, KIND_UNKNOWN, Species

Figures = Mapping[str, WoodFigures]


def wood_of(thing: OfSpecies, figures: Figures | None = None) -> Species | None:
    """Return the wood of a tree or of stock, with the owner's own figures where the table has none.

    A wood known only by the owner's words has their figures alone: they said that it is none of
    the table's. None where no wood is named. One query, none with `all_figures` at hand.
    """
    return wood_named(thing.species_slug, thing.species_words, figures)


def wood_named(slug: str, words: str, figures: Figures | None = None) -> Species | None:
    """Return a wood by its slug or by the owner's words; see `wood_of`."""
    wood = bare_wood(slug, words)
    if wood is None:
        return None
    key = wood_key(slug, words)
    own = figures_of(key) if figures is None else figures.get(key)
    return with_own(wood, own) if own else wood


def bare_wood(slug: str, words: str) -> Species | None:
    """Return the row of the table, or a wood without any figure for the owner's words."""
    if slug:
        return reference.get(slug)
    if not wood_key(slug, words):
        return None
    nothing: dict[str, Any] = dict.fromkeys(
        (*FIGURES, "sg_trust", "shrink_radial_trust", "shrink_tangential_trust",
         "shrink_volumetric_trust", "mc_trust"),
    )  # fmt: skip
    return Species(
        slug=wood_slug(slug, words), common_name=words.strip(), scientific_name="", origin="",
        source="", sg_source="", shrink_source="", mc_source="", **nothing,
    )  # fmt: skip


def with_own(wood: Species, own: WoodFigures) -> Species:
    """Return the wood with the owner's figures in the places where the table has none."""
    typed = typed_figures(own)
    return reference.with_figures(wood, typed, own.source) if typed else wood


def typed_figures(own: WoodFigures) -> dict[str, float]:
    """Return the figures that the owner typed, by name."""
    return {n: float(getattr(own, n)) for n in FIGURES if getattr(own, n) is not None}


def figures_of(key: str) -> WoodFigures | None:
    """Return what the owner typed for the wood known by `wood_key`. One query."""
    return WoodFigures.objects.filter(wood=key).first()


def all_figures() -> dict[str, WoodFigures]:
    """Return everything that the owner typed, by `wood_key`, to have at hand. One query."""
    return {own.wood: own for own in WoodFigures.objects.all()}


@transaction.atomic
def write_figures(
    key: str, figures: Mapping[str, Decimal | None], source: str, scribe: Scribe
) -> JournalEntry | None:
    """Write the owner's figures for the wood known by `wood_key`, and journal what changed.

    Figures not named stay as they are. Returns None when nothing differs. Raises `RecordError`
    for a figure without a source.
    """
    values: dict[str, Any] = {name: _to_places(name, figure) for name, figure in figures.items()}
    source = source.strip()
    if not source and any(figure is not None for figure in values.values()):
        raise RecordError("Say where the figures come from: a book and its page, your own boards.")
    if not source and figures_of(key) is None:
        return None
    begun: Any = Journal.objects.create  # called only where the wood has no figures yet
    own, _ = WoodFigures.objects.get_or_create(wood=key, defaults={"journal": begun})
    return journal.amend(own, {**values, "source": source}, scribe)


def _to_places(name: str, figure: Decimal | None) -> Decimal | None:
    """The figure to the places that its column keeps, so that the journal sees no false change."""
    if figure is None:
        return None
    column: Any = WoodFigures._meta.get_field(name)
    places: int = column.decimal_places
    return figure.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


@dataclass
class WoodRow:
    """A wood in a list, with how many trees and lots of stock in the book are of it."""

    slug: str
    wood: Species
    tree_count: int = 0
    stock_count: int = 0
    is_own_words: bool = False
    words: Counter[str] = field(default_factory=Counter)

    @property
    def name(self) -> str:
        """The common name, or the owner's words as they wrote them most often."""
        if self.is_own_words and self.words:
            return min(self.words, key=lambda words: (-self.words[words], words))
        return self.wood.common_name.removesuffix(KIND_UNKNOWN)

    @property
    def is_in_book(self) -> bool:
        return bool(self.tree_count or self.stock_count)


def woods_in_book() -> list[WoodRow]:
    """Return the woods of all trees and stock, by name. Three queries."""
    figures = all_figures()
    rows: dict[str, WoodRow] = {}
    for attribute, things in (
        ("tree_count", Tree.objects.counted()),
        ("stock_count", BoughtStock.objects.all()),
    ):
        for slug, words, count in _counted(things):
            wood = wood_named(slug, words, figures)
            if wood is None:
                continue
            row = rows.setdefault(wood.slug, WoodRow(wood.slug, wood, is_own_words=not slug))
            setattr(row, attribute, getattr(row, attribute) + count)
            row.words[" ".join(words.split())] += count
    return sorted(rows.values(), key=lambda row: row.name.casefold())


def _counted(things: "QuerySet[Any]") -> Iterable[tuple[str, str, int]]:
    found = things.order_by().values_list("species_slug", "species_words")
    return found.annotate(count=Count("pk"))


def woods_named(text: str) -> list[WoodRow]:
    """Return the woods that `text` may mean, of the table and of the owner's words. Three queries.

    Those of the book stand first, each group with the best match first.
    """
    in_book = {row.slug: row for row in woods_in_book()}
    figures = all_figures()
    hits = [found.slug for found in reference.find(text)]
    own = [r.slug for r in in_book.values() if r.is_own_words and _holds(r.words, text)]
    rows = []
    for slug in [*hits, *own]:
        row = in_book.get(slug)
        wood = wood_named(slug, "", figures) if row is None else row.wood
        if wood is not None:
            rows.append(row or WoodRow(slug, wood))
    return sorted(rows, key=lambda row: not row.is_in_book)


def _holds(words: Iterable[str], text: str) -> bool:
    return any(text.casefold() in each.casefold() for each in words)


def wood_at(slug: str) -> tuple[Species, str] | None:
    """Return the bare wood of a page's address and its `wood_key`; None for no such wood.

    Words are known while a tree, stock or figures go by them. No query for a wood of the table,
    else three.
    """
    wood = reference.get(slug)
    if wood is not None:
        return wood, slug
    for things in (Tree.objects.counted(), BoughtStock.objects.all()):
        words = things.filter(species_slug="").order_by("species_words")
        for said in words.values_list("species_words", flat=True).distinct():
            if wood_slug("", said) == slug and (wood := bare_wood("", said)):
                return wood, wood_key("", said)
    for key in WoodFigures.objects.values_list("wood", flat=True):
        if wood_slug("", key) == slug and (wood := bare_wood("", key)):
            return wood, key
    return None


def cautions_of(wood: Species) -> tuple[Caution, ...]:
    """Return what is known against a wood, also one known by words; none is not "safe"."""
    if wood.scientific_name:
        return wood.cautions
    known = best(wood.common_name)
    return known.cautions if known else cautions_for(wood.common_name)
