"""The days of the demo, counted back from the one on which it is built."""

import heapq
from calendar import monthrange
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from provenance.maker.models import User
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

Deed = Callable[[Scribe], object]

OPENS = time(8, 40)
BETWEEN = timedelta(minutes=3)
LAST = timedelta(minutes=10)
SATURDAY, SUNDAY = 5, 6


class Calendar:
    """A list of deeds by day, played in order, each by a scribe who writes on that day.

    `ago` is a number of days before today. The shop keeps no Sundays: what falls on one happened
    on the Saturday. Deeds of one day are done by the hour, then in the order in which they were
    planned; without an hour they are done first thing in the morning.
    """

    def __init__(self, now: datetime, zone: ZoneInfo, owner: User) -> None:
        self.now, self.zone, self.owner = now, zone, owner
        self.today = now.astimezone(zone).date()
        self._deeds: list[tuple[int, int, int, Deed]] = []
        self._planned = 0
        self._reached: int | None = None
        self._day: date | None = None
        self._nth = 0
        self._last: datetime | None = None

    def day(self, ago: int) -> date:
        """Return the working day so many days ago."""
        day = self.today - timedelta(days=ago)
        return day - timedelta(days=1) if day.weekday() == SUNDAY else day

    def ago(self, day: date) -> int:
        """Return how many days ago that was; negative for a day to come."""
        return (self.today - day).days

    def in_month(self, months_ago: int, day: int) -> date:
        """Return the working day with that number, or the month's last, so many months ago.

        When the first is a Sunday, it is the Monday behind it: the month stays the same.
        """
        back = self.today.year * 12 + self.today.month - 1 - months_ago
        year, month = divmod(back, 12)
        found = date(year, month + 1, min(day, monthrange(year, month + 1)[1]))
        if found.weekday() != SUNDAY:
            return found
        return found + timedelta(days=1 if found.day == 1 else -1)

    def saturday(self, months_ago: int, nth: int) -> date:
        """Return the first, second, … Saturday of the month so many months ago."""
        first = self.in_month(months_ago, 1).replace(day=1)
        return first + timedelta(days=(SATURDAY - first.weekday()) % 7 + 7 * (nth - 1))

    def end_of_month(self, day: date) -> date:
        """Return the last working day of that day's month."""
        months_ago = 12 * (self.today.year - day.year) + self.today.month - day.month
        return self.in_month(months_ago, 31)

    def when(self, words: int | str) -> PartialDate:
        """Return a date from the script: 900, "900 month", "900 year~", or EDTF such as "199X"."""
        ago, _, grain = str(words).partition(" ")
        if not ago.isdigit() or (len(ago) == 4 and ago > "1500"):
            return PartialDate(str(words))
        mark = grain[-1] if grain[-1:] in ("~", "?", "%") else ""
        length = {"": 10, "day": 10, "month": 7, "year": 4}[grain.removesuffix(mark)]
        return PartialDate(self.day(int(ago)).isoformat()[:length] + mark)

    def plan(self, ago: int, deed: Deed, *, hour: int = 0) -> None:
        """Let `deed` be done so many days ago, not before `hour`; nothing is done in the future.

        Raises ValueError when that day has been played already.
        """
        if self._reached is not None and ago > self._reached:
            raise ValueError(f"Day {ago} lies before day {self._reached}, which is being played.")
        if ago >= 0:
            self._planned += 1
            heapq.heappush(self._deeds, (-ago, hour, self._planned, deed))

    def plan_on(self, day: date, deed: Deed, *, hour: int = 0) -> None:
        """Let `deed` be done on that day; on the one being played when that is later already."""
        ago = self.ago(day)
        self.plan(ago if self._reached is None else min(ago, self._reached), deed, hour=hour)

    def play(self) -> None:
        """Do everything in order; deeds may plan further ones for their own day or later."""
        while self._deeds:
            before, hour, _, deed = heapq.heappop(self._deeds)
            self._reached = -before
            deed(self._scribe(-before, hour))

    def _scribe(self, ago: int, hour: int) -> Scribe:
        day = self.day(ago)
        self._nth = self._nth + 1 if day == self._day else 0
        self._day = day
        earliest = datetime.combine(day, max(OPENS, time(hour)), self.zone)
        if self._nth and self._last:
            earliest = max(earliest, self._last + BETWEEN)
        self._last = earliest
        # What was done today was done before now.
        at = min(earliest, self.now - LAST + self._nth * timedelta(seconds=1))
        return Scribe(user=self.owner, at=at, zone=self.zone)
