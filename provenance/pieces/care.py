"""How a piece wants to be looked after, from its finish and its use.

The rules are common practice among turners; the allergen note follows from disclosing a tree-nut
oil (US FDA, guidance on major food allergens, January 2025, read second hand). They are advice
to an owner, not a statement that a piece is safe for anything.
"""

from provenance.pieces.models import Finish, Piece, Use

WASHING = {
    Use.FOOD: ("Wash by hand, dry at once.", "No dishwasher, oven or soaking."),
    Use.DISPLAY: ("Dust with a soft dry cloth.", "Keep it out of strong sun and away from heat."),
    Use.WATER: ("Use the liner: the wood itself should stay dry.", "Wipe up spills at once."),
    Use.HAND: ("Wipe with a dry cloth.", "Keep it dry and out of a hot car."),
}

RENEWING = {
    Finish.Kind.OIL: "Oil it again when it looks dry.",
    Finish.Kind.OIL_WAX: "Oil it again when it looks dry.",
    Finish.Kind.WAX: "A little paste wax brings the shine back.",
    Finish.Kind.FILM: "The finish needs nothing but a damp cloth.",
    Finish.Kind.FRICTION: "A little wax restores the polish that hands wear down.",
    Finish.Kind.NONE: "It carries no finish and will darken with handling.",
}

WARPED = "It was turned green and went oval as it dried: that is how it is meant to be."


def care_lines(piece: Piece, finishes: list[Finish]) -> list[str]:
    """Return the care text in sentences, one a line. The owner's own words come instead of all."""
    if piece.care_words.strip():
        return [line.strip() for line in piece.care_words.splitlines() if line.strip()]
    lines = list(WASHING[Use(piece.use)])
    for finish in dict.fromkeys(finishes):
        lines += finish.care_words.splitlines() or [RENEWING[Finish.Kind(finish.kind)]]
    lines += [f"The finish contains {finish.allergen}." for finish in finishes if finish.allergen]
    return list(dict.fromkeys(line.strip() for line in lines if line.strip()))


def care_of(piece: Piece) -> list[str]:
    """Return `care_lines` with the finishes that stand on the piece. One query."""
    return care_lines(piece, [applied.finish for applied in piece.finishes.standing()])
