"""The pages on which a sale is taken back."""

import uuid
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from provenance.pieces import custody
from provenance.pieces.models import Custody
from shop.sales import paying, undoing
from shop.sales.checkout import Sold
from shop.sales.models import Payment, Receipt, Refund, TaxRate, Void
from shop.sales.paying import Paid
from shop.sales.undoing import Wish
from tests import factories

pytestmark = pytest.mark.django_db


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), "reason": "It split.", "on": "2026-06-20", **typed}


def spoon(**facts: Any) -> Sold:
    return Sold(1_500, words="Spoon", **facts)


class TestVoid:
    def test_it_says_first_what_will_happen(self, owner_client):
        piece, weir = factories.a_piece("finished"), factories.a_person(name="Weir Gallery")
        custody.hand_over([piece], Custody.Kind.GALLERY, factories.a_scribe(), holder=weir)
        receipt = factories.a_receipt(piece)
        page = owner_client.get(f"/sales/{receipt}/void/").content.decode()
        assert "$100 goes back as it came: Cash." in page
        assert "is at a gallery, Weir Gallery again." in page

    def test_a_sale_dated_back_says_how_to_write_it_anew_and_that_works(self, owner_client):
        piece, hint = factories.a_piece("finished"), "write the sale anew for its own day"
        receipt = factories.a_receipt(piece)
        page = owner_client.get(f"/sales/{receipt}/void/").content.decode()
        assert f"{hint}, 15 June 2026, date the void that day, too." in page
        owner_client.post(f"/sales/{receipt}/void/", sent(on="2026-06-15"))
        later = factories.a_scribe(at=factories.NOW + timedelta(days=30))
        anew = factories.a_receipt(piece, scribe=later, sold_on=receipt.sold_on)
        assert anew.sold_on == date(2026, 6, 15)
        now = timezone.now()
        today = factories.a_receipt(spoon(), scribe=factories.a_scribe(at=now), sold_on=now.date())
        assert hint not in owner_client.get(f"/sales/{today}/void/").content.decode()

    def test_what_is_owed_is_owed_no_longer(self, owner_client):
        receipt = factories.a_receipt(spoon(), payments=[])
        page = owner_client.get(f"/sales/{receipt}/void/").content.decode()
        assert "$15 is owed no longer." in page

    def test_a_second_press_shows_the_first_outcome(self, owner_client):
        receipt, typed = factories.a_receipt(spoon()), sent()
        for _ in range(2):
            answer = owner_client.post(f"/sales/{receipt}/void/", typed)
            assert answer["Location"] == f"/sales/{receipt}/"
        made = Void.objects.get()
        assert (made.reason, made.on, made.by.username) == ("It split.", date(2026, 6, 20), "owner")
        assert Payment.objects.filter(void=made).count() == 1

    def test_a_second_window_is_told_that_it_is_void_already(self, owner_client):
        receipt = factories.a_receipt(spoon())
        owner_client.post(f"/sales/{receipt}/void/", sent())
        page = owner_client.post(f"/sales/{receipt}/void/", sent()).content.decode()
        assert f"Receipt {receipt} is void already." in page
        assert "Void it" not in page

    @pytest.mark.parametrize(
        ("typed", "words"),
        [
            ({"reason": ""}, "Say why, so that you know in a year."),
            ({"on": ""}, "Enter the day."),
            ({"on": "2026-06-14"}, "That is before the sale"),
            ({"on": "9998-01-01"}, "That day is still to come"),
        ],
    )
    def test_what_is_missing_or_wrong_is_said_and_the_rest_stays(self, owner_client, typed, words):
        receipt = factories.a_receipt(spoon())
        page = owner_client.post(f"/sales/{receipt}/void/", sent(**typed)).content.decode()
        assert words in page
        assert "It split." in page or typed == {"reason": ""}
        assert not Void.objects.exists()

    def test_a_day_before_the_pieces_last_step_is_refused_beside_the_day(self, owner_client):
        piece = factories.a_piece("finished")
        receipt = factories.a_receipt(piece)
        later = factories.a_scribe(at=factories.NOW + timedelta(days=9))
        custody.hand_over([piece], "buyer", later, holder=factories.a_person())
        page = owner_client.post(f"/sales/{receipt}/void/", sent())
        assert "has a step dated 24 June 2026 already" in page.context["form"].errors["on"][0]
        assert not Void.objects.exists()

    def test_a_day_before_a_payment_is_refused_beside_the_day(self, owner_client):
        receipt = factories.a_receipt(spoon(), payments=[])
        later = factories.a_scribe(at=factories.NOW + timedelta(days=9))
        paying.pay(receipt, Paid(factories.a_kind()), later)
        page = owner_client.post(f"/sales/{receipt}/void/", sent())
        assert "has a payment of a later day" in page.context["form"].errors["on"][0]
        line = receipt.lines.get()
        typed = sent(kind=factories.a_kind().pk) | {
            f"back_{line.pk}": "on", f"amount_{line.pk}": "15",
        }  # fmt: skip
        page = owner_client.post(f"/sales/{receipt}/refund/", typed)
        assert "has a payment of a later day" in page.context["form"].errors["on"][0]
        assert not Refund.objects.exists()

    def test_what_was_refunded_in_part_is_not_void(self, owner_client):
        receipt = factories.a_receipt(spoon())
        undoing.refund(
            receipt, [Wish(receipt.lines.get(), 1)], "x", factories.a_scribe(),
            kind=factories.a_kind(),
        )  # fmt: skip
        page = owner_client.get(f"/sales/{receipt}/void/").content.decode()
        assert "was refunded: refund the rest of it instead." in page


class TestRefund:
    @pytest.fixture
    def receipt(self, shop) -> Receipt:
        rate = TaxRate.objects.create(
            name="County tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1)
        )
        return factories.a_receipt(factories.a_piece("finished"), spoon(is_taxed=False), tax=rate)

    def url(self, receipt: Receipt) -> str:
        return f"/sales/{receipt}/refund/"

    def test_each_line_shows_what_is_left_and_the_tax_in_it(self, owner_client, receipt):
        page = owner_client.get(self.url(receipt)).content.decode()
        assert "$106.25 left, $6.25 of it tax" in page
        assert "$15 left" in page
        assert 'value="106.25"' in page
        assert "checked" not in page.split("Why, and how")[0]

    def test_no_line_is_ticked_by_itself_and_the_way_it_was_paid_is_offered(self, owner_client):
        card = factories.a_kind("card")
        receipt = factories.a_receipt(spoon(), payments=[Paid(card)])
        form = owner_client.get(self.url(receipt)).context["form"]
        assert not form[f"back_{receipt.lines.get().pk}"].value()
        assert form["kind"].value() == card.pk

    def test_it_says_first_what_will_happen(self, owner_client, receipt):
        page = owner_client.get(self.url(receipt)).content.decode()
        assert "If all that is left is given back:" in page
        assert "$121.25 is given back, $6.25 of it tax." in page
        assert "The shop pays back $121.25." in page
        assert "A piece ticked as coming back may be sold again." in page

    def test_of_a_share_too_a_part_goes_back_in_proportion(self, owner_client, receipt):
        share = "the tax and the share in it go back in proportion"
        assert share not in owner_client.get(self.url(receipt)).content.decode()
        weir = factories.a_person(name="Weir Gallery")
        theirs = factories.a_receipt(
            spoon(), channel="gallery", gallery=weir, share_pct=Decimal(40)
        )
        assert share in owner_client.get(self.url(theirs)).content.decode()

    def test_a_line_is_given_back_with_its_tax_once(self, owner_client, receipt):
        bowl, cash = receipt.lines.first(), factories.a_kind()
        typed = sent(kind=cash.pk) | {
            f"back_{bowl.pk}": "on", f"amount_{bowl.pk}": "106.25", f"returned_{bowl.pk}": "on",
            f"amount_{bowl.pk + 1}": "15",
        }  # fmt: skip
        for _ in range(2):
            page = owner_client.post(self.url(receipt), typed, follow=True).content.decode()
            assert "Refunded: $106.25, $6.25 of it tax." in page
        refund = Refund.objects.get()
        assert [(row.amount_minor, row.is_returned) for row in refund.lines.all()] == [
            (10_625, True)
        ]
        assert Payment.objects.get(refund=refund).amount_minor == -10_625
        bowl.piece.refresh_from_db()
        assert bowl.piece.custody.kind == Custody.Kind.SHOP
        page = owner_client.get(self.url(receipt)).content.decode()
        assert "given back · the piece came back" in page

    def test_a_part_given_back_is_given_back_once_though_less_is_left_then(
        self, owner_client, receipt
    ):
        bowl = receipt.lines.first()
        typed = sent(kind=factories.a_kind().pk) | {
            f"back_{bowl.pk}": "on", f"amount_{bowl.pk}": "60",
        }  # fmt: skip
        for _ in range(2):
            page = owner_client.post(self.url(receipt), typed, follow=True).content.decode()
            assert "Refunded: $60, $3.53 of it tax." in page
        assert Refund.objects.get().amount_minor == 6_000

    def test_a_piece_may_come_back_for_nothing(self, owner_client, receipt):
        bowl = receipt.lines.first()
        typed = sent() | {f"returned_{bowl.pk}": "on"}
        page = owner_client.post(self.url(receipt), typed, follow=True).content.decode()
        assert "Written: it came back." in page

    def test_amounts_are_checked_beside_their_fields_and_stay(self, owner_client, receipt):
        bowl, wax = receipt.lines.all()
        typed = sent(kind=factories.a_kind().pk) | {
            f"back_{bowl.pk}": "on", f"amount_{bowl.pk}": "200", f"amount_{wax.pk}": "3",
        }  # fmt: skip
        page = owner_client.post(self.url(receipt), typed)
        errors = page.context["form"].errors
        assert "Tick “Give back” on this line" in errors[f"amount_{wax.pk}"][0]
        assert 'value="200"' in page.content.decode()
        page = owner_client.post(self.url(receipt), typed | {f"amount_{wax.pk}": ""})
        [sentence] = page.context["form"].errors[f"amount_{bowl.pk}"]
        assert "$106.25 is left to give back: enter that much at most." in sentence
        typed |= {f"amount_{bowl.pk}": "", f"amount_{wax.pk}": "15"}
        errors = owner_client.post(self.url(receipt), typed).context["form"].errors
        assert list(errors) == [f"amount_{bowl.pk}"]
        assert not Refund.objects.exists()

    def test_nothing_chosen_and_no_way_of_paying_are_said(self, owner_client, receipt):
        bowl = receipt.lines.first()
        page = owner_client.post(self.url(receipt), sent()).content.decode()
        assert "Say what is given back, or which piece comes back." in page
        typed = sent() | {f"back_{bowl.pk}": "on", f"amount_{bowl.pk}": "50"}
        errors = owner_client.post(self.url(receipt), typed).context["form"].errors
        assert errors["kind"] == ["Say how the $50 is paid back."]
        assert not Refund.objects.exists()

    def test_what_is_owed_shrinks_first(self, owner_client):
        receipt = factories.a_receipt(spoon(), payments=[])
        line = receipt.lines.get()
        typed = sent() | {f"back_{line.pk}": "on", f"amount_{line.pk}": "5"}
        assert "$15 is still owed" in owner_client.get(self.url(receipt)).content.decode()
        owner_client.post(self.url(receipt), typed)
        assert Receipt.objects.get().owed_minor == 1_000
        assert not Payment.objects.exists()

    def test_what_is_all_given_back_or_void_says_so(self, owner_client, receipt):
        undoing.void(receipt, "Wrong", factories.a_scribe())
        page = owner_client.get(self.url(receipt)).content.decode()
        assert f"Receipt {receipt} is void: all of it was taken back." in page
        answer = owner_client.post(self.url(receipt), sent())
        assert "is void" in answer.content.decode()

    @pytest.mark.parametrize("name", ["void", "refund", "pay"])
    def test_there_is_no_form_for_a_receipt_that_is_not(self, owner_client, name):
        assert owner_client.get(f"/sales/R26-999/{name}/").status_code == 404
