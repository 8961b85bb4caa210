"""The month on paper."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from provenance.drawing.columns import Column
from shop.books.paper import Breakdown, MonthPaper, month_pdf
from tests.provenance.cards.conftest import MM, Printed
from tests.provenance.cards.soundness import assert_pages_sound

EIGHT = ("Receipt", "Gross", "Discounts", "Refunds", "Shares", "Fees", "Net", "Tax beside it")
CHANNELS = Breakdown(
    title="By channel",
    heads=("", "Pieces", "Gross", "Net"),
    rows=(("Booth", "9", "$901", "$861.20"), ("Galleries", "2", "$300", "$180")),
    total=("Together", "11", "$1,201", "$1,041.20"),
    note="A gallery’s share is taken off in the month of the sale.",
)
MONTHS = tuple(
    Column(
        f"{name} {2025 if index < 2 else 2026}", 1000 * (index + 3), f"${index + 3}", index == 12
    )
    for index, name in enumerate(
        ("Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov")
    )
)
USUAL = MonthPaper(
    shop_name="Saltmarsh Lane Turnery",
    month="November 2026",
    heads=("", "November 2026", "October 2026", "November 2025"),
    figures=(
        ("Gross", "$1,201", "$902", "$1,053"),
        ("Discounts", "−$15", "", "−$21"),
        ("=Net", "$1,041.20", "$837", "$1,028"),
        ("Tax collected by the shop", "$56.25", "$41", "$50.10"),
    ),
    columns=MONTHS,
    picture_title="Gross by month",
    breakdowns=(CHANNELS,),
    notes=("Tax stands beside the net and is never in it.",),
)
BARE = MonthPaper("", "November 2026", (), (), (), "", (), ())


def _receipts(count: int, amount: str = "−$1,234.50") -> Breakdown:
    rows = tuple((f"R26-{n:03}", *[amount] * 7) for n in range(count))
    return Breakdown("Each receipt", EIGHT, rows, ("Together", *[amount] * 7))


@pytest.mark.parametrize(("size", "page"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_it_shows_figures_picture_tables_and_notes(size, page):
    printed = Printed(month_pdf(USUAL, size=size))

    [sheet] = printed.pages
    assert (sheet["width"], sheet["height"]) == pytest.approx((page[0] * MM, page[1] * MM), abs=0.1)
    text = printed.text()
    for part in (
        "Saltmarsh Lane Turnery", "November 2026 October 2026 November 2025",
        "Gross $1,201 $902 $1,053", "Discounts −$15 −$21", "Net $1,041.20 $837 $1,028",
        "Tax collected by the shop $56.25 $41 $50.10", "Gross by month", "$15", "2025",
        "By channel", "Pieces Gross Net", "Booth 9 $901 $861.20", "Galleries 2 $300 $180",
        "Together 11 $1,201 $1,041.20", "A gallery’s share is taken off in the month of the sale.",
        "Tax stands beside the net and is never in it.", "Page 1 of 1",
    ):  # fmt: skip
        assert part in text
    assert "=" not in text
    assert len(sheet["rects"]) == 13
    assert_pages_sound(printed)


def test_a_sum_is_bold_under_a_stronger_rule():
    page = Printed(month_pdf(replace(USUAL, columns=(), breakdowns=()))).pages[0]

    # The notes and the title are no part of the table: told by size.
    words = [char for char in page["chars"] if char["size"] == pytest.approx(9.5)]
    bold = {char["top"] for char in words if "Semibold" in char["fontname"]}
    [top] = bold
    sums = "".join(char["text"] for char in words if char["top"] == top)
    assert sums.replace(" ", "") == "Net$1,041.20$837$1,028"
    strong = [line for line in page["lines"] if line["linewidth"] > 0.5]
    [rule] = strong
    assert 0 < top - rule["top"] < 4 * MM


def test_amounts_stand_in_columns_that_end_together():
    printed = Printed(month_pdf(replace(USUAL, columns=())))

    right = printed.pages[0]["width"] - 17 * MM
    runs = list(printed.runs())
    last = [run.x1 for run in runs if run.x1 > right - 1]
    assert len(last) >= 10
    assert last == pytest.approx([right] * len(last), abs=0.02)
    by_row: dict[float, list[float]] = {}
    for run in runs:
        by_row.setdefault(round(run.bottom, 1), []).append(run.x1)
    rows = [sorted(ends) for ends in by_row.values() if len(ends) == 4]
    assert len(rows) >= 6  # four rows of figures or sums, two and a total of the table
    for ends in rows:
        assert ends[1:] == pytest.approx(rows[0][1:], abs=0.02)


@pytest.mark.parametrize("size", ["a4", "letter"])
@pytest.mark.parametrize("amount", ["$9", "−$1,234.50", "−$123,456,789.00"])
def test_eight_columns_fit_whatever_the_amounts(size, amount):
    printed = Printed(month_pdf(replace(USUAL, breakdowns=(_receipts(5, amount),)), size=size))

    text = printed.text()
    assert text.count(amount) >= 6 * 7
    for head in EIGHT:
        assert head in text
    assert_pages_sound(printed)


@pytest.mark.parametrize("amount", ["$9", "−$12,345.50", "−$1,234,567.00"])
def test_all_of_a_table_is_set_in_one_size_down_to_the_least_that_reads(amount):
    paper = replace(BARE, breakdowns=(_receipts(3, amount),))
    chars = Printed(month_pdf(paper)).pages[0]["chars"]

    [size] = {round(char["size"], 2) for char in chars if char["text"] == "$"}
    assert 6.5 <= size <= 9.5
    assert size == 9.5 or len(amount) > 5


def test_amounts_too_wide_for_any_size_shrink_and_are_never_cut():
    amount = "−$123,456,789,012,345.00"
    printed = Printed(month_pdf(replace(USUAL, breakdowns=(_receipts(2, amount),))))

    assert printed.squeezed().count(amount) == 3 * 7
    assert_pages_sound(printed)


def test_a_long_table_says_its_heads_on_each_page_and_keeps_its_total():
    printed = Printed(month_pdf(replace(USUAL, breakdowns=(CHANNELS, _receipts(90)))))

    count = len(printed.pages)
    assert count == 3
    whole = ""
    for number in range(count):
        text = printed.text(number)
        assert text.startswith("November 2026")
        assert f"Page {number + 1} of {count}" in text
        assert "Receipt Gross Discounts Refunds Shares Fees Net Tax beside it" in text
        whole += text
    assert all(whole.count(f"R26-{n:03}") == 1 for n in range(90))
    assert "R26-089" in printed.text(count - 1)
    assert "Together" in printed.text(count - 1)
    assert_pages_sound(printed)


@pytest.mark.parametrize("rows", range(18, 36, 2))
def test_no_title_total_or_picture_is_parted_from_what_it_belongs_to(rows):
    figures = tuple((f"Row {n}", f"${n}", "", "") for n in range(rows))
    paper = replace(USUAL, figures=(*figures, ("=Sum", "$5", "", "")))
    printed = Printed(month_pdf(paper))

    for number, page in enumerate(printed.pages):
        text = printed.text(number)
        assert ("Gross by month" in text) == (len(page["rects"]) == 13)
        assert ("By channel" in text) == ("Booth" in text) == ("Galleries" in text)
        assert ("Together" in text) == ("Galleries" in text)
        assert ("Sum" in text) == (f"Row {rows - 1} " in text)
    assert_pages_sound(printed)


def test_a_quiet_month_is_a_line_with_its_months_and_an_empty_table():
    quiet = tuple(replace(column, value=0, words="$0") for column in MONTHS)
    nothing = Breakdown("By channel", ("", "Gross"), (), (), "Nothing was sold.")
    printed = Printed(month_pdf(replace(USUAL, columns=quiet, breakdowns=(nothing,))))

    assert printed.text().count("$0") == 13
    assert printed.pages[0]["rects"] == []
    assert "By channel Gross Nothing was sold." in printed.text()
    assert_pages_sound(printed)


def test_empty_texts_leave_nothing_behind():
    printed = Printed(month_pdf(BARE))

    assert printed.text() == "November 2026 Page 1 of 1"
    assert printed.pages[0]["lines"] == []


def test_rows_shorter_than_their_heads_are_filled_up():
    table = Breakdown("Short", ("", "Gross", "Net"), (("Booth",), ()), ())
    printed = Printed(month_pdf(replace(BARE, breakdowns=(table,), figures=((), ("Gross", "$3")))))

    assert "Gross $3 Short Gross Net Booth" in printed.text()


def test_metadata_fonts_and_repeatable_bytes():
    paper = replace(USUAL, breakdowns=(CHANNELS, _receipts(60)))
    pdf = month_pdf(paper, language="de")
    printed = Printed(pdf)

    assert pdf == month_pdf(paper, language="de")
    assert printed.reader.metadata.title == "November 2026"
    assert printed.reader.metadata.author == "Saltmarsh Lane Turnery"
    assert printed.reader.trailer["/Root"]["/Lang"] == "de"
    assert printed.fonts()
    assert all(printed.fonts().values())


words = st.one_of(
    st.text(max_size=150), st.sampled_from(["x" * 200, "鉢 🌳", "a-" * 60, "\u200fשלום\u200e 5"])
)


@settings(max_examples=12, deadline=None)
@given(
    texts=st.lists(words, min_size=8, max_size=8),
    heads=st.lists(words, min_size=2, max_size=8),
    rows=st.integers(0, 8),
)
def test_any_words_stay_in_their_places(texts, heads, rows):
    amounts = ("$1,234.50",) * (len(heads) - 1)
    table = Breakdown(
        texts[0], tuple(heads), ((texts[1], *amounts),) * rows, (texts[2], *amounts), texts[3]
    )
    paper = replace(
        USUAL, shop_name=texts[4], month=texts[5], picture_title=texts[6], breakdowns=(table,),
        notes=(texts[7],),
    )  # fmt: skip
    printed = Printed(month_pdf(paper))

    assert_pages_sound(printed)
    whole = "".join(printed.squeezed(number) for number in range(len(printed.pages)))
    assert whole.count("$1,234.50") >= len(amounts) * (rows + 1)
