"""The whole book as one record a line: out of one database, into any other."""

import io
import json
from pathlib import Path

import pytest
from django.db import connection, transaction

from provenance.maker.models import User
from provenance.pieces.models import Piece
from provenance.record.models import JournalEntry
from shop.keeping import records_file
from tests import factories


def dumped() -> str:
    stream = io.StringIO()
    records_file.dump(stream)
    return stream.getvalue()


@pytest.mark.django_db(transaction=True)
def test_what_is_written_is_read_back_row_for_row(tmp_path: Path, owner: User) -> None:
    scribe = factories.a_scribe(user=owner)
    tree = factories.a_tree(scribe, public_place="Élan Ferry")
    factories.a_section(tree, scribe)
    before, counts = dumped(), records_file.counts()
    (tmp_path / "records.jsonl").write_text(before, encoding="utf-8")
    assert counts["trees_tree"] == 1
    assert counts["record_journalentry"] > 0
    from provenance.record import ledger

    ledger.unseal(connection)  # as in a database that holds nothing yet, rows can go
    try:
        with transaction.atomic():
            records_file.load(tmp_path / "records.jsonl")
    finally:
        ledger.seal(connection)
    assert dumped() == before
    assert records_file.counts() == counts


@pytest.mark.django_db(transaction=True)
def test_after_loading_new_rows_get_new_numbers(tmp_path: Path, owner: User) -> None:
    (tmp_path / "records.jsonl").write_text(dumped(), encoding="utf-8")
    records_file.load(tmp_path / "records.jsonl")
    second = User.objects.create_user(username="apprentice")
    assert second.pk > owner.pk
    assert not Piece.objects.exists()
    assert not JournalEntry.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_sessions_and_wrong_tries_stay_out(owner: User) -> None:
    tables = records_file.counts()
    assert not [name for name in tables if name.startswith(("axes_", "django_"))]
    models = {json.loads(line)["model"] for line in dumped().splitlines()}
    assert "maker.user" in models
    assert "sessions.session" not in models
