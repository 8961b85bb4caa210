"""The database at the start: reachable, not from the future, copied before it is changed."""

import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import DatabaseError, OperationalError, connection
from django.db.migrations.recorder import MigrationRecorder

from provenance.maker.models import Shop
from shop.keeping import database
from shop.keeping.database import DatabaseRefused

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


@pytest.mark.django_db
def test_a_sound_database_passes() -> None:
    database.check_reachable()
    database.check_not_newer()
    assert not database.is_behind()


@pytest.mark.django_db
def test_a_database_from_a_newer_version_is_refused() -> None:
    MigrationRecorder(connection).record_applied("pieces", "9000_from_the_future")
    with pytest.raises(DatabaseRefused, match="last opened by a newer Bolebook"):
        database.check_not_newer()


@pytest.mark.django_db
def test_tables_of_a_room_that_is_not_built_yet_are_newer_too() -> None:
    MigrationRecorder(connection).record_applied("markets", "0001_initial")
    assert database.unknown_migrations(connection) == {("markets", "0001_initial")}


def copied(file: Path) -> list[str]:
    with sqlite3.connect(file) as copy:
        return [name for (name,) in copy.execute("SELECT name FROM maker_shop")]


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """A small SQLite book with a shop's name in it."""
    with sqlite3.connect(tmp_path / "book.sqlite3") as book:
        book.execute("CREATE TABLE maker_shop (name TEXT)")
        book.execute("INSERT INTO maker_shop VALUES ('Saltmarsh Lane Turnery')")
    return tmp_path / "book.sqlite3"


def test_the_copy_aside_is_whole_and_private(book: Path, tmp_path: Path) -> None:
    copy = database.copy_aside(book, tmp_path / "before-upgrade", at=AT)
    assert copy.name == "book-20261125T093000Z.sqlite3"
    assert copied(copy) == ["Saltmarsh Lane Turnery"]
    assert copy.stat().st_mode & 0o077 == 0


def test_the_newest_five_copies_are_kept(book: Path, tmp_path: Path) -> None:
    aside = tmp_path / "before-upgrade"
    copies = [database.copy_aside(book, aside, at=AT + timedelta(days=n)) for n in range(7)]
    assert sorted(aside.iterdir()) == copies[2:]


@pytest.mark.sqlite
@pytest.mark.django_db
def test_every_pragma_is_read_back() -> None:
    found = database.read_back(connection)
    assert found["synchronous"] in ("full", "extra")
    assert found["secure_delete"] == "on"
    database.check_pragmas(connection)


@pytest.mark.sqlite
@pytest.mark.django_db
def test_a_pragma_that_did_not_take_stops_everything() -> None:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA secure_delete=off")
    try:
        with pytest.raises(DatabaseRefused, match="keeps secure_delete at 0 where the book needs"):
            database.check_pragmas(connection)
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA secure_delete=on")


@pytest.mark.parametrize(
    ("vendor", "error", "sentence"),
    [
        ("postgresql", OperationalError("refused"), "The database that DATABASE_URL names does"),
        ("sqlite", OperationalError("database is locked"), "Another program is holding"),
        ("sqlite", DatabaseError("file is not a database"), "is damaged or not a book"),
    ],
)
@pytest.mark.django_db
def test_what_does_not_answer_is_told_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, vendor: str, error: DatabaseError, sentence: str
) -> None:
    def fail(*_: Any) -> None:
        raise error

    monkeypatch.setattr(connection, "vendor", vendor)
    monkeypatch.setattr(connection, "ensure_connection", fail)
    with pytest.raises(DatabaseRefused, match=sentence):
        database.check_reachable()


@pytest.mark.django_db
def test_bringing_an_up_to_date_book_up_to_date_copies_nothing(tmp_path: Path, shop: Shop) -> None:
    assert database.bring_up_to_date(tmp_path, at=AT) is None
    assert list(tmp_path.iterdir()) == []
    assert Shop.objects.get().name == shop.name
