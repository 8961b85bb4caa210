"""The price list for the booth."""

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from provenance.cards.layout import NothingToPrint
from provenance.cards.price_list import PriceRow, price_list

MM = 72 / 25.4
BOWL = PriceRow("26-042-8", "Salad bowl", "bigleaf maple", "292 mm across", "$165")
LONG = PriceRow(
    "26-003-1", "Hollow form with a collar of African blackwood, from the churchyard’s two ashes",
    "western red alder and Oregon white ash", "180 × 260 mm, wall 4 mm", "$1,480.00",
)  # fmt: skip
words = st.one_of(st.text(max_size=150), st.sampled_from(["x" * 200, "鉢", "a-" * 60]))


def _many(count: int) -> list[PriceRow]:
    return [PriceRow(f"26-{n:03}-0", "Pen", "ash", "", f"${n}") for n in range(count)]


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_a_row_has_a_box_and_everything_about_the_piece(
    paper: str, size: tuple[float, float], printed: Callable
) -> None:
    page = printed(price_list([BOWL], paper=paper, maker="Saltmarsh Lane Turnery"))

    assert (page.pages[0]["width"], page.pages[0]["height"]) == pytest.approx(
        (size[0] * MM, size[1] * MM), abs=0.01
    )
    for part in ("Price list", "Saltmarsh Lane Turnery", "26-042-8", "Salad bowl", "bigleaf maple",
                 "292 mm across", "$165", "1 piece", "Page 1 of 1"):  # fmt: skip
        assert part in page.text()
    [box] = page.outlines()
    assert box.x1 - box.x0 == pytest.approx(box.bottom - box.top)
    assert box.x1 - box.x0 >= 3.5 * MM


def test_long_lists_flow_with_the_heading_on_each_page(printed: Callable) -> None:
    pages = printed(price_list(_many(75), subtitle="Harvest market, 19 September 2026"))

    assert len(pages.pages) == 3
    for number in range(3):
        text = pages.text(number)
        assert "Harvest market, 19 September 2026 · 75 pieces" in text
        assert "What it is" in text
        assert f"Page {number + 1} of 3" in text
    assert sum(len(pages.outlines(page)) for page in range(3)) == 75
    assert pages.text(2).count("75 pieces") == 2  # in the heading and as the total
    assert pages.text(0).count("75 pieces") == 1


def test_every_piece_stands_on_the_list_once_in_order(printed: Callable) -> None:
    pages = printed(price_list(_many(75)))

    text = " ".join(pages.text(page) for page in range(len(pages.pages)))
    places = [text.index(f"26-{n:03}-0") for n in range(75)]
    assert places == sorted(places)
    assert all(text.count(f"26-{n:03}-0") == 1 for n in range(75))


@pytest.mark.parametrize("count", [1, 26, 27, 28, 29, 30, 31])
def test_rows_and_total_keep_clear_of_the_foot(count: int, printed: Callable) -> None:
    pages = printed(price_list([BOWL, LONG] * count, paper="letter"))

    for page in range(len(pages.pages)):
        runs = sorted(pages.runs(page), key=lambda run: run.bottom)
        foot = runs[-1]
        assert foot.bottom < pages.pages[page]["height"] - 8 * MM
        assert all(run.bottom < foot.top - 2 * MM for run in runs[:-1])


def test_long_texts_wrap_inside_their_columns(printed: Callable) -> None:
    text = printed(price_list([LONG])).text()

    assert "$1,480.00" in text
    assert "26-003-1" in text
    assert "two ashes" in text


def test_an_empty_list_is_refused_in_a_sentence() -> None:
    with pytest.raises(NothingToPrint, match="choose at least one piece"):
        price_list([])


def test_metadata_fonts_and_repeatable_bytes(printed: Callable) -> None:
    def made() -> bytes:
        return price_list(_many(40), maker="Saltmarsh Lane Turnery", title="Prices", language="de")

    pages = printed(made())

    assert pages.pdf == made()
    assert pages.reader.metadata.title == "Prices"
    assert pages.reader.metadata.author == "Saltmarsh Lane Turnery"
    assert pages.reader.trailer["/Root"]["/Lang"] == "de"
    assert all(pages.fonts().values())


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(texts=st.tuples(words, words, words), heading=st.tuples(words, words, words))
def test_any_words_stay_in_their_places(
    texts: tuple[str, str, str], heading: tuple[str, str, str], printed: Callable
) -> None:
    row = PriceRow("26-1000-X", *texts, price="$12,345,678.90")
    title, maker, subtitle = heading

    page = printed(price_list([row, BOWL], title=title, maker=maker, subtitle=subtitle))

    runs = list(page.runs())
    width = page.pages[0]["width"]
    for index, run in enumerate(runs):
        assert run.x0 >= 16 * MM
        assert run.x1 <= width - 16 * MM
        assert not any(run.meets(other) for other in runs[index + 1 :])
    assert "26-1000-X" in page.squeezed()
    assert "$12,345,678.90" in page.squeezed()
