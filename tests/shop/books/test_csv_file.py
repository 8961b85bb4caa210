"""A month as a file: its form, its amounts, and that no text becomes a formula."""

import csv
import io
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.record.money import format_exact as exact
from shop.books.amounts import plain, short
from shop.books.csv_file import HEAD, csv_file, defused
from shop.books.figures import Entry, Figures, Name

A_NAME = Name("a", "a")


def an_entry(
    words: str = "Salad bowl",
    figures: Figures | None = None,
    tax_rate: str = "Sales tax 6.25 %",
    **names: Name,
) -> Entry:
    given_names = dict.fromkeys(("channel", "form", "species", "tree"), A_NAME) | names
    return Entry(
        date(2026, 11, 30), "sale", "R26-001", 1, words, "26-042-8", "Quay Market",
        figures=figures or Figures(gross=1_000, discount=50), tax_rate=tax_rate, giver="",
        **given_names,
    )  # fmt: skip


def read(data: bytes, delimiter: str = ",") -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def test_the_file_has_the_mark_the_head_and_a_row_an_entry() -> None:
    figures = Figures(1_000, discount=50, refund=7, share=30, fee=3, tax=80, tax_theirs=9)
    data = csv_file([an_entry('A bowl, 12", in "ash"', figures)], "USD")
    assert data.startswith(b"\xef\xbb\xbf")
    assert data.count(b"\r\n") == 2
    head, row = read(data)
    assert tuple(head) == HEAD
    assert dict(zip(head, row, strict=True)) == {
        "date": "2026-11-30", "entry": "sale", "receipt": "R26-001",
        "line": 'A bowl, 12", in "ash"', "piece": "26-042-8", "form": "a", "species": "a",
        "tree": "a", "channel": "a", "place": "Quay Market", "gross": "10.00",
        "discounts": "0.50", "refunds": "0.07", "tax": "0.80", "tax by others": "0.09",
        "tax rate": "Sales tax 6.25 %",
        "shares": "0.30", "fees": "0.03", "net": "9.10",
    }  # fmt: skip


def test_a_month_without_entries_is_the_head_alone() -> None:
    assert read(csv_file([], "USD")) == [list(HEAD)]


@pytest.mark.parametrize(
    ("currency", "words"), [("USD", "-12.34"), ("JPY", "-1234"), ("KWD", "-1.234")]
)
def test_amounts_are_plain_decimals_of_the_currency_and_never_defused(
    currency: str, words: str
) -> None:
    [_, row] = read(csv_file([an_entry(figures=Figures(gross=-1_234))], currency))
    assert row[HEAD.index("gross")] == row[HEAD.index("net")] == words


def test_amounts_on_the_page_have_every_digit_and_in_sentences_only_those_needed() -> None:
    assert [exact(123_450, c) for c in ("USD", "JPY", "KWD")] == [
        "$1,234.50", "¥123,450", "KWD123.450",
    ]  # fmt: skip
    assert (exact(-5, "USD"), plain(-5, "USD"), short(-5_00, "USD")) == ("−$0.05", "-0.05", "−$5")


# The characters and what a separator does: OWASP, "CSV Injection"; OWASP ASVS 5.0, 1.2.10.
@pytest.mark.parametrize(
    ("text", "safe"),
    [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-1", "'-1"),
        ("@SUM(A1)", "'@SUM(A1)"),
        ("\t=1", "'\t'=1"),
        ("\r=1", "'\r'=1"),
        ("\0=1", "'\0=1"),
        ("  =1", "'  =1"),
        (" \r", "' \r"),
        ("＝1", "'＝1"),
        ("＋1", "'＋1"),
        ("－1", "'－1"),
        ("＠A", "'＠A"),
        ("Wax;=1+1", "Wax;'=1+1"),
        ("Wax,@A1", "Wax,'@A1"),
        ('Wax"=1', "Wax\"'=1"),
        ("Wax'=1", "Wax''=1"),
        ("Wax\n-1", "Wax\n'-1"),
        ("R26-001", "R26-001"),
        ("Quay Market", "Quay Market"),
        ("a + b = c @ 4", "a + b = c @ 4"),
        ("", ""),
    ],
)
def test_no_text_begins_a_formula(text: str, safe: str) -> None:
    assert defused(text) == safe


@given(st.text(alphabet="=+-@\t\r\n\0＝＋－＠,;|\"' abé", max_size=12))
def test_whatever_is_typed_no_cell_of_any_reading_begins_a_formula(text: str) -> None:
    data = csv_file([an_entry(text, form=Name("f", text))], "USD")
    texts = range(HEAD.index("receipt"), HEAD.index("gross"))
    [_, row] = read(data)
    assert row[HEAD.index("line")] == defused(text)
    for cell in (row[place] for place in texts):
        assert not cell.lstrip(" ").startswith(tuple("=+-@\t\r\0＝＋－＠"))
    # Parted at another separator, or by one who takes quotes for letters.
    for separator in ";\t|":
        for cell in data.decode("utf-8-sig").split(separator)[1:]:
            assert not cell.lstrip().startswith(tuple("=+-@＝＋－＠"))
