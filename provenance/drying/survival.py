"""Of what was roughed out, how much came through: the shop's own figures.

A piece roughed to be turned twice has come through once it is trued up, one turned green in one
go once it is called dry. It is lost when that was recorded before it was finished. What is still
on its way counts neither way.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NamedTuple

from django.db.models import CharField, Exists, OuterRef
from django.db.models.functions import Cast

from provenance.pieces.making import FROM_BEFORE
from provenance.pieces.models import Custody, LossCause, Piece, Stage
from provenance.record.models import JournalEntry
from provenance.record.numbers import Number
from provenance.record.units import LengthUnit
from provenance.trees.models import BoughtStock, Tree
from provenance.trees.naming import entry_text, wood_key

Kind = JournalEntry.Kind

ROUGH, TURN_GREEN = "rough", "turn-green"
#: Fewer decided pieces than this say nothing yet; their count is shown all the same.
FEWEST = 10
#: Of the normal distribution, for a range that holds the truth nineteen times in twenty.
Z95 = 1.959964

WAITING, THROUGH, LOST, LEFT = "waiting", "through", "lost", "left"

_THROUGH_AT = {
    ROUGH: (Stage.TRUED, Stage.IN_FINISH, Stage.FINISHED),
    TURN_GREEN: (Stage.DRY, Stage.IN_FINISH, Stage.FINISHED),
}
_QUARTERS = ("Dec–Feb", "Mar–May", "Jun–Aug", "Sep–Nov")
_WALL_EDGES_MM = {
    (ROUGH, "mm"): ((20, "20"), (25, "25"), (30, "30"), (35, "35"), (40, "40")),
    (ROUGH, "in"): ((19, "3/4"), (25, "1"), (32, "1 1/4"), (38, "1 1/2")),
    (TURN_GREEN, "mm"): ((5, "5"), (8, "8"), (12, "12")),
    (TURN_GREEN, "in"): ((5, "3/16"), (8, "5/16"), (13, "1/2")),
}
UNKNOWN = "not noted"
SEVERAL_WOODS, SEVERAL_TREES = "several woods", "several trees"
NO_WOOD, NO_TREE = "not known", "no tree of the book"


class Fate(NamedTuple):
    """What became of one piece that was roughed, and what it is counted under.

    `wood` and `tree` are (key, words); a tree's key is its code, '' for none.
    """

    move: str
    outcome: str
    cause: str
    wood: tuple[str, str]
    tree: tuple[str, str]
    season: str
    wall: tuple[int, str]


@dataclass
class Tally:
    """How pieces fared: a row of the page. `lost` is by cause."""

    label: str
    key: str = ""
    through: int = 0
    waiting: int = 0
    left: int = 0
    lost: Counter[str] = field(default_factory=Counter)

    def count(self, outcome: str, cause: str, many: int) -> None:
        """Count so many pieces in that fared alike."""
        if outcome == LOST:
            self.lost[cause] += many
        else:
            setattr(self, outcome, getattr(self, outcome) + many)

    @property
    def lost_count(self) -> int:
        return self.lost.total()

    @property
    def roughed(self) -> int:
        """All of them, whatever became of them."""
        return self.decided + self.waiting + self.left

    @property
    def decided(self) -> int:
        """Those that came through or were lost."""
        return self.through + self.lost_count

    @property
    def causes(self) -> str:
        """What they were lost to: "cracked 3, torn out 1"; '' for no loss."""
        ordered = sorted(self.lost.items(), key=lambda item: (-item[1], item[0]))
        return ", ".join(f"{cause}\N{NO-BREAK SPACE}{count}" for cause, count in ordered)

    @property
    def is_telling(self) -> bool:
        """Whether enough are decided to say what is usual."""
        return self.decided >= FEWEST

    @property
    def share(self) -> str:
        """How many in ten come through: "6 to 9 in ten", "at least 7 in ten", or too few."""
        if not self.is_telling:
            return "too few to tell"
        low, high = share_between(self.through, self.decided)
        # Outwards, so that the rounded range holds what the exact one does.
        least, most = math.floor(low * 10), math.ceil(high * 10)
        if most == 10:
            return f"at least {least} in ten"
        return f"{least} to {most} in ten" if least else f"at most {most} in ten"


def share_between(successes: int, trials: int) -> tuple[float, float]:
    """Return the range, from 0 to 1, that holds the true share nineteen times in twenty.

    (p + z²/2n ± z √(p(1−p)/n + z²/4n²)) / (1 + z²/n), with p the share seen in n trials: the score
    interval of E. B. Wilson, "Probable inference, the law of succession, and statistical
    inference", Journal of the American Statistical Association 22 (1927) 209–212; the formula as
    in the NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1. For pieces that fare
    independently. Raises `ValueError` for no trial, or more successes than trials.
    """
    if not 0 <= successes <= trials or trials < 1:
        raise ValueError("A share needs at least one trial, and no more successes than trials.")
    p, z2 = successes / trials, Z95 * Z95
    middle = p + z2 / (2 * trials)
    half = Z95 * math.sqrt(p * (1 - p) / trials + z2 / (4 * trials * trials))
    scale = 1 + z2 / trials
    return max(0.0, (middle - half) / scale), min(1.0, (middle + half) / scale)


@dataclass(frozen=True)
class Survival:
    """How all pieces of one beginning fared, and the same parted in four ways."""

    move: str
    total: Tally
    by_wood: list[Tally]
    by_tree: list[Tally]
    by_season: list[Tally]
    by_wall: list[Tally]


@dataclass(frozen=True)
class Figures:
    """Both beginnings; `from_before` counts pieces from before the book, which are left out."""

    roughed: Survival
    turned_green: Survival
    from_before: int


def figures(unit: LengthUnit) -> Figures:
    """Return how everything fared that was ever roughed in the book. Seven queries.

    Pieces entered from before the book are left out: of those, mostly what came through is still
    there to be entered.
    """
    fates, from_before = _fates(unit)
    return Figures(survival(ROUGH, fates), survival(TURN_GREEN, fates), from_before)


def survival(move: str, fates: Iterable[Fate]) -> Survival:
    """Group the pieces that began with `move`. Pure."""
    begun = [fate for fate in fates if fate.move == move]
    [total] = _parted(begun, lambda _: ("", "all")) or [Tally("all")]
    return Survival(
        move,
        total,
        by_wood=_most_first(_parted(begun, lambda fate: fate.wood)),
        by_tree=_most_first(_parted(begun, lambda fate: fate.tree)),
        by_season=_in_order(_parted(begun, lambda f: (f.season, f.season)), _QUARTERS),
        by_wall=sorted(_parted(begun, _wall_of), key=lambda tally: int(tally.key)),
    )


def _wall_of(fate: Fate) -> tuple[str, str]:
    place, label = fate.wall
    return str(place), label


def _parted(fates: Iterable[Fate], by: Callable[[Fate], tuple[str, str]]) -> list[Tally]:
    """One tally for each key; it is called as its first piece calls it."""
    tallies: dict[str, Tally] = {}
    alike = Counter((by(fate), fate.outcome, fate.cause) for fate in fates)
    for ((key, label), outcome, cause), many in alike.items():
        tallies.setdefault(key or label, Tally(label, key)).count(outcome, cause, many)
    return list(tallies.values())


def _most_first(tallies: list[Tally]) -> list[Tally]:
    return sorted(tallies, key=lambda tally: (-tally.decided, -tally.roughed, tally.label))


def _in_order(tallies: list[Tally], order: tuple[str, ...]) -> list[Tally]:
    known = {label: place for place, label in enumerate(order)}
    return sorted(tallies, key=lambda tally: known.get(tally.label, len(order)))


@lru_cache(maxsize=4096)
def wall_band(move: str, wall_mm: int | None, unit: LengthUnit) -> tuple[int, str]:
    """Return the band of a wall, in the shop's unit: (place, "25 to under 30 mm")."""
    edges = _WALL_EDGES_MM[move, unit]
    if wall_mm is None:
        return len(edges) + 1, UNKNOWN
    place = sum(wall_mm >= edge for edge, _ in edges)
    if place == 0:
        return place, f"under {edges[0][1]} {unit}"
    if place == len(edges):
        return place, f"{edges[-1][1]} {unit} and over"
    return place, f"{edges[place - 1][1]} to under {edges[place][1]} {unit}"


@lru_cache(maxsize=4096)
def season_of(edtf: str | None) -> str:
    """Return the quarter of the year in which a date lies, by its months; it needs the month."""
    month = (edtf or "")[5:7]
    return _QUARTERS[int(month) % 12 // 3] if month.isdecimal() else UNKNOWN


def _fates(unit: LengthUnit) -> tuple[list[Fate], int]:
    """Read what was roughed and what became of it; without a model for any row."""
    losses, woods = _losses(), _Woods()
    fates, from_before = [], 0
    for pk, move, happened, is_old, stage, rough_wall, wall, hands in _roughed():
        if is_old:
            from_before += 1
            continue
        cause, before = losses.get(pk, (UNKNOWN, ""))
        outcome = _outcome(move, before if stage == Stage.LOST else stage, stage, hands)
        wall_mm = rough_wall if move == ROUGH else wall
        fates.append(
            Fate(
                move,
                outcome,
                cause,
                woods.wood_of(pk),
                woods.tree_of(pk),
                season_of(happened),
                wall_band(move, wall_mm, unit),
            )
        )
    return fates, from_before


def _roughed() -> Iterable[tuple[int, str, str, bool, str, int | None, int | None, str]]:
    """Each move that began a piece's drying and stands, with the piece as it is now."""
    begun = JournalEntry.objects.filter(
        journal=OuterRef("journal"), kind=Kind.BEGUN, words=FROM_BEFORE
    )
    moves = JournalEntry.objects.filter(
        kind=Kind.MOVED, move__in=(ROUGH, TURN_GREEN), correction=None, journal__piece__gt=0
    ).order_by()
    return moves.annotate(edtf=Cast("happened", CharField()), is_old=Exists(begun)).values_list(
        "journal__piece",
        "move",
        "edtf",
        "is_old",
        "journal__piece__stage",
        "journal__piece__rough_wall_mm",
        "journal__piece__wall_mm",
        "journal__piece__custody__kind",
    )


def _losses() -> dict[int, tuple[str, str]]:
    """The cause of each loss that stands, and the stage before it, by the piece's key."""
    names = dict(LossCause.objects.values_list("slug", "name"))
    lost = JournalEntry.objects.filter(
        kind=Kind.LOST, correction=None, journal__piece__stage=Stage.LOST
    ).order_by()
    return {
        pk: (names.get(slug, slug), changes.get("stage", [""])[0])
        for pk, slug, changes in lost.values_list("journal__piece", "move", "changes")
    }


def _outcome(move: str, stage: str, now: str, hands: str | None) -> str:
    """What became of a piece: of a lost one, `stage` is what it was before."""
    if now == Stage.LOST and stage != Stage.FINISHED:
        return LOST
    if stage in _THROUGH_AT[move]:
        return THROUGH
    is_ours = hands in (*Custody.HELD, Custody.Kind.REPAIR)
    return WAITING if is_ours else LEFT


class _Woods:
    """The woods and trees of all pieces, read at once. Four queries."""

    def __init__(self) -> None:
        self._trees = _keyed(Piece.trees.through.objects.values_list("piece", "tree"))
        self._stocks = _keyed(Piece.stocks.through.objects.values_list("piece", "boughtstock"))
        self._wood: dict[tuple[str, int], tuple[str, str]] = {}
        self._tree: dict[int, tuple[str, str]] = {}
        names = ("pk", "species_slug", "species_words")
        trees = Tree.objects.order_by().values_list(*names, "code", "public_place")
        for pk, slug, words, code, place in trees:
            self._wood["tree", pk] = (wood_key(slug, words), entry_text(slug, words))
            name = f"{Number.from_code(code)} {entry_text(slug, words)}, {place}"
            self._tree[pk] = (code, name)
        for pk, slug, words in BoughtStock.objects.order_by().values_list(*names):
            self._wood["stock", pk] = (wood_key(slug, words), entry_text(slug, words))

    def wood_of(self, piece: int) -> tuple[str, str]:
        """Return the key and the name of a piece's wood, or that there are several."""
        sources = [("tree", pk) for pk in self._trees.get(piece, ())]
        sources += [("stock", pk) for pk in self._stocks.get(piece, ())]
        found = dict(self._wood[source] for source in sources)
        found.pop("", None)
        if len(found) == 1:
            return found.popitem()
        return ("", SEVERAL_WOODS) if found else ("", NO_WOOD)

    def tree_of(self, piece: int) -> tuple[str, str]:
        """Return the code and the words of a piece's tree, or that there are several."""
        trees = self._trees.get(piece, ())
        if len(trees) == 1:
            return self._tree[trees[0]]
        return ("", SEVERAL_TREES) if trees else ("", NO_TREE)


def _keyed(rows: Iterable[tuple[int, int]]) -> Mapping[int, list[int]]:
    """The sources of each piece."""
    found: dict[int, list[int]] = {}
    for piece, source in rows:
        found.setdefault(piece, []).append(source)
    return found
