"""What every test may ask for."""

import os
from collections.abc import Generator
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from django.conf import settings as django_settings
from django.db import connection
from django.test import Client, TransactionTestCase

from provenance.maker.models import Shop, User
from provenance.record import ledger
from tests import factories

# Machines here are shared, and the gate has a quarter of an hour: half as many examples there.
hypothesis.settings.register_profile(
    "shared", deadline=None, max_examples=50 if os.environ.get("CI") else 100
)
hypothesis.settings.load_profile("shared")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is about the other database, and on PostgreSQL what is about none.

    What touches no database says the same on both: the run on SQLite has asked it. Seeded lists
    come back after a test that empties the tables.
    """
    on_postgresql = "postgresql" in django_settings.DATABASES["default"]["ENGINE"]
    other = "sqlite" if on_postgresql else "postgresql"
    left_out = {
        item
        for item in items
        if item.get_closest_marker(other) or (on_postgresql and not touches_database(item))
    }
    if left_out:
        config.hook.pytest_deselected(items=list(left_out))
        items[:] = [item for item in items if item not in left_out]
    # The browser's tests wait more than they work: begun first, they leave nobody idle at the end.
    items.sort(key=lambda item: item.get_closest_marker("browser") is None)
    for item in items:
        for marker in item.iter_markers("django_db"):
            if marker.kwargs.get("transaction"):
                marker.kwargs.setdefault("serialized_rollback", True)  # type: ignore[attr-defined]


def touches_database(item: pytest.Item) -> bool:
    """Return whether a test asks for the database, or starts processes that do."""
    fixtures = set(getattr(item, "fixturenames", ()))
    if issubclass(getattr(item, "cls", None) or object, TransactionTestCase):
        return True  # Django's own cases, on which Hypothesis tries its examples
    marked = any(item.get_closest_marker(name) for name in ("django_db", "processes", "postgresql"))
    return marked or bool(fixtures & {"db", "transactional_db"})


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: Any) -> Generator[None, Any, Any]:
    """Let nothing be skipped in CI: what cannot run there is broken."""
    report: Any = yield
    if report.skipped and os.environ.get("CI") and not hasattr(report, "wasxfail"):
        report.outcome = "failed"
        report.longrepr = f"skipped in CI: {report.longrepr}"
    return report


@pytest.fixture(autouse=True)
def open_ledgers(request: pytest.FixtureRequest) -> Generator[None]:
    """Let a test that commits for real empty its tables afterwards: the ledgers would refuse."""
    marker = request.node.get_closest_marker("django_db")
    commits = "transactional_db" in request.fixturenames or (
        marker is not None and marker.kwargs.get("transaction")
    )
    if commits:
        request.getfixturevalue("transactional_db")
        ledger.seal(connection)
    yield
    if commits:
        ledger.unseal(connection)


@pytest.fixture(autouse=True)
def own_photos(settings: Any, tmp_path: Path) -> Path:
    """Give each test a photo folder of its own."""
    settings.PHOTO_ROOT = tmp_path / "photos"
    return tmp_path / "photos"


@pytest.fixture
def data_folder(settings: Any, tmp_path: Path) -> Path:
    """A data folder of the test's own, in the settings as well."""
    settings.DATA = tmp_path / "data"
    settings.DATA.mkdir()
    return tmp_path / "data"


@pytest.fixture
def shop(db: None) -> Shop:
    """The shop's profile."""
    return factories.a_shop()


@pytest.fixture
def owner(shop: Shop) -> User:
    """The turner whose book it is."""
    return factories.an_owner()


@pytest.fixture
def owner_client(owner: User) -> Client:
    """A browser in which the owner is signed in."""
    client = Client()
    client.force_login(owner)
    return client
