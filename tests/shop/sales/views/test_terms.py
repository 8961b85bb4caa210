"""How the shop sells: terms, rates, kinds of payment, extras."""

from datetime import date
from decimal import Decimal

import pytest

from shop.sales.models import Extra, PaymentKind, TaxRate, Terms
from tests import factories

pytestmark = pytest.mark.django_db


class TestTerms:
    def test_they_are_usual_until_they_are_written(self, owner_client):
        page = owner_client.get("/sales/terms/").content.decode()
        assert "Ask your tax authority which it takes." in page
        typed = {
            "prices_include_tax": "on", "rounding": "item", "tax_registration": " Permit 0101 ",
            "receipt_words": "Keep it dry.",
        }  # fmt: skip
        owner_client.post("/sales/terms/", typed)
        terms = Terms.objects.get()
        assert (terms.prices_include_tax, terms.rounding) == (True, "item")
        assert (terms.tax_registration, terms.receipt_words) == ("Permit 0101", "Keep it dry.")

    def test_what_cannot_be_read_changes_nothing(self, owner_client):
        typed = {"rounding": "up", "tax_registration": "x" * 81, "receipt_words": "Hello"}
        page = owner_client.post("/sales/terms/", typed).content.decode()
        assert "Not saved yet" in page
        assert "Hello" in page
        assert not Terms.objects.exists()


class TestRates:
    typed = {"name": "County tax", "rate_pct": "6,25 %", "since": "2026-01-01", "until": ""}

    def test_there_are_none_at_first(self, owner_client):
        assert "No rate of tax yet." in owner_client.get("/sales/rates/").content.decode()

    def test_a_rate_is_added_and_put_right(self, owner_client):
        owner_client.post("/sales/rates/add/", self.typed)
        rate = TaxRate.objects.get()
        assert (rate.rate_pct, rate.since, rate.until) == (Decimal("6.25"), date(2026, 1, 1), None)
        url = f"/sales/rates/{rate.pk}/"
        assert 'value="6.25"' in owner_client.get(url).content.decode()
        owner_client.post(url, self.typed | {"rate_pct": "6.3", "until": "2026-12-31"})
        rate.refresh_from_db()
        assert (rate.rate_pct, rate.until) == (Decimal("6.3"), date(2026, 12, 31))

    @pytest.mark.parametrize(
        ("typed", "field", "words"),
        [
            ({"name": ""}, "name", "Give it the name that stands on receipts."),
            ({"rate_pct": "101"}, "rate_pct", "A percentage runs from 0 to 100"),
            ({"rate_pct": ""}, "rate_pct", "Enter the rate in percent."),
            ({"since": ""}, "since", "Enter the day since which it holds."),
            ({"until": "2025-01-01"}, "until", "It would end before it begins"),
            ({"name": "county TAX", "since": "2027-01-01"}, "since", "holds on some of those days"),
        ],
    )
    def test_what_is_wrong_is_said_beside_its_field(self, owner_client, typed, field, words):
        owner_client.post("/sales/rates/add/", self.typed)
        page = owner_client.post("/sales/rates/add/", self.typed | {"name": "Other"} | typed)
        assert words in page.context["form"].errors[field][0]
        assert TaxRate.objects.count() == 1

    def test_a_rate_of_the_same_name_is_led_to_the_one_that_runs(self, owner_client):
        owner_client.post("/sales/rates/add/", self.typed)
        link = f'<a href="/sales/rates/{TaxRate.objects.get().pk}/">Open County tax 6.25 %</a>'
        page = owner_client.post("/sales/rates/add/", self.typed | {"since": "2026-07-01"})
        assert link in page.content.decode()
        assert link not in owner_client.get("/sales/rates/").content.decode()

    def test_a_rate_ends_and_the_next_begins(self, owner_client):
        owner_client.post("/sales/rates/add/", self.typed)
        rate = TaxRate.objects.get()
        url = f"/sales/rates/{rate.pk}/change/"
        page = owner_client.post(url, {"next_pct": "6.5", "next_since": "2025-01-01"})
        assert "began on 1 January 2026" in page.context["change_form"].errors["next_since"][0]
        page = owner_client.post(url, {"next_pct": "", "next_since": ""})
        assert list(page.context["change_form"].errors) == ["next_pct", "next_since"]
        owner_client.post(url, {"next_pct": "6.5", "next_since": "2026-07-01"})
        rate.refresh_from_db()
        assert rate.until == date(2026, 6, 30)
        assert TaxRate.objects.get(since=date(2026, 7, 1)).rate_pct == Decimal("6.5")
        assert (
            "The rate changes" not in owner_client.get(f"/sales/rates/{rate.pk}/").content.decode()
        )

    def test_the_list_tells_what_held_holds_and_will_hold(self, owner_client):
        for name, since, until in (
            ("Old", date(2001, 1, 1), date(2002, 1, 1)),
            ("Now", date(2001, 1, 1), None),
            ("Next", date(9000, 1, 1), None),
        ):
            TaxRate.objects.create(name=name, rate_pct=5, since=since, until=until)
        page = owner_client.get("/sales/rates/")
        assert [(rate.name, when) for rate, when in page.context["rates"]] == [
            ("Next", "to come"), ("Now", ""), ("Old", "ended"),
        ]  # fmt: skip
        assert "1 January 2001 to 1 January 2002" in page.content.decode()


class TestLists:
    def test_a_kind_of_payment_is_added_with_its_fee(self, owner_client):
        typed = {"name": "Karte", "fee_pct": "2.9", "fee_fixed_minor": "0.30", "position": "5"}
        owner_client.post("/sales/lists/kinds/add/", typed)
        kind = PaymentKind.objects.get(name="Karte")
        assert (kind.slug, kind.is_cash, kind.fee_minor(10_000)) == ("karte", False, 320)
        page = owner_client.get("/sales/lists/kinds/").content.decode()
        assert "Fee 2.9 % and $0.30" in page
        assert "Change is given" in page

    def test_a_kind_without_a_fee_takes_none(self, owner_client):
        owner_client.post("/sales/lists/kinds/add/", {"name": "Barter", "position": "9"})
        assert PaymentKind.objects.get(name="Barter").fee_minor(10_000) == 0

    def test_an_extra_has_a_price_or_is_asked_for_it(self, owner_client):
        typed = {"name": "Brush", "price_minor": "12.50", "is_taxed": "on", "position": "5"}
        owner_client.post("/sales/lists/extras/add/", typed)
        owner_client.post("/sales/lists/extras/add/", {"name": "Talk", "position": "5"})
        brush, talk = Extra.objects.filter(position=5)
        assert (brush.price_minor, brush.is_taxed) == (1_250, True)
        assert (talk.price_minor, talk.is_taxed) == (None, False)
        page = owner_client.get("/sales/lists/extras/").content.decode()
        assert "$12.50" in page
        assert "Not taxed" in page

    @pytest.mark.parametrize(
        ("typed", "field"),
        [
            ({"name": "Cash"}, "name"),
            ({"name": ""}, "name"),
            ({"fee_pct": "2.99999"}, "fee_pct"),
            ({"fee_fixed_minor": "99999999"}, "fee_fixed_minor"),
            ({"position": "-1"}, "position"),
        ],
    )
    def test_what_is_wrong_is_said_beside_its_field(self, owner_client, typed, field):
        good = {"name": "Barter", "position": "9"}
        page = owner_client.post("/sales/lists/kinds/add/", good | typed)
        assert list(page.context["form"].errors) == [field]
        assert not PaymentKind.objects.filter(name="Barter").exists()

    def test_a_kind_is_retired_and_its_payments_stay(self, owner_client):
        kind = factories.a_kind()
        receipt = factories.a_receipt()
        url = f"/sales/lists/kinds/{kind.pk}/"
        assert "no longer offered" in owner_client.get(url).content.decode().lower()
        page = owner_client.post(url, {"name": "", "position": "1"}).content.decode()
        assert "<h1>Cash</h1>" in page
        typed = {"name": "Cash", "is_cash": "on", "position": "1", "is_retired": "on"}
        owner_client.post(url, typed)
        assert receipt.payments.get().kind.is_retired
        page = owner_client.get("/sales/lists/kinds/").content.decode()
        assert "no longer offered" in page

    def test_there_is_no_other_list(self, owner_client):
        assert owner_client.get("/sales/lists/users/").status_code == 404
