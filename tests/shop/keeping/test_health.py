"""The health page: what is well, what is amiss, and what to do about it."""

import json
import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from django.db import connection
from django.test import Client

from provenance.record import ledger
from shop.keeping import backup, database, health
from tests import factories

pytestmark = pytest.mark.django_db
AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


class Usage(NamedTuple):
    total: int
    used: int
    free: int


def reading(name: str) -> health.Reading:
    return {found.name: found for found in health.readings(at=AT)}[name]


def test_the_page_is_the_owners_alone(
    client: Client, owner_client: Client, data_folder: Path
) -> None:
    assert client.get("/health/")["Location"] == "/sign-in?next=/health/"
    page = owner_client.get("/health/").content.decode()
    assert str(data_folder) in page
    assert "Make one: manage.py backup FILE." in page


def test_counts_are_the_books(data_folder: Path) -> None:
    assert reading("Trees").value == "0"
    factories.a_tree()
    factories.a_tree()
    assert reading("Trees").value == "2"


@pytest.mark.sqlite
def test_safety_is_as_read_back_not_as_asked_for(data_folder: Path) -> None:
    found = database.read_back(connection)
    told = reading("Safe against power cuts").value
    assert f"journal {found['journal_mode']}, synchronous {found['synchronous']}" in told
    assert reading("Database file") == health.Reading("Database file", "sound")


@pytest.mark.postgresql
def test_postgresql_is_told_with_its_own_safety(data_folder: Path) -> None:
    assert reading("Database").value.startswith("PostgreSQL ")
    assert reading("Safe against power cuts").value == "synchronous_commit on"


def test_a_journal_whose_seals_are_gone_is_amiss(data_folder: Path) -> None:
    assert reading("Journal").remedy == ""
    ledger.unseal(connection)
    assert "Stop and start" in reading("Journal").remedy


def test_an_old_backup_is_amiss(data_folder: Path) -> None:
    for age, amiss in ((timedelta(days=1), False), (timedelta(days=15), True)):
        told = {"at": (AT - age).isoformat(), "file": "/mnt/stick/book.zip"}
        (data_folder / backup.LAST).write_text(json.dumps(told), encoding="utf-8")
        assert "/mnt/stick/book.zip" in reading("Last backup").value
        assert bool(reading("Last backup").remedy) is amiss


def test_a_full_disk_is_amiss(data_folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda path: Usage(10**12, 10**12, 2**29))
    found = reading("Room on the disk")
    assert (found.value, bool(found.remedy)) == ("0.5 GiB free", True)


def test_the_public_address_is_told_with_where_it_is_from(data_folder: Path, settings: Any) -> None:
    factories.a_shop()
    assert "without a code" in reading("Public address").remedy
    settings.PUBLIC_URL = "https://bowls.example.org"
    assert reading("Public address").value == "https://bowls.example.org (from PUBLIC_URL)"
