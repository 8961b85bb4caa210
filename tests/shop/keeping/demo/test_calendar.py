"""The demo's calendar: days counted back from any today, played in order."""

from datetime import UTC, date, datetime
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
