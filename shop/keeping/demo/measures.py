"""Plausible figures for the demo's pieces: sizes, minutes, prices. All invented."""

import math
import random
from dataclasses import dataclass
from typing import Any

from provenance.pieces.models import Finish

END_GRAIN = {
    "vase", "hollow-form", "lidded-box", "urn", "goblet", "pen", "stopper", "handle", "ornament",
}  # fmt: skip
LONG = {"pen", "stopper", "handle"}
WITHOUT_WALL = {*LONG, "ornament"}

USUAL_FINISHES = {
    "bowl": ("oil-beeswax", "walnut-oil", "mineral-oil"),
    "salad-bowl": ("walnut-oil", "oil-beeswax", "tung-oil"),
    "platter": ("oil-beeswax", "tung-oil"),
    "natural-edge-bowl": ("varnish", "paste-wax", "tung-oil"),
    "pen": ("friction-polish", "lacquer"),
    "stopper": ("lacquer", "friction-polish"),
    "handle": ("tung-oil",),
    "ornament": ("friction-polish", "beeswax"),
}
OTHER_FINISHES = ("varnish", "lacquer", "shellac", "paste-wax")

MOST_COATS = {
    Finish.Kind.OIL: 4,
    Finish.Kind.OIL_WAX: 3,
    Finish.Kind.FILM: 5,
}


@dataclass(frozen=True)
class Size:
    """Diameter (or length), height (or thickness) and wall in mm; no wall for solid work."""

    across: int
    high: int
    wall: int | None

    def facts(self, prefix: str = "") -> dict[str, Any]:
        """Return the size as fields of a piece, `prefix` "rough_" for the rough ones."""
        return {
            f"{prefix}diameter_mm": self.across,
            f"{prefix}height_mm": self.high,
            f"{prefix}wall_mm": self.wall,
        }


def finished_size(form: str, about: list[int], chance: random.Random) -> Size:
    """Return a size near `about`: no two pieces of a run come out alike."""
    across, high, *wall = about
    spread = 0.015 if form in LONG else 0.06
    return Size(
        round(across * chance.uniform(1 - spread, 1 + spread)),
        round(high * chance.uniform(1 - spread, 1 + spread)),
        max(2, wall[0] + chance.choice((-1, 0, 0, 1))) if wall else None,
    )


def rough_size(size: Size) -> Size:
    """Return what it was roughed to: a tenth of the diameter in the wall, and room to true."""
    across = math.ceil(size.across * 1.08 + 4)
    return Size(across, math.ceil(size.high * 1.1 + 8), max(20, round(across / 10)))


def rim_to_pith_mm(rough: Size, form: str, code: str) -> int | None:
    """Return how far the rim lies from the pith: near it, or beyond the height for one in three.

    Of end grain, and of one in five, nobody measured it.
    """
    own = random.Random(f"Saltmarsh Lane, pith of {code}")  # noqa: S311 - nothing secret
    if form in END_GRAIN or own.random() < 0.2:
        return None
    near = own.randint(12, 30)
    return near + rough.high if "natural" in form or own.random() < 0.33 else near


def tenon_mm(across: int, high: int) -> int:
    """Return a tenon's diameter for a vessel of that size."""
    return max(48, min(110, round(min(across * 0.38, high * 0.9) / 2) * 2))


def minutes(move: str, form: str, across: int, chance: random.Random) -> int | None:
    """Return the minutes that a move took; None for moves that take no time at the bench."""
    small = form in WITHOUT_WALL
    base = {
        "rough": across / 9,
        "turn-green": across / 4.5,
        "turn": 22 if small else across / 3.5,
        "true-up": across / 5.5,
        "into-finish": 6 if small else 14,
        "finish": 4 if small else 10,
    }.get(move)
    return max(3, round(base * chance.uniform(0.8, 1.35))) if base else None


def price(form: str, size: Size) -> int:
    """Return a price in whole units of the shop's currency, to the nearest five (pens: whole)."""
    across, high = size.across, size.high
    amounts = {
        "bowl": across**2 / 500,
        "salad-bowl": across**2 / 470,
        "natural-edge-bowl": across**2 / 410,
        "platter": across**2 / 620,
        "vase": 45 + high * 0.55,
        "hollow-form": 70 + across * 0.95,
        "lidded-box": 38 + (across + high) * 0.35,
        "urn": 120 + high * 0.75,
        "goblet": 30 + high * 0.2,
        "pen": 58,
        "stopper": 34,
        "handle": 28,
        "ornament": 30,
    }
    return max(18, 5 * round(amounts.get(form, 40 + across * 0.3) / 5) - (form in LONG))
