"""Months of the calendar: the books' unit of time."""

import calendar
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Self

#: Nothing of a living turner's was sold before this year.
FIRST_YEAR = 1900

#: The month itself, and the same month a year before with all those between.
PICTURED = 13


@dataclass(frozen=True, order=True)
class Month:
    """A month of the calendar. Sorts by time; its text is ISO 8601's: "2026-11"."""

    year: int
    number: int

    @classmethod
    def of(cls, day: date) -> Self:
        """Return the month that a day lies in."""
        return cls(day.year, day.month)

    @classmethod
    def parse(cls, text: str) -> Self:
        """Return the month of "2026-11". Raises ValueError for no month since `FIRST_YEAR`."""
        day = date.fromisoformat(f"{text}-01")
        if day.year < FIRST_YEAR:
            raise ValueError(f"before {FIRST_YEAR}: {text}")
        return cls.of(day)

    def __str__(self) -> str:
        return f"{self.year:04}-{self.number:02}"

    @property
    def first(self) -> date:
        return date(self.year, self.number, 1)

    @property
    def last(self) -> date:
        return date(self.year, self.number, calendar.monthrange(self.year, self.number)[1])

    @property
    def before(self) -> Self:
        """The month before."""
        return self.of(self.first - timedelta(days=1))

    @property
    def after(self) -> Self:
        """The month after."""
        return self.of(self.last + timedelta(days=1))

    @property
    def year_before(self) -> Self:
        """The same month of the year before."""
        return type(self)(self.year - 1, self.number)

    @property
    def name(self) -> str:
        """ "November" """
        return calendar.month_name[self.number]

    @property
    def words(self) -> str:
        """ "November 2026" """
        return f"{self.name} {self.year}"

    @property
    def short(self) -> str:
        """ "Nov 2026" """
        return f"{calendar.month_abbr[self.number]} {self.year}"

    @property
    def is_first(self) -> bool:
        """Whether the books show no month before it."""
        return (self.year, self.number) == (FIRST_YEAR, 1)

    def pictured(self) -> list[Self]:
        """Return the `PICTURED` months that end with this one, in order."""
        back = list(self._backwards(PICTURED))
        return back[::-1]

    def _backwards(self, count: int) -> Iterator[Self]:
        month = self
        for _ in range(count):
            yield month
            month = month.before
