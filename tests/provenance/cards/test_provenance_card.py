"""The provenance card, on business cards and on A6."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from provenance.cards.a6_card import A6_SHEETS, a6_cards
from provenance.cards.layout import SheetTooSmall
from provenance.cards.provenance_card import BUSINESS_CARD_SHEETS, CardFacts, business_cards
from provenance.cards.sheets import SHEETS

MM = 72 / 25.4
URL = "https://example.org"
BOWL = CardFacts(
    number="26-042-8",
    code="260428",
    title="Salad bowl in bigleaf maple",
    subtitle="Turned twice · oil and beeswax · 292 × 108 mm",
    tree_story="From a tree of about 90 rings that the March storm of 2023 brought down.",
    making="Roughed green in April 2023, dried 19 months, finished November 2024.",
    care=("Wash by hand, dry at once.", "No dishwasher.", "Oil when it looks dry."),
    maker="Saltmarsh Lane Turnery",
    ring_seed="T23-014-5",
    rings=90,
)
LONG = replace(
    BOWL,
    title="Hollow form with a collar of African blackwood, from the ashes at the churchyard",
    tree_story=BOWL.tree_story + " It stood there for longer than anyone remembers." * 9,
    care=BOWL.care * 6,
    rings=None,
)
BARE = CardFacts("26-009-4", "260094", "Pen in cocobolo")
KINDS = [
    *[(business_cards, slug) for slug in BUSINESS_CARD_SHEETS],
    *[(a6_cards, slug) for slug in A6_SHEETS],
]
every_kind = pytest.mark.parametrize(("cards", "slug"), KINDS, ids=[slug for _, slug in KINDS])
words = st.one_of(st.text(max_size=300), st.sampled_from(["x" * 300, "鉢", "a-" * 90, "Ab. " * 90]))


@every_kind
@pytest.mark.parametrize("url", [URL, None])
def test_the_card_tells_the_whole_story(
    cards: Callable, slug: str, url: str | None, printed: Callable
) -> None:
    text = printed(cards([BOWL], SHEETS[slug], public_url=url)).text()

    for part in (BOWL.number, BOWL.title, BOWL.subtitle, BOWL.tree_story, BOWL.making, BOWL.maker,
                 *BOWL.care):  # fmt: skip
        assert part in text
    assert ("example.org/p/260428" in text) == (url is not None)


@every_kind
@pytest.mark.parametrize("dpi", [150, 300])
def test_every_code_is_read_from_the_rendered_sheet(
    cards: Callable, slug: str, dpi: int, printed: Callable
) -> None:
    sheet = SHEETS[slug]
    facts = [replace(BOWL, code=f"26{n:03}X") for n in range(sheet.per_page)]

    found = printed(cards(facts, sheet, public_url=URL)).codes(dpi)

    assert sorted(found) == [f"https://EXAMPLE.ORG/P/{card.code}" for card in facts]


@every_kind
@pytest.mark.parametrize("url", [URL, None])
@pytest.mark.parametrize("facts", [BOWL, LONG, BARE], ids=["bowl", "long", "bare"])
def test_nothing_leaves_its_card_or_lies_on_something_else(
    cards: Callable,
    slug: str,
    url: str | None,
    facts: CardFacts,
    printed: Callable,
    area_of: Callable,
) -> None:
    card = printed(cards([facts], SHEETS[slug], public_url=url))

    card.assert_sound(area_of(SHEETS[slug].cell_box(0)))
    assert facts.number in card.squeezed()
    assert bool(card.modules()) == (url is not None)


@every_kind
def test_cards_are_drawn_where_the_sheet_has_them(
    cards: Callable, slug: str, printed: Callable, area_of: Callable
) -> None:
    sheet = SHEETS[slug]

    card = printed(cards([BOWL] * sheet.per_page, sheet, outlines=True))

    assert (card.pages[0]["width"], card.pages[0]["height"]) == pytest.approx(
        (sheet.page_mm[0] * MM, sheet.page_mm[1] * MM), abs=0.01
    )
    cells = [area_of(sheet.cell_box(index)) for index in range(sheet.per_page)]
    drawn = [(a.x0, a.top, a.x1, a.bottom) for a in card.outlines()]
    assert drawn == [pytest.approx((c.x0, c.top, c.x1, c.bottom), abs=0.01) for c in cells]


@pytest.mark.parametrize("slug", [*BUSINESS_CARD_SHEETS, *A6_SHEETS])
def test_cut_marks_stand_off_the_cards(slug: str, printed: Callable, area_of: Callable) -> None:
    sheet = SHEETS[slug]
    make = business_cards if slug in BUSINESS_CARD_SHEETS else a6_cards
    bare = [CardFacts("26-009-4", "260094", "")]

    page = printed(make(bare, sheet)).pages[0]

    cells = [area_of(sheet.cell_box(index)) for index in range(sheet.per_page)]
    # The rule on a card runs within its margins; all other lines are marks.
    marks = [line for line in page["lines"] if abs(line["linewidth"] - 0.25) < 0.01]
    assert bool(marks) == (sheet.per_page > 1)
    for mark in marks:
        for cell in cells:
            strictly_in_x = mark["x1"] > cell.x0 + 0.5 and mark["x0"] < cell.x1 - 0.5
            strictly_in_y = mark["bottom"] > cell.top + 0.5 and mark["top"] < cell.bottom - 0.5
            on_cut = slug == "a4-postcards-4"  # no margin there: marks lie on the cut itself
            assert on_cut or not (strictly_in_x and strictly_in_y)


def test_marks_on_a_full_sheet_lie_on_the_cuts(printed: Callable) -> None:
    page = printed(a6_cards([BARE], SHEETS["a4-postcards-4"])).pages[0]

    marks = [line for line in page["lines"] if abs(line["linewidth"] - 0.25) < 0.01]
    assert len(marks) == 6
    for mark in marks:
        upright = mark["x0"] == pytest.approx(105 * MM, abs=0.01) and mark["x0"] == mark["x1"]
        level = mark["top"] == pytest.approx(148.5 * MM, abs=0.01) and mark["top"] == mark["bottom"]
        assert upright or level


@every_kind
def test_without_a_tree_there_is_no_ring_mark(
    cards: Callable, slug: str, printed: Callable
) -> None:
    assert printed(cards([BOWL], SHEETS[slug])).marks()
    assert printed(cards([replace(BOWL, ring_seed="")], SHEETS[slug])).marks() == []


def test_without_title_and_code_the_story_keeps_clear_of_the_number(
    printed: Callable, area_of: Callable
) -> None:
    sheet = SHEETS["letter-cards-10"]
    facts = CardFacts("26-009-4", "260094", "", making=BOWL.tree_story)

    printed(business_cards([facts], sheet)).assert_sound(area_of(sheet.cell_box(0)))


@every_kind
def test_a_long_story_never_costs_the_care(cards: Callable, slug: str, printed: Callable) -> None:
    text = printed(cards([replace(LONG, care=BOWL.care)], SHEETS[slug])).text()

    for sentence in BOWL.care:
        assert sentence in text


def test_a_story_too_long_gives_up_its_last_sentences_before_the_making(printed: Callable) -> None:
    facts = replace(
        BOWL, tree_story=BOWL.tree_story + " It stood there for longer than anyone remembers." * 5
    )

    text = printed(business_cards([facts], SHEETS["letter-cards-10"], public_url=URL)).text()

    assert BOWL.tree_story in text
    assert BOWL.making in text
    assert "…" not in text


@pytest.mark.parametrize(("cards", "slug"), [(business_cards, "letter-30"), (a6_cards, "a4-21")])
def test_a_sheet_of_another_kind_is_refused(cards: Callable, slug: str) -> None:
    with pytest.raises(SheetTooSmall, match="don't go on this sheet"):
        cards([BOWL], SHEETS[slug])


@every_kind
def test_metadata_fonts_and_repeatable_bytes(cards: Callable, slug: str, printed: Callable) -> None:
    def made() -> bytes:
        return cards([BOWL] * 11, SHEETS[slug], first_cell=0, public_url=URL, maker=BOWL.maker)

    card = printed(made())

    assert card.pdf == made()
    assert card.reader.metadata.title == "Provenance cards"
    assert card.reader.metadata.author == "Saltmarsh Lane Turnery"
    assert card.reader.trailer["/Root"]["/Lang"] == "en"
    assert all(card.fonts().values())
    assert len(card.pages) == -(-11 // SHEETS[slug].per_page)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    kind=st.sampled_from(KINDS),
    url=st.sampled_from([URL, None, "https://" + "a-very-long-name." * 3 + "example.org"]),
    title=words,
    subtitle=words,
    tree_story=words,
    making=words,
    care=st.lists(words, max_size=5),
    maker=words,
    rings=st.sampled_from([None, 1, 40, 400]),
    ring_seed=st.sampled_from(["", "T23-014-5"]),
)
def test_any_words_stay_on_the_card(
    kind: tuple[Callable, str],
    url: str | None,
    printed: Callable,
    area_of: Callable,
    care: list[str],
    **texts: object,
) -> None:
    cards, slug = kind
    facts = CardFacts("26-1000-X", "261000X", care=tuple(care), **texts)  # type: ignore[arg-type]

    card = printed(cards([facts], SHEETS[slug], public_url=url, maker=facts.maker))

    card.assert_sound(area_of(SHEETS[slug].cell_box(0)))
    assert "26-1000-X" in card.squeezed()
