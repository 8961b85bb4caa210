"""What came out of `truing`, in sentences and as the picture of the rim, in the shop's units."""

import math
from dataclasses import dataclass

from provenance.drawing.rim_picture import Rim, Words
from provenance.drying.range_words import Range, length_words, percent_words, range_words
from provenance.drying.truing import Answer, Asked, Grip, is_bark_rim
from provenance.pieces.models import Method, Piece
from provenance.wood import movement
from provenance.wood.movement import RimRange

RIM_SOURCE = (
    "How the rim moves is derived: a wedge of free shrinkage that closes. No published form of it "
    "was found."
)
FIBRE_SATURATION_SOURCE = (
    "Shrinkage in proportion below 30 % moisture: Wood Handbook, equation 4-9; along the grain "
    "0.15 % in all: Wood Handbook, chapter 4."
)
TENTH_SOURCE = f"A tenth of the diameter: {movement.TENTH_SOURCE}."


@dataclass(frozen=True)
class GripWords:
    """One set of jaws and what it holds."""

    name: str
    opens: str
    says: str


@dataclass(frozen=True)
class Told:
    """The sentences, empty where there is nothing to say; `picture` is for `rim_picture_svg`."""

    rim: str = ""
    drop: str = ""
    wall_needed: str = ""
    tenth: str = ""
    wall_left: str = ""
    is_too_thin: bool = False
    tenon: str = ""
    tenon_to_cut: str = ""
    grips: tuple[GripWords, ...] = ()
    no_grip: str = ""
    sources: tuple[str, ...] = ()
    margin: str = movement.MARGIN
    picture: tuple[Rim, Words] | None = None
    picture_title: str = ""


def told(piece: Piece, asked: Asked, answer: Answer, unit: str) -> Told:
    """Say what came out for this piece."""
    rim, moisture = answer.rim, percent_words(asked.to_mc_pct)
    diameter = asked.diameter_mm
    words = rim_words(rim, diameter, moisture, unit, asked) if rim and diameter else ""
    left, wanted = answer.wall_left, asked.finished_wall_mm
    return Told(
        rim=words,
        drop=_drop(piece, rim, asked, unit) if rim else "",
        wall_needed=_wall_needed(answer, asked, unit),
        tenth=length_words(answer.tenth_mm, unit) if answer.tenth_mm else "",
        wall_left=_wall_left(answer, asked, unit),
        is_too_thin=bool(left and wanted and left[0] < wanted),
        tenon=_tenon(answer, asked, unit),
        tenon_to_cut=_tenon_to_cut(answer, asked, unit),
        grips=tuple(_grip(each, unit) for each in answer.grips),
        no_grip=_no_grip(answer),
        sources=_sources(piece, answer, asked),
        picture=_picture(piece, rim, asked, unit) if rim and diameter else None,
        picture_title=f"The rim before and after drying. {words}" if words else "",
    )


def rim_words(rim: RimRange, diameter: int, moisture: str, unit: str, asked: Asked) -> str:
    """Return what the rim becomes, in a sentence or two."""
    along, across = range_words(rim.along_mm, unit), range_words(rim.across_mm, unit)
    oval = range_words(rim.oval_mm, unit)
    directions = (
        ("one way, along the radius of the tree,", "the other, round its rings")
        if asked.is_end_grain
        else ("along the grain", "across it")
    )
    return (
        f"Round at {length_words(diameter, unit)} when green, at {moisture} it is {along} "
        f"{directions[0]} and {across} {directions[1]}: about {oval} out of round."
    )


def drop_words(rim: RimRange, unit: str) -> str:
    """Return how far the sides leave the plane: "4 mm", "2 to 5 mm", "up to 15 mm"."""
    low, high = sorted(rim.out_of_plane_mm)
    return range_words((low, high), unit) if low >= 0.5 else f"up to {length_words(high, unit)}"


def _drop(piece: Piece, rim: RimRange, asked: Asked, unit: str) -> str:
    if asked.is_end_grain or max(rim.out_of_plane_mm) < 0.5:
        return ""
    costs = (
        "turned once, it keeps that wave"
        if piece.method == Method.SINGLE
        else "so much of the height goes when the rim is trued flat"
    )
    drop = drop_words(rim, unit)
    return f"Its two sides leave the plane of the rim by {drop}, away from the pith: {costs}."


def _wall_needed(answer: Answer, asked: Asked, unit: str) -> str:
    if answer.wall_refusal:
        return answer.wall_refusal
    if not answer.wall_needed or not asked.finished_wall_mm:
        return ""
    return (
        f"For a finished wall of {length_words(asked.finished_wall_mm, unit)} leave "
        f"{range_words(_upwards(answer.wall_needed), unit)} when roughing, and a margin."
    )


def _upwards(span: Range) -> Range:
    """Whole millimetres upwards: rounded down, a least wall would be too thin."""
    return float(math.ceil(span[0])), float(math.ceil(span[1]))


def _wall_left(answer: Answer, asked: Asked, unit: str) -> str:
    if not answer.wall_left or not asked.rough_wall_mm:
        return ""
    wall = length_words(asked.rough_wall_mm, unit)
    if max(answer.wall_left) <= 0:
        return f"A wall of {wall} goes more out of round than it is thick: it won't true up."
    left = range_words((max(answer.wall_left[0], 0), answer.wall_left[1]), unit)
    return f"A wall of {wall} leaves {left} once both its faces are round again."


def _tenon(answer: Answer, asked: Asked, unit: str) -> str:
    if not answer.tenon_left or not asked.tenon_mm:
        return ""
    left = range_words(answer.tenon_left, unit)
    return f"A tenon of {length_words(asked.tenon_mm, unit)} leaves a true circle of {left}."


def _tenon_to_cut(answer: Answer, asked: Asked, unit: str) -> str:
    if not answer.tenon_to_cut or not asked.tenon_mm:
        return ""
    cut = range_words(answer.tenon_to_cut, unit)
    return f"To have {length_words(asked.tenon_mm, unit)} left once it is true, cut it {cut}."


def _grip(grip: Grip, unit: str) -> GripWords:
    says = {
        (True, True): "hold it green, and dry once it is true",
        (True, False): "hold it green, but not what is left of it dry",
        (False, True): "hold what is left of it dry, but not as it is cut",
        (False, False): "don't hold it",
    }[grip.holds_green, grip.holds_dry]
    opens = range_words((grip.jaws.smallest_mm, grip.jaws.largest_mm), unit)
    return GripWords(grip.jaws.name, opens, says)


def _no_grip(answer: Answer) -> str:
    if not answer.grips or any(grip.holds_dry for grip in answer.grips):
        return ""
    return "None of your jaws holds what is left of it once it is dry and true: cut another size."


def _sources(piece: Piece, answer: Answer, asked: Asked) -> tuple[str, ...]:
    """Where the figures and the forms are from, each with how far it is trusted."""
    if answer.wood is None:
        return ()
    found = [answer.wood.source_of(f"shrink_{way}_pct") for way in ("radial", "tangential")]
    figures = " and ".join(dict.fromkeys(source for source in found if source))
    sources = [f"Shrinkage of {answer.wood.common_name}: {figures}.", FIBRE_SATURATION_SOURCE]
    if not asked.is_end_grain:
        sources.append(RIM_SOURCE)
        if piece.method != Method.SINGLE:
            sources.append(TENTH_SOURCE)
    return tuple(sources)


def _picture(piece: Piece, rim: RimRange, asked: Asked, unit: str) -> tuple[Rim, Words]:
    """The rim at the far end of its range, where it moves the most."""
    diameter = asked.diameter_mm or 0
    drawn = Rim(
        before_mm=diameter,
        long_mm=min(rim.along_mm),
        short_mm=min(rim.across_mm),
        out_of_plane_mm=max(rim.out_of_plane_mm),
        rim_to_pith_mm=asked.rim_to_pith_mm,
        is_pith_below=is_bark_rim(piece),
        is_end_grain=asked.is_end_grain,
    )
    words = Words(
        before=f"round: {length_words(diameter, unit)}",
        long=range_words(rim.along_mm, unit),
        short=range_words(rim.across_mm, unit),
        drop=drop_words(rim, unit),
        grain="end grain: it runs towards you" if asked.is_end_grain else "along the grain",
    )
    return drawn, words
