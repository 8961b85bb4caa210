"""Bringing a backup back, into an empty folder."""

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from provenance.maker.models import Shop, User
from shop.keeping import archive, database, folder, records_file
from shop.keeping.archive import ArchiveRefused, Manifest
from shop.keeping.backup import sqlite_counts

STAGE = "restoring"


def restore(file: Path, data: Path, *, demo: bool = False) -> Manifest:
    """Write the backup in `file` into `data`, hash by hash; return its manifest.

    Raises `ArchiveRefused`, and leaves the folder as it was then. Derived photos, static files
    and the secret key are made anew by the next start.
    """
    was_there = data.is_dir()
    _check_empty(data)
    try:
        with archive.opened(file) as opened:
            manifest = archive.read_manifest(opened)
            _check_can_take(manifest, data.parent if not was_there else data)
            stage = data / STAGE
            stage.mkdir(mode=0o700, parents=True)
            archive.extract(opened, stage)
        _take_in(manifest, stage, data)
        stage.rmdir()
        data.chmod(0o700)
        folder.mark(data, demo=demo)
    except BaseException:
        _clear(data, keep_folder=was_there)
        raise
    return manifest


def _check_empty(data: Path) -> None:
    if data.exists() and (not data.is_dir() or any(data.iterdir())):
        raise ArchiveRefused(
            f"The folder {data} is not empty, and a backup never goes over anything: choose an "
            "empty one, or a new name, with --data."
        )
    if connection.vendor == "sqlite":
        return
    database.check_reachable()
    has_tables = Shop._meta.db_table in connection.introspection.table_names()
    if has_tables and (Shop.objects.exists() or User.objects.exists()):
        raise ArchiveRefused(
            "The database that DATABASE_URL names holds a book already: choose an empty one."
        )


def _check_can_take(manifest: Manifest, disk: Path) -> None:
    if database.unknown_among(set(manifest.migrations)):
        raise ArchiveRefused(
            f"This backup was made by a newer Bolebook ({manifest.version}): restore it there."
        )
    if archive.BOOK in manifest.files and connection.vendor != "sqlite":
        raise ArchiveRefused(
            "This backup holds an SQLite book: restore it without DATABASE_URL, and from there "
            "make a backup with --portable."
        )
    while not disk.exists():
        disk = disk.parent
    needed = sum(size for _digest, size in manifest.files.values())
    if shutil.disk_usage(disk).free < 2 * needed:
        raise ArchiveRefused(f"{disk} has too little room: {2 * needed // 2**20 + 1} MiB needed.")


def _take_in(manifest: Manifest, stage: Path, data: Path) -> None:
    """Check the staged database and move everything to its place."""
    if archive.BOOK in manifest.files:
        _check_book(manifest, stage / archive.BOOK)
        (stage / archive.BOOK).rename(data / archive.BOOK)
    else:
        _load_records(manifest, stage / archive.RECORDS)
        (stage / archive.RECORDS).unlink()
    if (stage / "photos").is_dir():
        (stage / "photos").rename(Path(settings.PHOTO_ROOT))


def _check_book(manifest: Manifest, book: Path) -> None:
    with closing(sqlite3.connect(book)) as copy:
        try:
            sound = copy.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
            sound = sound and sqlite_counts(copy) == manifest.counts
        except sqlite3.DatabaseError:
            sound = False
    if not sound:
        raise ArchiveRefused("This backup is damaged: its database is not what it was.")


def _load_records(manifest: Manifest, records: Path) -> None:
    """Make the tables and fill them, all or nothing."""
    call_command("migrate", interactive=False, verbosity=0)
    try:
        with transaction.atomic():
            records_file.load(records)
            if records_file.counts() != manifest.counts:
                raise ArchiveRefused("This backup is damaged: some of its records are missing.")
    except (DatabaseError, ValueError, LookupError) as error:
        raise ArchiveRefused("This backup is damaged: its records do not fit together.") from error


def _clear(data: Path, *, keep_folder: bool) -> None:
    """Take away what a broken restore has left in a folder that was empty before."""
    connection.close()
    if data.is_dir():
        for path in data.iterdir():
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path)
            else:
                path.unlink()
        if not keep_folder:
            data.rmdir()
