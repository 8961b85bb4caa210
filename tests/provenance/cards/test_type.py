"""Text that fits its place whatever its length."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from provenance.cards.type import (
    ELLIPSIS,
    SANS,
    SERIF,
    balanced,
    cap_height,
    fit_block,
    fit_line,
    fit_whole,
    printable,
    shortened,
    unprintable,
    width_of,
    wrap,
)

LONG = "Hollow form with a collar of African blackwood from the ashes of the churchyard"
any_text = st.text(max_size=120)
widths = st.floats(min_value=4, max_value=300)


def test_accents_print_the_same_composed_and_decomposed() -> None:
    assert printable("Cafe\u0301 bowl") == printable("Café bowl") == "Café bowl"


@pytest.mark.parametrize(
    ("text", "drawn"),
    [
        ("bowl \U0001f333 of ash", "bowl of ash"),
        ("日本の鉢 bowl", "bowl"),
        ("קערה", ""),
        ("10\u202f000 \u2011 2", "10\u00a0000 - 2"),
        ("\u2179 coats", "x coats"),
        ("two\nlines\tand\x00 a\u200bcontrol", "two lines and acontrol"),
        ("\ud800 half", "half"),
        ("  spaced   out ", "spaced out"),
        ("½ × 10° – “fine”… ≈ €", "½ × 10° – “fine”… ≈ €"),
    ],
)
def test_what_the_fonts_lack_is_left_out(text: str, drawn: str) -> None:
    assert printable(text) == drawn


def test_what_would_be_left_out_can_be_told_before() -> None:
    assert unprintable("Schale 鉢 🌳 鉢, crème\u200b") == "鉢🌳"
    assert unprintable("Salad bowl, 10½ in") == ""


def test_a_line_keeps_its_size_when_it_fits() -> None:
    assert fit_line("Pen", SANS, 9, 100, least=6).size == 9


def test_a_line_shrinks_before_it_is_shortened() -> None:
    natural = width_of("Salad bowl in ash", SANS, 9)

    shrunk = fit_line("Salad bowl in ash", SANS, 9, natural * 0.9, least=6)
    cut = fit_line("Salad bowl in ash", SANS, 9, natural * 0.4, least=6)

    assert shrunk.text == "Salad bowl in ash"
    assert 6 < shrunk.size < 9
    assert cut.size == 6
    assert cut.text == "Salad…"


def test_a_number_is_never_cut() -> None:
    line = fit_whole("26-1000000-X", SERIF, 12, 20)

    assert line.text == "26-1000000-X"
    assert line.width <= 20


def test_shortening_ends_behind_a_word_where_it_can() -> None:
    width = width_of("Hollow form with a coll…", SANS, 8)

    assert shortened(LONG, SANS, 8, width) == "Hollow form with a…"


def test_wrapping_parts_at_spaces_and_keeps_every_word() -> None:
    lines = wrap(LONG, SANS, 8, 90)

    assert " ".join(lines) == LONG
    assert len(lines) > 2


def test_a_compound_is_parted_behind_its_hyphen_only_when_it_must() -> None:
    roomy = width_of("Natural-edge", SANS, 8) + 1
    tight = width_of("Natural-", SANS, 8) + 1

    assert wrap("Natural-edge bowl", SANS, 8, roomy) == ["Natural-edge", "bowl"]
    assert wrap("Natural-edge bowl", SANS, 8, tight)[:2] == ["Natural-", "edge"]


def test_a_figure_stays_with_its_unit() -> None:
    for width in range(40, 120, 4):
        lines = fit_block("Hollowed to 180 × 260 mm", SANS, 8, width, 60, least=8).lines
        assert not any(line.endswith(("180", "×", "260")) for line in lines)


def test_even_lines_use_no_more_lines_and_less_width() -> None:
    plain = wrap(LONG, SERIF, 12, 200)
    even = balanced(LONG, SERIF, 12, 200)

    assert len(even) == len(plain)
    assert max(width_of(line, SERIF, 12) for line in even) <= max(
        width_of(line, SERIF, 12) for line in plain
    )


def test_a_paragraph_does_not_end_in_a_lone_word() -> None:
    text = "Wash by hand and dry it at once. Oil when it looks dry."
    width = width_of("Wash by hand and dry it at once. Oil when it looks", SANS, 9) + 1

    assert wrap(text, SANS, 9, width)[-1] == "dry."
    assert len(fit_block(text, SANS, 9, width, 40, least=9).lines[-1]) > len("dry.")


def test_a_place_lower_than_a_capital_stays_empty() -> None:
    assert fit_block(LONG, SANS, 8, 100, 3, least=6).lines == ()


@given(text=any_text, width=widths)
def test_no_line_is_wider_than_its_place(text: str, width: float) -> None:
    assert fit_line(text, SANS, 9, width, least=5).width <= width + 1e-6
    assert fit_whole(text, SERIF, 12, width).width <= width + 1e-6


@given(
    text=any_text,
    width=st.floats(min_value=12, max_value=300),
    height=st.floats(min_value=0, max_value=80),
    even=st.sampled_from([None, True, False]),
)
def test_no_block_is_larger_than_its_place(
    text: str, width: float, height: float, even: bool | None
) -> None:
    block = fit_block(text, SANS, 9, width, height, least=5.5, even=even)

    assert block.width <= width + 1e-6
    assert block.height <= height + 1e-6
    assert block.cap == cap_height(SANS, block.size)


@given(text=st.text(alphabet="abc -é×1", max_size=80), width=st.floats(min_value=12, max_value=300))
def test_whatever_is_not_shortened_is_complete(text: str, width: float) -> None:
    block = fit_block(text, SANS, 9, width, 10_000, least=9)

    kept = "".join(block.lines).replace(" ", "").replace("\u00a0", "")
    assert kept == printable(text).replace(" ", "") or kept.endswith(ELLIPSIS)
