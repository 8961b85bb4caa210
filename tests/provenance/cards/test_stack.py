"""Parts stacked down the pages of a paper."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from provenance.cards.stack import Part, draw_parts, shared_out, space


def _nothing(canvas: Any, top: float) -> None:
    """Draw nothing."""


def _part(height: float, **how: Any) -> Part:
    return Part(height, _nothing, **how)


def test_parts_flow_to_the_next_page_when_the_first_is_full() -> None:
    parts = [_part(4), _part(4), _part(4)]

    assert shared_out(parts, 8, 100) == [parts[:2], parts[2:]]


def test_the_first_page_may_have_less_room_than_the_others() -> None:
    parts = [_part(4) for _ in range(6)]

    assert [len(page) for page in shared_out(parts, 4, 8)] == [1, 2, 2, 1]


def test_a_chain_moves_on_together() -> None:
    first, tied, last = _part(4), _part(4, keeps_next=True), _part(4)

    assert shared_out([first, tied, last], 10, 10) == [[first], [tied, last]]


def test_a_chain_taller_than_a_page_is_parted() -> None:
    chain = [_part(4, keeps_next=True) for _ in range(5)]

    assert [len(page) for page in shared_out(chain, 10, 10)] == [2, 2, 1]


def test_a_heading_is_said_again_where_a_page_begins_with_its_row() -> None:
    heading = _part(2, keeps_next=True)
    rows = [_part(4, heading=heading) for _ in range(4)]

    pages = shared_out([heading, *rows], 10, 10)

    assert pages == [[heading, *rows[:2]], [heading, *rows[2:]]]


def test_no_page_begins_with_a_space() -> None:
    first, last = _part(8), _part(4)

    assert shared_out([first, space(4), last], 10, 10) == [[first], [last]]


def test_nothing_makes_one_empty_page() -> None:
    assert shared_out([], 10, 10) == [[]]


def test_parts_are_drawn_below_each_other() -> None:
    class Paper:
        def saveState(self) -> None:  # noqa: N802 - reportlab's name
            pass

        restoreState = saveState  # noqa: N815 - reportlab's name

    drawn: list[float] = []
    parts = [Part(height, lambda canvas, top: drawn.append(top)) for height in (3, 4)]

    assert draw_parts(Paper(), parts, 100) == 93
    assert drawn == [100, 97]


@given(
    rows=st.lists(st.tuples(st.integers(1, 10), st.booleans()), max_size=40),
    first=st.integers(12, 20),
)
def test_every_part_stands_once_in_order_and_no_page_overflows(
    rows: list[tuple[int, bool]], first: int
) -> None:
    heading = _part(2)
    parts = [_part(height, keeps_next=tied, heading=heading) for height, tied in rows]

    pages = shared_out(parts, first, 20)

    assert [part for page in pages for part in page if part is not heading] == parts
    for number, page in enumerate(pages):
        assert sum(part.height for part in page) <= (first if number == 0 else 20)
