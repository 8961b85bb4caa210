"""Tags for the drying shelf."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from provenance.cards.layout import SheetTooSmall
from provenance.cards.rough_out_tag import (
    LEAST_ROW_MM,
    ROUGH_OUT_SHEETS,
    RoughOutFacts,
    rough_out_tags,
)
from provenance.cards.sheets import SHEETS

MM = 72 / 25.4
BOWL = RoughOutFacts(
    "26-042-8", "Salad bowl", "bigleaf maple", "T26-014-5 B", "April 2026", "29 mm", "310 mm",
    "2,410 g",
)  # fmt: skip
BARE = RoughOutFacts("26-044-4", "Platter", "maple, kind unknown")
LONG = RoughOutFacts(
    "26-045-2", "Hollow form with a collar of African blackwood",
    "western red alder and Oregon white ash", "T26-1014-5 AB", "perhaps 12 September 2026",
    "18 mm", "180 mm", "1,120 g",
)  # fmt: skip

every_sheet = pytest.mark.parametrize("slug", ROUGH_OUT_SHEETS)
words = st.one_of(st.text(max_size=90), st.sampled_from(["x" * 200, "鉢", "a-" * 60]))


@every_sheet
def test_the_tag_tells_what_is_known(slug: str, printed: Callable) -> None:
    text = printed(rough_out_tags([BOWL], SHEETS[slug])).text()

    for part in ("26-042-8", "Salad bowl", "bigleaf maple", "T26-014-5 B", "April 2026", "29 mm",
                 "310 mm", "2,410 g", "Date", "Mass"):  # fmt: skip
        assert part in text


@every_sheet
@pytest.mark.parametrize("facts", [BOWL, BARE, LONG], ids=["bowl", "bare", "long"])
def test_nothing_leaves_its_label_or_lies_on_something_else(
    slug: str, facts: RoughOutFacts, printed: Callable, area_of: Callable
) -> None:
    tag = printed(rough_out_tags([facts], SHEETS[slug]))

    tag.assert_sound(area_of(SHEETS[slug].cell_box(0)))
    assert facts.number in tag.squeezed()


@every_sheet
def test_there_are_lines_to_write_on_far_enough_apart(
    slug: str, printed: Callable, area_of: Callable
) -> None:
    cell = area_of(SHEETS[slug].cell_box(0))

    page = printed(rough_out_tags([BOWL], SHEETS[slug])).pages[0]

    inside = [
        line
        for line in page["lines"]
        if cell.x0 < line["x0"] < line["x1"] < cell.x1 and cell.top < line["top"] < cell.bottom
    ]
    heights = sorted({round(line["top"], 2) for line in inside})
    assert len(heights) >= 3
    assert len(inside) == 2 * len(heights)  # a date and a mass on each
    gaps = [below - above for above, below in pairwise(heights)]
    assert min(gaps) >= LEAST_ROW_MM * MM - 0.1


@every_sheet
@pytest.mark.parametrize("roughed", ["25 November 2026", "perhaps 12 September 2026", "May 2026"])
def test_the_date_is_told_whole_in_type_that_can_be_read(
    slug: str, roughed: str, printed: Callable, area_of: Callable
) -> None:
    facts = replace(BOWL, roughed=roughed, mass="")

    tag = printed(rough_out_tags([facts], SHEETS[slug]))

    short = roughed.replace("November", "Nov").replace("September", "Sep")
    text = " ".join(tag.text().split())
    assert roughed in text or short in text
    assert "…" not in text
    smallest = min(char["size"] for page in tag.pages for char in page["chars"])
    assert smallest >= 6
    tag.assert_sound(area_of(SHEETS[slug].cell_box(0)))


def test_the_largest_labels_spell_the_month_out(printed: Callable) -> None:
    facts = replace(BOWL, roughed="25 November 2026")

    assert "25 November 2026" in printed(rough_out_tags([facts], SHEETS["letter-10"])).text()


def test_what_is_not_known_takes_no_room(printed: Callable) -> None:
    text = printed(rough_out_tags([BARE], SHEETS["letter-10"])).text()

    assert "Wall" not in text
    assert "Roughed" not in text


def test_an_unmade_piece_is_not_published_by_its_tag(printed: Callable) -> None:
    tag = printed(rough_out_tags([BOWL], SHEETS["letter-10"]))

    assert tag.codes(150) == []
    assert tag.modules() == []


def test_labels_too_small_to_write_on_are_refused() -> None:
    with pytest.raises(SheetTooSmall, match="larger labels"):
        rough_out_tags([BOWL], SHEETS["letter-80"])


def test_fonts_are_embedded_and_bytes_repeat(printed: Callable) -> None:
    once = rough_out_tags([BOWL] * 12, SHEETS["letter-10"], first_cell=3)

    assert once == rough_out_tags([BOWL] * 12, SHEETS["letter-10"], first_cell=3)
    tags = printed(once)
    assert len(tags.pages) == 2
    assert all(tags.fonts().values())


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(slug=st.sampled_from(ROUGH_OUT_SHEETS), texts=st.tuples(*[words] * 7))
def test_any_words_stay_on_the_label(
    slug: str, texts: tuple[str, ...], printed: Callable, area_of: Callable
) -> None:
    tag = printed(rough_out_tags([RoughOutFacts("26-1000-X", *texts)], SHEETS[slug]))

    tag.assert_sound(area_of(SHEETS[slug].cell_box(0)))
    assert "26-1000-X" in tag.squeezed()
