"""The demo's calendar: days counted back from any today, played in order."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from provenance.maker.models import User
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from shop.keeping.demo.calendar import Calendar

WEDNESDAY = datetime(2026, 6, 17, 20, 0, tzinfo=UTC)


def a_calendar(now: datetime = WEDNESDAY, zone: str = "UTC") -> Calendar:
    return Calendar(now, ZoneInfo(zone), User(username="demo"))


def test_what_falls_on_a_sunday_happened_on_the_saturday() -> None:
    calendar = a_calendar()
    assert [calendar.day(ago) for ago in (2, 3, 4)] == [
        date(2026, 6, 15),
        date(2026, 6, 13),
        date(2026, 6, 13),
    ]


@pytest.mark.parametrize(
    ("words", "edtf"),
    [
        (2, "2026-06-15"),
        ("2", "2026-06-15"),
        ("40 month", "2026-05"),
        ("400 year~", "2025~"),
        ("40 month%", "2026-05%"),
        ("199X", "199X"),
        ("2019-08", "2019-08"),
        ("2016", "2016"),
        ("1096 month?", "2023-06?"),
    ],
)
def test_dates_are_as_fine_as_the_script_has_them(words: int | str, edtf: str) -> None:
    assert a_calendar().when(words) == PartialDate(edtf)


def test_deeds_are_done_by_day_and_then_as_planned() -> None:
    calendar, done = a_calendar(), []

    def plan(ago: int, name: str) -> None:
        calendar.plan(ago, lambda scribe: done.append((name, scribe.today)))

    plan(1, "b")
    plan(9, "a")
    plan(1, "c")
    plan(-1, "never")
    calendar.play()
    assert done == [
        ("a", date(2026, 6, 8)),
        ("b", date(2026, 6, 16)),
        ("c", date(2026, 6, 16)),
    ]


def test_a_deed_may_plan_for_later_but_not_for_the_past() -> None:
    calendar, done = a_calendar(), []

    def deed(scribe: Scribe) -> None:
        calendar.plan(5, lambda later: done.append(later.today))
        with pytest.raises(ValueError, match="Day 6 lies before day 5"):
            calendar.plan(6, deed)

    calendar.plan(5, deed)
    calendar.play()
    assert done == [date(2026, 6, 12)]


@pytest.mark.parametrize("hour", [0, 9, 23])
def test_today_is_written_before_now_and_after_yesterday(hour: int) -> None:
    now = datetime(2026, 6, 17, hour, 4, tzinfo=UTC)
    calendar, written = a_calendar(now), []
    for ago in (1, 1, 0, 0, 0):
        calendar.plan(ago, lambda scribe: written.append(scribe.at))
    calendar.play()
    assert written == sorted(written)
    assert len(set(written)) == 5
    assert written[-1] < now


def test_the_shops_zone_decides_what_day_it_is() -> None:
    late = datetime(2026, 6, 18, 3, 0, tzinfo=UTC)
    assert a_calendar(late, "America/Los_Angeles").today == date(2026, 6, 17)


def every_day(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def test_a_day_of_a_month_stays_in_it_and_is_no_sunday() -> None:
    for today in every_day(date(2027, 12, 25), date(2028, 3, 5)):  # a leap year
        calendar = a_calendar(datetime(today.year, today.month, today.day, 20, tzinfo=UTC))
        for months_ago in range(14):
            month = (today.year * 12 + today.month - 1 - months_ago) % 12 + 1
            for number in (1, 14, 31):
                day = calendar.in_month(months_ago, number)
                assert (day.month, day.weekday() == 6) == (month, False)
        last = calendar.end_of_month(today)
        assert (last + timedelta(days=1)).month != today.month or last.weekday() == 5


def test_months_are_counted_back_over_the_new_year() -> None:
    calendar = a_calendar(datetime(2028, 2, 29, 20, tzinfo=UTC))
    assert calendar.in_month(0, 31) == date(2028, 2, 29)
    assert calendar.in_month(2, 31) == date(2027, 12, 31)
    assert calendar.in_month(13, 1) == date(2027, 1, 1)
    assert calendar.in_month(6, 1) == date(2027, 8, 2)  # the first is a Sunday


def test_saturdays_are_counted_in_their_month() -> None:
    calendar = a_calendar()
    assert calendar.saturday(0, 1) == date(2026, 6, 6)
    assert calendar.saturday(1, 2) == date(2026, 5, 9)
    assert calendar.saturday(10, 1) == date(2025, 8, 2)


def test_deeds_wait_for_their_hour_and_the_clock_never_goes_back() -> None:
    calendar, done = a_calendar(zone="America/Los_Angeles"), []

    def plan(ago: int, name: str, hour: int = 0) -> None:
        calendar.plan(ago, lambda scribe: done.append((name, scribe.at)), hour=hour)

    plan(3, "sunday")  # happened on the Saturday, after what was done there
    plan(4, "late", 16)
    plan(4, "noon", 12)
    plan(4, "early")
    plan(4, "noon too", 12)
    calendar.play()
    assert [name for name, _ in done] == ["early", "noon", "noon too", "late", "sunday"]
    moments = [at for _, at in done]
    assert moments == sorted(moments)
    clock = [at.strftime("%d %H:%M") for at in moments]
    assert clock == ["13 08:40", "13 12:00", "13 12:03", "13 16:00", "13 16:03"]


@pytest.mark.parametrize("night", [date(2026, 3, 8), date(2026, 11, 1)])
def test_nights_on_which_the_clocks_change_keep_the_order(night: date) -> None:
    now = datetime(night.year, night.month, night.day, 20, tzinfo=UTC)
    calendar, written = a_calendar(now, "America/Los_Angeles"), []
    for ago in (2, 1, 1, 0, 0):
        calendar.plan(ago, lambda scribe: written.append(scribe.at), hour=15)
    calendar.play()
    assert written == sorted(written)
    assert len(set(written)) == 5
    assert written[-1] < now


def test_what_should_have_been_done_already_is_done_now() -> None:
    calendar, done = a_calendar(), []

    def deed(scribe: Scribe) -> None:
        calendar.plan_on(date(2026, 6, 1), lambda later: done.append(later.today))
        calendar.plan_on(date(2026, 6, 15), lambda later: done.append(later.today))

    calendar.plan(5, deed)
    calendar.play()
    assert done == [date(2026, 6, 12), date(2026, 6, 15)]
