"""What a piece's page and card say of it: its line from tree to today, without its owner."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch

from provenance.maker.models import Shop
from provenance.pieces.models import (
    Custody,
    Finish,
    FinishApplied,
    Method,
    Piece,
    PieceQuerySet,
    Stage,
)
from provenance.record.date_words import month_words
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.units import format_length
from provenance.trees.models import Tree
from provenance.trees.story import downfall

Kind = JournalEntry.Kind

METHOD_WORDS = {
    Method.TWICE: "turned twice",
    Method.SINGLE: "turned once, green",
    Method.STRAIGHT: "turned from dry wood",
}
#: Stages in which a piece has not yet been turned for the last time, by method.
STILL_TO_TURN = {
    Method.TWICE: (Stage.BLANK, Stage.DRYING, Stage.DRY),
    Method.SINGLE: (Stage.BLANK,),
    Method.STRAIGHT: (Stage.BLANK,),
}


BACK = {"back-to-dry": ("call-dry", "true-up"), "refinish": ("into-finish", "finish")}
"""What a step back makes undone."""

NO_BREAK = "\u00a0"


def read_ahead(pieces: PieceQuerySet) -> PieceQuerySet:
    """Return `pieces` with all that their stories tell, in a fixed number of queries."""
    trees = Tree.objects.select_related("cause").order_by("pk")
    applied = FinishApplied.objects.standing()
    moves = JournalEntry.objects.filter(kind=Kind.MOVED, correction=None).order_by("pk")
    return pieces.select_related("form", "edge", "custody", "journal").prefetch_related(
        Prefetch("trees", trees),
        "stocks",
        Prefetch("finishes", applied, to_attr="finishes_ahead"),
        Prefetch("journal__entries", moves, to_attr="moves_ahead"),
    )


@dataclass(frozen=True)
class Event:
    """One point of the line: a date in words ('' when not known) and what happened."""

    when: str
    what: str
    is_span: bool = False


def size_of(piece: Piece, unit: str) -> str:
    """Return "292 × 108 mm" or "11 1/2 × 4 1/4 in"; '' when not measured."""
    sizes = [mm for mm in (piece.diameter_mm, piece.height_mm) if mm]
    if not sizes:
        return ""
    numbers = [format_length(mm, unit) for mm in sizes]
    words = " × ".join([*(n.removesuffix(f" {unit}") for n in numbers[:-1]), numbers[-1]])
    return words.replace(" ", NO_BREAK)


def size_in_both(piece: Piece, unit: str) -> str:
    """Return the size in the shop's unit with the other behind: "292 × 108 mm (11 1/2 × …)"."""
    other = "in" if unit == "mm" else "mm"
    size = size_of(piece, unit)
    return f"{size} ({size_of(piece, other)})" if size else ""


def across(piece: Piece, unit: str) -> str:
    """Return "292 mm across" ("125 mm long" for a pen); '' when not measured."""
    if not piece.diameter_mm:
        return ""
    return f"{format_length(piece.diameter_mm, unit)} {'long' if piece.form.is_long else 'across'}"


def finishes_of(piece: Piece) -> list[Finish]:
    """Return the finishes that stand on the piece. One query, none after `read_ahead`."""
    applied: list[FinishApplied] | None = getattr(piece, "finishes_ahead", None)
    return [one.finish for one in (piece.finishes.standing() if applied is None else applied)]


def finish_names(piece: Piece) -> str:
    """Return the names of the finishes on the piece, "mineral oil, beeswax". See `finishes_of`."""
    return ", ".join(dict.fromkeys(finish.name for finish in finishes_of(piece)))


def subtitle(piece: Piece, shop: Shop) -> str:
    """Return "Turned twice · oil and beeswax · 292 × 108 mm"; "To be turned twice" before that."""
    method = Method(piece.method)
    words = METHOD_WORDS[method]
    said = f"to be {words}" if piece.stage in STILL_TO_TURN[method] else words
    parts = (said[0].upper() + said[1:], finish_names(piece), size_of(piece, shop.length_unit))
    return " · ".join(part for part in parts if part)


def move_dates(piece: Piece) -> dict[str, PartialDate | None]:
    """Return the date of each move that stands, the last of its kind, in order.

    What a step back undid no longer counts: a piece that was put back to dry is not dry, one that
    is finished again is not finished. One query, none after `read_ahead`.
    """
    entries: list[JournalEntry] | None = getattr(piece.journal, "moves_ahead", None)
    if entries is None:
        moved = piece.journal.entries.filter(kind=Kind.MOVED, correction=None)
        entries = list(moved.order_by("pk"))
    dates: dict[str, PartialDate | None] = {}
    for entry in entries:
        for gone in (entry.move, *BACK.get(entry.move, ())):
            dates.pop(gone, None)
        dates[entry.move] = entry.happened
    return dates


def months_between(start: date, end: date) -> int:
    """Return whole months, rounded to the nearest."""
    return round((end - start).days / 30.44)


def span_words(start: PartialDate | None, end: PartialDate | None) -> str:
    """Return "19 months", "3 weeks" or '' when a date is too vague to count from."""
    if not (start and end) or "year" in (start.precision, end.precision):
        return ""
    if "decade" in (start.precision, end.precision) or end.earliest <= start.earliest:
        return ""
    days = (end.earliest - start.earliest).days
    if days < 60:
        weeks = max(1, round(days / 7))
        return f"{weeks} week{'s' if weeks > 1 else ''}"
    return f"{months_between(start.earliest, end.earliest)} months"


def _month(when: PartialDate | None) -> str:
    return month_words(when) if when else ""


def timeline(piece: Piece, unit: str = "mm") -> list[Event]:
    """Return the public line from tree to today. Three queries; nothing private in it."""
    events = _tree_events(list(piece.trees.all()))
    dates = move_dates(piece)
    green = dates.get("rough") or dates.get("turn-green")
    if "rough" in dates:
        wall = (
            f" to a wall of {format_length(piece.rough_wall_mm, unit)}"
            if piece.rough_wall_mm
            else ""
        )
        events.append(Event(_month(dates["rough"]), f"Roughed out green{wall}"))
    if "turn-green" in dates:
        turned = "Turned green and thin, to move as it dries"
        events.append(Event(_month(dates["turn-green"]), turned))
    span = span_words(green, dates.get("call-dry"))
    if span:
        events.append(Event(f"{span} drying", "On the drying shelf", True))
    if "turn" in dates:
        events.append(Event(_month(dates["turn"]), "Turned"))
    if "true-up" in dates:
        events.append(Event(_month(dates["true-up"]), "Trued up on the lathe"))
    if "finish" in dates:
        finishes = finish_names(piece)
        said = f"Finished: {finishes}" if finishes else "Finished"
        events.append(Event(_month(dates["finish"]), said))
    today = whereabouts(piece)
    return [*events, Event("Today", today)] if today else events


def _tree_events(trees: list[Tree]) -> list[Event]:
    """Return how the trees came down and were fetched, the earliest first, unknown days before."""
    dated: list[tuple[date, Event]] = []
    for tree in trees:
        which = "tree" if len(trees) == 1 else tree.species_name
        name = f"The {which} in {tree.public_place}"
        if tree.felled:
            event = Event(_month(tree.felled), f"{name} came down")
            dated.append((tree.felled.earliest, event))
        elif downfall(tree):
            dated.append((date.min, Event("", downfall(tree))))
        if tree.collected:
            said = "Its wood was collected" if len(trees) == 1 else f"{name} was collected"
            dated.append((tree.collected.earliest, Event(_month(tree.collected), said)))
    return [event for _, event in sorted(dated, key=lambda pair: pair[0])]


def whereabouts(piece: Piece) -> str:
    """Return where a stranger may know the piece to be: never with whom."""
    words = {
        Custody.Kind.SHOP: "In the shop",
        Custody.Kind.MARKET: "Out at a market",
        Custody.Kind.GALLERY: "At a gallery",
        Custody.Kind.LENT: "Out on loan",
        Custody.Kind.REPAIR: "In the shop, being looked after",
        Custody.Kind.BUYER: "With its owner",
        Custody.Kind.GIVEN: "With its owner",
    }
    return words.get(Custody.Kind(piece.custody.kind), "") if piece.custody else ""


def making_sentence(piece: Piece) -> str:
    """Return "Roughed green in April 2023, dried 19 months, finished November 2024."

    Queries as `move_dates` does.
    """
    dates = move_dates(piece)
    parts = []
    turnings = {"rough": "roughed green", "turn-green": "turned green", "turn": "turned"}
    for slug, words in turnings.items():
        if slug in dates:
            month = _month(dates[slug])
            parts.append(f"{words} in {month}" if month else words)
    span = span_words(dates.get("rough") or dates.get("turn-green"), dates.get("call-dry"))
    if span:
        parts.append(f"dried {span}")
    if "finish" in dates:
        parts.append(f"finished {_month(dates['finish'])}".rstrip())
    words = ", ".join(parts)
    return f"{words[0].upper()}{words[1:]}." if words else ""
