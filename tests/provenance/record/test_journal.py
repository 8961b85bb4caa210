from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import pytest

from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from tests import factories

pytestmark = pytest.mark.django_db


def test_an_amendment_writes_before_and_after():
    tree = factories.a_tree(ring_count=90)
    entry = journal.amend(
        tree, {"ring_count": 92, "felled": PartialDate("2023-03-12")}, factories.a_scribe()
    )
    tree.refresh_from_db()
    assert (tree.ring_count, str(tree.felled)) == (92, "2023-03-12")
    assert entry.changes == {"ring_count": [90, 92], "felled": ["2023-03", "2023-03-12"]}


def test_an_amendment_that_changes_nothing_writes_nothing():
    tree = factories.a_tree()
    count = JournalEntry.objects.count()
    assert journal.amend(tree, {"ring_count": tree.ring_count}, factories.a_scribe()) is None
    assert JournalEntry.objects.count() == count


def test_an_amendment_compares_with_what_the_book_holds_not_with_a_stale_copy():
    tree = factories.a_tree(ring_count=90)
    stale = type(tree).objects.get(pk=tree.pk)
    journal.amend(tree, {"ring_count": 92}, factories.a_scribe())
    entry = journal.amend(stale, {"ring_count": 95}, factories.a_scribe())
    assert entry.changes == {"ring_count": [92, 95]}


def test_an_amendment_leaves_other_columns_alone():
    tree = factories.a_tree(ring_count=90)
    stale = type(tree).objects.get(pk=tree.pk)
    journal.amend(tree, {"story": "It stood by the ferry."}, factories.a_scribe())
    journal.amend(stale, {"ring_count": 95}, factories.a_scribe())
    tree.refresh_from_db()
    assert (tree.story, tree.ring_count) == ("It stood by the ferry.", 95)


def test_nothing_happens_in_the_future():
    tree = factories.a_tree()
    with pytest.raises(RecordError, match="still to come"):
        journal.write(
            tree.journal, "note", factories.a_scribe(), happened=PartialDate("2026-06-16")
        )


def test_an_entry_says_when_it_happened_and_when_it_was_written():
    tree = factories.a_tree()
    entry = journal.write(
        tree.journal, "note", factories.a_scribe(), happened=PartialDate("2024~"), words=" Seen. "
    )
    assert (entry.happened_from, entry.written_at, entry.words) == (
        date(2024, 1, 1),
        factories.NOW,
        "Seen.",
    )


@pytest.mark.parametrize(
    ("zone", "day"),
    [("Pacific/Auckland", date(2027, 1, 1)), ("America/Los_Angeles", date(2026, 12, 31))],
)
def test_a_scribes_day_is_the_shops_day(zone, day):
    at = datetime(2026, 12, 31, 20, 0, tzinfo=UTC)
    assert Scribe(user=None, at=at, zone=ZoneInfo(zone)).today == day
