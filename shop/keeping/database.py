"""The database at the start: reachable, not from the future, copied before it is changed."""

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.db import DatabaseError, OperationalError, connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.loader import MigrationLoader

from provenance.record.errors import RecordError
from shop import environment

COPIES_KEPT = 5
# How SQLite answers when asked for a pragma that was given by name.
NUMBERED = {
    "synchronous": {"full": "2", "extra": "3"},
    "secure_delete": {"on": "1"},
    "recursive_triggers": {"on": "1"},
}


class DatabaseRefused(RecordError):
    """The database will not do."""


def check_reachable() -> None:
    """Raise `DatabaseRefused` unless the database answers."""
    try:
        connection.ensure_connection()
        with connection.cursor() as cursor:
            connection.introspection.table_names(cursor)
    except DatabaseError as error:
        raise DatabaseRefused(_why_not(error)) from error


def check_not_newer() -> None:
    """Raise `DatabaseRefused` when a newer Bolebook has been at work on this database."""
    if unknown_migrations(connection):
        raise DatabaseRefused(
            "This book was last opened by a newer Bolebook: install that version (or a later one) "
            "to open it."
        )


def unknown_migrations(connection: BaseDatabaseWrapper) -> set[tuple[str, str]]:
    """Return the migrations that the database has had and this version does not know."""
    return unknown_among(set(MigrationLoader(connection).applied_migrations))


def unknown_among(applied: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Return those of `applied` (app, name) that this version does not know."""
    on_disk = MigrationLoader(None).disk_migrations
    replaced = {key for migration in on_disk.values() for key in migration.replaces}
    return applied - set(on_disk) - replaced


def is_behind() -> bool:
    """Return whether there are migrations that the database has not had."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def bring_up_to_date(data: Path, *, at: datetime) -> Path | None:
    """Make or migrate the tables. An SQLite book is copied first; return where to."""
    copy = None
    if is_behind() and connection.vendor == "sqlite" and connection.introspection.table_names():
        copy = copy_aside(Path(connection.settings_dict["NAME"]), data / "before-upgrade", at=at)
    call_command("migrate", interactive=False, verbosity=0)
    return copy


def copy_aside(book: Path, folder: Path, *, at: datetime) -> Path:
    """Copy an SQLite database into `folder` under the moment's name; keep the newest five."""
    folder.mkdir(mode=0o700, exist_ok=True)
    copy = folder / f"book-{at:%Y%m%dT%H%M%SZ}.sqlite3"
    copy_sqlite(book, copy)
    for old in sorted(folder.glob("book-*.sqlite3"))[:-COPIES_KEPT]:
        old.unlink()
    return copy


def copy_sqlite(book: Path, copy: Path) -> None:
    """Write a consistent copy of an SQLite database, also while others write to it."""
    with (
        closing(sqlite3.connect(book, timeout=60)) as source,
        closing(sqlite3.connect(copy)) as target,
    ):
        # In one step: a copy page by page starts again at every write, and under steady writing
        # never ends.
        source.backup(target, pages=-1)
        target.execute("PRAGMA journal_mode=delete")
    copy.chmod(0o600)


def read_back(connection: BaseDatabaseWrapper) -> dict[str, str]:
    """Return SQLite's pragmas as they are in force, in the words they were set in."""
    answers = {}
    with connection.cursor() as cursor:
        for name in environment.sqlite_pragmas():
            cursor.execute(f"PRAGMA {name}")
            answer = str(cursor.fetchone()[0]).lower()
            words = {number: word for word, number in NUMBERED.get(name, {}).items()}
            answers[name] = words.get(answer, answer)
    return answers


def check_pragmas(connection: BaseDatabaseWrapper) -> None:
    """Raise `DatabaseRefused` when SQLite has not taken a pragma: it says nothing by itself."""
    wanted = environment.sqlite_pragmas()
    if connection.is_in_memory_db():  # type: ignore[attr-defined]
        wanted.pop("journal_mode")  # a test's database has no file to keep a journal beside
    found = read_back(connection)
    for name, value in wanted.items():
        if found[name] != value:
            raise DatabaseRefused(
                f"SQLite keeps {name} at {found[name]} where the book needs {value}: "
                "put the data folder on a disk of this machine."
            )


def set_up_connection(connection: BaseDatabaseWrapper, **_: Any) -> None:
    """Receive Django's `connection_created`."""
    if connection.vendor == "sqlite":
        check_pragmas(connection)


def _why_not(error: DatabaseError) -> str:
    if connection.vendor != "sqlite":
        return (
            "The database that DATABASE_URL names does not answer: check that it is running, and "
            "its host, name, user and password."
        )
    name = connection.settings_dict["NAME"]
    if isinstance(error, OperationalError) and "locked" in str(error):
        return f"Another program is holding {name}: close it and start again."
    return f"{name} is damaged or not a book: restore a backup into a new folder."
