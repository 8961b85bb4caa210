"""The receipt on paper."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.sales.paper import PaperLine, ReceiptPaper, receipt_pdf
from tests.provenance.cards.conftest import MM, Printed
from tests.provenance.cards.soundness import assert_pages_sound

BOWL = PaperLine("Salad bowl in bigleaf maple", "26-042-8", 1, "$165", "−$15", "$150")
WAX = PaperLine("Tin of wax", "", 2, "$9", "", "$18")
LONG = PaperLine(
    "Hollow form with a collar of African blackwood 🌳, from the churchyard’s two ashes, natural"
    " edge, sealed inside, signed and dated on the foot",
    "26-1003-X", 1, "$1,480.00", "−$1,000.00", "$480.00",
)  # fmt: skip
USUAL = ReceiptPaper(
    shop_name="Saltmarsh Lane Turnery",
    shop_place="Hollin Ferry, Wrenshire",
    shop_contact="turnery@example.org · 555-0142",
    tax_registration="Sales tax number 12-0098",
    code="R26-014",
    day="3 June 2026",
    buyer="Mara Quillfeather",
    place="Quay Market",
    lines=(BOWL, WAX),
    sums=(
        ("Before discounts", "$183"),
        ("Discount: for a friend", "−$15"),
        ("Wrenshire sales tax 6.25 %", "$10.50"),
    ),
    total=("Total", "$178.50"),
    below=(("Deposit taken off", "−$50"), ("Cash", "$140"), ("Change", "$11.50")),
    remarks=(),
    closing="Oil it again when it looks dry.",
)
BARE = ReceiptPaper(
    "", "", "", "", "R26-001", "3 June 2026", "", "", (), (), ("Total", "$0"), (), (), ""
)


def _many(count: int, line: PaperLine = BOWL) -> tuple[PaperLine, ...]:
    return tuple(replace(line, number=f"26-{n:03}-0", amount=f"${n}.00") for n in range(count))


@pytest.mark.parametrize(("size", "page"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_it_says_what_was_bought_what_it_came_to_and_what_was_paid(size, page):
    printed = Printed(receipt_pdf(USUAL, size=size))

    [sheet] = printed.pages
    assert (sheet["width"], sheet["height"]) == pytest.approx((page[0] * MM, page[1] * MM), abs=0.1)
    text = printed.text()
    for part in (
        "Receipt R26-014", "Saltmarsh Lane Turnery", "Hollin Ferry, Wrenshire", "3 June 2026",
        "turnery@example.org · 555-0142", "Sales tax number 12-0098", "For Mara Quillfeather",
        "Quay Market", "26-042-8", "Salad bowl in bigleaf maple", "$165", "−$15", "$150",
        "Tin of wax", "$9", "$18", "Before discounts", "$183", "Discount: for a friend",
        "Wrenshire sales tax 6.25 %", "$10.50", "Total", "$178.50", "Deposit taken off", "−$50",
        "Cash", "$140", "Change", "$11.50", "Oil it again when it looks dry.", "Page 1 of 1",
    ):  # fmt: skip
        assert part in text
    assert "VOID" not in text
    assert_pages_sound(printed)


def test_columns_that_would_say_nothing_are_left_out():
    lines = (replace(BOWL, unit="$150", discount="", number=""),)
    text = Printed(receipt_pdf(replace(USUAL, lines=lines))).text()

    assert "What it is Amount" in text
    for name in ("Number", "Quantity", "Each", "Discount "):
        assert name not in text.replace("Discount: for a friend", "")


def test_a_quantity_brings_its_columns_and_a_discount_its_own():
    plain = replace(BOWL, discount="", amount="$165")
    text = Printed(receipt_pdf(replace(USUAL, lines=(plain, WAX)))).text()

    assert "Number What it is Quantity Each Amount" in text
    assert "Number What it is Quantity Each Discount Amount" in Printed(receipt_pdf(USUAL)).text()


def test_amounts_end_in_one_line_per_column():
    printed = Printed(receipt_pdf(USUAL))
    right = printed.pages[0]["width"] - 17 * MM

    ends = [run.x1 for run in printed.runs() if run.x1 > right - 2]
    assert len(ends) >= 10  # the shop's words, two lines, three sums, the total, what was paid
    assert ends == pytest.approx([right] * len(ends), abs=0.02)


def test_empty_texts_leave_nothing_behind():
    printed = Printed(receipt_pdf(BARE))

    assert printed.text() == "Receipt R26-001 3 June 2026 Total $0 Page 1 of 1"
    assert_pages_sound(printed)


def test_a_place_alone_stands_without_a_dot():
    text = Printed(receipt_pdf(replace(BARE, day="", place="sold by Weir Gallery"))).text()

    assert "R26-001 sold by Weir Gallery Total" in text


def test_a_void_receipt_says_so_in_its_heading_and_across_every_page():
    remarks = ("Void: recorded twice, 3 June 2026.",)
    paper = replace(USUAL, lines=_many(60), is_void=True, remarks=remarks)
    printed = Printed(receipt_pdf(paper))

    assert len(printed.pages) > 1
    for number, page in enumerate(printed.pages):
        assert printed.text(number).count("VOID") == 2
        assert "Receipt R26-014 VOID" in printed.text(number)
        across = [char for char in page["chars"] if char["matrix"][1] > 0]  # turned
        assert "".join(char["text"] for char in across) == "VOID"
        assert max(char["x1"] for char in across) - min(char["x0"] for char in across) > 100 * MM
        for char in across:
            assert char["x0"] > 17 * MM
            assert char["x1"] < page["width"] - 17 * MM
            assert min(char["non_stroking_color"]) > 0.8  # light: amounts on it stay readable
        # It lies under everything: what is drawn first cannot cover an amount.
        assert page["chars"][:4] == across
    assert remarks[0] in printed.text(len(printed.pages) - 1)


def test_remarks_follow_in_order_before_the_closing_words():
    remarks = ("Void: recorded twice, 3 June 2026.", "Paid back 4 June 2026: $20, a crack.")
    closing = "Wash by hand.\n\nOil when it looks dry."
    text = Printed(receipt_pdf(replace(USUAL, remarks=remarks, closing=closing))).text()

    assert f"{remarks[0]} {remarks[1]} Wash by hand. Oil when it looks dry." in text


def test_sixty_lines_flow_over_pages_with_code_and_names_on_each():
    printed = Printed(receipt_pdf(replace(USUAL, lines=_many(60))))

    count = len(printed.pages)
    assert count == 3
    for number in range(count):
        text = printed.text(number)
        assert text.startswith("Receipt R26-014")
        assert f"Page {number + 1} of {count}" in text
        assert "What it is" in text
    whole = " ".join(printed.text(number) for number in range(count))
    places = [whole.index(f"26-{n:03}-0") for n in range(60)]
    assert places == sorted(places)
    assert all(whole.count(f"26-{n:03}-0") == 1 for n in range(60))
    assert_pages_sound(printed)


@pytest.mark.parametrize("count", [1, 24, 25, 26, 27, 28, 29])
def test_the_total_never_stands_without_the_last_line(count):
    printed = Printed(receipt_pdf(replace(USUAL, lines=_many(count)), size="letter"))

    last = printed.text(len(printed.pages) - 1)
    assert f"26-{count - 1:03}-0" in last
    assert last.index("Before discounts") < last.index("$178.50") < last.index("$11.50")
    assert_pages_sound(printed)


def test_numbers_and_amounts_shrink_before_anything_of_them_is_lost():
    amount = "−$1,234,567,890,123.00"
    line = replace(LONG, number="26-100000000000000-X", unit=amount, discount=amount, amount=amount)
    paper = replace(
        USUAL, lines=(line, BOWL), sums=(("Wrenshire sales tax " * 9, amount),),
        total=("Everything together for the whole of the order", amount), below=(("Cash", amount),),
        code="R26-100000000000000000000000000000",
    )  # fmt: skip
    printed = Printed(receipt_pdf(paper))

    assert printed.squeezed().count(amount) == 6
    assert "26-100000000000000-X" in printed.squeezed()
    assert "R26-100000000000000000000000000000" in printed.squeezed()
    assert_pages_sound(printed)


def test_remarks_longer_than_a_page_run_over_it():
    paper = replace(USUAL, remarks=("A crack in the rim was seen. " * 200,))
    printed = Printed(receipt_pdf(paper))

    whole = " ".join(printed.text(number) for number in range(len(printed.pages)))
    assert len(printed.pages) > 1
    assert whole.count("crack") == 200
    assert_pages_sound(printed)


def test_metadata_fonts_and_repeatable_bytes():
    paper = replace(USUAL, is_void=True, lines=_many(40))
    pdf = receipt_pdf(paper, language="de")
    printed = Printed(pdf)

    assert pdf == receipt_pdf(paper, language="de")
    assert printed.reader.metadata.title == "Receipt R26-014, void"
    assert printed.reader.metadata.author == "Saltmarsh Lane Turnery"
    assert printed.reader.trailer["/Root"]["/Lang"] == "de"
    assert printed.fonts()
    assert all(printed.fonts().values())


words = st.one_of(
    st.text(max_size=150), st.sampled_from(["x" * 200, "鉢 🌳", "a-" * 60, "\u200fשלום\u200e 5"])
)


@settings(max_examples=12, deadline=None)
@given(
    texts=st.lists(words, min_size=11, max_size=11),
    count=st.integers(0, 12),
    has_discount=st.booleans(),
)
def test_any_words_stay_in_their_places(texts, count, has_discount):
    line = replace(LONG, words=texts[0], discount="−$5.00" if has_discount else "")
    paper = ReceiptPaper(
        *texts[1:5], "R26-014", *texts[5:8], lines=_many(count, line),
        sums=((texts[8], "$12,345,678.90"),), total=("Total", "$12,345,678.90"), below=(),
        remarks=(texts[9],), closing=texts[10],
    )  # fmt: skip
    printed = Printed(receipt_pdf(paper))

    assert_pages_sound(printed)
    whole = "".join(printed.squeezed(number) for number in range(len(printed.pages)))
    assert whole.count("$12,345,678.90") == 2
    assert all(f"26-{n:03}-0" in whole for n in range(count))
