"""The oval that a piece turned once and green takes on, in words that a buyer understands."""

from provenance.drying.models import Axes
from provenance.drying.range_words import about_words
from provenance.drying.truing import Asked, predicted_rim, source_of_movement, wood_that_moves
from provenance.maker.models import Shop
from provenance.pieces.models import Method, Piece, Stage
from provenance.trees.models import Certainty

#: The moisture that wood comes to indoors: Wood Handbook, chapter 13, for most of the United
#: States; from memory. A buyer's house, not the shop's store, decides what a piece ends as.
INDOORS_PCT = 8.0

_GREEN = "Turned green in one go and left to move as it dried"
_BRIEF = "It moved as it dried"
_STILL = "Turned green in one go and left to move as it dries"
_STILL_BRIEF = "It moves as it dries"


def words_for_buyer(piece: Piece, shop: Shop, *, is_brief: bool = False) -> str:
    """Return "Turned green in one go …: expect its rim about 6 mm longer than wide."; or ''.

    By its measured axes where there are any, else as its wood's figures predict; nothing where
    they lack or its wood is but a guess, where the piece is turned another way or not yet, or
    where no oval will show.
    Brief, for a card that has told how it was turned. Few queries, fewer after `read_ahead`.
    """
    if piece.method != Method.SINGLE or piece.stage in (Stage.BLANK, Stage.LOST):
        return ""
    begin = _BRIEF if is_brief else _GREEN
    if piece.stage == Stage.DRYING:
        begin = _STILL_BRIEF if is_brief else _STILL
    measured = axes_of(piece)
    if measured:
        oval = float(measured.long_mm - measured.short_mm)
        amount = about_words((oval, oval), shop.length_unit)
        return f"{begin}: its rim is {amount} longer than wide." if amount else ""
    amount = _predicted(piece, shop)
    return f"{begin}: expect its rim {amount} longer than wide." if amount else ""


def axes_of(piece: Piece) -> Axes | None:
    """Return the newest measure that stands. One query, none where axes are read ahead."""
    ahead: list[Axes] | None = getattr(piece, "axes_ahead", None)
    if ahead is not None:
        return ahead[0] if ahead else None
    return Axes.objects.standing().filter(piece=piece).first()


def _predicted(piece: Piece, shop: Shop) -> str:
    diameter_mm = piece.diameter_mm or piece.rough_diameter_mm
    source = source_of_movement(piece) if diameter_mm and not piece.form.is_long else None
    if source is None or source.certainty == Certainty.GUESS:
        return ""
    wood = wood_that_moves(source)
    if wood is None:
        return ""
    asked = Asked(
        INDOORS_PCT,
        diameter_mm=diameter_mm,
        rim_to_pith_mm=piece.rim_to_pith_mm,
        is_end_grain=piece.grain == Piece.Grain.END,
    )
    try:
        rim = predicted_rim(wood, asked)
    except ValueError:
        return ""
    return about_words(rim.oval_mm, shop.length_unit) if rim else ""
