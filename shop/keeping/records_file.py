"""The whole book as one record a line, which any database can take in."""

from pathlib import Path
from typing import TextIO

from django.apps import apps
from django.core import serializers
from django.core.management.color import no_style
from django.db import DEFAULT_DB_ALIAS, connection, models, transaction

# Made anew by `migrate` (content types, permissions), or nobody's record (sessions, wrong tries).
LEFT_OUT = {"contenttypes", "sessions", "axes"}


def kept_models() -> list[type[models.Model]]:
    """Return the models whose rows make up the book, what is pointed to first."""
    per_app = [(config, None) for config in apps.get_app_configs() if config.label not in LEFT_OUT]
    ordered = serializers.sort_dependencies(per_app)
    return [model for model in ordered if model._meta.label != "auth.Permission"]


def counts() -> dict[str, int]:
    """Return the number of rows by table, for `kept_models`."""
    return {m._meta.db_table: m._base_manager.count() for m in kept_models()}


def dump(stream: TextIO) -> dict[str, int]:
    """Write every row as it stands at one moment; return the rows by table."""
    with transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        for model in kept_models():
            rows = model._base_manager.order_by("pk").iterator(chunk_size=2000)
            serializers.serialize("jsonl", rows, stream=stream, use_natural_foreign_keys=True)
        return counts()


def load(file: Path) -> None:
    """Write the rows of `file` into tables that hold nothing but what `migrate` put there."""
    kept = kept_models()
    with transaction.atomic():
        with connection.cursor() as cursor:
            for model in reversed(kept):
                cursor.execute(f"DELETE FROM {connection.ops.quote_name(model._meta.db_table)}")  # noqa: S608
        with file.open(encoding="utf-8") as stream:
            for record in serializers.deserialize("jsonl", stream, using=DEFAULT_DB_ALIAS):
                record.save()
        with connection.cursor() as cursor:
            for statement in connection.ops.sequence_reset_sql(no_style(), kept):
                cursor.execute(statement)
