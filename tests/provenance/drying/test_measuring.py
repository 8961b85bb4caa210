"""Axes and checks: written with their journal entry, refused where senseless, taken back."""

from datetime import date

import pytest
from django.db import transaction
from django.db.utils import IntegrityError

from provenance.drying import measuring
from provenance.drying.models import Axes, SoundnessCheck
from provenance.pieces import custody, workflow
from provenance.pieces.models import Custody, Stage
from provenance.pieces.order import TooEarly
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from tests.factories import a_piece, a_scribe

pytestmark = pytest.mark.django_db

Kind = JournalEntry.Kind
ALL_GOOD = dict.fromkeys(measuring.LOOKED_FOR, "good")


def test_axes_are_kept_with_their_entry_in_whichever_order_they_were_typed():
    piece = a_piece("dry")
    row = measuring.measure_axes(piece, 287, 299, a_scribe(), words="By calliper.")
    assert (row.long_mm, row.short_mm, row.measured_on) == (299, 287, date(2026, 6, 15))
    assert row.entry.kind == Kind.MEASURED
    assert row.entry.words == "Measured: 299 × 287 mm across the rim. By calliper."
    assert measuring.last_axes(piece) == row


def test_a_blank_and_a_lost_piece_have_no_rim():
    for stage in ("blank", "lost"):
        with pytest.raises(measuring.NoRimYet):
            measuring.measure_axes(a_piece(stage), 300, 290, a_scribe())
    assert not Axes.objects.exists()
    assert not JournalEntry.objects.filter(kind=Kind.MEASURED).exists()


def test_nothing_is_measured_before_it_was_turned_nor_in_days_to_come():
    piece = a_piece("dry")
    with pytest.raises(TooEarly):
        measuring.measure_axes(piece, 300, 290, a_scribe(), on=date(2026, 6, 14))
    with pytest.raises(RecordError, match="still to come"):
        measuring.measure_axes(piece, 300, 290, a_scribe(), on=date(2026, 6, 16))


def test_the_last_step_can_still_be_taken_back_after_a_measure():
    piece = a_piece("dry")
    measuring.measure_axes(piece, 300, 290, a_scribe())
    workflow.undo([piece], a_scribe())
    piece.refresh_from_db()
    assert piece.stage == Stage.DRYING


def test_a_measure_is_taken_back_once_and_the_one_before_stands_again():
    piece = a_piece("dry")
    first = measuring.measure_axes(piece, 300, 290, a_scribe())
    wrong = measuring.measure_axes(piece, 300, 209, a_scribe())
    entry = measuring.take_back(wrong, a_scribe(), words="Misread.")
    assert entry.corrects == wrong.entry
    assert measuring.last_axes(piece) == first
    with pytest.raises(RecordError, match="already"):
        measuring.take_back(wrong, a_scribe())


def test_all_good_is_sound_and_lifts_what_held_the_piece():
    piece = a_piece("dry")
    doubtful = {**ALL_GOOD, "tap": "doubtful"}
    held = measuring.check_soundness(piece, doubtful, "hold", a_scribe(), words="Buzzes.")
    assert held.entry.kind == Kind.CHECKED
    assert "the tap doubtful" in held.entry.words
    assert "Not sound: hold it. Buzzes." in held.entry.words
    assert measuring.is_held(piece, measuring.last_check(piece))
    sound = measuring.check_soundness(piece, ALL_GOOD, "lathe", a_scribe())
    assert sound.is_sound
    assert not measuring.is_held(piece, measuring.last_check(piece))


@pytest.mark.parametrize("answer", ["doubtful", "not-looked"])
def test_what_is_not_all_good_does_not_go_back_on_the_lathe(answer):
    piece = a_piece("dry")
    with pytest.raises(measuring.NotSound, match="cracks"):
        measuring.check_soundness(piece, {**ALL_GOOD, "cracks": answer}, "lathe", a_scribe())
    assert not SoundnessCheck.objects.exists()
    entry = journal.write(piece.journal, Kind.CHECKED, a_scribe())
    with pytest.raises(IntegrityError), transaction.atomic():
        SoundnessCheck.objects.create(
            piece=piece, entry=entry, checked_on=date(2026, 6, 15), then="lathe",
            **{**ALL_GOOD, "cracks": answer},
        )  # fmt: skip


def test_repair_changes_hands_with_the_check_or_not_at_all():
    piece = a_piece("dry")
    measuring.check_soundness(piece, {**ALL_GOOD, "tenon": "doubtful"}, "repair", a_scribe())
    piece.refresh_from_db()
    assert piece.custody.kind == Custody.Kind.REPAIR
    again = measuring.check_soundness(
        piece, {**ALL_GOOD, "tenon": "doubtful"}, "repair", a_scribe()
    )
    assert again.piece.custody.position == piece.custody.position


def test_a_check_that_cannot_change_hands_leaves_nothing():
    piece = a_piece("dry")
    custody.hand_over([piece], Custody.Kind.MARKET, a_scribe())
    with pytest.raises(RecordError, match="back in the shop"):
        measuring.check_soundness(piece, ALL_GOOD, "lathe", a_scribe())
    assert not SoundnessCheck.objects.exists()


def test_a_finished_piece_is_held_no_more():
    piece = a_piece("trued")
    check = measuring.check_soundness(piece, {**ALL_GOOD, "tap": "doubtful"}, "hold", a_scribe())
    piece.stage = Stage.FINISHED
    assert not measuring.is_held(piece, check)
