"""Rows that never change: the database itself refuses to alter or delete them.

A model with `ledger = True` gets triggers after every migrate. They are made anew each time,
because SQLite drops a table's triggers whenever Django rebuilds the table.
"""

from typing import Any

from django.apps import apps
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

SENTENCE = "A journal is only added to: correct it with a new entry."


def ledgers() -> list[str]:
    """Return the table names of all ledger models."""
    return sorted(m._meta.db_table for m in apps.get_models() if getattr(m, "ledger", False))


def seal(connection: BaseDatabaseWrapper) -> None:
    """Make every ledger's triggers; harmless when they are there."""
    present = connection.introspection.table_names()
    with connection.cursor() as cursor:
        for table in ledgers():
            if table in present:
                for statement in _sealing(connection.vendor, table):
                    cursor.execute(statement)


def unseal(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away. Only tests that empty their tables do this."""
    with connection.cursor() as cursor:
        for table in ledgers():
            for deed in ("update", "delete"):
                where = "" if connection.vendor == "sqlite" else f' ON "{table}"'
                cursor.execute(f'DROP TRIGGER IF EXISTS "{table}_no_{deed}"{where}')


def is_sealed(connection: BaseDatabaseWrapper) -> bool:
    """Return whether every ledger has both triggers."""
    wanted = {f"{table}_no_{deed}" for table in ledgers() for deed in ("update", "delete")}
    query = {
        "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger'",
        "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
    }[connection.vendor]
    with connection.cursor() as cursor:
        cursor.execute(query)
        return wanted <= {name for (name,) in cursor.fetchall()}


def seal_after_migrate(using: str, **_: Any) -> None:
    """Receive Django's `post_migrate`."""
    seal(connections[using])


def _sealing(vendor: str, table: str) -> list[str]:
    if vendor == "sqlite":
        return [
            f'CREATE TRIGGER IF NOT EXISTS "{table}_no_{deed}" BEFORE {deed.upper()} ON "{table}" '
            f"BEGIN SELECT RAISE(ABORT, '{SENTENCE}'); END"
            for deed in ("update", "delete")
        ]
    return [
        "CREATE OR REPLACE FUNCTION record_refuse() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{SENTENCE}'; END $$",
        *(
            f'CREATE OR REPLACE TRIGGER "{table}_no_{deed}" BEFORE {deed.upper()} ON "{table}" '
            "FOR EACH ROW EXECUTE FUNCTION record_refuse()"
            for deed in ("update", "delete")
        ),
    ]
