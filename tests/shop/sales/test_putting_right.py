"""Payments that were written down wrongly: taken back by an entry, never changed."""

from datetime import timedelta
from decimal import Decimal

import pytest

from shop.sales import deposits, paying, putting_right, undoing
from shop.sales.models import Payment, PaymentKind, Receipt
from shop.sales.paying import Paid
from shop.sales.putting_right import CannotBeTakenBack
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def card(shop) -> PaymentKind:
    PaymentKind.objects.filter(slug="card").update(fee_pct=Decimal(3), fee_fixed_minor=10)
    return PaymentKind.objects.get(slug="card")


@pytest.fixture
def tomorrow():
    return factories.a_scribe(at=factories.NOW + timedelta(days=1))


def owed(receipt: Receipt) -> int:
    return Receipt.objects.select_related("owing").get(pk=receipt.pk).owed_minor


def test_a_payment_by_the_wrong_kind_is_taken_back_with_its_fee_and_paid_anew(card, tomorrow):
    receipt = factories.a_receipt(payments=[Paid(card)])
    entry = putting_right.take_back(receipt.payments.get(), "Cash, not card.", tomorrow)
    assert (entry.amount_minor, entry.fee_minor, entry.on) == (-10_000, -310, tomorrow.today)
    assert owed(receipt) == 10_000
    paying.pay(receipt, Paid(factories.a_kind()), tomorrow)
    assert owed(receipt) == 0
    assert sum(Payment.objects.values_list("fee_minor", flat=True)) == 0


def test_a_mistyped_deposit_leaves_the_account(card, tomorrow):
    account = deposits.open_account(factories.a_person(), "A bowl", tomorrow)
    payment = deposits.take(account, Paid(card, 50_000), tomorrow)
    putting_right.take_back(payment, "$50, not $500.", tomorrow)
    account.refresh_from_db()
    assert account.held_minor == 0
    assert sum(Payment.objects.values_list("amount_minor", "fee_minor")[0]) > 0
    assert sum(Payment.objects.values_list("fee_minor", flat=True)) == 0


def test_a_return_that_was_never_made_is_held_again(card, tomorrow):
    account = deposits.open_account(factories.a_person(), "A bowl", tomorrow)
    deposits.take(account, Paid(card, 5_000), tomorrow)
    back = deposits.give_back(account, Paid(card, 2_000), tomorrow)
    putting_right.take_back(back, "Not given back after all.", tomorrow)
    account.refresh_from_db()
    assert account.held_minor == 5_000


def test_each_is_taken_back_once(card, tomorrow):
    payment = factories.a_receipt(payments=[Paid(card)]).payments.get()
    entry = putting_right.take_back(payment, "Cash.", tomorrow)
    with pytest.raises(CannotBeTakenBack, match="taken back already"):
        putting_right.take_back(payment, "Cash.", tomorrow)
    with pytest.raises(CannotBeTakenBack, match="takes another payment back"):
        putting_right.take_back(entry, "Cash.", tomorrow)


def test_a_deposit_that_went_into_a_receipt_stays_with_it(card, tomorrow):
    account = deposits.open_account(factories.a_person(), "A bowl", tomorrow)
    deposit = deposits.take(account, Paid(card, 5_000), tomorrow, on=factories.NOW.date())
    receipt = factories.a_receipt(account=account, payments=(), scribe=tomorrow)
    with pytest.raises(CannotBeTakenBack, match=r"Only \$0 of it is still held"):
        putting_right.take_back(deposit, "$50, not $500.", tomorrow)
    with pytest.raises(CannotBeTakenBack, match="belongs to its receipt"):
        putting_right.take_back(receipt.payments.get(), "Wrong.", tomorrow)


def test_what_a_void_or_a_refund_moved_stays_with_it(card, tomorrow):
    receipt = factories.a_receipt(payments=[Paid(card)])
    [line] = receipt.lines.all()
    undoing.refund(receipt, [undoing.Wish(line, 500)], "A crack.", tomorrow, kind=card)
    with pytest.raises(CannotBeTakenBack, match="void or a refund"):
        putting_right.take_back(receipt.payments.get(amount_minor__lt=0), "No.", tomorrow)


def test_a_void_reverses_only_what_stands(card, tomorrow):
    receipt = factories.a_receipt(payments=[Paid(card)])
    payment = receipt.payments.get()
    putting_right.take_back(payment, "Cash, not card.", tomorrow)
    paying.pay(receipt, Paid(factories.a_kind()), tomorrow)
    made = undoing.void(receipt, "Wrong piece.", tomorrow)
    assert list(made.payments.values_list("kind__slug", "amount_minor")) == [("cash", -10_000)]
    assert sum(Payment.objects.values_list("amount_minor", flat=True)) == 0
    with pytest.raises(CannotBeTakenBack):
        putting_right.take_back(payment, "Once more.", tomorrow)


def test_its_page_asks_why_and_the_receipt_tells_both(owner_client, card):
    receipt = factories.a_receipt(payments=[Paid(card)])
    payment = receipt.payments.get()
    page = f"/sales/payments/{payment.pk}/take-back/"
    assert page in owner_client.get(f"/sales/{receipt.code}/").content.decode()
    assert "Say what was wrong" in owner_client.post(page, {"reason": ""}).content.decode()
    response = owner_client.post(page, {"reason": "Cash, not card."}, follow=True)
    shown = response.content.decode()
    assert response.redirect_chain[-1][0] == f"/sales/{receipt.code}/"
    assert "Taken back: the payment of $100, card" in shown
    assert 'class="is-corrected"' in shown
    assert page not in shown
    assert "taken back already" in owner_client.get(page).content.decode()
    assert owner_client.get(f"{page}?back=//evil.example.org").status_code == 200


def test_a_deposits_page_leads_back_to_where_it_was_asked(owner_client, card):
    scribe = factories.a_scribe()
    account = deposits.open_account(factories.a_person(), "A bowl", scribe)
    deposit = deposits.take(account, Paid(card, 5_000), scribe)
    page = f"/sales/payments/{deposit.pk}/take-back/"
    sent = {"reason": "$5, not $50.", "back": "/commissions/"}
    assert owner_client.post(page, sent)["Location"] == "/commissions/"
    other = deposits.take(account, Paid(card, 5_000), scribe)
    response = owner_client.post(f"/sales/payments/{other.pk}/take-back/", {"reason": "Twice."})
    assert response["Location"] == f"/people/{account.person_id}/"
