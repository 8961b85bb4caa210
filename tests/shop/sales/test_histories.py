"""Whatever is sold, paid, voided and refunded in whatever order: the books of it add up."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django.db import models
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from provenance.people.models import Person
from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Piece
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe
from shop.sales import checkout, deposits, paying, undoing
from shop.sales.checkout import Draft, Sold
from shop.sales.models import (
    Account,
    Channel,
    Holding,
    Line,
    Owing,
    Payment,
    PaymentKind,
    Receipt,
    Refund,
    RefundLine,
    Rounding,
    TaxRate,
    Void,
)
from shop.sales.paying import Paid
from shop.sales.reckoning import Off
from tests import factories

GROWING: list[type[models.Model]] = [Receipt, Line, Payment, Void, Refund, RefundLine, Custody]
CHANGING: list[type[models.Model]] = [Holding, Owing, Account, Piece]
PIECES = 3

PICK = st.integers(0, 5)
AMOUNT = st.one_of(st.none(), st.integers(-1, 13_000))
SALE = st.fixed_dictionaries(
    {
        "pieces": st.sets(st.integers(0, PIECES - 1), max_size=2),
        "extra": st.one_of(st.tuples(st.integers(0, 999), st.integers(1, 3)), st.none()),
        "unit": st.integers(0, 13_000),
        "off": st.builds(Off, minor=st.integers(0, 400)),
        "off_all": st.builds(Off, pct=st.sampled_from([Decimal(0), Decimal("12.5"), Decimal(100)])),
        "rate": st.sampled_from([None, 0, 1, 2]),
        "is_taxed": st.booleans(),
        "is_included": st.booleans(),
        "rounding": st.sampled_from(Rounding.values),
        "share": st.sampled_from([Decimal(0), Decimal("33.333"), Decimal(100)]),
        "is_tax_theirs": st.booleans(),
        "paid": st.sampled_from([[], [None], [500], [500, None], [13_000], [-1]]),
        "account": st.booleans(),
        "buyer": st.sampled_from([None, 0, 1]),
    }
)
#: A sale that nothing speaks against, so that every history has one to go on from.
SOUND = SALE.map(lambda how: {**how, "extra": how["extra"] or (850, 2), "off": Off(), "paid": []})
DEEDS = st.one_of(
    st.tuples(st.just("sell"), SALE),
    st.tuples(st.just("sell"), SALE),
    st.tuples(st.just("pay"), st.tuples(PICK, AMOUNT)),
    st.tuples(st.just("take"), AMOUNT),
    st.tuples(st.just("give_back"), AMOUNT),
    st.tuples(st.just("void"), PICK),
    st.tuples(
        st.just("refund"),
        st.tuples(PICK, st.lists(st.tuples(PICK, st.integers(-1, 9_000), st.booleans()))),
    ),
    st.tuples(st.just("refund_all"), PICK),
    st.tuples(st.just("pass_on"), st.tuples(PICK, st.sampled_from(Custody.Kind.values))),
    st.tuples(st.just("undo"), PICK),
)


Rows = dict[type[models.Model], list[dict[str, Any]]]


def all_rows() -> Rows:
    """Every row of the book that sales touch, by table, as the database has it."""
    tables = [*GROWING, *CHANGING]
    return {model: list(model._default_manager.order_by("pk").values()) for model in tables}


def total(found: Iterable[dict[str, Any]], name: str) -> int:
    return sum(row[name] for row in found)


class Histories(TestCase):
    """Random lives of a shop with three pieces, two buyers and one account."""

    def begin(self) -> None:
        """Furnish an empty book."""
        scribe = factories.a_scribe()
        pieces = factories.some_pieces(PIECES)
        weir = factories.a_person(name="Weir Gallery")
        custody.hand_over([pieces[1]], Custody.Kind.GALLERY, scribe, holder=weir)
        ada, _tom = factories.a_person(), factories.a_person(name="Tom Reed")
        custody.hand_over([pieces[2]], Custody.Kind.BUYER, scribe, holder=ada)
        account = deposits.open_account(ada, "A bowl", scribe)
        deposits.take(account, Paid(factories.a_kind(), 9_000), scribe)
        PaymentKind.objects.filter(slug="cash").update(fee_pct=Decimal("2.9"), fee_fixed_minor=30)
        for pct in (Decimal("6.25"), Decimal(20), Decimal("0.0001")):
            TaxRate.objects.create(name="Tax", rate_pct=pct, since=date(2020, 1, 1))

    def enter(self) -> None:
        """Know who and what is in a furnished book."""
        self.pieces = list(Piece.objects.order_by("pk"))
        self.people = list(Person.objects.exclude(name="Weir Gallery").order_by("pk"))
        self.account = Account.objects.get()
        self.cash = factories.a_kind()
        self.rates = list(TaxRate.objects.order_by("pk"))

    def receipt(self, pick: int) -> Receipt:
        receipts = list(Receipt.objects.order_by("pk"))
        if not receipts:
            raise RecordError("Nothing was sold yet.")
        return receipts[pick % len(receipts)]

    # What may be done

    def sell(self, how: dict[str, Any], scribe: Scribe) -> None:
        lines = [
            Sold(how["unit"], piece=self.pieces[nth], off=how["off"], is_taxed=how["is_taxed"])
            for nth in sorted(how["pieces"])
        ]
        if how["extra"]:
            unit, quantity = how["extra"]
            lines.append(Sold(unit, words="Wax", quantity=quantity))
        is_passed_on = bool(how["share"])
        draft = Draft(
            lines,
            sold_on=scribe.today,
            channel=Channel.GALLERY if is_passed_on else Channel.BOOTH,
            gallery=self.people[1] if is_passed_on else None,
            share_pct=how["share"],
            is_tax_theirs=how["is_tax_theirs"],
            buyer=None if how["buyer"] is None else self.people[how["buyer"]],
            off=how["off_all"],
            tax=None if how["rate"] is None else self.rates[how["rate"]],
            prices_include_tax=how["is_included"],
            rounding=how["rounding"],
            payments=[Paid(self.cash, amount) for amount in how["paid"]],
            account=self.account if how["account"] else None,
        )
        checkout.sell(draft, scribe)

    def pay(self, how: tuple[int, int | None], scribe: Scribe) -> None:
        paying.pay(self.receipt(how[0]), Paid(self.cash, how[1]), scribe)

    def take(self, amount: int | None, scribe: Scribe) -> None:
        deposits.take(self.account, Paid(self.cash, amount), scribe)

    def give_back(self, amount: int | None, scribe: Scribe) -> None:
        deposits.give_back(self.account, Paid(self.cash, amount), scribe)

    def void(self, pick: int, scribe: Scribe) -> None:
        undoing.void(self.receipt(pick), "Written twice", scribe)

    def refund(self, how: tuple[int, list[tuple[int, int, bool]]], scribe: Scribe) -> None:
        receipt = self.receipt(how[0])
        lines = list(receipt.lines.all())
        wishes = [undoing.Wish(lines[n % len(lines)], amount, back) for n, amount, back in how[1]]
        undoing.refund(receipt, wishes, "It cracked", scribe, kind=self.cash)

    def refund_all(self, pick: int, scribe: Scribe) -> None:
        receipt = self.receipt(pick)
        wishes = [
            undoing.Wish(line, undoing.left_on(line), Holding.objects.filter(line=line).exists())
            for line in receipt.lines.all()
        ]
        undoing.refund(receipt, wishes, "It cracked", scribe, kind=self.cash)
        if not receipt.is_void:
            assert paying.owed_on(receipt) == 0 == paying.paid_on(receipt)

    def pass_on(self, how: tuple[int, str], scribe: Scribe) -> None:
        holder: Person | None = self.people[how[0] % 2]
        custody.hand_over([self.pieces[how[0] % PIECES]], how[1], scribe, holder=holder)

    def undo(self, pick: int, scribe: Scribe) -> None:
        workflow.undo([self.pieces[pick % PIECES]], scribe)

    # What must hold

    def assert_sums(self, rows: Rows) -> None:
        voided = {row["receipt_id"] for row in rows[Void]}
        refunds = {row["id"]: row["receipt_id"] for row in rows[Refund]}
        owing = {row["receipt_id"]: row["amount_minor"] for row in rows[Owing]}
        for receipt in rows[Receipt]:
            key, is_void = receipt["id"], receipt["id"] in voided
            lines = [row for row in rows[Line] if row["receipt_id"] == key]
            assert lines
            for name in ("gross_minor", "tax_minor", "share_minor"):
                assert receipt[name] == total(lines, name)
            assert receipt["total_minor"] == total(lines, "paid_minor")
            less = total(lines, "own_discount_minor") + total(lines, "shared_discount_minor")
            assert receipt["discount_minor"] == less
            back = [row for row in rows[RefundLine] if refunds[row["refund_id"]] == key]
            for row in back:
                theirs = row["tax_minor"] if receipt["is_tax_theirs"] else 0
                assert row["due_minor"] == row["amount_minor"] - row["share_minor"] - theirs >= 0
            payments = [row for row in rows[Payment] if row["receipt_id"] == key]
            paid = total(payments, "amount_minor")
            due = 0 if is_void else receipt["due_minor"] - total(back, "due_minor")
            assert due >= paid >= 0
            assert owing.pop(key, 0) == due - paid
            assert not is_void or total(payments, "fee_minor") == 0
        assert owing == {}
        for line in rows[Line]:
            back = [row for row in rows[RefundLine] if row["line_id"] == line["id"]]
            for name, whole in (
                ("amount_minor", "paid_minor"),
                ("tax_minor", "tax_minor"),
                ("share_minor", "share_minor"),
            ):
                assert 0 <= total(back, name) <= line[whole]
        codes = [row["code"] for row in rows[Receipt]]
        assert codes == [f"R26-{number:03}" for number in range(1, len(codes) + 1)]

    def assert_present(self, rows: Rows) -> None:
        voided = {row["receipt_id"] for row in rows[Void]}
        returned = {row["line_id"] for row in rows[RefundLine] if row["is_returned"]}
        standing = {
            (row["piece_id"], row["id"])
            for row in rows[Line]
            if row["piece_id"] and row["receipt_id"] not in voided and row["id"] not in returned
        }
        assert {(row["piece_id"], row["line_id"]) for row in rows[Holding]} == standing
        [account] = rows[Account]
        moved = [row for row in rows[Payment] if row["account_id"]]
        came_in = total((row for row in moved if not row["receipt_id"]), "amount_minor")
        taken_off = total((row for row in moved if row["receipt_id"]), "amount_minor")
        assert account["held_minor"] == came_in - taken_off >= 0
        newest = {row["piece_id"]: row["id"] for row in rows[Custody]}
        assert {row["id"]: row["custody_id"] for row in rows[Piece]} == newest

    @settings(max_examples=40, suppress_health_check=list(HealthCheck))
    @given(first=SOUND, deeds=st.lists(DEEDS, min_size=4, max_size=10))
    def test_all_sums_add_up_and_ledgers_only_grow(
        self, first: dict[str, Any], deeds: list[tuple[str, Any]]
    ) -> None:
        self.begin()
        self.enter()
        before = all_rows()
        for day, (deed, how) in enumerate([("sell", first), *deeds]):
            scribe = factories.a_scribe(at=factories.NOW + timedelta(days=day))
            work: Callable[[Any, Scribe], None] = getattr(self, deed)
            try:
                work(how, scribe)
            except RecordError:
                assert all_rows() == before
                continue
            after = all_rows()
            for model in GROWING:
                assert after[model][: len(before[model])] == before[model]
            self.assert_sums(after)
            self.assert_present(after)
            before = after
