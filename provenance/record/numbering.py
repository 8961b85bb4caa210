"""Giving out numbers: unique, in order, without a gap, and never twice."""

from django.db import connection
from django.db.models import F

from provenance.record.models import Counter
from provenance.record.numbers import Number
from provenance.record.scribe import Scribe


def allocate(kind: str, scribe: Scribe, count: int = 1) -> list[Number]:
    """Return the next `count` numbers of `kind` ("piece" or "tree") in the scribe's year.

    Must run inside the transaction that writes the things numbered: the counter's row stays
    locked until then, and a transaction that fails gives its numbers back.
    """
    year = scribe.today.year % 100
    return [Number(kind, year, sequence) for sequence in next_in_sequence(kind, year, count)]


def next_in_sequence(kind: str, year: int, count: int = 1) -> range:
    """Return the next `count` sequences of `kind` in a two-digit year, under the same lock."""
    if not connection.in_atomic_block:
        raise RuntimeError("Numbers are given out inside the transaction that uses them.")
    Counter.objects.bulk_create([Counter(kind=kind, year=year)], ignore_conflicts=True)
    row = Counter.objects.filter(kind=kind, year=year)
    row.update(last=F("last") + count)
    last = row.get().last
    return range(last - count + 1, last + 1)
