"""The month's pages: what they say, where their figures lead, and what they refuse."""

import io
import re
from datetime import UTC, date, datetime
from decimal import Decimal
from html.parser import HTMLParser

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from pypdf import PdfReader

from provenance.maker.models import Shop
from shop.books import page as pages
from shop.sales import deposits
from shop.sales.models import Channel
from shop.sales.paying import Paid
from tests import factories
from tests.shop.books.selling import (
    LATE,
    NOV_30,
    NOVEMBER,
    a_piece_of,
    a_rate,
    card,
    in_card,
    refund,
    sell,
    void,
    wax,
    wood,
)

pytestmark = pytest.mark.django_db
#: By address. Seven or fewer of each are the session, the user and the shop's profile.
QUERIES = {
    "": 24,
    "entries/?figure=net": 14,
    "entries/?figure=held": 8,
    "entries/?figure=owed": 7,
    "month.csv": 13,
    "month.pdf": 23,
}


@pytest.fixture(autouse=True)
def in_december(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the views' clock stand at the last hour of 2026 in UTC."""
    moment = datetime(2026, 12, 31, 23, 30, tzinfo=UTC)
    monkeypatch.setattr("provenance.record.scribe.timezone.now", lambda: moment)


class Texts(HTMLParser):
    """The words of a page, each run of them by itself."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.feed(html)

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.words.append(" ".join(data.split()))


def words_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200, address
    return " ".join(Texts(response.content.decode()).words)


def test_without_a_month_it_is_the_current_one_in_the_shops_zone(owner_client: Client) -> None:
    assert owner_client.get("/month/")["Location"] == "/month/2026-12/"
    Shop.objects.update(time_zone="Pacific/Auckland")
    assert owner_client.get("/month/")["Location"] == "/month/2027-01/"


@pytest.mark.parametrize("month", ["2027-01", "1899-12", "2026-13", "0000-00"])
@pytest.mark.parametrize("page", ["", "month.csv", "month.pdf", "entries/"])
def test_a_month_to_come_or_before_the_books_is_not_found(
    month: str, page: str, owner_client: Client
) -> None:
    assert owner_client.get(f"/month/{month}/{page}").status_code == 404


def test_neighbours_are_linked_but_no_month_to_come(owner_client: Client) -> None:
    running = owner_client.get("/month/2026-12/").content.decode()
    assert 'rel="prev" href="/month/2026-11/"' in running
    assert 'rel="next"' not in running
    assert (
        'rel="next" href="/month/2026-12/"' in owner_client.get("/month/2026-11/").content.decode()
    )
    assert 'rel="prev"' not in owner_client.get("/month/1900-01/").content.decode()


def test_an_empty_month_says_what_belongs_there(owner_client: Client) -> None:
    words = words_of(owner_client, "/month/2026-11/")
    assert "Nothing was sold, taken back or paid in November 2026." in words
    assert "Write a receipt" in words
    assert "By channel" not in words
    assert "$0.00" not in words


def test_an_empty_month_still_says_what_is_held_then(owner_client: Client) -> None:
    account = deposits.open_account(factories.a_person(), "An urn", LATE)
    deposits.take(account, Paid(factories.a_kind(), 5_000), LATE, on=date(2026, 10, 3))
    words = words_of(owner_client, "/month/2026-11/")
    assert "Nothing was sold" in words
    assert "Deposits held $50.00 October 2026 $50.00 November 2025 $0.00" in words


def test_the_figures_stand_beside_the_month_before_and_last_years(owner_client: Client) -> None:
    sell(date(2025, 11, 2), wax(20_000))
    sell(date(2026, 10, 31), wax(4_000))
    sell(NOV_30, wax(16_000), tax=a_rate())
    words = words_of(owner_client, "/month/2026-11/")
    assert (
        "Net $160.00 October 2026 $40.00 November 2025 $200.00 "
        "up $120 on October, down $40 on November 2025"
    ) in words
    assert "Tax you collected $16.00" in words
    assert "up $16 on October, up $16 on November 2025" in words
    assert "1 receipt for 1 other line." in words
    december = words_of(owner_client, "/month/2026-12/")
    assert (
        "The month is not over: its figures up to 31 December 2026 stand beside whole months."
    ) in december


def test_what_happened_is_counted_in_words(owner_client: Client) -> None:
    first = sell(NOV_30, a_piece_of(wood()), a_piece_of(wood()), wax())
    refund(first, NOV_30, 100, 100)
    void(sell(NOV_30), NOV_30)
    words = words_of(owner_client, "/month/2026-11/")
    assert (
        "2 receipts for 2 pieces and 2 other lines, 1 receipt voided, "
        "1 receipt refunded in whole or in part."
    ) in words


def test_the_picture_has_its_months_in_a_table(owner_client: Client) -> None:
    sell(date(2025, 11, 2), wax(20_000))
    sell(NOV_30, wax(16_000))
    page = owner_client.get("/month/2026-11/")
    html = page.content.decode()
    assert "<title>Net by month, November 2025 to November 2026</title>" in html
    columns = page.context["page"].columns
    assert [(c.label, c.value) for c in columns if c.value] == [
        ("Nov 2025", 20_000), ("Nov 2026", 16_000),
    ]  # fmt: skip
    assert [c.label for c in columns if c.is_marked] == ["Nov 2026"]
    table = html[html.index("book-year") :]
    assert table.index("November 2026") < table.index("$160.00") < table.index("$200.00")


def test_a_breakdown_shows_what_moved_and_ends_with_its_total(owner_client: Client) -> None:
    sell(NOV_30, wax(1_000), channel=Channel.BOOTH)
    void(sell(NOV_30, wax(700), channel=Channel.DIRECT), NOV_30)
    [part, *_] = owner_client.get("/month/2026-11/").context["page"].breakdowns
    assert (part.title, part.heads) == ("By channel", ["Gross", "Net"])
    rows = [(row.label, [cell.words for cell in row.cells]) for row in part.rows]
    assert rows == [("Booth", ["$10.00", "$10.00"]), ("Direct", ["$0.00", "$0.00"])]
    assert all(cell.url for row in part.rows for cell in row.cells)
    assert [cell.words for cell in part.total] == ["$10.00", "$10.00"]


def test_a_figure_opens_its_receipts(owner_client: Client) -> None:
    card("3")
    ash = wood("white-ash")
    receipt = sell(NOV_30, a_piece_of(ash), wax(700), payments=in_card(), place="Quay Market")
    other = sell(NOV_30, wax(300))
    part = next(p for p in pages_of(owner_client).breakdowns if p.by == "tree")
    row = next(row for row in part.rows if row.label == str(ash.tree))
    net = row.cells[part.heads.index("Net")]
    found = owner_client.get(net.url)
    html = found.content.decode()
    assert net.words == "$97.00"
    assert [r.amount for r in found.context["opened"].rows] == ["$100.00", "−$3.00"]
    assert html.count(f'href="/sales/{receipt.code}/"') == 2
    assert other.code not in html
    assert f'href="/trees/{ash.tree.code}/"' in html
    words = " ".join(Texts(html).words)
    assert "2 entries add up to $97.00" in words
    assert f"30 November 2026 · sale · {receipt.code} ·" in words
    assert f"by tree: {ash.tree}" in words


def pages_of(client: Client) -> pages.Page:
    page: pages.Page = client.get("/month/2026-11/").context["page"]
    return page


def test_deposits_held_open_their_accounts_and_debts_their_receipts(owner_client: Client) -> None:
    ada = factories.a_person()
    account = deposits.open_account(ada, "A walnut urn", LATE)
    deposits.take(account, Paid(factories.a_kind(), 5_000), LATE, on=NOV_30)
    receipt = sell(NOV_30, wax(900), payments=[], buyer=ada, reason="A sale of its own.")
    html = owner_client.get("/month/2026-11/entries/?figure=held").content.decode()
    assert f'href="/people/{ada.pk}/"' in html
    assert "A walnut urn" in html
    assert "At the end of November 2026" in html
    html = owner_client.get("/month/2026-11/entries/?figure=owed").content.decode()
    assert f'href="/sales/{receipt.code}/"' in html
    assert f"{receipt.code}, Ada Quill" in html


def test_a_deposits_fee_has_no_receipt_to_open(owner_client: Client) -> None:
    card("3")
    account = deposits.open_account(factories.a_person(), "A walnut urn", LATE)
    deposits.take(account, in_card(5_000)[0], LATE, on=NOV_30)
    html = owner_client.get("/month/2026-11/entries/?figure=fee").content.decode()
    assert "A walnut urn (Ada Quill)" in html
    assert "$1.50" in html
    assert "/sales/R" not in html


def test_the_entries_of_the_net_are_shown_where_no_figure_is_asked_for(
    owner_client: Client,
) -> None:
    sell(NOV_30, wax(900))
    words = words_of(owner_client, "/month/2026-11/entries/")
    assert "1 entry adds up to $9.00" in words


@pytest.mark.parametrize(
    "query",
    ["figure=total", "by=buyer", "figure=held&by=tree", "figure=net%00", "figure=__class__"],
)
def test_a_figure_that_the_books_dont_have_is_not_found(query: str, owner_client: Client) -> None:
    assert owner_client.get(f"/month/2026-11/entries/?{query}").status_code == 404


@pytest.mark.parametrize("key", ["", "T260145", "name=", "\0", "é" * 500])
def test_a_row_that_is_not_there_says_so(key: str, owner_client: Client) -> None:
    sell(NOV_30, wax(900))
    page = owner_client.get("/month/2026-11/entries/", {"by": "tree", "key": key})
    assert "Nothing makes up this figure." in page.content.decode()


def test_other_money_is_left_out_and_said(owner_client: Client) -> None:
    account = deposits.open_account(factories.a_person(), "An urn", LATE)
    deposits.take(account, Paid(factories.a_kind(), 5_000), LATE, on=NOV_30)
    sell(NOV_30, wax(900))
    Shop.objects.update(currency="EUR")
    words = words_of(owner_client, "/month/2026-11/")
    assert (
        "1 receipt and 1 deposit are in another currency than EUR, the shop’s, "
        "and are in none of these figures."
    ) in words


def test_the_csv_is_a_file_with_every_entry_of_the_month(owner_client: Client) -> None:
    sell(NOV_30, wax(900))
    sell(date(2026, 10, 31), wax(700))
    response = owner_client.get("/month/2026-11/month.csv")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"] == 'attachment; filename="month-2026-11.csv"'
    assert response.content.decode("utf-8-sig").count("\r\n") == 2


def test_no_private_name_is_in_the_csv(owner_client: Client) -> None:
    card("3")
    ada = factories.a_person(name="Ada Quill")
    account = deposits.open_account(ada, "A walnut urn", LATE)
    deposits.take(account, in_card(5_000)[0], LATE, on=NOV_30)
    sell(NOV_30, wax(900), buyer=factories.a_person(name="Bo Reed"))
    text = owner_client.get("/month/2026-11/month.csv").content.decode("utf-8-sig")
    assert "A walnut urn" in text
    assert "Ada Quill" not in text
    assert "Bo Reed" not in text


def test_the_pdf_says_what_the_page_says(owner_client: Client) -> None:
    card("3")
    sell(date(2025, 11, 2), wax(20_000))
    weir = factories.a_person(name="Weir Gallery")
    sell(
        NOV_30, a_piece_of(wood()), tax=a_rate(), channel=Channel.GALLERY, gallery=weir,
        share_pct=Decimal(40), is_tax_theirs=True, payments=in_card(),
    )  # fmt: skip
    response = owner_client.get("/month/2026-11/month.pdf")
    assert response["Content-Type"] == "application/pdf"
    assert response["Content-Disposition"] == 'inline; filename="month-2026-11.pdf"'
    reader = PdfReader(io.BytesIO(response.content))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert "Saltmarsh Lane Turnery" in text
    for cell in cells(pages_of(owner_client)):
        assert cell.words in text
    for words in ("less gallery shares", "By species", "White ash", "Tax collected by others"):
        assert words in text
    assert "Deposits held" in text


def cells(page: pages.Page) -> list[pages.Cell]:
    """The amounts of a page that are not nothing."""
    rows = [*page.first, *page.reckoning]
    found = [cell for row in rows for cell in (row.now, row.before, row.year_before)]
    found += [cell for part in page.breakdowns for cell in part.total]
    return [cell for cell in found if cell.url]


def test_the_pdf_is_on_the_shops_paper_in_its_money(owner_client: Client) -> None:
    Shop.objects.update(currency="JPY", paper="letter")
    sell(NOV_30, wax(1_500))
    reader = PdfReader(io.BytesIO(owner_client.get("/month/2026-11/month.pdf").content))
    assert [round(float(v)) for v in reader.pages[0].mediabox[2:]] == [612, 792]
    assert "¥1,500" in reader.pages[0].extract_text()
    csv = owner_client.get("/month/2026-11/month.csv").content.decode("utf-8-sig")
    assert re.search(r',1500,0,0,0,0,"",0,0,1500\r\n$', csv)


def test_an_empty_months_files_are_files_all_the_same(owner_client: Client) -> None:
    assert owner_client.get("/month/2026-11/month.pdf").content.startswith(b"%PDF")
    assert owner_client.get("/month/2026-11/month.csv").content.count(b"\r\n") == 1


@pytest.mark.parametrize("address", QUERIES)
def test_the_queries_are_as_many_for_three_receipts_as_for_one(
    address: str, owner_client: Client
) -> None:
    card("3")

    def one(day: date) -> None:
        for _ in range(2):
            account = deposits.open_account(factories.a_person(), "A bowl", LATE)
            deposits.take(account, in_card(500)[0], LATE, on=day)
        bowl = a_piece_of(wood(), factories.some_stock(LATE))
        refund(sell(day, bowl, wax(), account=account, payments=in_card()), day, 100)
        void(sell(day, payments=in_card()), day)
        sell(day, payments=[])

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert owner_client.get(f"/month/{NOVEMBER}/{address}").status_code == 200
        return len(queries)

    one(date(2026, 11, 3))
    assert asked() == QUERIES[address]
    one(date(2026, 11, 5))
    one(date(2026, 11, 9))
    assert asked() == QUERIES[address]
