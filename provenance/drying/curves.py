"""The curve that a piece's forecast was read from, for its picture."""

from collections.abc import Sequence
from datetime import date

from provenance.drawing.drying_curve import Fitted
from provenance.drying import outlooks
from provenance.drying.models import Outlook, Weighing
from provenance.pieces.models import Piece
from provenance.wood import drying


def fitted_curve(
    piece: Piece, outlook: Outlook | None, weighings: Sequence[Weighing], days: Sequence[date]
) -> Fitted | None:
    """Return the fitted masses on these days; None while there are too few weighings to fit.

    Worked out from the kept forecast's wall and day of roughing, and from the siblings of today.
    """
    if outlook is None or not outlook.wall_mm or not outlook.roughed_on:
        return None
    steps = [float(each.scale.step_g) for each in weighings if each.scale]
    try:
        curve = drying.curve(
            [(each.weighed_on, float(each.mass_g)) for each in weighings],
            wall_mm=outlook.wall_mm,
            roughed_on=outlook.roughed_on,
            days=days,
            scale_step_g=max(steps, default=outlooks.USUAL_STEP_G),
            siblings=outlooks.siblings_of(piece, outlook.wall_mm),
        )
    except ValueError:  # a wall or a mass that no sheet has: the words say what is wanted
        return None
    if curve is None:
        return None
    return Fitted(days, curve.likely, curve.low, curve.high, curve.passed_over)
