"""Where wood may come from, as a form offers it and as it is read back."""

from dataclasses import dataclass

from provenance.pieces.models import Piece
from provenance.record.errors import RecordError
from provenance.record.numbers import NotANumber, Number
from provenance.trees.models import BoughtStock, Section, Tree

UNKNOWN = "unknown"
PIECE = "piece"

Choices = list[tuple[str, str | list[tuple[str, str]]]]


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


def choices(tree: Tree | None = None, *, used_up_too: bool = False) -> Choices:
    """Return the sources by kind, newest tree first, `tree`'s sections on top. Two queries."""
    sections = Section.objects.select_related("tree").order_by("-tree_id", "pk")
    stocks = BoughtStock.objects.order_by("name", "-pk")
    if not used_up_too:
        sections = sections.exclude(state__in=[Section.State.USED_UP, Section.State.LOST])
        stocks = stocks.filter(used_up=False)
    of_tree = [s for s in sections if tree and s.tree_id == tree.pk]
    others = [s for s in sections if not tree or s.tree_id != tree.pk]
    groups: Choices = [("", "Choose…")]
    if of_tree:
        groups.append((f"From {of_tree[0].tree.number}", [_section_choice(s) for s in of_tree]))
    if others:
        groups.append(("Sections", [_section_choice(s) for s in others]))
    if stocks:
        groups.append(("Bought stock", [(f"stock:{s.pk}", stock_label(s)) for s in stocks]))
    rest = [(PIECE, "Another piece, by its number"), (UNKNOWN, "Not known")]
    return [*groups, ("Otherwise", rest)]


def _section_choice(section: Section) -> tuple[str, str]:
    return f"section:{section.pk}", section_label(section)


@dataclass(frozen=True)
class Origin:
    """What a chosen source stands for: a row, or None for wood of unknown origin."""

    row: Section | BoughtStock | Piece | None


def origin_of(value: str, number: str) -> Origin:
    """Return what the choice `value` means; `number` is read when it is another piece.

    Raises `NoSuchSource` or `NotANumber` with a sentence.
    """
    kind, _, key = value.partition(":")
    if kind == "section":
        return Origin(Section.objects.select_related("tree").get(pk=int(key)))
    if kind == "stock":
        return Origin(BoughtStock.objects.get(pk=int(key)))
    if kind == PIECE:
        return Origin(piece_numbered(number))
    return Origin(None)


def piece_numbered(text: str) -> Piece:
    """Return the piece whose number was typed. Raises `NoSuchSource` or `NotANumber`."""
    number = Number.parse(text)
    if number.kind != "piece":
        raise NotANumber(f"{number} is a tree's number: enter a piece's, such as 26-042-8.")
    piece = Piece.objects.filter(code=number.code).first()
    if piece is None:
        raise NoSuchSource(f"{number} is a sound number, but no piece in the book has it.")
    return piece
