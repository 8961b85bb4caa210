"""The list of receipts, a receipt's page, its paper."""

import io
from datetime import date
from decimal import Decimal
from typing import Any

import pypdf
import pytest
from django.test import Client

from provenance.maker.models import Shop
from provenance.pieces import custody
from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Channel, Receipt, TaxRate, Terms
from shop.sales.undoing import Wish
from shop.sales.views import receipts
from tests import factories

pytestmark = pytest.mark.django_db


def some(words: str = "Spoon") -> Sold:
    return Sold(1_500, words=words)


def shown(client: Client, **query: Any) -> list[str]:
    return [row.receipt.code for row in client.get("/sales/", query).context["rows"]]


def page_of(client: Client, receipt: Receipt) -> str:
    return client.get(f"/sales/{receipt}/").content.decode()


class TestList:
    def test_an_empty_book_says_what_belongs_there(self, owner_client):
        page = owner_client.get("/sales/").content.decode()
        assert "Nothing is sold yet." in page
        assert 'href="/sales/new/"' in page
        assert 'href="/sales/terms/"' in page

    def test_the_newest_sale_comes_first_whenever_it_was_written(self, owner_client):
        late = factories.a_receipt(some(), sold_on=date(2026, 6, 14))
        early = factories.a_receipt(some(), sold_on=date(2026, 6, 1))
        last = factories.a_receipt(some(), sold_on=date(2026, 6, 14))
        assert shown(owner_client) == [last.code, late.code, early.code]
        assert "3 receipts" in owner_client.get("/sales/").content.decode()

    def test_it_narrows_by_words_channel_and_what_is_open(self, owner_client):
        owed = factories.a_receipt(some("Dish"), payments=[], channel=Channel.ONLINE)
        void = factories.a_receipt(some("Vase"), place="Quay Market", channel=Channel.BOOTH)
        undoing.void(void, "Wrong", factories.a_scribe())
        assert shown(owner_client, find="quay") == [void.code]
        assert shown(owner_client, find=owed.code.lower().replace("-", "")) == [owed.code]
        assert shown(owner_client, channel="online") == [owed.code]
        assert shown(owner_client, state="owed") == [owed.code]
        assert shown(owner_client, state="void") == [void.code]
        assert shown(owner_client, state="void", channel="online") == []
        assert shown(owner_client, state="refunded") == []
        undoing.refund(owed, [Wish(owed.lines.get(), 500)], "Scratch", factories.a_scribe())
        assert shown(owner_client, state="refunded") == [owed.code]
        assert shown(owner_client, channel="gone", state="?", page="x") == [void.code, owed.code]

    def test_nothing_found_is_told_apart_from_nothing_there(self, owner_client):
        factories.a_receipt(some())
        page = owner_client.get("/sales/?find=ebony").content.decode()
        assert "No receipt fits all of that." in page

    def test_typing_fetches_the_rows_alone_and_going_back_the_whole_page(self, owner_client):
        factories.a_receipt(some())
        fragment = owner_client.get("/sales/", headers={"HX-Request": "true"}).content.decode()
        assert "Spoon" in fragment
        assert "<h1>" not in fragment
        restored = {"HX-Request": "true", "HX-History-Restore-Request": "true"}
        assert "<h1>" in owner_client.get("/sales/", headers=restored).content.decode()

    def test_long_lists_come_page_by_page_and_keep_their_filter(self, owner_client, monkeypatch):
        monkeypatch.setattr(receipts, "PER_PAGE", 2)
        first, *_others = [factories.a_receipt(some()) for _ in range(3)]
        page = owner_client.get("/sales/?find=spoon").content.decode()
        assert "3 receipts, 1 to 2" in page
        assert "find=spoon&amp;page=2" in page
        assert shown(owner_client, find="spoon", page=2) == [first.code]

    def test_each_receipt_is_shown_in_its_own_currency(self, owner_client):
        factories.a_receipt(some())
        Shop.objects.update(currency="EUR")
        factories.a_receipt(some())
        page = owner_client.get("/sales/").content.decode()
        assert "$15" in page
        assert "€15" in page

    @pytest.mark.parametrize("count", [1, 3])
    def test_it_reads_as_often_for_one_row_as_for_three(
        self, owner_client, count, django_assert_num_queries
    ):
        for _ in range(count):
            receipt = factories.a_receipt(factories.a_piece(), buyer=factories.a_person())
            back = [Wish(receipt.lines.get(), 500)]
            undoing.refund(receipt, back, "No", factories.a_scribe(), kind=factories.a_kind())
        with django_assert_num_queries(9):  # among them: count, keys, rows, lines, their pieces
            owner_client.get("/sales/?find=bowl")


class TestPage:
    def test_it_shows_the_paper_and_what_only_the_owner_knows(self, owner_client):
        rate = TaxRate.objects.create(
            name="County tax", rate_pct=Decimal("6.25"), since=date(2020, 1, 1)
        )
        ada, piece = factories.a_person(), factories.a_piece("finished")
        scribe = factories.a_scribe(Shop.current() and factories.an_owner(username="turner"))
        receipt = factories.a_receipt(
            piece, scribe=scribe, buyer=ada, place="Quay Market", channel=Channel.BOOTH,
            tax=rate, words="wants a lid",
        )  # fmt: skip
        page = page_of(owner_client, receipt)
        for words in (
            "County tax 6.25 %", "$106.25", "Booth, Quay Market", "wants a lid", "by turner",
            f'href="/people/{ada.pk}/"', f'href="/pieces/{piece.code}/"', str(piece.number),
            "Paid: $106.25, cash",
        ):  # fmt: skip
            assert words in page, words

    def test_a_gallerys_part_and_what_it_owes_stand_beside_the_paper(self, owner_client):
        weir = factories.a_person(name="Weir Gallery")
        receipt = factories.a_receipt(
            some(), channel=Channel.GALLERY, gallery=weir, share_pct=Decimal(40), payments=[]
        )
        page = page_of(owner_client, receipt)
        assert "40 % of the price before tax" in page
        assert "$9</span> by Weir Gallery" in page

    def test_what_may_be_done_depends_on_what_was_done(self, owner_client):
        def doors(receipt):
            page = page_of(owner_client, receipt)
            names = ("pay", "refund", "void", "receipt.pdf")
            assert page.count("button-main") == 1
            return [name for name in names if f'href="/sales/{receipt}/{name}' in page]

        open_one, paid = factories.a_receipt(some(), payments=[]), factories.a_receipt(some())
        assert doors(open_one) == ["pay", "refund", "void", "receipt.pdf"]
        page = page_of(owner_client, open_one)
        assert ">Enter a payment</a>" in page
        assert '<span class="figure">$15</span> owed' in page
        assert " owed" not in page_of(owner_client, paid)
        assert doors(paid) == ["refund", "void", "receipt.pdf"]
        undoing.refund(
            paid, [Wish(paid.lines.get(), 500)], "Scratch", factories.a_scribe(),
            kind=factories.a_kind(),
        )  # fmt: skip
        assert doors(paid) == ["refund", "receipt.pdf"]
        rest = [Wish(paid.lines.get(), 1_000)]
        undoing.refund(paid, rest, "All", factories.a_scribe(), kind=factories.a_kind())
        assert doors(paid) == ["receipt.pdf"]
        undoing.void(open_one, "Wrong price", factories.a_scribe())
        assert doors(open_one) == ["receipt.pdf"]
        assert "Void since 15 June 2026: Wrong price" in page_of(owner_client, open_one)
        assert 'less <span class="figure">$15</span> given back' in page_of(owner_client, paid)

    def test_a_buyer_who_becomes_known_later_is_noted_on_the_piece(self, owner_client):
        piece = factories.a_piece("finished")
        receipt = factories.a_receipt(piece)
        page = page_of(owner_client, receipt)
        assert 'href="/sales/new/">Record another sale</a>' in page
        assert "Not known" in page
        assert f'href="/pieces/{piece.code}/hands/"' in page
        custody.hand_over([piece], "buyer", factories.a_scribe(), holder=factories.a_person())
        assert "with its owner, Ada Quill" in page_of(owner_client, receipt)

    def test_a_buyer_entered_twice_leads_to_the_kept_entry(self, owner_client):
        kept, ada = factories.a_person(name="A. Quill"), factories.a_person()
        receipt = factories.a_receipt(some(), buyer=ada)
        ada.merged_into = kept
        ada.save()
        assert f'<a href="/people/{kept.pk}/">Ada Quill</a>' in page_of(owner_client, receipt)

    def test_there_is_no_page_for_a_number_that_was_not_given_out(self, owner_client):
        assert owner_client.get("/sales/R26-001/").status_code == 404

    @pytest.mark.parametrize("count", [1, 3])
    def test_it_reads_as_often_for_one_line_as_for_three(
        self, owner_client, count, django_assert_num_queries
    ):
        pieces = [factories.a_piece("finished") for _ in range(count)]
        receipt = factories.a_receipt(*pieces, buyer=factories.a_person())
        undoing.refund(
            receipt, [Wish(line, 500) for line in receipt.lines.all()], "Scratch",
            factories.a_scribe(), kind=factories.a_kind(),
        )  # fmt: skip
        owner_client.get("/sales/terms/")
        with django_assert_num_queries(18):
            owner_client.get(f"/sales/{receipt}/")


class TestPaper:
    def test_it_is_the_page_on_paper(self, owner_client):
        Terms(receipt_words="Keep it dry.").save()
        receipt = factories.a_receipt(some("Spoon of plum"), place="Quay Market", words="a secret")
        response = owner_client.get(f"/sales/{receipt}/receipt.pdf")
        assert response["Content-Type"] == "application/pdf"
        assert response["Content-Disposition"] == f'inline; filename="receipt-{receipt}.pdf"'
        assert {"private", "no-store"} <= set(response["Cache-Control"].split(", "))
        reader = pypdf.PdfReader(io.BytesIO(response.content))
        text = " ".join(page.extract_text() for page in reader.pages)
        page = page_of(owner_client, receipt)
        for words in ("Spoon of plum", "Quay Market", "$15.00", "Keep it dry.", receipt.code):
            assert words in text
            assert words in page
        assert "a secret" in page
        assert "a secret" not in text

    @pytest.mark.parametrize(("paper", "width"), [("a4", 595), ("letter", 612)])
    def test_it_has_the_size_that_the_shop_prints_on(self, owner_client, paper, width):
        Shop.objects.update(paper=paper)
        body = owner_client.get(f"/sales/{factories.a_receipt(some())}/receipt.pdf").content
        assert int(pypdf.PdfReader(io.BytesIO(body)).pages[0].mediabox.width) == width
