"""The drying page of a piece: picture and words say the same, from what is kept."""

import math
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.drying import measuring
from provenance.drying.models import Outlook, Weighing
from provenance.pieces.models import Piece
from provenance.record import journal
from provenance.record.partial_dates import PartialDate
from provenance.wood import drying
from tests.factories import NOW, a_piece, a_scribe, a_section

pytestmark = pytest.mark.django_db

ROUGHED = date(2026, 1, 10)


def weighed(piece: Piece, count: int, every: int = 20) -> list[Weighing]:
    """So many weighings of a bowl that dries by the book, and the forecast kept with it."""
    rows = []
    for step in range(count):
        day = ROUGHED + timedelta(days=every * step)
        mass = Decimal(round(1500 + 1000 * math.exp(-every * step / 60)))
        entry = journal.write(piece.journal, "weighed", a_scribe(), happened=PartialDate.of(day))
        rows.append(Weighing.objects.create(piece=piece, entry=entry, mass_g=mass, weighed_on=day))
    found = drying.forecast(
        [(row.weighed_on, row.mass_g) for row in rows], wall_mm=30, roughed_on=ROUGHED
    )
    Outlook.objects.create(
        piece=piece, earliest=found.earliest, likely=found.likely, latest=found.latest,
        final_mass_g=found.final_mass_g and Decimal(round(found.final_mass_g)),
        is_dry=found.dry, basis=found.basis, weighing_count=count, wall_mm=30,
        roughed_on=ROUGHED, last_mass_g=rows[-1].mass_g, last_weighed_on=rows[-1].weighed_on,
        made_at=NOW,
    )  # fmt: skip
    return rows


def page(client: Client, piece: Piece) -> str:
    return client.get(reverse("drying:piece", args=[piece.code])).content.decode()


def test_the_curve_the_range_and_the_rule_are_drawn_and_told(owner_client: Client) -> None:
    piece = a_piece("drying")
    weighed(piece, 5)
    said = page(owner_client, piece)
    assert 'class="drying-curve"' in said
    assert 'class="drying-fitted"' in said
    assert "Likely dry about" in said or "It should be dry by now" in said
    assert "Four times in five such a piece is dry between" in said
    assert "Worked out from its 5 weighings." in said
    assert "The inch-a-year rule would say 17 March 2027" in said
    assert "widely called inaccurate" in said


def test_below_three_weighings_there_is_the_rule_and_no_curve(owner_client: Client) -> None:
    piece = a_piece("drying")
    weighed(piece, 2)
    said = page(owner_client, piece)
    assert 'class="drying-fitted"' not in said
    assert "by the rule of thumb" in said
    assert "inch a year: 17 March 2027" in said


def test_a_piece_that_was_never_weighed_says_so(owner_client: Client) -> None:
    said = page(owner_client, a_piece("drying"))
    assert "Not weighed yet." in said
    assert "drying-curve" not in said


def test_a_weighing_taken_back_is_not_drawn(owner_client: Client) -> None:
    piece = a_piece("drying")
    rows = weighed(piece, 4)
    journal.write(piece.journal, "correction", a_scribe(), corrects=rows[1].entry)
    assert page(owner_client, piece).count('r="3.4"') == 3 + 1  # and the one of the legend


def test_its_tree_s_other_pieces_are_told_with_their_state(owner_client: Client) -> None:
    section = a_section()
    piece, other = a_piece("drying", source=section), a_piece("drying", source=section)
    stranger = a_piece("drying")
    for each in (piece, other, stranger):
        weighed(each, 3)
    said = page(owner_client, piece)
    assert reverse("drying:piece", args=[other.code]) in said
    assert reverse("drying:piece", args=[stranger.code]) not in said


def test_a_held_piece_says_so(owner_client: Client) -> None:
    piece = a_piece("dry")
    found = {**dict.fromkeys(measuring.LOOKED_FOR, "good"), "tap": "doubtful"}
    measuring.check_soundness(piece, found, "hold", a_scribe())
    assert "Held back from the lathe" in page(owner_client, piece)


@pytest.mark.parametrize("count", [1, 3])
def test_it_takes_a_fixed_number_of_queries(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    section = a_section()
    piece = a_piece("drying", source=section)
    for each in (piece, *(a_piece("drying", source=section) for _ in range(count))):
        weighed(each, 3)
    with django_assert_num_queries(17):
        page(owner_client, piece)
