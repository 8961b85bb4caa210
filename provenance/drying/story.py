"""Where the drying of a piece stands, in words: for its own page and for the piece's."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from provenance.drying import measuring
from provenance.drying.air_of_store import Moisture
from provenance.drying.models import NEARLY_DAYS, Outlook, Weighing
from provenance.drying.pictures import mass_words
from provenance.drying.range_words import percent_words
from provenance.maker.models import Shop
from provenance.pieces.models import Method, Piece, Stage
from provenance.record.partial_dates import PartialDate

BY_WEIGHINGS = "weighings"

#: Parts of the whole drying time that the range may span, up to which it is called so.
_SURENESS = (
    (0.2, "A fairly sure date."),
    (0.5, "A rough date as yet: further weighings narrow it."),
)
_UNSURE = "Hardly more than a guess as yet: further weighings narrow it."
#: Where a piece is of interest to the drying room.
_DRIES = (Stage.DRYING, Stage.DRY)


@dataclass(frozen=True)
class Standing:
    """Where a piece stands, in sentences; '' where there is nothing to say."""

    headline: str
    between: str = ""
    sureness: str = ""
    basis: str = ""
    to_lose: str = ""
    holds: str = ""
    pace: str = ""
    is_worrying: bool = False

    @property
    def in_words(self) -> str:
        """All of it in one paragraph, for who doesn't see the picture."""
        parts = (self.headline, self.between, self.sureness, self.basis, self.to_lose, self.pace)
        return " ".join(part for part in parts if part)


def standing(outlook: Outlook | None, moisture: Moisture, shop: Shop, today: date) -> Standing:
    """Say where the drying stands by the forecast that is kept with the piece. No query."""
    if outlook is None or not outlook.weighing_count:
        return Standing(
            "Not weighed yet.",
            basis="Three weighings make a forecast; until then there is the inch-a-year rule.",
        )
    to_lose, holds = _masses(outlook, moisture, shop)
    pace, is_worrying = _pace(outlook, moisture)
    basis = _basis(outlook)
    if outlook.is_dry:
        return Standing("Dry, by its weighings.", basis=basis, holds=holds)
    if outlook.likely is None:
        return Standing("No forecast yet.", basis=_waits_for(outlook))
    between, sureness = _range(outlook)
    return Standing(
        _headline(outlook.likely, outlook, today),
        between, sureness, basis, to_lose, holds, pace, is_worrying,
    )  # fmt: skip


def short_words(outlook: Outlook | None, today: date) -> str:
    """Return "dry by its weighings", "likely dry 12 January 2027" or '' where nothing is known."""
    if outlook is None:
        return ""
    if outlook.is_dry:
        return "dry by its weighings"
    if outlook.likely is None:
        return ""
    rule = "" if outlook.basis == BY_WEIGHINGS else " by the inch-a-year rule"
    if outlook.likely <= today:
        return f"was likely dry by {_spoken(outlook.likely)}{rule}"
    return f"likely dry {_spoken(outlook.likely)}{rule}"


def why_it_stops(moisture: Moisture) -> str:
    """Say why wood that holds still in a damp store is done there, and not for a heated room."""
    if not moisture.is_read:
        return ""
    if not moisture.is_damp:
        return "Wood that holds its mass there is done: it has come to the air round it."
    return (
        f"So wood that stops at {percent_words(moisture.pct)} there isn't stuck: it is done for "
        "that store. In a heated room it loses more, and moves once more as it does: bring it in "
        "for some weeks before the last cuts where that matters, as with a lid."
    )


def on_piece(piece: Piece, shop: Shop, today: date) -> dict[str, Any] | None:
    """Return the context of `drying/_on_piece.html`; None where a piece has no drying to tell.

    A piece in the making that dries, and any that was weighed, measured or checked. Three queries.
    """
    outlook: Outlook | None = Outlook.objects.filter(piece=piece).first()
    axes = measuring.last_axes(piece)
    check = measuring.last_check(piece)
    is_to_dry = piece.method != Method.STRAIGHT
    may_dry = is_to_dry and piece.stage in (Stage.BLANK, *_DRIES, Stage.TRUED)
    if not may_dry and not (outlook or axes or check):
        return None
    return {
        "is_drying": piece.stage == Stage.DRYING,
        "may_be_weighed": is_to_dry and piece.stage in _DRIES,
        "is_asked_if_true": is_to_dry and piece.stage in (Stage.BLANK, *_DRIES),
        "may_be_measured": piece.stage not in (Stage.BLANK, Stage.LOST),
        "may_be_checked": piece.method == Method.TWICE and piece.stage in (*_DRIES, Stage.TRUED),
        "words": short_words(outlook, today) if piece.stage in _DRIES else "",
        "is_nearly": _is_nearly(outlook, today),
        "last": _last(outlook, shop),
        "axes": axes,
        "check": check,
        "is_held": measuring.is_held(piece, check),
        "is_single": piece.method == Method.SINGLE,
    }


def _is_nearly(outlook: Outlook | None, today: date) -> bool:
    if outlook is None or outlook.is_dry or outlook.likely is None:
        return False
    return (outlook.likely - today).days <= NEARLY_DAYS


def _last(outlook: Outlook | None, shop: Shop) -> str:
    if outlook is None or outlook.last_mass_g is None or outlook.last_weighed_on is None:
        return ""
    mass = mass_words(float(outlook.last_mass_g), shop)
    return f"{mass} on {_spoken(outlook.last_weighed_on)}"


def _headline(likely: date, outlook: Outlook, today: date) -> str:
    about = "" if outlook.basis == BY_WEIGHINGS else " by the rule of thumb"
    if likely <= today:
        return f"It should be dry by now{about}: {_spoken(likely)} was the likely day."
    return f"Likely dry about {_spoken(likely)}{about}."


def _range(outlook: Outlook) -> tuple[str, str]:
    """Between which days, and how sure that is; of the rule of thumb nobody can say."""
    if not (outlook.earliest and outlook.latest):
        return "", ""
    if outlook.basis != BY_WEIGHINGS:
        between = (
            f"A wall this thick may well be dry at any time between {_spoken(outlook.earliest)} "
            f"and {_spoken(outlook.latest)}."
        )
        return between, ""
    between = (
        f"Four times in five such a piece is dry between {_spoken(outlook.earliest)} and "
        f"{_spoken(outlook.latest)}."
    )
    if not (outlook.likely and outlook.roughed_on):
        return between, ""
    whole = max((outlook.likely - outlook.roughed_on).days, 1)
    share = (outlook.latest - outlook.earliest).days / whole
    return between, next((words for most, words in _SURENESS if share <= most), _UNSURE)


def _basis(outlook: Outlook) -> str:
    if outlook.basis == BY_WEIGHINGS:
        count = outlook.weighing_count
        return f"Worked out from its {count} weighing{'s' if count > 1 else ''}."
    return (
        "By the inch-a-year rule: common practice, and widely called inaccurate. It knows neither "
        "the wood nor the shelf; three weighings make a forecast of its own."
    )


def _waits_for(outlook: Outlook) -> str:
    if outlook.wall_mm is None:
        return "Its wall is not noted, or too thick to be one: with its thickness there is a date."
    if outlook.roughed_on is None:
        return "The day on which it was roughed out is not known: three weighings make a forecast."
    return "Three weighings make a forecast."


def _masses(outlook: Outlook, moisture: Moisture, shop: Shop) -> tuple[str, str]:
    """What it still has to lose, and what moisture it holds by that."""
    if outlook.final_mass_g is None or outlook.last_mass_g is None:
        return "", ""
    last, final = float(outlook.last_mass_g), float(outlook.final_mass_g)
    left = last - final
    to_lose = (
        f"It weighs {mass_words(last, shop)} and has about {mass_words(left, shop)} to lose."
        if left > final * 0.01
        else f"It weighs {mass_words(last, shop)}, all but what it is expected to end at."
    )
    holds = last / final * (100 + moisture.pct) - 100
    return (
        to_lose,
        f"Counting on {moisture.pct_words} where it ends, it held about "
        f"{percent_words(max(holds, 0))} when it was last weighed.",
    )


def _pace(outlook: Outlook, moisture: Moisture) -> tuple[str, bool]:
    if outlook.pace == Outlook.Pace.FAST:
        return (
            "It lost suspiciously much since the weighing before: look for checks, and slow its "
            "air (a bag, a box, a cooler corner).",
            True,
        )
    if outlook.pace == Outlook.Pace.STALLED:
        return (
            "It has all but stopped above the mass that was expected. Either the air of its store "
            "lets it go no further, or wax or a stack keeps it from drying.",
            True,
        )
    return "", False


def weighing_rows(weighings: list[Weighing], shop: Shop) -> list[dict[str, Any]]:
    """Return the weighings, the newest first, each with what was lost since the one before."""
    rows = []
    for index, each in enumerate(weighings):
        before = weighings[index - 1] if index else None
        change = float(each.mass_g - before.mass_g) if before else 0.0
        said = ""
        if before:
            verb = "lost" if change <= 0 else "gained"
            days = (each.weighed_on - before.weighed_on).days
            said = f"{verb} {mass_words(abs(change), shop)} in {days} day{'s' if days != 1 else ''}"
        rows.append({"weighing": each, "mass": mass_words(float(each.mass_g), shop), "said": said})
    return rows[::-1]


def _spoken(day: date) -> str:
    return PartialDate.of(day).spoken()
