"""The days of the demo, counted back from the one on which it is built."""

import heapq
from collections import Counter
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from provenance.maker.models import User
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

Deed = Callable[[Scribe], None]

OPENS = time(8, 40)
BETWEEN = timedelta(minutes=3)
LAST = timedelta(minutes=10)
SUNDAY = 6


class Calendar:
    """A list of deeds by day, played in order, each by a scribe who writes on that day.

    `ago` is a number of days before today. The shop keeps no Sundays: what falls on one happened
    on the Saturday. Deeds of one day are done in the order in which they were planned.
    """

    def __init__(self, now: datetime, zone: ZoneInfo, owner: User) -> None:
        self.now, self.zone, self.owner = now, zone, owner
        self.today = now.astimezone(zone).date()
        self._deeds: list[tuple[int, int, Deed]] = []
        self._planned = 0
        self._reached: int | None = None
        self._done: Counter[date] = Counter()

    def day(self, ago: int) -> date:
        """Return the working day so many days ago."""
        day = self.today - timedelta(days=ago)
        return day - timedelta(days=1) if day.weekday() == SUNDAY else day

    def when(self, words: int | str) -> PartialDate:
        """Return a date from the script: 900, "900 month", "900 year~", or EDTF such as "199X"."""
        ago, _, grain = str(words).partition(" ")
        if not ago.isdigit() or (len(ago) == 4 and ago > "1500"):
            return PartialDate(str(words))
        mark = grain[-1] if grain[-1:] in ("~", "?", "%") else ""
        length = {"": 10, "day": 10, "month": 7, "year": 4}[grain.removesuffix(mark)]
        return PartialDate(self.day(int(ago)).isoformat()[:length] + mark)

    def plan(self, ago: int, deed: Deed) -> None:
        """Let `deed` be done so many days ago; what would lie in the future is left out.

        Raises ValueError when that day has been played already.
        """
        if self._reached is not None and ago > self._reached:
            raise ValueError(f"Day {ago} lies before day {self._reached}, which is being played.")
        if ago >= 0:
            self._planned += 1
            heapq.heappush(self._deeds, (-ago, self._planned, deed))

    def play(self) -> None:
        """Do everything in order; deeds may plan further ones for their own day or later."""
        while self._deeds:
            before, _, deed = heapq.heappop(self._deeds)
            self._reached = -before
            deed(self._scribe(-before))

    def _scribe(self, ago: int) -> Scribe:
        day = self.day(ago)
        nth = self._done[day]
        self._done[day] += 1
        planned = datetime.combine(day, OPENS, self.zone) + nth * BETWEEN
        # What was done today was done before now.
        at = min(planned, self.now - LAST + nth * timedelta(seconds=1))
        return Scribe(user=self.owner, at=at, zone=self.zone)
