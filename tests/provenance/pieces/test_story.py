"""What a piece's page and card say of it."""

from typing import Any

import pytest

from provenance.maker.models import Shop
from provenance.pieces import custody, making, story, workflow
from provenance.pieces.making import Past, Source
from provenance.pieces.models import Custody, Finish, Form, Method, Piece, Stage
from provenance.record.partial_dates import PartialDate
from tests import factories

SHOP = Shop(name="Saltmarsh Lane Turnery", length_unit="mm")
ROUND, LONG = Form(name="bowl"), Form(name="pen", is_long=True)


def plain(words: str) -> str:
    return words.replace(story.NO_BREAK, " ")


def a_past_piece(**facts: Any) -> Piece:
    """A bowl whose days are known, from a maple that fell in March 2023."""
    dates = {
        "rough": PartialDate("2023-04-02"),
        "call-dry": PartialDate("2024-11-01"),
        "true-up": PartialDate("2024-11-03"),
        "into-finish": PartialDate("2024-11-04"),
        "finish": PartialDate("2024-11-20"),
    }
    finish = Finish.objects.get(slug="oil-beeswax")
    return making.enter_old(
        factories.a_scribe(),
        Form.objects.get(slug="salad-bowl"),
        Method.TWICE,
        Past(Stage.FINISHED, dates, finish=finish),
        sources=[
            Source(factories.a_section(factories.a_tree(collected=PartialDate("2023-03-14"))))
        ],
        rough_wall_mm=29,
        diameter_mm=292,
        height_mm=108,
        **facts,
    )


def test_sizes_are_told_in_the_shops_unit_and_in_both() -> None:
    piece = Piece(form=ROUND, diameter_mm=292, height_mm=108)
    assert plain(story.size_of(piece, "mm")) == "292 × 108 mm"
    assert plain(story.size_of(piece, "in")) == "11 1/2 × 4 1/4 in"
    assert plain(story.size_in_both(piece, "in")) == "11 1/2 × 4 1/4 in (292 × 108 mm)"
    assert story.size_in_both(Piece(form=ROUND), "mm") == ""


def test_a_bowl_is_so_wide_and_a_pen_so_long() -> None:
    assert story.across(Piece(form=ROUND, diameter_mm=292), "mm") == "292 mm across"
    assert story.across(Piece(form=LONG, diameter_mm=125), "mm") == "125 mm long"
    assert story.across(Piece(form=ROUND), "mm") == ""


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        ("2023-04", "2024-11", "19 months"),
        ("2023-04-01", "2023-04-08", "1 week"),
        ("2023-04-01", "2023-05-20", "7 weeks"),
        ("2023", "2024-11", ""),
        ("2023-04", "202X", ""),
        ("2023-04", "2023-04", ""),
        (None, "2023-04", ""),
    ],
)
def test_a_span_is_counted_only_between_days_or_months(
    start: str | None, end: str, words: str
) -> None:
    assert story.span_words(start and PartialDate(start), PartialDate(end)) == words  # type: ignore[arg-type]


@pytest.mark.django_db
def test_the_line_runs_from_the_tree_to_today() -> None:
    piece = a_past_piece()
    assert [(event.when, event.what) for event in story.timeline(piece)] == [
        ("March 2023", "The tree in Hollin Ferry came down"),
        ("March 2023", "Its wood was collected"),
        ("April 2023", "Roughed out green to a wall of 29 mm"),
        ("19 months drying", "On the drying shelf"),
        ("November 2024", "Trued up on the lathe"),
        ("November 2024", "Finished: mineral oil and beeswax"),
        ("Today", "In the shop"),
    ]
    assert story.making_sentence(piece) == (
        "Roughed green in April 2023, dried 19 months, finished November 2024."
    )
    assert plain(story.subtitle(piece, SHOP)) == (
        "Turned twice · mineral oil and beeswax · 292 × 108 mm"
    )


@pytest.mark.django_db
def test_what_is_not_known_is_left_out() -> None:
    tree = factories.a_tree(felled=None)
    section = factories.a_section(tree)
    old = Past(Stage.FINISHED)
    form = Form.objects.get(slug="pen")
    scribe = factories.a_scribe()
    pen = making.enter_old(scribe, form, Method.STRAIGHT, old, sources=[Source(section)])
    events = [(event.when, event.what) for event in story.timeline(pen)]
    assert events[0][0] == ""
    assert events[1:] == [("", "Turned"), ("", "Finished"), ("Today", "In the shop")]
    assert story.making_sentence(pen) == "Turned, finished."
    assert story.making_sentence(factories.a_piece()) == ""
    bare = factories.a_section(factories.a_tree(felled=None, cause=None))
    green = factories.a_piece("drying", source=bare, method="single")
    assert story.timeline(green)[0].what == "Turned green and thin, to move as it dries"
    assert story.making_sentence(green) == "Turned green in June 2026."


@pytest.mark.django_db
def test_a_step_back_takes_what_it_undid_out_of_the_line() -> None:
    piece = a_past_piece()
    scribe = factories.a_scribe()
    workflow.move([piece], "refinish", scribe)
    assert list(story.move_dates(piece)) == ["rough", "call-dry", "true-up", "refinish"]
    damp = factories.a_piece("trued")
    workflow.move([damp], "back-to-dry", scribe)
    assert list(story.move_dates(damp)) == ["rough", "back-to-dry"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("kind", "words"),
    [
        (Custody.Kind.GALLERY, "At a gallery"),
        (Custody.Kind.BUYER, "With its owner"),
        (Custody.Kind.LOST, ""),
    ],
)
def test_a_stranger_hears_where_but_never_with_whom(kind: str, words: str) -> None:
    piece = a_past_piece()
    custody.hand_over(
        [piece], kind, factories.a_scribe(), holder=factories.a_person(name="Sentinel Name")
    )
    piece.refresh_from_db()
    assert story.whereabouts(piece) == words
    assert "Sentinel" not in str(story.timeline(piece))


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_stories_are_read_ahead_in_a_fixed_number_of_queries(
    count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        a_past_piece()
    with django_assert_num_queries(5):
        for piece in story.read_ahead(Piece.objects.all()):
            assert story.timeline(piece)
            assert story.making_sentence(piece)
