"""What taking a receipt back would do, said before it is done."""

from datetime import date
from decimal import Decimal

import pytest

from provenance.pieces import custody
from provenance.pieces.models import Custody
from shop.sales import deposits, undoable, undoing
from shop.sales.checkout import Sold
from shop.sales.models import Receipt, TaxRate
from shop.sales.paying import Paid
from shop.sales.undoing import Wish
from tests import factories
from tests.factories import a_kind

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def left(receipt):
    return [(one.amount_minor, one.is_out) for one in undoable.left_of(receipt)]


def test_what_is_left_shrinks_with_each_refund():
    receipt = factories.a_receipt(factories.a_piece(), Sold(1_000, words="Wax"))
    assert left(receipt) == [(10_000, True), (1_000, False)]
    bowl, wax = receipt.lines.all()
    undoing.refund(
        receipt, [Wish(bowl, 10_000, True), Wish(wax, 400)], "No", factories.a_scribe(),
        kind=factories.a_kind(),
    )  # fmt: skip
    assert left(receipt) == [(0, False), (600, False)]
    assert [one.is_anything for one in undoable.left_of(receipt)] == [False, True]
    assert undoable.why_not_refund(receipt, undoable.left_of(receipt)) == ""
    undoing.refund(receipt, [Wish(wax, 600)], "No", factories.a_scribe(), kind=factories.a_kind())
    sentence = undoable.why_not_refund(receipt, undoable.left_of(receipt))
    assert sentence == f"All of receipt {receipt} was given back."


def test_a_void_says_where_each_piece_goes_and_where_it_ends_up():
    scribe, weir = factories.a_scribe(), factories.a_person(name="Weir Gallery")
    shown, mended, kept = (factories.a_piece("finished") for _ in range(3))
    custody.hand_over([shown], Custody.Kind.GALLERY, scribe, holder=weir)
    ada = factories.a_person()
    custody.hand_over([kept], Custody.Kind.BUYER, scribe, holder=ada)
    receipt = factories.a_receipt(shown, mended, kept, buyer=ada)
    custody.hand_over([mended], Custody.Kind.REPAIR, scribe)
    said = undoable.pieces_back(receipt)
    assert [back.words for back in said] == [
        "is at a gallery, Weir Gallery again",
        "stays in for repair",
        "stays with its owner, Ada Quill",
    ]
    undoing.void(receipt, "Wrong", scribe)
    for back in said:
        back.piece.refresh_from_db()
        assert str(back.piece.custody) in back.words


def test_a_void_says_how_each_payment_goes_back():
    scribe, ada = factories.a_scribe(), factories.a_person()
    account = deposits.open_account(ada, "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 2_000), scribe)
    receipt = factories.a_receipt(account=account)
    assert undoable.money_back(receipt) == [
        "The deposit of $20 is held for Ada Quill again.",
        "$80 goes back as it came: Cash.",
    ]


def test_a_refund_says_what_is_the_gallerys_to_give_back_and_what_the_shop_pays():
    rate = TaxRate.objects.create(name="Tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1))
    weir, scribe, cash = factories.a_person(name="Weir Gallery"), factories.a_scribe(), a_kind()
    terms = {"channel": "gallery", "gallery": weir, "share_pct": Decimal(40), "tax": rate}
    theirs = factories.a_receipt(**terms, is_tax_theirs=True, payments=[Paid(cash, 4_500)])
    assert undoable.refund_of_all(theirs, undoable.left_of(theirs)) == [
        "$106.25 is given back, $6.25 of it tax.",
        "$46.25 of that is for Weir Gallery to give back: "
        "their share and the tax that they collected.",
        "$15 was not paid yet, and is owed no longer.",
        "The shop pays back $45.",
    ]
    made = undoing.refund(theirs, [Wish(theirs.lines.get(), 10_625)], "No", scribe, kind=cash)
    assert sum(p.amount_minor for p in made.payments.all()) == -4_500
    assert undoable.refund_of_all(theirs, undoable.left_of(theirs)) == []


def test_a_refund_of_what_was_not_paid_pays_nothing_back():
    weir = factories.a_person(name="Weir Gallery")
    receipt = factories.a_receipt(
        channel="gallery", gallery=weir, share_pct=Decimal(40), payments=[]
    )
    assert undoable.refund_of_all(receipt, undoable.left_of(receipt)) == [
        "$100 is given back.",
        "$40 of that is for Weir Gallery to give back: their share.",
        "$60 was not paid yet, and is owed no longer.",
        "The shop pays nothing back.",
    ]


def test_a_site_that_collects_the_tax_gives_that_back():
    rate = TaxRate.objects.create(name="Tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1))
    receipt = factories.a_receipt(channel="online", tax=rate, is_tax_theirs=True)
    said = undoable.refund_of_all(receipt, undoable.left_of(receipt))
    assert said[1:] == [
        "$6.25 of that is for the site to give back: the tax that they collected.",
        "The shop pays back $100.",
    ]


def test_why_not_is_the_sentence_of_the_verb():
    scribe = factories.a_scribe()
    void, refunded = factories.a_receipt(), factories.a_receipt()
    assert undoable.why_not_void(void) == ""
    undoing.void(void, "Wrong", scribe)
    undoing.refund(refunded, [Wish(refunded.lines.get(), 0, True)], "Loan", scribe)
    void, refunded = Receipt.objects.get(pk=void.pk), Receipt.objects.get(pk=refunded.pk)
    for receipt in (void, refunded):
        with pytest.raises(undoing.CannotBeVoided) as refusal:
            undoing.void(receipt, "Again", scribe)
        assert undoable.why_not_void(receipt) == str(refusal.value)
    with pytest.raises(undoing.CannotBeRefunded) as refusal:
        undoing.refund(void, [Wish(void.lines.get(), 1)], "Again", scribe)
    assert undoable.why_not_refund(void, undoable.left_of(void)) == str(refusal.value)
