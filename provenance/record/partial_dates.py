"""Dates as far as they are known: a day, a month, a year, a decade; about or perhaps.

Kept as EDTF (ISO 8601-2:2019, of its levels 0 and 1 what a record of wood needs): `2023-03-12`,
`2023-03`, `2023`, `202X`, each with `~` (about), `?` (unsure) or `%` (both) behind it.
"""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, total_ordering
from typing import Literal, Self

from .errors import RecordError
from .text import quote, straighten

Precision = Literal["day", "month", "year", "decade"]

MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)

_EDTF = re.compile(
    r"(?:(?P<decade>[0-9]{3})X|(?P<year>[0-9]{4})(?:-(?P<month>[0-9]{2})(?:-(?P<day>[0-9]{2}))?)?)"
    r"(?P<mark>[~?%]?)"
)

_ENTRY = re.compile(r"(?P<about>~?) ?(?P<words>[0-9a-z].*?) ?(?P<mark>[~?%]|\(\?\))?")
_SPACED = re.compile(r"[0-9a-z](?:[ ,./-]{0,3}[0-9a-z])*\.?")
_ABOUT = {"about", "around", "roughly", "circa", "ca", "c", "approximately", "approx"}
_UNSURE = {"perhaps", "maybe", "possibly", "probably"}
_PASSED_OVER = {"the", "in", "on", "of", "st", "nd", "rd", "th"}

_ORDERS = {
    # y: four figures, n: one or two, m: a month's name; and where year, month, day stand in it
    "y": (0,),
    "y n": (0, 1),
    "y n n": (0, 1, 2),
    "y xx": (0,),
    "y xx xx": (0,),
    "y n xx": (0, 1),
    "y m": (0, 1),
    "y m n": (0, 1, 2),
    "n m y": (2, 1, 0),
    "m n y": (2, 0, 1),
    "m y": (1, 0),
    "n y": (1, 0),
}


class NotADate(RecordError, ValueError):
    """What was typed is no date that can be kept; `str(error)` says what to type."""


@total_ordering
@dataclass(frozen=True)
class PartialDate:
    """A date as far as it is known. Sorts by its earliest day, then its latest.

    Made from EDTF text as it is stored; raises `NotADate` for any other text and for days that
    never were. Years run from 1000 to 9999 (trees are old).
    """

    edtf: str

    def __post_init__(self) -> None:
        year, month, day = self._figures
        if year < 1000:
            raise NotADate(f"{quote(self.edtf)} is too early: years run from 1000 to 9999.")
        if self._parts["month"] and not 1 <= month <= 12:
            raise NotADate(f"There is no month {month}: months run from 1 to 12.")
        if self._parts["day"] and not 1 <= day <= monthrange(year, month)[1]:
            raise NotADate(f"{MONTHS[month - 1]} {year} has no day {day}.")

    @classmethod
    def of(cls, day: date) -> Self:
        """The exact date of a calendar day."""
        return cls(f"{day.year:04}-{day.month:02}-{day.day:02}")

    @classmethod
    def parse(cls, text: str, *, today: date | None = None, not_after: date | None = None) -> Self:
        """The date in what somebody typed, in EDTF or in English words. Raises `NotADate`.

        "12 March 2023", "March 2023", "about 1998", "c. 1998", "perhaps May 1998", "1990s",
        "3/2023"; "today" and "yesterday" where `today` is given. What begins after `not_after` is
        refused, and so is "3/4/2023", which can be read two ways.
        """
        words = straighten(text).lower()
        if today is not None and words in ("today", "yesterday"):
            found = cls.of(today - timedelta(days=words == "yesterday"))
        else:
            found = cls(_read(words, text))
        if not_after is not None and found.earliest > not_after:
            spoken = found.spoken()
            raise NotADate(f"{spoken[0].upper()}{spoken[1:]} is still to come: check the date.")
        return found

    @property
    def precision(self) -> Precision:
        """How finely the date is known, whether or not it is sure."""
        if self._parts["decade"]:
            return "decade"
        return "day" if self._parts["day"] else "month" if self._parts["month"] else "year"

    @property
    def is_about(self) -> bool:
        """Whether the date is only about right (EDTF: approximate)."""
        return self._parts["mark"] in ("~", "%")

    @property
    def is_unsure(self) -> bool:
        """Whether the date may be wrong altogether (EDTF: uncertain)."""
        return self._parts["mark"] in ("?", "%")

    @property
    def is_exact(self) -> bool:
        """Whether it is one day, and a sure one."""
        return self.precision == "day" and not self._parts["mark"]

    @property
    def earliest(self) -> date:
        """The first day that the date covers, taken by its word: "about" widens nothing."""
        year, month, day = self._figures
        return date(year, month or 1, day or 1)

    @property
    def latest(self) -> date:
        """The last day that the date covers, taken by its word."""
        year, month, day = self._figures
        if self.precision == "decade":
            year += 9
        month = month or 12
        return date(year, month, day or monthrange(year, month)[1])

    def spoken(self) -> str:
        """The date in English words, which `parse` reads back: "12 March 2023", "about 1998"."""
        year, month, day = self._figures
        words = ["perhaps"] * self.is_unsure + ["about"] * self.is_about
        if self.precision != "decade":
            words += [str(day)] * bool(day) + [MONTHS[month - 1]] * bool(month) + [str(year)]
        elif year % 100:
            words.append(f"the {year}s")
        else:  # "the 1900s" would be a hundred years to some
            words.append(f"{year} to {year + 9}")
        return " ".join(words)

    def __str__(self) -> str:
        return self.edtf

    def __lt__(self, other: object) -> bool:
        if not isinstance(other, PartialDate):
            return NotImplemented
        return self._order < other._order

    @property
    def _order(self) -> tuple[date, date, str]:
        return self.earliest, self.latest, self.edtf

    @cached_property
    def _parts(self) -> dict[str, str]:
        match = _EDTF.fullmatch(self.edtf)
        if match is None:
            raise _unreadable(self.edtf)
        return match.groupdict(default="")

    @cached_property
    def _figures(self) -> tuple[int, int, int]:
        """Year (a decade's first), month and day; 0 for what isn't known."""
        year = self._parts["year"] or self._parts["decade"] + "0"
        return int(year), int(self._parts["month"] or 0), int(self._parts["day"] or 0)


def _read(words: str, text: str) -> str:
    """The EDTF for a straightened entry; `text`, as it was typed, is for the sentence."""
    entry = _ENTRY.fullmatch(words)
    if entry is None:
        raise _unreadable(text)
    spaced = re.sub(r"(?<=0)['’]s$", "s", entry["words"])
    if _SPACED.fullmatch(spaced) is None:
        raise _unreadable(text)
    tokens = re.findall("[0-9]+|[a-z]+", spaced)
    about = bool(_ABOUT & {*tokens}) or entry["about"] or entry["mark"] in ("~", "%")
    unsure = bool(_UNSURE & {*tokens}) or entry["mark"] in ("?", "(?)", "%")
    when = _when([t for t in tokens if t not in _ABOUT | _UNSURE | _PASSED_OVER], text)
    return when + ("%" if about and unsure else "~" if about else "?" if unsure else "")


def _when(tokens: list[str], text: str) -> str:
    """The EDTF, without a mark, for the words and figures of a date."""
    shape = " ".join(map(_shape, tokens))
    if order := _ORDERS.get(shape):
        return "-".join(_figure(tokens[place]) for place in order)
    match shape, tokens:
        case "h x", [decade, _]:
            return f"{decade}X"
        case "y s", [year, _] if year.endswith("00"):
            raise NotADate(
                f"{quote(text)} can mean ten years or a hundred: write {year[:3]}X for "
                f"{year} to {year[:3]}9, or a year."
            )
        case "y s", [year, _] if year.endswith("0"):
            return f"{year[:3]}X"
        case "y y" | "y to y", [first, *_, last] if first[3] == "0" and last == first[:3] + "9":
            return f"{first[:3]}X"
        case "n n y", [one, other, year]:
            return _day_and_month(one, other, year, text)
    raise _unreadable(text)


def _day_and_month(one: str, other: str, year: str, text: str) -> str:
    """The EDTF for 13/4/2023, which can only be read one way; 3/4/2023 is refused."""
    readings = {}
    for day, month in ((one, other), (other, one)):
        edtf = f"{year}-{_figure(month)}-{_figure(day)}"
        try:
            readings[edtf] = PartialDate(edtf).spoken()
        except NotADate:
            continue
    if len(readings) == 1:
        return next(iter(readings))
    if not readings:
        raise _unreadable(text)
    raise NotADate(
        f"{quote(text)} can be {' or '.join(readings.values())}: write the month as a word, "
        f"or year first, like {min(readings)}."
    )


def _shape(token: str) -> str:
    if token.isdigit():
        return {1: "n", 2: "n", 3: "h", 4: "y"}.get(len(token), token)
    return "m" if _month(token) else token


def _figure(token: str) -> str:
    return token.zfill(2) if token.isdigit() else f"{_month(token):02}"


def _month(name: str) -> int:
    """The month that a name of three letters or more begins, 1 to 12; 0 for none."""
    if len(name) < 3:
        return 0
    return next((n for n, month in enumerate(MONTHS, 1) if month.lower().startswith(name)), 0)


def _unreadable(text: str) -> NotADate:
    return NotADate(
        f"{quote(text)} is not a date that can be read: "
        "write one like 12 March 2023, March 2023, 2023, about 1998 or 1990s."
    )
