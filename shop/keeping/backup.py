"""Making a backup while the shop is in use."""

import json
import sqlite3
import tempfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from django.apps import apps
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from provenance.record import album
from provenance.record.models import Photo
from shop import __version__
from shop.keeping import archive, database, records_file

LAST = "last-backup.json"
# A session's row is as good as the cookie itself, and wrong tries are nobody's record.
EMPTIED = ("sessions", "axes")


@dataclass(frozen=True)
class LastBackup:
    """When and where the last backup of this folder went."""

    at: datetime
    file: str


def back_up(target: Path, data: Path, *, at: datetime, portable: bool = False) -> archive.Manifest:
    """Write the whole book to `target` and read it again; return its manifest.

    `portable` writes records that any database takes in, instead of an SQLite database; on
    PostgreSQL it is always so. The secret key stays behind: a restored shop makes its own.
    Raises `archive.ArchiveRefused`.
    """
    _check_target(target)
    with tempfile.TemporaryDirectory(prefix="backup-", dir=data) as scratch:
        if portable or connection.vendor != "sqlite":
            name, path, counts, photos = _records(Path(scratch))
        else:
            name, path, counts, photos = _book(Path(scratch))
        # The database first, then the photos: they never change, so each that it names is there.
        here = set(album.store().names_of_originals())
        about = {
            "version": __version__,
            "made_at": at.isoformat(timespec="seconds"),
            "migrations": sorted(MigrationRecorder(connection).applied_migrations()),
            "counts": counts,
            "missing": sorted(photos - here),
        }
        manifest = archive.write(target, _files(name, path, here), about)
    remembered = {"at": at.isoformat(), "file": str(target)}
    (data / LAST).write_text(json.dumps(remembered), encoding="utf-8")
    return manifest


def last_backup(data: Path) -> LastBackup | None:
    """Return when and where the last backup went; None when there was none."""
    try:
        kept = json.loads((data / LAST).read_text(encoding="utf-8"))
        return LastBackup(at=datetime.fromisoformat(kept["at"]), file=str(kept["file"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


def sqlite_counts(file: sqlite3.Connection) -> dict[str, int]:
    """Return the rows by table of an SQLite database, whatever its tables."""
    query = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
    tables = [name for (name,) in file.execute(query)]
    count = 'SELECT count(*) FROM "{}"'
    return {name: file.execute(count.format(name)).fetchone()[0] for name in sorted(tables)}


def _files(name: str, path: Path, photos: set[str]) -> Iterator[tuple[str, Path]]:
    yield name, path
    for photo in sorted(photos):
        yield f"{archive.ORIGINALS}/{photo}", album.store().originals / photo


def _check_target(target: Path) -> None:
    if target.exists():
        raise archive.ArchiveRefused(f"{target} is there already: choose another name.")
    if not target.parent.is_dir():
        raise archive.ArchiveRefused(f"There is no folder {target.parent}: make it first.")


def _book(scratch: Path) -> tuple[str, Path, dict[str, int], set[str]]:
    """Copy the SQLite database without sessions; return name, path, rows and photos' names."""
    path = scratch / archive.BOOK
    database.copy_sqlite(Path(connection.settings_dict["NAME"]), path)
    with closing(sqlite3.connect(path)) as copy:
        copy.execute("PRAGMA secure_delete=on")
        for label in EMPTIED:
            for model in apps.get_app_config(label).get_models():
                copy.execute(f'DELETE FROM "{model._meta.db_table}"')  # noqa: S608 (our own tables)
        copy.commit()
        if copy.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
            raise archive.ArchiveRefused(
                f"{connection.settings_dict['NAME']} is damaged: keep older backups, and see the "
                "health page."
            )
        photos = copy.execute(f"SELECT token, extension FROM {Photo._meta.db_table}")  # noqa: S608
        names = {f"{token}.{extension}" for token, extension in photos}
        return archive.BOOK, path, sqlite_counts(copy), names


def _records(scratch: Path) -> tuple[str, Path, dict[str, int], set[str]]:
    """Dump the database as records; return name, path, rows and photos' names."""
    path = scratch / archive.RECORDS
    with path.open("w", encoding="utf-8") as stream:
        counts = records_file.dump(stream)
    photos: set[str] = set()
    with path.open(encoding="utf-8") as stream:
        for line in stream:
            record: dict[str, Any] = json.loads(line)
            if record["model"] == Photo._meta.label_lower:
                photos.add(f"{record['fields']['token']}.{record['fields']['extension']}")
    return archive.RECORDS, path, counts, photos
