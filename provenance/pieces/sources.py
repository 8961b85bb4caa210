"""Where wood may come from, as a form offers it and as it is read back."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import Model, QuerySet

from provenance.pieces.models import Piece
from provenance.record.errors import RecordError
from provenance.record.numbers import NotANumber, Number, parse_section
from provenance.record.text import is_key
from provenance.trees.models import BoughtStock, Section, Tree

UNKNOWN = "unknown"
PIECE = "piece"

#: How many sections, and how many lots of stock, one list offers.
OFFERED = 60

Choices = list[tuple[str, str | list[tuple[str, str]]]]
_Row = TypeVar("_Row", bound=Model)


class NoSuchSource(RecordError):
    """A source that is not in the book."""


def section_label(section: Section) -> str:
    """Return "T26-014-5 B crotch, bigleaf maple". The tree is read with the section."""
    tree = section.tree
    return f"{section} {section.get_kind_display()}, {tree.species_name}"


def stock_label(stock: BoughtStock) -> str:
    """Return the stock's name with its wood, unless the name has it already."""
    wood = stock.species_name
    return f"{stock.name}, {wood}" if wood and wood not in stock.name.lower() else stock.name


def choices(
    tree: Tree | None = None, *, used_up_too: bool = False, chosen: Iterable[str] = ()
) -> Choices:
    """Return the sources by kind, newest first, `tree`'s sections on top. Four queries, or five.

    Of the rest the newest `OFFERED` of a kind are there, and those that `chosen` names by value;
    any other section or piece is named by its number.
    """
    sections = Section.objects.select_related("tree").order_by("-tree_id", "pk")
    stocks = BoughtStock.objects.order_by("-pk")
    if not used_up_too:
        sections = sections.exclude(state__in=[Section.State.USED_UP, Section.State.LOST])
        stocks = stocks.filter(used_up=False)
    of_tree = list(sections.filter(tree=tree)) if tree else []
    others = _newest(sections.exclude(tree=tree) if tree else sections, _keys("section", chosen))
    lots = sorted(_newest(stocks, _keys("stock", chosen)), key=lambda stock: stock.name)
    groups: Choices = [("", "Choose…")]
    if of_tree:
        groups.append((f"From {of_tree[0].tree.number}", [_section_choice(s) for s in of_tree]))
    if others:
        groups.append(("Sections", [_section_choice(s) for s in others]))
    if lots:
        groups.append(("Bought stock", [(f"stock:{s.pk}", stock_label(s)) for s in lots]))
    rest = [(PIECE, "Another piece or section, by its number"), (UNKNOWN, "Not known")]
    return [*groups, ("Otherwise", rest)]


def _keys(kind: str, chosen: Iterable[str]) -> list[int]:
    """Return the keys of the rows of this kind that the values name."""
    pairs = (value.partition(":") for value in chosen)
    return [int(key) for name, _, key in pairs if name == kind and is_key(key)]


def _newest(rows: QuerySet[_Row], keys: list[int]) -> list[_Row]:
    """Return the first `OFFERED` rows, and those with the keys."""
    first = list(rows.values_list("pk", flat=True)[:OFFERED])
    return list(rows.filter(pk__in=[*first, *keys]))


def _section_choice(section: Section) -> tuple[str, str]:
    return f"section:{section.pk}", section_label(section)


@dataclass(frozen=True)
class Origin:
    """What a chosen source stands for: a row, or None for wood of unknown origin."""

    row: Section | BoughtStock | Piece | None


def origin_of(value: str, number: str) -> Origin:
    """Return what the choice `value` means; `number` is read when it is named by that.

    Raises `NoSuchSource` or `NotANumber` with a sentence.
    """
    kind, _, key = value.partition(":")
    if kind == "section":
        return Origin(Section.objects.select_related("tree").get(pk=int(key)))
    if kind == "stock":
        return Origin(BoughtStock.objects.get(pk=int(key)))
    if kind == PIECE:
        return Origin(wood_numbered(number))
    return Origin(None)


def wood_numbered(text: str) -> Section | Piece:
    """Return the section or piece whose number was typed. Raises `NoSuchSource` or `NotANumber`."""
    if not text.lstrip().upper().startswith("T"):
        return piece_numbered(text)
    number, letter = parse_section(text)
    sections = Section.objects.select_related("tree")
    section = sections.filter(tree__code=number.code, letter=letter).first()
    if section is None:
        raise NoSuchSource(f"{number} has no section {letter} in the book.")
    return section


def piece_numbered(text: str) -> Piece:
    """Return the piece whose number was typed. Raises `NoSuchSource` or `NotANumber`."""
    number = Number.parse(text)
    if number.kind != "piece":
        raise NotANumber(f"{number} is a tree's number: enter a piece's, such as 26-042-8.")
    piece = Piece.objects.filter(code=number.code).first()
    if piece is None:
        raise NoSuchSource(f"{number} is a sound number, but no piece in the book has it.")
    return piece
