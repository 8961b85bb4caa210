"""Taking a sale back: voids and refunds, their money, and where the pieces go."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal

import pytest

from provenance.people import merging
from provenance.people.models import Person
from provenance.pieces import custody, promises, workflow
from provenance.pieces.models import Custody, Piece
from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from shop.sales import paying, undoing
from shop.sales.checkout import CannotBeSold, Sold
from shop.sales.models import (
    Channel,
    Holding,
    Line,
    Owing,
    Payment,
    Receipt,
    Refund,
    RefundLine,
    TaxRate,
    Void,
)
from shop.sales.undoing import CannotBeRefunded, CannotBeVoided, Wish
from tests import factories

pytestmark = pytest.mark.django_db

TODAY = factories.NOW.date()
Kind = Custody.Kind


def where(piece: Piece) -> str:
    return str(Piece.objects.get(pk=piece.pk).custody)


def a_rate() -> TaxRate:
    return TaxRate.objects.create(name="Tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1))


def void(receipt: Receipt, reason: str = "Wrong price", **when: object) -> Void:
    return undoing.void(receipt, reason, factories.a_scribe(), **when)  # type: ignore[arg-type]


def refund(
    receipt: Receipt, *wishes: Wish, reason: str = "It cracked", kind: str | None = "cash"
) -> Refund:
    how = factories.a_kind(kind) if kind else None
    return undoing.refund(receipt, wishes, reason, factories.a_scribe(), kind=how)


def refused(error: type[RecordError], sentence: str, work: Callable[[], object]) -> None:
    """Assert that `work` is refused with a sentence, and that nothing of it was written."""
    tables = [Void, Refund, RefundLine, Payment, Holding, Owing, Custody, Piece]
    before = [list(model.objects.order_by("pk").values()) for model in tables]  # type: ignore[attr-defined]
    with pytest.raises(error) as caught:
        work()
    assert str(caught.value) == sentence
    assert [list(model.objects.order_by("pk").values()) for model in tables] == before  # type: ignore[attr-defined]


# Voids


def test_a_void_takes_everything_back() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl, Sold(850, words="Wax"), tax=a_rate())
    made = void(receipt)
    receipt = Receipt.objects.get(pk=receipt.pk)
    assert receipt.is_void
    assert (made.reason, made.on, made.written_at) == ("Wrong price", TODAY, factories.NOW)
    assert [p.amount_minor for p in receipt.payments.all()] == [11_528, -11_528]
    assert made.payments.get().kind == factories.a_kind()
    assert (paying.owed_on(receipt), receipt.owed_minor) == (0, 0)
    assert not Holding.objects.exists()
    assert where(bowl) == "in the shop"
    link = Piece.objects.get(pk=bowl.pk).custody
    assert link.why == "Receipt R26-001 is void: Wrong price"
    factories.a_receipt(bowl)


def test_a_void_counts_on_its_own_day() -> None:
    receipt = factories.a_receipt()
    in_july = factories.a_scribe(at=factories.NOW + timedelta(days=30))
    made = undoing.void(receipt, "Came back", in_july)
    assert (made.on, receipt.sold_on) == (date(2026, 7, 15), TODAY)
    assert made.payments.get().on == date(2026, 7, 15)
    assert Receipt.objects.get(pk=receipt.pk).sold_on == TODAY


@pytest.mark.parametrize("kind", [Kind.MARKET, Kind.GALLERY, Kind.LENT, Kind.REPAIR])
def test_a_void_brings_a_piece_to_where_it_was(kind: str) -> None:
    [bowl] = factories.some_pieces()
    weir = factories.a_person(name="Weir Gallery")
    custody.hand_over([bowl], kind, factories.a_scribe(), holder=weir)
    before = where(bowl)
    receipt = factories.a_receipt(bowl)
    void(receipt)
    assert where(bowl) == before != "in the shop"


def test_a_void_brings_a_piece_back_from_whom_its_buyer_gave_it() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl, buyer=factories.a_person())
    tom = factories.a_person(name="Tom Reed")
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=tom)
    void(receipt)
    assert where(bowl) == "in the shop"


def test_a_void_leaves_a_piece_in_for_repair() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    custody.hand_over([bowl], Kind.REPAIR, factories.a_scribe())
    void(receipt)
    assert where(bowl) == "in for repair"
    assert not Holding.objects.exists()


def test_a_void_leaves_a_piece_with_the_owner_who_had_it_before() -> None:
    [bowl] = factories.some_pieces()
    ada, tom = factories.a_person(), factories.a_person(name="Tom Reed")
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=ada)
    receipt = factories.a_receipt(bowl, buyer=tom)
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=ada)
    void(receipt)
    assert where(bowl) == "with its owner, Ada Quill"


def test_a_void_brings_promised_wood_back_to_the_gallery_it_was_at() -> None:
    [bowl] = factories.some_pieces()
    ada = factories.a_person()
    custody.hand_over([bowl], Kind.GALLERY, factories.a_scribe())
    promises.make(factories.a_scribe(), "The next bowl", to=ada, pieces=[bowl])
    receipt = factories.a_receipt(bowl, buyer=ada, reason="It is hers.")
    void(receipt)
    assert where(bowl) == "at a gallery"


def test_a_receipt_is_voided_once() -> None:
    receipt = factories.a_receipt()
    void(receipt)
    refused(CannotBeVoided, "Receipt R26-001 is void already.", lambda: void(receipt))


def test_a_receipt_of_which_some_was_refunded_is_not_voided() -> None:
    receipt = factories.a_receipt()
    refund(receipt, Wish(receipt.lines.get(), 1))
    sentence = "Some of receipt R26-001 was refunded: refund the rest of it instead."
    refused(CannotBeVoided, sentence, lambda: void(receipt))


@pytest.mark.parametrize(
    ("days", "sentence"),
    [
        (-1, "That is before the sale: enter the day on which it was taken back."),
        (1, "That day is still to come: enter the day on which it happened."),
    ],
)
def test_a_sale_is_taken_back_neither_before_it_was_made_nor_tomorrow(
    days: int, sentence: str
) -> None:
    receipt, day = factories.a_receipt(), TODAY + timedelta(days=days)
    wish, scribe = Wish(receipt.lines.get(), 1), factories.a_scribe()
    refused(RecordError, sentence, lambda: void(receipt, on=day))
    refused(RecordError, sentence, lambda: undoing.refund(receipt, [wish], "Oh", scribe, on=day))


def test_a_void_is_not_before_the_money_that_it_gives_back() -> None:
    receipt = factories.a_receipt(payments=())
    later = factories.a_scribe(at=factories.NOW + timedelta(days=5))
    paying.pay(receipt, paying.Paid(factories.a_kind()), later)
    sentence = "Receipt R26-001 has a payment of a later day: enter that day or one after it."
    refused(RecordError, sentence, lambda: undoing.void(receipt, "Oh", later, on=TODAY))


def test_a_piece_that_has_gone_on_is_not_brought_back_before_that() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    later = factories.a_scribe(at=factories.NOW + timedelta(days=5))
    custody.hand_over([bowl], Kind.BUYER, later, holder=factories.a_person())
    sentence = (
        f"{bowl} has a step dated 20 June 2026 already: enter that day or a later one, or take "
        "that step back first."
    )
    refused(TooEarly, sentence, lambda: undoing.void(receipt, "Oh", later, on=TODAY))


# Refunds


def test_a_piece_that_comes_back_is_in_the_shop_and_may_be_sold_again() -> None:
    [bowl] = factories.some_pieces()
    custody.hand_over([bowl], Kind.GALLERY, factories.a_scribe())
    receipt = factories.a_receipt(bowl)
    line = receipt.lines.get()
    made = refund(receipt, Wish(line, 10_000, is_returned=True))
    assert where(bowl) == "in the shop"
    assert Piece.objects.get(pk=bowl.pk).custody.why == "Came back, receipt R26-001: It cracked"
    assert made.payments.get().amount_minor == -10_000
    again = factories.a_receipt(bowl)
    assert Holding.objects.get().line.receipt == again


def test_a_buyer_may_keep_the_piece_and_get_some_money_back() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    refund(receipt, Wish(receipt.lines.get(), 2_500))
    assert where(bowl) == "with its owner"
    with pytest.raises(CannotBeSold):
        factories.a_receipt(bowl)
    assert undoing.left_on(receipt.lines.get()) == 7_500


def test_a_piece_may_come_back_without_money() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    made = refund(receipt, Wish(receipt.lines.get(), 0, is_returned=True), kind=None)
    assert where(bowl) == "in the shop"
    assert (made.amount_minor, made.payments.count(), undoing.left_on(receipt.lines.get())) == (
        0,
        0,
        10_000,
    )
    refund(receipt, Wish(receipt.lines.get(), 10_000))
    assert paying.paid_on(receipt) == 0


def test_in_parts_tax_goes_back_to_the_cent() -> None:
    receipt = factories.a_receipt(Sold(1_000, words="Lesson"), tax=a_rate())
    line = receipt.lines.get()
    backs = [refund(receipt, Wish(line, amount)).lines.get() for amount in (354, 354, 355)]
    assert [(b.amount_minor, b.tax_minor, b.due_minor) for b in backs] == [
        (354, 21, 354),
        (354, 21, 354),
        (355, 21, 355),
    ]
    assert (line.paid_minor, line.tax_minor, undoing.left_on(line)) == (1_063, 63, 0)
    assert paying.paid_on(receipt) == 0


def test_of_an_unpaid_receipt_nothing_is_paid_back() -> None:
    receipt = factories.a_receipt(Sold(1_000, words="Lesson"), payments=())
    refund(receipt, Wish(receipt.lines.get(), 400), kind=None)
    fresh = Receipt.objects.get(pk=receipt.pk)
    assert (fresh.owed_minor, fresh.payments.count()) == (600, 0)
    refund(receipt, Wish(receipt.lines.get(), 600), kind=None)
    assert not Owing.objects.exists()


@pytest.mark.parametrize(("is_tax_theirs", "due"), [(True, 6_000), (False, 6_625)])
def test_of_a_gallerys_sale_share_and_tax_go_back_to_whom_they_went(
    is_tax_theirs: bool, due: int
) -> None:
    receipt = factories.a_receipt(
        Sold(10_000, words="Vase"),
        channel=Channel.GALLERY,
        gallery=factories.a_person(name="Weir Gallery"),
        share_pct=Decimal(40),
        is_tax_theirs=is_tax_theirs,
        tax=a_rate(),
    )
    assert paying.paid_on(receipt) == due
    line = receipt.lines.get()
    for amount in (5_313, 5_312):
        made = refund(receipt, Wish(line, amount)).lines.get()
        assert made.amount_minor == amount
    sums = [
        sum(getattr(back, name) for back in line.refund_lines.all())
        for name in ("amount_minor", "tax_minor", "share_minor", "due_minor")
    ]
    assert sums == [10_625, 625, 4_000, due]
    assert paying.paid_on(receipt) == 0


def test_of_several_lines_each_has_its_own_part() -> None:
    bowls = factories.some_pieces(2)
    receipt = factories.a_receipt(*bowls, Sold(850, words="Wax"))
    first, second, wax = receipt.lines.all()
    made = refund(receipt, Wish(first, 10_000, is_returned=True), Wish(second, 0), Wish(wax, 850))
    assert [(back.line, back.is_returned) for back in made.lines.all()] == [
        (first, True),
        (wax, False),
    ]
    assert (made.amount_minor, made.payments.get().amount_minor) == (10_850, -10_850)
    assert [where(bowl) for bowl in bowls] == ["in the shop", "with its owner"]


def test_a_piece_that_was_its_owners_before_the_receipt_comes_to_the_shop() -> None:
    [bowl] = factories.some_pieces()
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=factories.a_person())
    receipt = factories.a_receipt(bowl)
    refund(receipt, Wish(receipt.lines.get(), 10_000, is_returned=True))
    assert where(bowl) == "in the shop"


def test_a_piece_that_is_in_the_shop_already_stays_there() -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    custody.hand_over([bowl], Kind.SHOP, factories.a_scribe())
    refund(receipt, Wish(receipt.lines.get(), 10_000, is_returned=True))
    assert (where(bowl), bowl.custodies.count()) == ("in the shop", 3)
    factories.a_receipt(bowl)


def a_second_line(receipt: Receipt) -> Line:
    return receipt.lines.get(position=2)


@pytest.mark.parametrize(
    ("wishes", "sentence"),
    [
        (lambda r: [], "Say what is given back, or which piece comes back."),
        (
            lambda r: [Wish(r.lines.first(), 0)],
            "Say what is given back, or which piece comes back.",
        ),
        (
            lambda r: [Wish(a_second_line(r), 851)],
            "Of “Wax” $8.50 is left to give back: enter that much at most.",
        ),
        (
            lambda r: [Wish(a_second_line(r), -1)],
            "Of “Wax” $8.50 is left to give back: enter that much at most.",
        ),
        (
            lambda r: [Wish(a_second_line(r), 500), Wish(a_second_line(r), 351)],
            "Of “Wax” $3.50 is left to give back: enter that much at most.",
        ),
        (
            lambda r: [Wish(a_second_line(r), 0, is_returned=True)],
            "“Wax” is no piece of the book: enter what is given back for it.",
        ),
        (
            lambda r: [Wish(r.lines.first(), 1, is_returned=True)] * 2,
            "“Harbour bowl” has come back already.",
        ),
    ],
)
def test_a_refund_that_does_not_fit_is_refused(
    wishes: Callable[[Receipt], list[Wish]], sentence: str
) -> None:
    [bowl] = factories.some_pieces(title="Harbour bowl")
    receipt = factories.a_receipt(bowl, Sold(850, words="Wax"))
    refused(CannotBeRefunded, sentence, lambda: refund(receipt, *wishes(receipt)))


def test_a_line_of_another_receipt_is_refused() -> None:
    receipt, other = (factories.a_receipt(Sold(850, words="Wax")) for _ in range(2))
    sentence = "“Wax” is not on receipt R26-001: look at it again."
    refused(CannotBeRefunded, sentence, lambda: refund(receipt, Wish(other.lines.get(), 1)))


def test_a_piece_comes_back_once_even_when_it_was_sold_again() -> None:
    [bowl] = factories.some_pieces(title="Harbour bowl")
    receipt = factories.a_receipt(bowl)
    line = receipt.lines.get()
    refund(receipt, Wish(line, 0, is_returned=True), kind=None)
    factories.a_receipt(bowl)
    sentence = "“Harbour bowl” has come back already."
    refused(CannotBeRefunded, sentence, lambda: refund(receipt, Wish(line, 1, is_returned=True)))
    assert Holding.objects.get().line.receipt.code == "R26-002"


def test_of_a_void_receipt_nothing_is_refunded() -> None:
    receipt = factories.a_receipt()
    void(receipt)
    wish = Wish(receipt.lines.get(), 1)
    sentence = "Receipt R26-001 is void: all of it was taken back."
    refused(CannotBeRefunded, sentence, lambda: refund(receipt, wish))


@pytest.mark.parametrize("currency", ["JPY", "KWD"])
def test_in_other_currencies_all_goes_back_as_well(shop, currency: str) -> None:
    shop.currency = currency
    shop.save()
    receipt = factories.a_receipt(Sold(1_235, words="Bowl"), tax=a_rate())
    line = receipt.lines.get()
    tax = [refund(receipt, Wish(line, amount)).lines.get().tax_minor for amount in (1, 1_311)]
    assert (line.tax_minor, sum(tax), paying.paid_on(receipt)) == (77, 77, 0)


# What the workflow may not take back


@pytest.mark.parametrize("is_void", [True, False])
def test_a_return_is_not_taken_back_by_itself(is_void: bool) -> None:
    [bowl] = factories.some_pieces()
    receipt = factories.a_receipt(bowl)
    if is_void:
        void(receipt)
    else:
        refund(receipt, Wish(receipt.lines.get(), 10_000, is_returned=True))
    with pytest.raises(workflow.NotOffered, match="receipt"):
        workflow.undo([bowl], factories.a_scribe())
    assert where(bowl) == "in the shop"
    workflow.move([bowl], "rough", factories.a_scribe())
    workflow.undo([bowl], factories.a_scribe())
    assert Piece.objects.get(pk=bowl.pk).stage == "blank"


def test_a_merged_buyer_is_one_person(owner) -> None:
    [bowl] = factories.some_pieces()
    ada, twin = factories.a_person(), factories.a_person(name="Ada Quil")
    custody.hand_over([bowl], Kind.BUYER, factories.a_scribe(), holder=twin)
    merging.merge(ada, twin, factories.a_scribe(owner))
    receipt = factories.a_receipt(bowl, buyer=Person.objects.get(pk=ada.pk))
    assert receipt.lines.get().custody is None
