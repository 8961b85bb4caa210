"""The form of a sale, as the turner fills it in."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest

from provenance.people.models import Person
from provenance.pieces import custody, promises
from provenance.pieces.models import Custody
from provenance.record.numbers import Number
from shop.sales.models import Extra, Owing, PaymentKind, Receipt, TaxRate
from tests import factories

pytestmark = pytest.mark.django_db
SELL = "/sales/new/"


def the_receipt() -> Receipt:
    return Receipt.objects.get()


def words(response) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())


class TestRecording:
    def test_a_piece_from_its_tag_is_sold_by_one_more_press(
        self, owner_client, bowl, typed, django_assert_max_num_queries
    ):
        page = owner_client.get(f"{SELL}?piece={bowl.code}")
        assert 'value="165.00"' in page.content.decode()
        with django_assert_max_num_queries(70):
            response = owner_client.post(SELL, typed((bowl, "165.00")))
        assert response["Location"] == f"/sales/{the_receipt().code}/"
        bowl.refresh_from_db()
        assert bowl.custody.kind == Custody.Kind.BUYER
        assert the_receipt().payments.get().amount_minor == the_receipt().total_minor == 16_500

    def test_a_second_press_shows_the_first_receipt(self, owner_client, bowl, typed):
        first, second = (owner_client.post(SELL, typed((bowl, "165"))) for _ in range(2))
        assert first["Location"] == second["Location"]
        assert Receipt.objects.count() == 1

    def test_sent_again_with_a_change_it_says_that_the_change_is_not_on_the_receipt(
        self, owner_client, bowl, typed
    ):
        owner_client.post(SELL, typed((bowl, "165")))
        response = owner_client.post(SELL, typed((bowl, "150")), follow=True)
        assert "what you changed in it since is not on it" in words(response)
        assert the_receipt().total_minor == 16_500

    def test_sold_in_another_window_it_is_refused_beside_the_line(self, owner_client, bowl, typed):
        owner_client.post(SELL, typed((bowl, "165")))
        other = typed((bowl, "160"), token="22222222-2222-4222-8222-222222222222", words="typed")
        response = owner_client.post(SELL, other)
        assert f"{bowl.number} is sold already, on receipt {the_receipt()}" in words(response)
        assert b'value="160"' in response.content
        assert b'value="typed"' in response.content

    def test_what_is_not_paid_is_owed(self, owner_client, bowl, typed):
        owner_client.post(SELL, typed((bowl, "165"), payments__0__kind="none"))
        assert Owing.objects.get().amount_minor == 16_500

    def test_paid_in_two_ways(self, owner_client, bowl, typed):
        card = str(PaymentKind.objects.get(slug="card").pk)
        sent = typed((bowl, "165"), payments__0__amount="100", payments__1__kind=card)
        owner_client.post(SELL, sent)
        paid = the_receipt().payments.values_list("kind__slug", "amount_minor")
        assert list(paid) == [("cash", 10_000), ("card", 6_500)]

    @pytest.mark.parametrize("kind", ["", "none"])
    def test_an_amount_that_nobody_says_how_it_is_paid_is_not_passed_over(
        self, owner_client, bowl, typed, kind
    ):
        apart = {"payments__0__amount": "100", "payments__1__amount": "65"}
        response = owner_client.post(SELL, typed((bowl, "165"), payments__1__kind=kind, **apart))
        desk = response.context["desk"]
        assert desk.payments[1].errors["kind"] == ["Say how this amount is paid, or clear it."]
        assert desk.is_payment_open
        assert not Receipt.objects.exists()

    def test_too_little_cash_is_said_beside_it(self, owner_client, bowl, typed):
        response = owner_client.post(SELL, typed((bowl, "165"), payments__0__given="20"))
        assert "$20 is less than the $165 to be paid" in words(response)
        assert not Receipt.objects.exists()

    def test_a_new_buyer_is_entered_and_a_refused_sale_enters_nobody(
        self, owner_client, bowl, typed
    ):
        sent = typed((bowl, "165"), buyer_name="Mabel Causey", payments__0__amount="999")
        assert owner_client.post(SELL, sent).status_code == 200
        assert not Person.objects.filter(name="Mabel Causey").exists()
        owner_client.post(SELL, {**sent, "payments-0-amount": ""})
        assert the_receipt().buyer == Person.objects.get(name="Mabel Causey")

    def test_promised_wood_asks_why(self, owner_client, bowl, typed):
        promises.make(factories.a_scribe(), "A bowl for Ruth", pieces=[bowl])
        response = owner_client.post(SELL, typed((bowl, "165")))
        assert "is kept for a promise" in words(response)
        assert 'name="reason"' in response.content.decode()
        owner_client.post(SELL, typed((bowl, "165"), reason="She let it go."))
        assert the_receipt().lines.get().piece == bowl

    def test_before_the_pieces_last_step_is_refused_beside_the_day(self, owner_client, bowl, typed):
        response = owner_client.post(SELL, typed((bowl, "165"), sold_on="2026-01-02"))
        assert not Receipt.objects.exists()
        assert response.context["desk"].sale.errors["sold_on"]

    def test_without_a_line_it_says_so(self, owner_client, shop, typed):
        assert "Nothing is on the receipt yet" in words(owner_client.post(SELL, typed()))

    def test_a_piece_typed_but_not_added_is_not_passed_over(self, owner_client, bowl, typed):
        other = factories.a_piece("finished", price_minor=2_000)
        response = owner_client.post(SELL, typed((bowl, "165"), add=str(other.number)))
        assert "press Add" in words(response)
        assert not Receipt.objects.exists()


class TestTerms:
    def test_a_discount_on_the_line_and_on_the_receipt(self, owner_client, bowl, typed):
        sent = typed((bowl, "165"), lines__0__off="15", off="10 %", off_words="for a friend")
        owner_client.post(SELL, sent)
        line = the_receipt().lines.get()
        assert (line.own_discount_minor, line.shared_discount_minor) == (1_500, 1_500)
        assert the_receipt().total_minor == 13_500

    @pytest.mark.parametrize("name", ["lines__0__off", "off"])
    def test_more_off_than_the_price_is_said_beside_it(self, name, owner_client, bowl, typed):
        response = owner_client.post(SELL, typed((bowl, "165"), **{name: "166"}))
        assert "That discount is more than the price" in words(response)

    def test_tax_is_added_or_contained(self, owner_client, bowl, typed, county):
        owner_client.post(SELL, typed((bowl, "165"), tax=str(county.pk), prices="included"))
        receipt = the_receipt()
        assert (receipt.total_minor, receipt.tax_minor) == (16_500, 971)
        assert (receipt.tax_name, receipt.tax_rate_pct) == (county.name, Decimal("6.25"))

    def test_a_rate_of_other_days_is_refused(self, owner_client, bowl, typed, county, today):
        TaxRate.objects.update(until=today - timedelta(days=1))
        response = owner_client.post(SELL, typed((bowl, "165"), tax=str(county.pk)))
        assert "did not hold on that day" in words(response)

    def test_the_rate_of_the_day_is_taken_where_it_changed(
        self, owner_client, bowl, typed, county, today
    ):
        TaxRate.objects.update(since=today)
        older = TaxRate.objects.create(
            name=county.name, rate_pct=6, since=date(2020, 1, 1), until=today - timedelta(days=1)
        )
        day = (today - timedelta(days=1)).isoformat()
        owner_client.post(SELL, typed((bowl, "100"), tax=str(county.pk), sold_on=day))
        assert (the_receipt().tax_minor, the_receipt().tax_rate_pct) == (600, older.rate_pct)

    def test_a_gallery_keeps_its_part_and_a_booth_none(self, owner_client, bowl, typed, county):
        theirs = {"share": "40", "is_tax_theirs": "on", "gallery_name": "Weir Gallery"}
        tax = {"tax": str(county.pk), "payments__0__kind": "none"}
        owner_client.post(SELL, typed((bowl, "165"), channel="gallery", **theirs, **tax))
        receipt = the_receipt()
        assert (receipt.share_minor, receipt.due_minor) == (6_600, 9_900)
        assert receipt.gallery.name == "Weir Gallery"
        other = factories.a_piece("finished")
        token = {"token": "33333333-3333-4333-8333-333333333333"}
        owner_client.post(SELL, typed((other, "100"), channel="booth", **theirs, **tax, **token))
        booth = Receipt.objects.get(channel="booth")
        assert (booth.share_minor, booth.is_tax_theirs, booth.gallery) == (0, False, None)

    def test_an_extra_without_tax(self, owner_client, bowl, typed, county):
        sent = typed(
            (bowl, "165"), tax=str(county.pk),
            **{"lines-TOTAL_FORMS": "2", "lines-1-extra": "shipping", "lines-1-words": "Shipping",
               "lines-1-price": "12", "lines-1-quantity": "1", "lines-1-is_untaxed": "on"},
        )  # fmt: skip
        owner_client.post(SELL, sent)
        assert list(the_receipt().lines.values_list("words", "tax_minor")) == [
            ("Salad bowl in bigleaf maple", 1_031), ("Shipping", 0),
        ]  # fmt: skip


class TestGrowing:
    def test_a_piece_is_added_by_its_number_and_what_was_typed_stays(
        self, owner_client, bowl, typed
    ):
        other = factories.a_piece("finished", price_minor=2_000)
        sent = typed((bowl, "150"), add=other.code, add_piece="1", words="a note", channel="booth")
        page = owner_client.post(SELL, sent).content.decode()
        assert page.count('class="desk-line"') == 2
        assert 'value="150"' in page
        assert 'value="20.00"' in page
        assert 'value="a note"' in page
        assert 'role="alert"' not in page
        assert not Receipt.objects.exists()

    def test_the_same_piece_is_not_added_twice(self, owner_client, bowl, typed):
        response = owner_client.post(SELL, typed((bowl, "150"), add=bowl.code, add_piece="1"))
        assert f"{bowl.number} stands on it already" in words(response)

    def test_words_that_fit_several_offer_them(self, owner_client, bowl, typed):
        factories.a_piece("finished")
        response = owner_client.post(SELL, typed(add="salad", add_piece="1"))
        assert response.content.decode().count('name="add_code"') == 2
        chosen = owner_client.post(SELL, typed(add="salad", add_code=bowl.code))
        assert chosen.content.decode().count('class="desk-line"') == 1

    @pytest.mark.parametrize(
        ("text", "sentence"),
        [("26-001-1", "check the last character"),
         (Number("piece", 26, 999).spoken, "No piece of the book has"),
         ("teapot", "Nothing for sale matches")],
    )  # fmt: skip
    def test_what_is_not_there_is_said(self, text, sentence, owner_client, bowl, typed):
        assert sentence in words(owner_client.post(SELL, typed(add=text, add_piece="1")))

    def test_what_is_given_away_cannot_be_added(self, owner_client, bowl, typed):
        custody.hand_over([bowl], Custody.Kind.GIVEN, factories.a_scribe())
        response = owner_client.post(SELL, typed(add=bowl.code, add_piece="1"))
        assert "bring it to the shop first" in words(response)

    def test_an_extra_brings_its_price_and_its_tax(self, owner_client, bowl, typed):
        Extra.objects.filter(slug="wax").update(price_minor=900, is_taxed=False)
        desk = owner_client.post(SELL, typed((bowl, "150"), add_extra="wax")).context["desk"]
        line = desk.lines.forms[1]
        assert (line["words"].value(), line["price"].value()) == ("Tin of wax", "9.00")
        assert line["is_untaxed"].value()

    def test_a_line_is_taken_away(self, owner_client, bowl, typed):
        other = factories.a_piece("finished")
        sent = typed((bowl, "150"), (other, ""), lines__1__gone="on")
        page = owner_client.post(SELL, {**sent, "reckon": "1"})
        assert page.content.decode().count('class="desk-line"') == 1
        owner_client.post(SELL, sent)
        assert the_receipt().lines.get().piece == bowl

    def test_the_sum_follows_what_is_typed(self, owner_client, bowl, typed, county):
        sent = typed(
            (bowl, "165"), tax=str(county.pk), off="15", payments__0__given="200", reckon="1",
            channel="",
        )  # fmt: skip
        page = words(owner_client.post(SELL, sent))
        assert "Before discounts $165 Discounts −$15" in page
        assert "Wrenshire sales tax 6.25 % $9.38" in page
        assert "The buyer pays $159.38" in page
        assert "Change $40.62" in page

    def test_the_offer_costs_the_same_for_one_and_for_three(
        self, owner_client, bowl, django_assert_num_queries
    ):
        for more in (0, 2):
            for _ in range(more):
                factories.a_piece("finished")
            with django_assert_num_queries(7):
                page = owner_client.get(f"{SELL}offer?add=maple").content.decode()
            assert page.count('name="add_code"') == 1 + more


class TestWhatIsUsual:
    def opening(self, owner_client, *pieces):
        query = "&".join(f"piece={piece.code}" for piece in pieces)
        desk = owner_client.get(f"{SELL}?{query}").context["desk"]
        return desk.sale.initial | {"kind": desk.payments.forms[0]["kind"].value()}

    def test_nothing_is_guessed_for_the_first_sale(self, owner_client, bowl):
        opening = self.opening(owner_client, bowl)
        assert (opening["channel"], opening["kind"], opening["tax"]) == ("", "", "none")

    def test_several_rates_ask_for_a_choice_and_one_is_taken(self, owner_client, bowl, county):
        assert self.opening(owner_client, bowl)["tax"] == str(county.pk)
        TaxRate.objects.create(name="Town tax", rate_pct=7, since=date(2026, 1, 1))
        assert self.opening(owner_client, bowl)["tax"] == ""

    def test_a_piece_at_a_market_is_sold_at_its_booth(self, owner_client, bowl):
        quay = factories.a_person(name="Quay Market", is_organisation=True)
        custody.hand_over([bowl], Custody.Kind.MARKET, factories.a_scribe(), holder=quay)
        opening = self.opening(owner_client, bowl)
        assert (opening["channel"], opening["place"]) == ("booth", "Quay Market")

    def test_a_piece_at_a_gallery_brings_the_gallery_and_its_last_terms(
        self, owner_client, bowl, typed
    ):
        weir = factories.a_person(name="Weir Gallery", is_organisation=True)
        other = factories.a_piece("finished")
        custody.hand_over([bowl, other], Custody.Kind.GALLERY, factories.a_scribe(), holder=weir)
        sent = typed((other, "90"), channel="gallery", gallery_name="Weir Gallery", share="40")
        owner_client.post(SELL, {**sent, "is_tax_theirs": "on"})
        opening = self.opening(owner_client, bowl)
        assert (opening["channel"], opening["gallery_name"]) == ("gallery", "Weir Gallery")
        assert (opening["share"], opening["is_tax_theirs"]) == ("40", "on")

    def test_a_sale_without_tax_does_not_make_the_next_one_untaxed(
        self, owner_client, bowl, typed, county
    ):
        owner_client.post(SELL, typed((bowl, "165")))
        opening = self.opening(owner_client, factories.a_piece("finished"))
        assert opening["tax"] == str(county.pk)

    def test_it_can_be_paid_in_two_ways_and_what_is_usual_is_marked(
        self, owner_client, bowl, typed
    ):
        owner_client.post(SELL, typed((bowl, "165"), channel="booth", place="Quay Market"))
        page = owner_client.get(SELL).content.decode()
        assert 'name="payments-1-kind"' in page
        assert page.count('data-usual="booth"') == 6  # the place, and each kind of payment

    def test_the_day_goes_on_as_it_began(self, owner_client, bowl, typed, county):
        other = factories.a_piece("finished")
        sent = typed((bowl, "165"), channel="booth", place="Lantern Market", tax=str(county.pk))
        owner_client.post(SELL, sent)
        opening = self.opening(owner_client, other)
        assert (opening["channel"], opening["place"]) == ("booth", "Lantern Market")
        assert opening["kind"] == str(PaymentKind.objects.get(slug="cash").pk)
        assert opening["tax"] == str(county.pk)


def test_the_code_on_the_foot_offers_the_owner_to_sell_first(owner_client, bowl, client):
    page = owner_client.get(f"/P/{bowl.code}").content.decode()
    assert page.index(f'href="/sales/new/?piece={bowl.code}"') < page.index("Open it in the book")
    factories_receipt = factories.a_receipt(bowl)
    assert factories_receipt.lines.get().piece == bowl
    assert "/sales/new/" not in owner_client.get(f"/P/{bowl.code}").content.decode()
