"""How the shop's machinery is: what the health page shows its owner."""

import platform
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import django
from django.conf import settings
from django.db import DatabaseError, connection
from django.db.models import Model
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.timesince import timesince

from provenance.maker.models import Shop
from provenance.pieces.models import Piece
from provenance.record import ledger
from provenance.record.models import JournalEntry, Photo
from provenance.trees.models import Tree
from shop import __version__
from shop.keeping import backup, database

BACKUP_IS_OLD = timedelta(days=14)
LITTLE_ROOM = 1024**3


@dataclass(frozen=True)
class Reading:
    """One line of the page. `remedy` says what to do where something is amiss, else ''."""

    name: str
    value: str
    remedy: str = ""


def readings(*, at: datetime) -> list[Reading]:
    """Return all readings, as they are at `at`."""
    data = Path(settings.DATA)
    return [
        Reading("Bolebook", __version__),
        Reading("Python and Django", f"{platform.python_version()}, {django.get_version()}"),
        *(_sqlite() if connection.vendor == "sqlite" else _postgres()),
        _seals(),
        Reading("Folder", str(data)),
        _room(data),
        _backup(data, at),
        _public_address(),
        *_counts(),
    ]


def _sqlite() -> Iterator[Reading]:
    kept = database.read_back(connection)
    yield Reading("Database", f"SQLite {sqlite3.sqlite_version}")
    how = f"journal {kept['journal_mode']}, synchronous {kept['synchronous']}"
    safety = f"yes: what is saved is on the disk before the page says so ({how})"
    yield Reading("Safe against power cuts", safety)
    try:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA quick_check(1)")
            answer = str(cursor.fetchone()[0])
    except DatabaseError:
        answer = "damaged"
    sound = answer == "ok"
    remedy = "" if sound else "Stop writing and restore the last backup into a new folder."
    yield Reading("Database file", "sound" if sound else "damaged", remedy)


def _postgres() -> Iterator[Reading]:
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version")
        version = str(cursor.fetchone()[0])
        cursor.execute("SHOW synchronous_commit")
        commit = str(cursor.fetchone()[0])
    yield Reading("Database", f"PostgreSQL {version}")
    remedy = "Set synchronous_commit to on in PostgreSQL." if commit == "off" else ""
    yield Reading("Safe against power cuts", f"synchronous_commit {commit}", remedy)


def _seals() -> Reading:
    sealed = ledger.is_sealed(connection)
    remedy = "" if sealed else "Stop and start Bolebook: that seals it again."
    return Reading("Journal", "sealed: only added to" if sealed else "not sealed", remedy)


def _room(data: Path) -> Reading:
    free = shutil.disk_usage(data).free
    remedy = "Make room, or photos and backups will soon fail." if free < LITTLE_ROOM else ""
    return Reading("Room on the disk", f"{free / 1024**3:.1f} GiB free", remedy)


def _backup(data: Path, at: datetime) -> Reading:
    last, how = backup.last_backup(data), "Make one: manage.py backup FILE."
    if last is None:
        return Reading("Last backup", "none yet", how)
    when = date_format(timezone.localtime(last.at), "j F Y, H:i")
    age = timesince(last.at, at, depth=1)
    remedy = f"That is {age} ago. {how}" if at - last.at > BACKUP_IS_OLD else ""
    return Reading("Last backup", f"{when}, to {last.file}", remedy)


def _public_address() -> Reading:
    address = Shop.current().public_address
    if settings.PUBLIC_URL:
        return Reading("Public address", f"{address} (from PUBLIC_URL)")
    remedy = "" if address else "Cards and tags print without a code until the shop has one."
    return Reading("Public address", address or "none", remedy)


def _counts() -> Iterator[Reading]:
    counted: list[tuple[str, type[Model]]] = [
        ("Trees", Tree),
        ("Pieces", Piece),
        ("Photos", Photo),
        ("Entries in the journal", JournalEntry),
    ]
    for name, model in counted:
        yield Reading(name, f"{model._default_manager.count():,}")
