"""A wood's figures as its page shows them: what each is, its unit, and where it comes from."""

from dataclasses import dataclass

from provenance.trees.models import WoodFigures
from provenance.wood.species import FIGURES, Figure, Species

#: Label, what is meant by it, unit, least and most that can be typed, places always shown.
ABOUT: dict[str, tuple[str, str, str, str, str, int]] = {
    "sg_green": (
        "Specific gravity, green", "oven-dry mass over the volume when green", "",
        "0.05", "1.5", 2,
    ),
    "sg_12": (
        "Specific gravity, dry", "oven-dry mass over the volume at 12 % moisture", "",
        "0.05", "1.6", 2,
    ),
    "shrink_radial_pct": (
        "Shrinkage along the rays", "radial, from green to oven-dry", " %", "0.1", "20", 1,
    ),
    "shrink_tangential_pct": (
        "Shrinkage along the rings", "tangential, from green to oven-dry", " %", "0.1", "30", 1,
    ),
    "shrink_volumetric_pct": (
        "Shrinkage in volume", "from green to oven-dry", " %", "0.1", "40", 1,
    ),
    "mc_green_heartwood_pct": (
        "Moisture when green, heartwood", "of the oven-dry mass", " %", "10", "400", 0,
    ),
    "mc_green_sapwood_pct": (
        "Moisture when green, sapwood", "of the oven-dry mass", " %", "10", "400", 0,
    ),
}  # fmt: skip
NOT_FOUND = "not in the sources"


@dataclass(frozen=True)
class FigureLine:
    """One figure of a wood in words. `shown` is '' where it is missing."""

    label: str
    meaning: str
    shown: str
    source: str
    is_own: bool = False


def figure_lines(wood: Species, own: WoodFigures | None) -> list[FigureLine]:
    """Return all figures of a bare wood, the owner's standing in where the table has none."""
    return [_line(name, wood, own) for name in FIGURES]


def _line(name: str, wood: Species, own: WoodFigures | None) -> FigureLine:
    label, meaning, *_ = ABOUT[name]
    figure: Figure = getattr(wood, name)
    if figure is not None:
        return FigureLine(label, meaning, figure_words(name, figure), wood.source_of(name) or "")
    typed = getattr(own, name) if own else None
    if own is None or typed is None:
        return FigureLine(label, meaning, "", NOT_FOUND)
    shown = figure_words(name, float(typed))
    return FigureLine(label, meaning, shown, f"your own figure: {own.source}", is_own=True)


def figure_words(name: str, figure: float | tuple[float, float]) -> str:
    """Return "4.4 %", or "3.0–4.8 %" for the range of a genus."""
    _, _, unit, _, _, places = ABOUT[name]
    ends = figure if isinstance(figure, tuple) else (figure,)
    shown = dict.fromkeys(_number(end, places) for end in ends)
    return "–".join(shown) + unit.replace(" ", "\N{NO-BREAK SPACE}")


def _number(value: float, places: int) -> str:
    """The number with at least so many places, and with more where it has them."""
    padded = f"{value:.{places}f}"
    return padded if float(padded) == value else f"{value:g}"


def shrinkage_words(wood: Species) -> str:
    """Return "3.7 and 7.1 %" for the shrinkage along rays and rings; '' where one is missing."""
    radial, tangential = wood.shrink_radial_pct, wood.shrink_tangential_pct
    if radial is None or tangential is None:
        return ""
    first = figure_words("shrink_radial_pct", radial).removesuffix("\N{NO-BREAK SPACE}%")
    return f"{first} and {figure_words('shrink_tangential_pct', tangential)}"
