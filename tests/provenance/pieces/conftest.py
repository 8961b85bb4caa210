"""What the tests of the pieces room may ask for besides."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.provenance.pieces.own_book import Environment, own_book


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Environment]:
    """An empty book of the test's own: the environment that processes find it by."""
    with own_book(tmp_path) as env:
        yield env
