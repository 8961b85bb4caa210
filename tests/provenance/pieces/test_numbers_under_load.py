"""Numbers under load: real processes on a real database, some of them killed.

Runs on whichever database the suite runs on: SQLite in a folder of the test's own, PostgreSQL in a
database of the test's own on the same server.
"""

import subprocess
import sys
import time
from pathlib import Path

import pytest

from provenance.record.numbers import Number
from tests.provenance.pieces.own_book import IS_POSTGRES, ROOT, Environment, run

WORKER = Path(__file__).with_name("numbers_worker.py")
WRITERS = 8
PIECES = 1000
KILLS = 25

pytestmark = pytest.mark.processes


ASK = """
import django
django.setup()
from django.db import connection
from provenance.pieces.models import Piece
from provenance.record.models import Counter
for code, custody, entries in Piece.objects.values_list("code", "custody", "journal__entries"):
    assert custody and entries, code
    print(code)
print("last", sum(Counter.objects.filter(kind="piece").values_list("last", flat=True)))
if connection.vendor == "sqlite":
    with connection.cursor() as cursor:
        print("sound", cursor.execute("PRAGMA integrity_check").fetchone()[0])
"""


def held(env: Environment) -> list[str]:
    """Return the codes in the book, after asking whether it is sound and its counter exact."""
    lines = run(env, "-c", ASK).split("\n")
    codes = [line for line in lines if line and line[0].isdigit()]
    assert f"last {len(codes)}" in lines
    assert IS_POSTGRES or "sound ok" in lines
    return codes


def assert_gapless(codes: list[str]) -> None:
    numbers = [Number.from_code(code) for code in codes]
    assert len({number.year for number in numbers}) == 1
    assert sorted(n.sequence for n in numbers) == list(range(1, len(numbers) + 1))


def start(env: Environment, count: int, at_once: int) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [sys.executable, str(WORKER), str(count), str(at_once)],
        cwd=ROOT,
        env=env,
        stdout=subprocess.PIPE,
        text=True,
    )


def test_a_thousand_numbers_from_eight_writers_are_unique_and_gapless(book: Environment) -> None:
    writers = [start(book, PIECES // WRITERS, at_once) for at_once in [1, 5, 25, 1, 5, 25, 1, 125]]
    told = [writer.communicate(timeout=300)[0].split() for writer in writers]
    assert [writer.returncode for writer in writers] == [0] * WRITERS
    codes = [code for numbers in told for code in numbers]
    assert len(codes) == len(set(codes)) == PIECES
    assert sorted(codes) == sorted(held(book))
    assert_gapless(codes)


def test_killed_writers_lose_nothing_that_they_told(book: Environment) -> None:
    told: list[str] = []
    for kill in range(KILLS):
        writer = start(book, 100_000, 1 + kill % 3)
        assert writer.stdout is not None
        told.append(writer.stdout.readline().strip())  # it is at work: now at a moment of its own
        time.sleep(0.013 * (kill % 7))
        writer.kill()
        rest, _ = writer.communicate(timeout=30)
        # A last line without its end was cut off while it was told: its number may end early.
        told += [line for line in rest.split("\n")[:-1] if line]
    codes = held(book)
    assert all(told)
    assert len(told) == len(set(told))
    assert set(told) <= set(codes)
    assert_gapless(codes)
