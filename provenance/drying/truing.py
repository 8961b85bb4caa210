"""Will it true up? What a rim, a wall and a tenon need, or have left, once the piece is dry."""

from collections.abc import Iterable
from dataclasses import dataclass

from provenance.drying.range_words import Range
from provenance.maker.models import Jaws
from provenance.pieces.models import Part, Piece
from provenance.trees.models import BoughtStock, Tree
from provenance.trees.woods import wood_of
from provenance.wood import movement
from provenance.wood.movement import RimRange
from provenance.wood.species import Species

#: The part of a piece by whose wood it moves, the first that it has.
_MOVES_BY = (Part.Role.WHOLE, Part.Role.BODY)


@dataclass(frozen=True)
class Asked:
    """What the owner wants to know of one rim. Lengths in mm, None where nothing was typed."""

    to_mc_pct: float
    diameter_mm: int | None = None
    finished_wall_mm: int | None = None
    rough_wall_mm: int | None = None
    rim_to_pith_mm: int | None = None
    tenon_mm: int | None = None
    tenon_to_pith_mm: int | None = None
    is_end_grain: bool = False
    is_pith_inside: bool = False


@dataclass(frozen=True)
class Grip:
    """A set of jaws and what it holds: the tenon as it is cut, and once it is dry and trued."""

    jaws: Jaws
    holds_green: bool
    holds_dry: bool


@dataclass(frozen=True)
class Answer:
    """What came out, as ranges in mm; None where what it needs was not typed.

    `refusal` says why nothing can be worked out, `wall_refusal` why no wall would do;
    `is_figure_missing` that the wood's page is the place to mend it.
    """

    wood: Species | None
    rim: RimRange | None = None
    wall_needed: Range | None = None
    tenth_mm: float | None = None
    wall_left: Range | None = None
    tenon_left: Range | None = None
    tenon_to_cut: Range | None = None
    grips: tuple[Grip, ...] = ()
    refusal: str = ""
    wall_refusal: str = ""
    is_figure_missing: bool = False

    @property
    def is_range(self) -> bool:
        """Whether the rim is told as a range, for want of the kind or of the pith's place."""
        return self.rim is not None and self.rim.across_mm[0] != self.rim.across_mm[1]


def source_of_movement(piece: Piece) -> Tree | BoughtStock | None:
    """Return the tree or stock of the piece's body. One query, none where parts are read ahead.

    None when it is not known, or when several woods would do.
    """
    parts = list(piece.parts.all())
    for role in _MOVES_BY:
        sources = [part for part in parts if part.role == role]
        if len(sources) == 1 and sources[0].section:
            return sources[0].section.tree
        if len(sources) == 1 and sources[0].stock:
            return sources[0].stock
    # A core or a recut has the woods of the piece that it came from.
    woods: list[Tree | BoughtStock] = [*piece.trees.all(), *piece.stocks.all()]
    return woods[0] if len(woods) == 1 else None


def wood_of_piece(piece: Piece) -> Species | None:
    """Return the wood that the piece moves by; None if unknown. Queries as what it calls."""
    source = source_of_movement(piece)
    return wood_that_moves(source) if source else None


def wood_that_moves(source: Tree | BoughtStock) -> Species | None:
    """Return the wood with the owner's own figures where the table lacks what moves it.

    No query where it doesn't.
    """
    table = source.species
    lacks = table is None or None in (table.shrink_radial_pct, table.shrink_tangential_pct)
    return wood_of(source) if lacks else table


def is_bark_rim(piece: Piece) -> bool:
    """Return whether the rim lies towards the bark: a natural edge, by edge or by form.

    Or one that lies farther from the pith than the piece is high: then its foot is at the pith.
    """
    height_mm = piece.rough_height_mm or piece.height_mm
    if piece.rim_to_pith_mm and height_mm and piece.rim_to_pith_mm >= height_mm:
        return True
    return any("natural" in each.slug for each in (piece.edge, piece.form) if each)


def answer(wood: Species | None, asked: Asked, jaws: Iterable[Jaws] = ()) -> Answer:
    """Work out what was asked, as far as the wood's figures and what was typed allow."""
    tenth = movement.tenth_of_diameter(asked.diameter_mm) if asked.diameter_mm else None
    if wood is None:
        return Answer(
            None,
            tenth_mm=tenth,
            refusal="The kind of its wood is not known: without it nobody can say how it moves.",
        )
    try:
        return _answer(wood, asked, tenth, jaws)
    except movement.MissingFigure as error:
        return Answer(wood, tenth_mm=tenth, refusal=str(error), is_figure_missing=True)
    except ValueError as error:
        return Answer(wood, tenth_mm=tenth, refusal=str(error))


def _answer(wood: Species, asked: Asked, tenth: float | None, jaws: Iterable[Jaws]) -> Answer:
    rim = predicted_rim(wood, asked)
    needed = left = None
    wall_refusal = ""
    if asked.diameter_mm and not asked.is_end_grain:
        where = (asked.rim_to_pith_mm, asked.to_mc_pct)
        if asked.finished_wall_mm:
            try:
                needed = movement.wall_needed_of(
                    wood, asked.diameter_mm, asked.finished_wall_mm, *where
                )
            except ValueError as error:  # no blank leaves so much: the rest is told all the same
                wall_refusal = str(error)
        if asked.rough_wall_mm:
            left = movement.wall_left_of(wood, asked.diameter_mm, asked.rough_wall_mm, *where)
    tenon_left, to_cut, grips = _tenon(wood, asked, jaws)
    told = (rim, needed, tenth, left, tenon_left, to_cut, grips)
    return Answer(wood, *told, wall_refusal=wall_refusal)


def predicted_rim(wood: Species, asked: Asked) -> RimRange | None:
    """Return how the rim moves; None without a diameter. Raises as `movement` does."""
    if not asked.diameter_mm:
        return None
    if asked.is_end_grain:
        return movement.end_grain_of(
            wood, asked.diameter_mm, asked.to_mc_pct, pith_inside=asked.is_pith_inside
        )
    return movement.rim_of(wood, asked.diameter_mm, asked.rim_to_pith_mm, asked.to_mc_pct)


def _tenon(
    wood: Species, asked: Asked, jaws: Iterable[Jaws]
) -> tuple[Range | None, Range | None, tuple[Grip, ...]]:
    """What is left of the tenon when true, what to cut to have as much left, and who holds it."""
    tenon = asked.tenon_mm
    if not tenon or asked.is_end_grain:
        return None, None, ()
    left = movement.true_tenon_of(wood, tenon, asked.tenon_to_pith_mm, asked.to_mc_pct)
    # A tenon shrinks in proportion, all but: what it lacks is added once more.
    to_cut = (tenon * tenon / left[1], tenon * tenon / left[0])
    grips = tuple(
        Grip(
            each,
            holds_green=each.smallest_mm <= tenon <= each.largest_mm,
            holds_dry=each.smallest_mm <= left[0] <= each.largest_mm,
        )
        for each in jaws
    )
    return left, to_cut, grips
