"""The pages of a commission's deposit: taken, asked about, given back, taken back."""

import pytest
from django.test import Client
from django.urls import reverse

from provenance.maker.models import Shop
from shop.commissions import orders
from shop.sales.models import Payment, PaymentKind
from tests import factories
from tests.shop.commissions.cast import a_commission, a_draft, paid
from tests.shop.commissions.commission_pages import at, page, sent

pytestmark = pytest.mark.django_db


def test_a_deposit_is_taken_once_with_its_change_said(owner_client: Client) -> None:
    commission = a_commission("agreed")
    typed = sent(amount="45", kind=factories.a_kind().pk, given="50", on="2026-06-15")
    for _ in range(2):
        answer = owner_client.post(at("deposit", commission), typed, follow=True)
    assert "Change: $5." in answer.content.decode()
    payment = Payment.objects.get()
    assert (payment.amount_minor, payment.given_minor) == (4500, 5000)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"amount": ""}, "Enter the deposit that was paid."),
        ({"amount": "0"}, "above nothing"),
        ({"kind": ""}, "Say how it is paid."),
        ({"given": "40"}, "less than the deposit"),
        ({"on": "2999-01-01"}, "still to come"),
    ],
)
def test_a_deposit_that_can_not_be_is_refused_beside_its_field(
    owner_client: Client, typed: dict[str, str], sentence: str
) -> None:
    usual = {"amount": "45", "kind": factories.a_kind().pk, "on": "2026-06-15"}
    answer = owner_client.post(at("deposit", a_commission()), sent(**{**usual, **typed}))
    assert sentence in answer.content.decode()
    assert not Payment.objects.exists()


def test_a_deposit_beyond_the_price_is_asked_about_before_it_is_taken(
    owner_client: Client,
) -> None:
    commission = a_commission("agreed", price_minor=24000)
    orders.take_deposit(commission, paid(4000), factories.a_scribe())
    typed = sent(amount="500", kind=factories.a_kind("card").pk, on="2026-06-15")
    answer = owner_client.post(at("deposit", commission), typed)
    assert "With this $540 is held, and the price agreed is $240." in answer.content.decode()
    form = answer.context["form"]
    assert form.errors.keys() == {"amount"}
    typed["asked"] = form["asked"].value()
    # Another amount beyond the price is asked about by itself.
    again = owner_client.post(at("deposit", commission), {**typed, "amount": "400"})
    assert "With this $440 is held" in again.content.decode()
    assert Payment.objects.count() == 1
    for _ in range(2):
        answer = owner_client.post(at("deposit", commission), typed)
        assert answer["Location"] == at("commission", commission)
    commission.refresh_from_db()
    assert commission.held_minor == 54000


@pytest.mark.parametrize(("state", "amount"), [("agreed", "180"), ("asked", "500")])
def test_a_deposit_up_to_the_price_or_before_one_is_agreed_goes_in_without_a_question(
    owner_client: Client, state: str, amount: str
) -> None:
    commission = a_commission(state)
    typed = sent(amount=amount, kind=factories.a_kind("card").pk, on="2026-06-15")
    for _ in range(2):  # the second is the first, not a deposit beyond the price
        answer = owner_client.post(at("deposit", commission), typed)
        assert answer["Location"] == at("commission", commission)
    assert Payment.objects.get().amount_minor == int(amount) * 100


def test_a_deposit_in_another_currency_is_not_held_against_the_price(
    owner_client: Client,
) -> None:
    commission = a_commission("agreed")
    orders.take_deposit(commission, paid(5000), factories.a_scribe())
    Shop.objects.update(currency="JPY")
    typed = sent(amount="500", kind=factories.a_kind("card").pk, on="2026-06-15")
    owner_client.post(at("deposit", commission), typed)
    commission.refresh_from_db()
    assert commission.held_minor == 55000


def test_a_mistyped_deposit_is_taken_back_from_the_commissions_page(owner_client: Client) -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    wrong = orders.take_deposit(commission, paid(5000, "card"), scribe)
    way = reverse("sales:take_back", args=[wrong.pk])
    back = at("commission", commission)
    assert f'href="{way}?back={back}"' in page(owner_client, "commission", commission)
    answer = owner_client.post(way, sent(reason="It was 15", back=back), follow=True)
    assert answer.redirect_chain[-1][0] == back
    text = " ".join(answer.content.decode().split())
    assert "Taken back, as it was never made so: deposit of $50, card. It was 15." in text
    assert way not in text
    assert text.count("is-corrected") == 1
    commission.refresh_from_db()
    assert commission.held_minor == 0


def test_a_deposit_that_was_given_back_or_taken_off_offers_no_taking_back(
    owner_client: Client,
) -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    first = orders.take_deposit(commission, paid(5000), scribe)
    given = orders.give_back_deposit(commission, paid(1000), scribe)
    text = page(owner_client, "commission", commission)
    assert reverse("sales:take_back", args=[first.pk]) not in text  # 40 of the 50 are held
    assert reverse("sales:take_back", args=[given.pk]) in text
    orders.hand_over(commission, a_draft(commission, scribe), scribe)
    off = Payment.objects.get(receipt__isnull=False)
    text = page(owner_client, "commission", commission)
    assert reverse("sales:take_back", args=[off.pk]) not in text


def test_a_retired_kind_of_payment_is_not_offered(owner_client: Client) -> None:
    PaymentKind.objects.filter(slug="check").update(is_retired=True)
    commission = a_commission()
    orders.take_deposit(commission, paid(100), factories.a_scribe())
    for name in ("deposit", "give_back", "call_off"):
        assert "Check" not in page(owner_client, name, commission), name


def test_some_of_a_deposit_is_given_back(owner_client: Client) -> None:
    commission = a_commission("agreed")
    assert "Nothing is held" in page(owner_client, "give_back", commission)
    orders.take_deposit(commission, paid(5000), factories.a_scribe())
    typed = sent(amount="60", kind=factories.a_kind().pk, on="2026-06-15")
    answer = owner_client.post(at("give_back", commission), typed)
    assert "$50 is held" in answer.content.decode()
    owner_client.post(at("give_back", commission), sent(**{**typed, "amount": "20"}))
    commission.refresh_from_db()
    assert commission.held_minor == 3000


def test_a_deposit_is_shown_and_given_back_in_what_it_was_paid_in(owner_client: Client) -> None:
    commission = a_commission("agreed")
    orders.take_deposit(commission, paid(5000), factories.a_scribe())
    Shop.objects.update(currency="JPY")
    for name in ("commission", "deposit", "give_back", "call_off", "hand_over"):
        assert "$50" in page(owner_client, name, commission), name
    typed = sent(amount="20.50", kind=factories.a_kind().pk, on="2026-06-15")
    answer = owner_client.post(at("give_back", commission), typed, follow=True)
    assert "$20.50 given back." in answer.content.decode()
    commission.refresh_from_db()
    assert commission.held_minor == 2950
    assert "Deposits held" not in owner_client.get("/commissions/").content.decode()


def test_an_ended_commission_takes_no_deposit_and_its_page_says_why(
    owner_client: Client,
) -> None:
    typed = sent(amount="60", kind=factories.a_kind().pk, on="2026-06-15")
    answer = owner_client.post(at("deposit", a_commission("called-off")), typed)
    assert "was called off" in answer.content.decode()
