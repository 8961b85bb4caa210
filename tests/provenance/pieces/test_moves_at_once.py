"""The same pieces moved from several windows at once: each is moved once."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.provenance.pieces.own_book import ROOT, Environment, run

WORKERS = 4
PIECES = 30

pytestmark = pytest.mark.processes

COUNT = """
import django
django.setup()
from provenance.pieces.models import Piece
from provenance.record.models import JournalEntry
print(Piece.objects.at_stage("drying").count(), JournalEntry.objects.filter(kind="moved").count())
"""


def test_a_piece_moved_from_four_windows_at_once_moves_once(book: Environment) -> None:
    here = Path(__file__).parent
    run(book, str(here / "numbers_worker.py"), str(PIECES), str(PIECES))
    workers = [
        subprocess.Popen(
            [sys.executable, str(here / "moves_worker.py")],
            cwd=ROOT,
            env=book,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(WORKERS)
    ]
    for worker in workers:
        assert worker.stdin is not None
        worker.stdin.write("\n")
        worker.stdin.flush()
    moved = [int(worker.communicate(timeout=120)[0]) for worker in workers]
    assert [worker.returncode for worker in workers] == [0] * WORKERS
    assert sum(moved) == PIECES
    assert run(book, "-c", COUNT).split() == [str(PIECES), str(PIECES)]
