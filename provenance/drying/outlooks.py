"""The forecast that is kept with a piece: renewed by a weighing, so that lists compute none."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from provenance.drying.models import Outlook, Weighing
from provenance.pieces.models import Piece, Stage
from provenance.record.models import JournalEntry
from provenance.record.scribe import Scribe
from provenance.wood import drying
from provenance.wood.drying import Forecast, Sibling

#: The step in grams of a scale that nobody named.
USUAL_STEP_G = 1.0
#: Moves with which a piece begins to dry, or to dry anew.
BEGINNINGS = ("rough", "turn-green", "back-to-dry")
#: A sibling is as thick within so much, was weighed so often, and at most so many are asked.
_AS_THICK, _FEWEST_WEIGHINGS, _MOST_SIBLINGS = 0.25, 4, 6
#: Days to the next weighing: while it is young, later, and once it is nearly dry.
_YOUNG_DAYS, _YOUNG_STEP, _LATER_STEP, _LAST_STEP = 60, 14, 30, 14


@dataclass(frozen=True)
class Basis:
    """What a forecast is worked out from; wall and day are None where they are not known."""

    readings: Sequence[tuple[date, float]]
    wall_mm: int | None
    roughed_on: date | None
    scale_step_g: float

    def asked(self, siblings: Sequence[Sibling]) -> dict[str, Any] | None:
        """The keyword arguments of `drying.forecast`, or None where wall or day lacks."""
        if not self.wall_mm or self.roughed_on is None:
            return None
        return {
            "wall_mm": float(self.wall_mm),
            "roughed_on": self.roughed_on,
            "scale_step_g": self.scale_step_g,
            "siblings": siblings,
        }


def basis_of(piece: Piece, weighings: Sequence[Weighing]) -> Basis:
    """Gather what is known of a piece and its standing weighings. At most one query.

    A piece that was put back on the shelf began to dry anew that day: the forecast passes over
    what was weighed before.
    """
    begun = _begun(piece)
    steps = [float(weighing.scale.step_g) for weighing in weighings if weighing.scale]
    return Basis(
        readings=[(weighing.weighed_on, float(weighing.mass_g)) for weighing in weighings],
        wall_mm=wall_of(piece, begun),
        roughed_on=_day_of(piece, begun) or (weighings[0].weighed_on if weighings else None),
        scale_step_g=max(steps, default=USUAL_STEP_G),
    )


def wall_of(piece: Piece, begun: JournalEntry | None = None) -> int | None:
    """Return the wall in mm that dries; None where it is not noted, or thicker than any wall.

    Put back after it was trued up it is the finished one.
    """
    was_trued = begun is not None and begun.changes.get("stage", [""])[0] == Stage.TRUED
    wall_mm = piece.wall_mm if was_trued else piece.rough_wall_mm or piece.wall_mm
    return wall_mm if wall_mm and wall_mm <= drying.THICKEST_MM else None


def roughed_on(piece: Piece) -> date | None:
    """Return the day on which the piece began to dry, as far as the journal knows it.

    That of its roughing, or of its way back to the shelf; the first day of a month or a year that
    is all that is known. One query.
    """
    return _day_of(piece, _begun(piece))


def _begun(piece: Piece) -> JournalEntry | None:
    """The standing entry of the move with which the drying began."""
    moves = JournalEntry.objects.filter(
        journal=piece.journal_id,
        kind=JournalEntry.Kind.MOVED,
        move__in=BEGINNINGS,
        correction=None,
    )
    return moves.order_by("-pk").first()


def _day_of(piece: Piece, begun: JournalEntry | None) -> date | None:
    if begun is not None:
        return begun.happened_from
    return piece.stage_since if piece.stage == Stage.DRYING else None


def is_stale(piece: Piece, outlook: Outlook) -> bool:
    """Return whether wall or day of roughing changed since the forecast. At most one query."""
    begun = _begun(piece)
    day = _day_of(piece, begun)
    is_other_day = day is not None and outlook.roughed_on != day
    return outlook.wall_mm != wall_of(piece, begun) or is_other_day


def siblings_of(piece: Piece, wall_mm: int | None) -> list[Sibling]:
    """Return walls of the same tree that were followed until they were dry. At most three queries.

    As thick as `wall_mm` within a quarter, and turned in the same way; the best weighed first.
    """
    if not wall_mm:
        return []
    trees = piece.trees.all()
    kin = Outlook.objects.filter(
        piece__trees__in=trees,
        piece__method=piece.method,
        is_dry=True,
        basis=drying.BY_WEIGHINGS,
        weighing_count__gte=_FEWEST_WEIGHINGS,
        wall_mm__gte=wall_mm * (1 - _AS_THICK),
        wall_mm__lte=wall_mm * (1 + _AS_THICK),
        roughed_on__isnull=False,
    ).exclude(piece=piece)
    chosen = list(kin.distinct().order_by("-weighing_count", "pk")[:_MOST_SIBLINGS])
    readings: dict[int, list[tuple[date, float]]] = {}
    for weighing in Weighing.objects.standing().filter(piece__in=[each.pk for each in chosen]):
        one = (weighing.weighed_on, float(weighing.mass_g))
        readings.setdefault(weighing.piece_id, []).append(one)
    return [
        Sibling(readings.get(each.pk, []), float(each.wall_mm), each.roughed_on)
        for each in chosen
        if each.wall_mm and each.roughed_on
    ]


def renew(piece: Piece, scribe: Scribe) -> Outlook | None:
    """Work the piece's forecast out anew from its standing weighings, and keep it.

    Returns None, and forgets the old one, where no weighing stands. Two fits, of some
    50 ms each, and one more for each sibling; more where weighings are passed over. Call it under
    the piece's lock.
    """
    weighings = list(Weighing.objects.standing().filter(piece=piece))
    if not weighings:
        Outlook.objects.filter(piece=piece).delete()
        return None
    basis = basis_of(piece, weighings)
    asked = basis.asked(siblings_of(piece, basis.wall_mm))
    found = drying.forecast(basis.readings, **asked) if asked else None
    pace = drying.pace(basis.readings, **asked) if asked else drying.STEADY
    last = weighings[-1]
    outlook, _ = Outlook.objects.update_or_create(
        piece=piece,
        defaults={
            **_dates(found),
            "pace": drying.STEADY if found and found.dry else pace,
            "weighing_count": len(weighings),
            "last_mass_g": last.mass_g,
            "last_weighed_on": last.weighed_on,
            "weigh_again_on": _next(basis, found, last.weighed_on),
            "wall_mm": basis.wall_mm,
            "roughed_on": basis.roughed_on,
            "made_at": scribe.at,
        },
    )
    return outlook


def _dates(found: Forecast | None) -> dict[str, Any]:
    if found is None:
        nothing = dict.fromkeys(("earliest", "likely", "latest", "final_mass_g"))
        return {**nothing, "is_dry": False, "basis": ""}
    rest = found.final_mass_g
    return {
        "earliest": found.earliest,
        "likely": found.likely,
        "latest": found.latest,
        "final_mass_g": None if rest is None else Decimal(rest).quantize(Decimal("0.1")),
        "is_dry": found.dry,
        "basis": found.basis,
    }


def _next(basis: Basis, found: Forecast | None, last: date) -> date:
    """The day of the next weighing: two weeks apart at least, as the rule of three wants it."""
    start = basis.roughed_on or last
    if found and found.basis == drying.BY_WEIGHINGS and (found.likely - last).days <= _LATER_STEP:
        return last + timedelta(days=_LAST_STEP)
    step = _YOUNG_STEP if (last - start).days < _YOUNG_DAYS else _LATER_STEP
    return last + timedelta(days=step)
