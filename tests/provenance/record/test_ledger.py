"""Journal entries, custody links and finishes: the database itself refuses any change."""

import pytest
from django.core.management import call_command
from django.db import DatabaseError, connection, transaction

from provenance.pieces.models import Custody, FinishApplied
from provenance.record import ledger
from provenance.record.models import JournalEntry
from tests import factories

LEDGERS = [JournalEntry, Custody, FinishApplied]


@pytest.mark.django_db
@pytest.mark.parametrize("model", LEDGERS)
@pytest.mark.parametrize("deed", ["UPDATE {} SET id = id", "DELETE FROM {}"])
def test_raw_sql_can_neither_change_nor_delete_a_row(model, deed):
    factories.a_piece("finished")
    count = model.objects.count()
    with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
        connection.cursor().execute(deed.format(model._meta.db_table))
    assert model.objects.count() == count > 0


@pytest.mark.django_db
def test_the_orm_can_neither_change_nor_delete_a_row():
    piece = factories.a_piece()
    entry = piece.journal.entries.first()
    entry.words = "something else"
    with pytest.raises(DatabaseError), transaction.atomic():
        entry.save()
    with pytest.raises(DatabaseError), transaction.atomic():
        JournalEntry.objects.filter(pk=entry.pk).update(words="")
    assert piece.journal.entries.first().words == "Blank cut."


@pytest.mark.django_db(transaction=True)
def test_a_migrate_makes_lost_triggers_again():
    ledger.unseal(connection)
    assert not ledger.is_sealed(connection)
    call_command("migrate", verbosity=0)
    assert ledger.is_sealed(connection)


@pytest.mark.django_db
@pytest.mark.sqlite
def test_a_row_is_not_replaced_either():
    factories.a_piece()
    with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
        connection.cursor().execute(
            "REPLACE INTO record_journalentry SELECT * FROM record_journalentry"
        )


def test_every_ledger_is_known():
    ours = {model._meta.db_table for model in LEDGERS}
    rooms = ("sales_", "commissions_", "drying_")
    theirs = {name for name in ledger.ledgers() if name.startswith(rooms)}
    assert set(ledger.ledgers()) == ours | theirs
    assert len(theirs) == 11
