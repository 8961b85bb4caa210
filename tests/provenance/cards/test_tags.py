"""Booth tags as they come out of the printer."""

from collections.abc import Callable

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from provenance.cards.layout import DRIFT_MM, NoSuchCell, NothingToPrint
from provenance.cards.sheets import SHEETS
from provenance.cards.tags import BOOTH_TAG_SHEETS, TagFacts, booth_tags, qr_fits
from provenance.cards.type import printable

MM = 72 / 25.4
URL = "https://example.org"
BOWL = TagFacts("26-042-8", "260428", "Salad bowl", "bigleaf maple", "292 mm across", "$165")
LONG = TagFacts(
    "26-003-1",
    "260031",
    "Hollow form with a collar of African blackwood",
    "western red alder and Oregon white ash",
    "180 × 260 mm, wall 4 mm",
    "$1,480.00",
)
PLAIN = TagFacts("26-010-0", "260100", "Bottle stopper", "maple, kind unknown")

every_sheet = pytest.mark.parametrize("slug", BOOTH_TAG_SHEETS)
# Fixtures here make nothing that one example could leave to the next.
nasty = settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
words = st.one_of(
    st.text(max_size=90),
    st.sampled_from(["鉢", "קערה", "🌳🌳", "Cafe\u0301", "x" * 200, "a-" * 60, "ﷺ", "\ud800"]),
)
prices = st.one_of(
    st.just(""), st.from_regex(r"[$€£]?[0-9]{1,9}[.,][0-9]{2}( kr| CHF)?", fullmatch=True)
)


@every_sheet
@pytest.mark.parametrize("url", [URL, None])
def test_number_words_and_price_are_on_the_tag(
    slug: str, url: str | None, printed: Callable
) -> None:
    text = printed(booth_tags([BOWL], SHEETS[slug], public_url=url)).text()

    for part in ("26-042-8", "Salad bowl", "bigleaf maple", "292 mm across", "$165"):
        assert part in text
    assert ("example.org/p/260428" in text) == (url is not None and qr_fits(SHEETS[slug], url))


@every_sheet
@pytest.mark.parametrize("dpi", [150, 300])
def test_every_code_is_read_from_the_rendered_sheet(slug: str, dpi: int, printed: Callable) -> None:
    sheet = SHEETS[slug]
    tags = [
        TagFacts(f"26-{n:03}-X", f"26{n:03}X", "Pen", "cocobolo", "", "$48")
        for n in range(sheet.per_page)
    ]

    found = printed(booth_tags(tags, sheet, public_url=URL)).codes(dpi)

    expected = {f"https://EXAMPLE.ORG/P/{tag.code}" for tag in tags}
    assert set(found) == (expected if qr_fits(sheet, URL) else set())
    assert len(found) == len(set(found))


@every_sheet
@pytest.mark.parametrize("url", [URL, None])
@pytest.mark.parametrize("facts", [BOWL, LONG, PLAIN], ids=["bowl", "long", "plain"])
def test_nothing_leaves_its_label_or_lies_on_something_else(
    slug: str, url: str | None, facts: TagFacts, printed: Callable, area_of: Callable
) -> None:
    sheet = SHEETS[slug]
    tag = printed(booth_tags([facts], sheet, public_url=url))

    tag.assert_sound(area_of(sheet.cell_box(0)), quiet_margin=DRIFT_MM * MM)
    assert facts.number in tag.squeezed()


@every_sheet
def test_modules_are_never_too_small_to_read(slug: str, printed: Callable) -> None:
    modules = printed(booth_tags([BOWL], SHEETS[slug], public_url=URL)).modules()

    assert bool(modules) == qr_fits(SHEETS[slug], URL)
    for module in modules:
        assert module.bottom - module.top >= 0.381 * MM - 0.001


def test_only_the_smallest_labels_carry_no_code() -> None:
    assert [slug for slug in BOOTH_TAG_SHEETS if not qr_fits(SHEETS[slug], URL)] == ["letter-80"]
    assert not any(qr_fits(sheet, None) for sheet in SHEETS.values())
    assert not any(qr_fits(sheet, "http://192.168.1.5") for sheet in SHEETS.values())


def test_a_host_too_long_for_a_small_label_leaves_it_without_a_code(printed: Callable) -> None:
    url = f"https://{'-'.join(['saltmarsh'] * 6)}.example.org"

    tag = printed(booth_tags([BOWL], SHEETS["a4-65"], public_url=url))

    assert not qr_fits(SHEETS["a4-65"], url)
    assert tag.modules() == []
    assert "$165" in tag.text()


@pytest.mark.parametrize("url", ["http://localhost:8000", "http://192.168.1.5", "", None])
def test_no_address_of_this_house_is_ever_printed(url: str | None, printed: Callable) -> None:
    tag = printed(booth_tags([BOWL], SHEETS["letter-30"], public_url=url))

    assert tag.modules() == []
    assert "/p/" not in tag.text().lower()


@every_sheet
def test_labels_are_drawn_where_the_sheet_has_them(
    slug: str, printed: Callable, area_of: Callable
) -> None:
    sheet = SHEETS[slug]

    tag = printed(booth_tags([BOWL] * sheet.per_page, sheet, outlines=True))

    page = tag.pages[0]
    assert (page["width"], page["height"]) == pytest.approx(
        (sheet.page_mm[0] * MM, sheet.page_mm[1] * MM), abs=0.01
    )
    cells = [area_of(sheet.cell_box(index)) for index in range(sheet.per_page)]
    drawn = [(a.x0, a.top, a.x1, a.bottom) for a in tag.outlines()]
    assert drawn == [pytest.approx((c.x0, c.top, c.x1, c.bottom), abs=0.01) for c in cells]


def test_outlines_are_for_trials_only(printed: Callable) -> None:
    assert printed(booth_tags([BOWL], SHEETS["letter-30"])).outlines() == []


def test_used_cells_are_skipped_and_pages_follow(printed: Callable, area_of: Callable) -> None:
    sheet = SHEETS["a4-21"]
    tags = [TagFacts(f"26-{n:03}-0", f"26{n:03}0", "Pen", "ash") for n in range(25)]

    sheets = printed(booth_tags(tags, sheet, first_cell=19, outlines=True))

    assert len(sheets.pages) == 3
    assert [len(sheets.outlines(page)) for page in range(3)] == [2, 21, 2]
    first = area_of(sheet.cell_box(19))
    assert sheets.outlines()[0].x0 == pytest.approx(first.x0, abs=0.01)
    assert sheets.outlines()[0].top == pytest.approx(first.top, abs=0.01)
    assert "26-001-0" in sheets.text(0)
    assert "26-002-0" in sheets.text(1)
    assert "26-024-0" in sheets.text(2)


@pytest.mark.parametrize("first_cell", [-1, 30])
def test_a_first_cell_off_the_sheet_is_refused_in_a_sentence(first_cell: int) -> None:
    with pytest.raises(NoSuchCell, match="30 labels: choose the first free one from 1 to 30"):
        booth_tags([BOWL], SHEETS["letter-30"], first_cell=first_cell)


def test_printing_nothing_is_refused_in_a_sentence() -> None:
    with pytest.raises(NothingToPrint, match="choose at least one piece"):
        booth_tags([], SHEETS["letter-30"])


def test_labels_carry_no_cut_marks_and_cards_do(printed: Callable) -> None:
    assert printed(booth_tags([BOWL], SHEETS["letter-30"])).pages[0]["lines"] == []
    assert printed(booth_tags([BOWL], SHEETS["letter-cards-10"])).pages[0]["lines"]


def test_metadata_fonts_and_language(printed: Callable) -> None:
    tag = printed(
        booth_tags(
            [BOWL], SHEETS["letter-30"], public_url=URL, maker="Saltmarsh Lane Turnery",
            title="Tags for the harvest market", language="en-GB",
        )
    )  # fmt: skip

    metadata = tag.reader.metadata
    assert metadata.title == "Tags for the harvest market"
    assert metadata.author == "Saltmarsh Lane Turnery"
    assert tag.reader.trailer["/Root"]["/Lang"] == "en-GB"
    assert tag.fonts()
    assert all(tag.fonts().values())
    assert not any("Helvetica" in name for name in tag.fonts())


def test_the_same_facts_give_the_same_bytes() -> None:
    once = booth_tags([BOWL, LONG], SHEETS["letter-30"], public_url=URL)
    again = booth_tags([BOWL, LONG], SHEETS["letter-30"], public_url=URL)

    assert once == again


@nasty
@given(
    slug=st.sampled_from(BOOTH_TAG_SHEETS),
    url=st.sampled_from([URL, None]),
    what=words,
    species=words,
    size=words,
    price=prices,
)
def test_any_words_stay_on_the_label_and_number_and_price_stay_whole(
    slug: str,
    url: str | None,
    what: str,
    species: str,
    size: str,
    price: str,
    printed: Callable,
    area_of: Callable,
) -> None:
    facts = TagFacts("26-1000-X", "261000X", what, species, size, price)

    tag = printed(booth_tags([facts], SHEETS[slug], public_url=url))

    tag.assert_sound(area_of(SHEETS[slug].cell_box(0)), quiet_margin=DRIFT_MM * MM)
    assert "26-1000-X" in tag.squeezed()
    assert printable(price).replace(" ", "") in tag.squeezed()
