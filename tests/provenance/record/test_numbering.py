from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction

from provenance.record.numbering import allocate
from provenance.record.scribe import Scribe
from tests import factories


@pytest.mark.django_db
def test_numbers_follow_each_other_without_a_gap():
    scribe = factories.a_scribe()
    codes = [number.code[:-1] for n in (1, 3, 1) for number in allocate("piece", scribe, n)]
    assert codes == ["26001", "26002", "26003", "26004", "26005"]


@pytest.mark.django_db
def test_trees_and_pieces_are_counted_apart():
    scribe = factories.a_scribe()
    assert str(allocate("piece", scribe)[0]) == "26-001-4"
    assert str(allocate("tree", scribe)[0]) == "T26-001-4"


@pytest.mark.django_db
def test_a_transaction_that_fails_gives_its_numbers_back():
    scribe = factories.a_scribe()
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        allocate("piece", scribe, 5)
        raise ZeroDivisionError
    assert allocate("piece", scribe)[0].sequence == 1


@pytest.mark.django_db
def test_the_year_is_that_of_the_shops_clock():
    at = datetime(2026, 12, 31, 20, 0, tzinfo=UTC)
    auckland = Scribe(user=None, at=at, zone=ZoneInfo("Pacific/Auckland"))
    lisbon = Scribe(user=None, at=at, zone=ZoneInfo("Europe/Lisbon"))
    assert allocate("piece", auckland)[0].year == 27
    assert allocate("piece", lisbon)[0].year == 26


@pytest.mark.django_db
def test_a_year_that_comes_round_again_goes_on_counting():
    allocate("piece", factories.a_scribe(), 7)
    century_later = factories.a_scribe(at=datetime(2126, 6, 1, tzinfo=UTC))
    assert allocate("piece", century_later)[0].sequence == 8


@pytest.mark.django_db(transaction=True)
def test_numbers_are_given_out_only_inside_a_transaction():
    with pytest.raises(RuntimeError, match="inside the transaction"):
        allocate("piece", factories.a_scribe())
