"""Payments on a receipt after the sale."""

import uuid
from datetime import date
from typing import Any

import pytest

from provenance.maker.models import Shop
from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Payment, PaymentKind, Receipt
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def receipt(owner_client) -> Receipt:
    """A spoon for $15 that nobody paid yet."""
    return factories.a_receipt(Sold(1_500, words="Spoon"), payments=[], buyer=factories.a_person())


def sent(**typed: Any) -> dict[str, Any]:
    cash = factories.a_kind().pk
    given = {"kind": cash, "amount": "15", "on": "2026-06-20"}
    return {"token": str(uuid.uuid4()), **given, **typed}


def url(receipt: Receipt) -> str:
    return f"/sales/{receipt}/pay/"


def test_what_is_owed_stands_there_to_be_paid(owner_client, receipt):
    page = owner_client.get(url(receipt)).content.decode()
    assert "$15 is still owed by Ada Quill." in page
    assert 'value="15.00"' in page


def test_a_payment_sent_twice_is_written_once(owner_client, receipt):
    typed = sent(amount="10", given="20", words="at the fair")
    for _ in range(2):
        answer = owner_client.post(url(receipt), typed)
        assert answer["Location"] == f"/sales/{receipt}/"
    payment = Payment.objects.get()
    assert (payment.amount_minor, payment.given_minor, payment.on, payment.words) == (
        1_000, 2_000, date(2026, 6, 20), "at the fair",
    )  # fmt: skip
    assert Receipt.objects.get().owed_minor == 500


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"amount": "20"}, "amount", "That pays $20, and $15 is due"),
        ({"amount": "0"}, "amount", "Enter what is paid."),
        ({"amount": ""}, "amount", "Enter what is paid."),
        ({"given": "10"}, "given", "$10 is less than the $15 to be paid in cash"),
        ({"kind": ""}, "kind", "Say how it is paid."),
        ({"on": "9998-01-01"}, "on", "That day is still to come"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field(owner_client, receipt, typed, field, words):
    page = owner_client.post(url(receipt), sent(**typed))
    assert words in page.context["form"].errors[field][0]
    assert not Payment.objects.exists()


def test_a_retired_kind_is_not_offered(owner_client, receipt):
    PaymentKind.objects.filter(slug="check").update(is_retired=True)
    assert "Check" not in owner_client.get(url(receipt)).content.decode()


def test_amounts_are_in_the_receipts_currency_not_the_shops(owner_client, receipt):
    Shop.objects.update(currency="JPY")
    page = owner_client.get(url(receipt)).content.decode()
    assert "$15 is still owed" in page
    owner_client.post(url(receipt), sent(amount="12.50"))
    assert Payment.objects.get().amount_minor == 1_250


def test_where_nothing_is_owed_nothing_is_asked(owner_client, receipt):
    undoing.void(receipt, "Wrong", factories.a_scribe())
    page = owner_client.get(url(receipt)).content.decode()
    assert f"Nothing is owed on receipt {receipt}: it is void." in page
    assert "Write the payment" not in page
    answer = owner_client.post(url(receipt), sent())
    assert answer.status_code == 200
    assert not Payment.objects.filter(void=None).exists()
