"""The demo's trade by the months: whatever day it is built on, something is sold in each."""

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from provenance.maker.models import User
from shop.keeping.demo import trade
from shop.keeping.demo.book import Book
from shop.keeping.demo.calendar import Calendar, Deed


class NotedCalendar(Calendar):
    """Notes on which days something is planned, and forgets what."""

    days: list[date]

    def plan(self, ago: int, deed: Deed, *, hour: int = 0) -> None:
        if ago >= 0:
            self.days.append(self.day(ago))


def planned(today: date) -> NotedCalendar:
    now = datetime(today.year, today.month, today.day, 12, tzinfo=UTC)
    calendar = NotedCalendar(now, ZoneInfo("UTC"), User(username="demo"))
    calendar.days = []
    trade.plan(Book(calendar))
    return calendar


def months_before(today: date, count: int) -> list[str]:
    months = [divmod(today.year * 12 + today.month - 1 - back, 12) for back in range(count)]
    return [f"{year}-{month + 1:02}" for year, month in months]


@pytest.mark.parametrize("year", [2026, 2027, 2028])
def test_every_month_has_its_sales_on_whatever_day_the_demo_is_built(year: int) -> None:
    for nth in range(0, 366, 3):
        today = date(year, 1, 1) + timedelta(days=nth)
        calendar = planned(today)
        by_month = Counter(day.isoformat()[:7] for day in calendar.days)
        whole = months_before(today, 14)[1:]
        assert set(by_month) - set(whole) <= {today.isoformat()[:7]}
        assert all(by_month[month] >= 2 for month in whole), today
        assert by_month.total() >= 120
        assert max(calendar.days) <= today
        assert min(calendar.days) >= calendar.in_month(13, 1)
        assert all(day.weekday() != 6 for day in calendar.days)


def test_markets_are_many_in_summer_and_before_the_years_end() -> None:
    sold = Counter(day.month for day in planned(date(2026, 6, 30)).days)
    quiet = max(sold[1], sold[2])
    assert min(sold[7], sold[8]) > 2 * quiet
    assert sold[12] > max(sold[month] for month in range(1, 12))


@pytest.mark.parametrize("today", [date(2026, 12, 9), date(2026, 12, 10)])
def test_no_market_is_packed_for_while_that_of_today_is_on(today: date) -> None:
    since = today - timedelta(days=5)
    market_of_today = {today, today - timedelta(days=1)}
    days = [day for day in planned(today).days if day >= since]
    busy = Counter(days)
    assert all(count <= 2 for day, count in busy.items() if day not in market_of_today)
