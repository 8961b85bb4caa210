"""Whatever was done with a piece, taking it back restores it; the journal only grows."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Finish, LossCause, Method, Piece
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from tests import factories

DEEDS = st.sampled_from(
    [
        *("onward", "onward", "onward", "aside", "lose", "coat", "undo"),
        *(f"hands:{kind}" for kind in Custody.Kind.values),
    ]
)
FACTS = {
    "rough_diameter_mm": 300,
    "rough_wall_mm": 29,
    "mount": "tenon",
    "diameter_mm": 280,
    "price_minor": 16500,
    "stored": "shelf 4",
}
RESTORED = ["stage", "stage_when", "stage_since", "price_minor", "stored", "diameter_mm", "mount"]


def snapshot(piece: Piece) -> tuple[Any, ...]:
    """What an undo must bring back: stage, facts, hands, offered moves, standing finishes."""
    held = Piece.objects.select_related("custody").get(pk=piece.pk)
    link = held.custody
    assert link is not None
    return (
        *(getattr(held, name) for name in RESTORED),
        (link.kind, link.holder_id, link.since, link.why),
        tuple(step.slug for step in workflow.offered(held)),
        workflow.may_be_lost(held),
        tuple(held.finishes.standing().values_list("pk", flat=True)),
    )


def rows(piece: Piece) -> list[Any]:
    return list(JournalEntry.objects.filter(journal=piece.journal_id).values())


class Histories(TestCase):
    """Random lives of a piece of each method."""

    def do(self, deed: str, piece: Piece, day: int) -> None:
        scribe = factories.a_scribe(at=factories.NOW + timedelta(days=day))
        held = Piece.objects.select_related("custody").get(pk=piece.pk)
        finish = Finish.objects.get(slug="walnut-oil")
        steps = workflow.offered(held)
        if deed == "undo":
            workflow.undo([held], scribe)
        elif deed == "lose":
            workflow.lose([held], LossCause.objects.get(slug="rot"), scribe)
        elif deed == "coat":
            workflow.add_coat(held, scribe, finish)
        elif deed.startswith("hands:"):
            custody.hand_over([held], deed.removeprefix("hands:"), scribe, why=f"day {day}")
        else:
            fitting: Iterator[str] = (s.slug for s in steps if s.is_onward == (deed == "onward"))
            slug = next(fitting, "rough")
            workflow.move([held], slug, scribe, facts=FACTS, finish=finish)

    @settings(max_examples=60, suppress_health_check=list(HealthCheck))
    @given(
        method=st.sampled_from(Method.values),
        deeds=st.lists(DEEDS, min_size=1, max_size=12),
    )
    def test_undo_restores_and_the_journal_only_grows(self, method: str, deeds: list[str]) -> None:
        [piece] = factories.some_pieces(method=method)
        before = [snapshot(piece)]  # a stack: what each step that stands began from
        for day, deed in enumerate(deeds):
            then, journal = snapshot(piece), rows(piece)
            try:
                self.do(deed, piece, day)
            except RecordError:
                assert (snapshot(piece), rows(piece)) == (then, journal)
                continue
            assert rows(piece)[: len(journal)] == journal
            assert len(rows(piece)) > len(journal)
            if deed == "undo":
                assert snapshot(piece) == before.pop()
            else:
                before.append(then)
        while len(before) > 1:
            self.do("undo", piece, len(deeds))
            assert snapshot(piece) == before.pop()
        positions = list(piece.custodies.values_list("position", flat=True))
        assert positions == list(range(1, len(positions) + 1))


@pytest.mark.django_db
def test_a_journal_entry_can_be_corrected_once_only() -> None:
    piece = factories.a_piece("dry")
    workflow.undo([piece], factories.a_scribe())
    workflow.undo([piece], factories.a_scribe())
    corrected = list(
        piece.journal.entries.exclude(corrects=None).values_list("corrects", flat=True)
    )
    assert len(corrected) == len(set(corrected)) == 2
