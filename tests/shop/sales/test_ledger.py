"""What the database itself refuses, whatever writes to it."""

from typing import Any

import pytest
from django.core.management import call_command
from django.db import DatabaseError, IntegrityError, connection, models, transaction

from provenance.record import ledger
from shop.sales import deposits, undoing
from shop.sales.checkout import Sold
from shop.sales.models import (
    Account,
    Holding,
    Line,
    Owing,
    Payment,
    Receipt,
    Refund,
    RefundLine,
    Terms,
    Void,
)
from shop.sales.paying import Paid
from tests import factories

LEDGERS = [Receipt, Line, Payment, Void, Refund, RefundLine]


NEVER: list[tuple[type[models.Model], dict[str, Any]]] = [
    (Receipt, {}),  # the same number
    (Receipt, {"code": "R26-009", "total_minor": 10_001, "due_minor": 10_001}),
    (Receipt, {"code": "R26-009", "due_minor": 9_999}),
    (Receipt, {"code": "R26-009", "is_tax_theirs": True, "due_minor": 9_999}),
    (Receipt, {"code": "R26-009", "discount_minor": -1, "total_minor": 10_001}),
    (Line, {"custody_id": None}),  # the same position
    (Line, {"custody_id": None, "position": 2, "paid_minor": 9_999}),
    (Line, {"custody_id": None, "position": 2, "quantity": 2}),
    (Line, {"custody_id": None, "position": 2, "quantity": 0, "piece_id": None}),
    (Void, {}),  # void twice
    (RefundLine, {}),  # back twice
    (RefundLine, {"is_returned": False, "due_minor": 501}),
    (RefundLine, {"is_returned": False, "amount_minor": -500, "due_minor": -500}),
    (Payment, {"kind_id": None}),
    (Payment, {"receipt_id": None}),
    (Payment, {"amount_minor": 0}),
    (Payment, {"amount_minor": -1}),  # money that goes out without a cause
    (Payment, {"given_minor": 3_999}),
    (Holding, {}),  # sold twice
    (Owing, {"amount_minor": 1}),
    (Owing, {"receipt_id": 1, "amount_minor": -1}),
    (Account, {"held_minor": -1}),
]


@pytest.fixture
def rows(db: None) -> None:
    """A row in every table: a sale that is void, one refunded, one standing; a deposit."""
    scribe = factories.a_scribe()
    account = deposits.open_account(factories.a_person(), "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 500), scribe)
    undoing.void(factories.a_receipt(), "Written twice", scribe)
    refunded = factories.a_receipt()
    back = [undoing.Wish(refunded.lines.get(), 500, is_returned=True)]
    undoing.refund(refunded, back, "It cracked", scribe, kind=factories.a_kind())
    factories.a_receipt(payments=[Paid(factories.a_kind(), 4_000)])


def assert_sealed() -> None:
    for model in LEDGERS:
        table, count = model._meta.db_table, model._default_manager.count()
        assert count > 0
        for deed in (f"UPDATE {table} SET id = id", f"DELETE FROM {table}"):  # noqa: S608 (ours)
            with pytest.raises(DatabaseError, match="only added to"), transaction.atomic():
                connection.cursor().execute(deed)
        assert model._default_manager.count() == count


def test_no_ledger_row_is_changed_or_deleted(rows: None) -> None:
    assert_sealed()


def test_a_further_migrate_seals_the_ledgers_again(rows: None) -> None:
    ledger.unseal(connection)
    assert Receipt.objects.update(words="changed") == 3
    call_command("migrate", verbosity=0)
    assert_sealed()


def test_all_ledgers_of_the_room_are_known() -> None:
    known = {name for name in ledger.ledgers() if name.startswith("sales_")}
    assert known == {model._meta.db_table for model in LEDGERS}


def like(model: type[models.Model], **facts: Any) -> None:
    """Insert a row like the last one, but for `facts`; the form layer sees nothing of it."""
    row: dict[str, Any] = model._default_manager.values().order_by("-pk")[0]
    row.pop("id")
    model._default_manager.create(**{**row, **facts})


def test_rows_that_must_never_be_are_refused(rows: None) -> None:
    taken = []
    for model, facts in NEVER:
        try:
            with transaction.atomic():
                like(model, **facts)
        except IntegrityError:
            continue
        taken.append((model, facts))
    assert taken == []


def test_rows_that_add_up_are_taken(rows: None) -> None:
    """So that the refusals above are for what they say."""
    like(Receipt, code="R26-009")
    like(Receipt, code="R26-010", is_tax_theirs=True)
    like(Line, custody_id=None, position=2)
    like(RefundLine, is_returned=False)
    like(Payment)
    like(Payment, given_minor=4_000)
    like(Account)
    bowl, line = factories.some_pieces()[0], Line.objects.get(position=2)
    like(Holding, piece_id=bowl.pk, line_id=line.pk)


def test_a_piece_has_one_holding_and_a_line_one(rows: None) -> None:
    [bowl] = factories.some_pieces()
    other = Line.objects.filter(holding=None)[0]
    for facts in ({"piece_id": bowl.pk}, {"line_id": other.pk}):
        with pytest.raises(IntegrityError), transaction.atomic():
            like(Holding, **facts)


def test_there_is_one_row_of_terms(db: None) -> None:
    Terms.objects.create()
    with pytest.raises(IntegrityError), transaction.atomic():
        Terms.objects.create(pk=2)


def test_lines_of_words_alone_need_no_piece(rows: None) -> None:
    factories.a_receipt(Sold(850, words="Wax", quantity=3))
    assert not Line.objects.get(words="Wax").piece
