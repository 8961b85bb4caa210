"""What was measured of a rim beside what was predicted, and what can still be turned of it."""

from dataclasses import dataclass

from provenance.drawing.rim_picture import Rim, Words
from provenance.drying import truing
from provenance.drying.air_of_store import Moisture
from provenance.drying.models import Axes
from provenance.drying.range_words import length_words, percent_words, range_words
from provenance.drying.truing_words import drop_words
from provenance.pieces.models import Piece
from provenance.wood import movement
from provenance.wood.movement import RimRange


@dataclass(frozen=True)
class Compared:
    """Rows of (what, predicted, measured) in words, '' where unknown; and the largest true bowl.

    `refusal` says why nothing was predicted. `picture` is what `rim_picture_svg` draws of the
    measured rim.
    """

    rows: tuple[tuple[str, str, str], ...]
    largest: str = ""
    is_spoilt: bool = False
    wants: str = ""
    refusal: str = ""
    picture: tuple[Rim, Words] | None = None


def compared(piece: Piece, axes: Axes | None, moisture: Moisture, unit: str) -> Compared:
    """Say what was predicted for the piece's rim and what its last measure found."""
    diameter_mm = piece.rough_diameter_mm or piece.diameter_mm
    asked = truing.Asked(
        moisture.pct,
        diameter_mm=diameter_mm,
        rim_to_pith_mm=piece.rim_to_pith_mm,
        is_end_grain=piece.grain == Piece.Grain.END,
    )
    out = truing.answer(truing.wood_of_piece(piece), asked)
    rim = out.rim
    at = f"at {percent_words(moisture.pct)}"
    rows = (
        (f"Long axis {at}", range_words(rim.along_mm, unit) if rim else "", _long(axes, unit)),
        (f"Short axis {at}", range_words(rim.across_mm, unit) if rim else "", _short(axes, unit)),
        ("Out of round", range_words(rim.oval_mm, unit) if rim else "", _oval(axes, unit)),
    )
    refusal = out.refusal or ("" if diameter_mm else "Its diameter when green is not noted.")
    if axes is None:
        return Compared(rows, refusal=refusal)
    largest, is_spoilt, wants = _largest(piece, axes, rim, unit)
    return Compared(
        rows, largest, is_spoilt, wants, refusal, _picture(piece, axes, rim, diameter_mm, unit)
    )


def _long(axes: Axes | None, unit: str) -> str:
    return length_words(axes.long_mm, unit) if axes else ""


def _short(axes: Axes | None, unit: str) -> str:
    return length_words(axes.short_mm, unit) if axes else ""


def _oval(axes: Axes | None, unit: str) -> str:
    return length_words(axes.long_mm - axes.short_mm, unit) if axes else ""


def _largest(piece: Piece, axes: Axes, rim: RimRange | None, unit: str) -> tuple[str, bool, str]:
    """The largest true bowl that is left, whether none is, and what is wanted to say more."""
    wall_mm, height_mm = piece.rough_wall_mm or piece.wall_mm, piece.rough_height_mm
    height_mm = height_mm or piece.height_mm
    if not wall_mm or not height_mm:
        outside = length_words(axes.short_mm, unit)
        missing = " and ".join(
            name for name, mm in (("wall", wall_mm), ("height", height_mm)) if not mm
        )
        return (
            f"The largest circle in it is {outside} across.",
            False,
            f"With its rough {missing} noted, it says here what wall and height are left.",
        )
    drop = max(rim.out_of_plane_mm) if rim else 0.0
    try:
        bowl = movement.largest_true_bowl(axes.long_mm, axes.short_mm, wall_mm, height_mm, drop)
    except ValueError as error:
        return str(error), True, ""
    if bowl.wall_mm <= 0 or bowl.height_mm <= 0:
        wall = length_words(wall_mm, unit)
        return f"With a wall of {wall} it is too far out of round to be trued.", True, ""
    return (
        f"The largest true bowl in it: {length_words(bowl.diameter_mm, unit)} across, "
        f"{length_words(bowl.height_mm, unit)} high, with a wall of "
        f"{length_words(bowl.wall_mm, unit)}.",
        False,
        "" if rim else "The height that its rim lost to leaving its plane is not in this.",
    )


def _picture(
    piece: Piece, axes: Axes, rim: RimRange | None, diameter_mm: int | None, unit: str
) -> tuple[Rim, Words]:
    """The rim as it was measured; round before at its green diameter, else at its long axis."""
    before = max(diameter_mm or axes.long_mm, axes.long_mm)
    is_end_grain = piece.grain == Piece.Grain.END
    drawn = Rim(
        before_mm=before,
        long_mm=axes.long_mm,
        short_mm=axes.short_mm,
        out_of_plane_mm=max(rim.out_of_plane_mm) if rim else 0,
        rim_to_pith_mm=piece.rim_to_pith_mm,
        is_pith_below=truing.is_bark_rim(piece),
        is_end_grain=is_end_grain,
    )
    words = Words(
        before=f"round: {length_words(before, unit)}",
        long=length_words(axes.long_mm, unit),
        short=length_words(axes.short_mm, unit),
        drop=f"{drop_words(rim, unit)}, predicted" if rim else "",
        grain="end grain: it runs towards you" if is_end_grain else "along the grain",
    )
    return drawn, words
