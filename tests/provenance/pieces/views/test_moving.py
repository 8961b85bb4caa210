"""The pages of moves, losses, coats, and of taking a step back."""

import uuid
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces import custody, promises, workflow
from provenance.pieces.models import Custody, Finish, LossCause, Piece, Stage
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from tests import factories

pytestmark = pytest.mark.django_db


def sent(*pieces: Piece, **typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), "piece": [p.code for p in pieces], "happened": "", **typed}


def address(name: str, piece: Piece, *more: str) -> str:
    return reverse(f"pieces:{name}", args=[piece.code, *more])


def query(*pieces: Piece) -> str:
    return "&".join(f"piece={piece.code}" for piece in pieces)


def test_a_move_asks_what_it_needs_and_keeps_it(owner_client: Client) -> None:
    piece = factories.a_piece()
    url = address("move", piece, "rough")
    page = owner_client.get(url).content.decode()
    assert 'name="rough_wall_mm"' in page
    assert 'name="price_minor"' not in page
    typed = sent(
        rough_diameter_mm="12 in", rough_wall_mm="29", mount="tenon", minutes="25",
        words="Wet.", happened="June 2026",
    )  # fmt: skip
    answer = owner_client.post(url, typed, follow=True)
    assert "Print rough-out tag" in answer.content.decode()
    piece.refresh_from_db()
    assert (piece.stage, piece.rough_diameter_mm, piece.rough_wall_mm) == (Stage.DRYING, 305, 29)
    assert (piece.mount, piece.stage_when) == ("tenon", PartialDate("2026-06"))
    entry = piece.journal.entries.last()
    assert entry is not None
    assert (entry.minutes, entry.words, entry.by) == (25, "Roughed out. Wet.", entry.by)
    assert entry.by is not None


def test_the_day_is_today_until_it_is_changed(owner_client: Client) -> None:
    page = owner_client.get(address("move", factories.a_piece(), "rough"))
    assert f'name="happened" value="{Scribe.now().today}"' in page.content.decode()


def test_what_is_left_blank_keeps_what_was_known(owner_client: Client) -> None:
    piece = factories.a_piece("in-finish")
    Piece.objects.filter(pk=piece.pk).update(diameter_mm=280, stored="shelf 3")
    url = address("move", piece, "finish")
    assert 'value="280 mm"' in owner_client.get(url).content.decode()
    owner_client.post(url, sent(price_minor="165"))
    piece.refresh_from_db()
    assert (piece.diameter_mm, piece.stored, piece.price_minor) == (280, "shelf 3", 16500)


def test_the_form_sent_twice_moves_once_and_says_the_same(owner_client: Client) -> None:
    piece = factories.a_piece()
    typed = sent(words="Once")
    url = address("move", piece, "rough")
    first, second = owner_client.post(url, typed), owner_client.post(url, typed)
    assert first["Location"] == second["Location"]
    assert piece.journal.entries.filter(kind="moved").count() == 1


def test_the_second_of_two_tabs_gets_a_sentence(owner_client: Client) -> None:
    piece = factories.a_piece()
    url = address("move", piece, "rough")
    owner_client.post(url, sent())
    page = owner_client.post(url, sent(words="Mine too")).content.decode()
    assert "It may have been moved already" in page
    assert "Mine too" in page
    again = owner_client.get(url, follow=True)
    assert "is not its next step" in again.content.decode()


def test_a_move_that_the_method_does_not_know_is_no_page(owner_client: Client) -> None:
    assert owner_client.get(address("move", factories.a_piece(), "polish")).status_code == 404


def test_days_out_of_order_come_back_on_the_form(owner_client: Client) -> None:
    piece = factories.a_piece("drying")
    page = owner_client.post(address("move", piece, "call-dry"), sent(happened="2020"))
    assert "has a step dated 15 June 2026 already" in page.content.decode()


def test_the_first_coat_keeps_finish_lot_and_coats(owner_client: Client) -> None:
    piece = factories.a_piece("trued")
    oil = Finish.objects.get(slug="tung-oil")
    url = address("move", piece, "into-finish")
    owner_client.post(url, sent(finish=oil.pk, lot="L 7", coats="2"))
    applied = piece.finishes.standing().get()
    assert (applied.finish, applied.lot, applied.coats) == (oil, "L 7", 2)


def test_sanding_a_wood_that_sensitises_brings_the_usual_caution(owner_client: Client) -> None:
    walnut = factories.a_section(factories.a_tree(species_slug="black-walnut"))
    dry = factories.a_piece("dry", source=walnut)
    assert "usual caution" in owner_client.get(address("move", dry, "true-up")).content.decode()
    blank = factories.a_piece(source=walnut)
    assert "usual caution" not in owner_client.get(address("move", blank, "rough")).content.decode()


def test_a_pen_has_length_and_thickness(owner_client: Client) -> None:
    pen = factories.a_piece(form="pen", method="straight", source=factories.some_stock())
    page = owner_client.get(address("move", pen, "turn")).content.decode()
    assert "Thickness" in page
    assert "Diameter" not in page


def test_several_move_together_and_lead_back_to_the_list(owner_client: Client) -> None:
    pieces = factories.some_pieces(3)
    page = owner_client.get(f"/pieces/move-many/?{query(*pieces)}").content.decode()
    assert "Rough it out: 3 pieces" in page
    typed = sent(*pieces, move="rough", back="/pieces/?stage=blank", stored="shelf 9")
    answer = owner_client.post("/pieces/move-many/", typed)
    assert answer["Location"] == "/pieces/?stage=blank"
    assert owner_client.post("/pieces/move-many/", typed)["Location"] == "/pieces/?stage=blank"
    assert Piece.objects.at_stage(Stage.DRYING).filter(stored="shelf 9").count() == 3
    text = owner_client.get("/pieces/").content.decode()
    assert "3 pieces" in text
    assert "Print rough-out tags" in text


def test_the_way_back_is_a_page_of_ours(owner_client: Client) -> None:
    typed = sent(*factories.some_pieces(1), move="rough", back="https://example.org/")
    assert owner_client.post("/pieces/move-many/", typed)["Location"] == "/pieces/"


def test_pieces_with_different_next_moves_are_told_apart(owner_client: Client) -> None:
    blank, dry, sold = factories.a_piece(), factories.a_piece("dry"), factories.a_piece("finished")
    custody.hand_over([sold], Custody.Kind.BUYER, factories.a_scribe())
    page = owner_client.get(f"/pieces/move-many/?{query(blank, dry, sold)}").content.decode()
    assert "Not all of these go on together" in page
    for words in ("Rough it out", "True it up", "No move now", "with its owner"):
        assert words in page


def test_all_move_or_none(owner_client: Client) -> None:
    blanks = factories.some_pieces(2)
    workflow.move([blanks[1]], "rough", factories.a_scribe())
    page = owner_client.post("/pieces/move-many/", sent(*blanks, move="rough"))
    assert f"{blanks[1]} is drying" in page.content.decode()
    assert Piece.objects.at_stage(Stage.BLANK).get() == blanks[0]


@pytest.mark.parametrize("page", ["move-many", "lose-many", "hand-over-many", "undo-many"])
def test_nothing_ticked_says_what_to_do(owner_client: Client, page: str) -> None:
    answer = owner_client.get(f"/pieces/{page}/?back=/pieces/%3Fstage=dry", follow=True)
    assert answer.request["PATH_INFO"] == "/pieces/"
    assert "Tick at least one piece first" in answer.content.decode()


def test_a_loss_is_recorded_with_cause_and_words(owner_client: Client) -> None:
    piece = factories.a_piece("drying")
    cause = LossCause.objects.get(slug="cracked")
    url = address("lose", piece)
    assert 'name="reason"' not in owner_client.get(url).content.decode()
    owner_client.post(url, sent(cause=cause.pk, words="Along the pith."))
    piece.refresh_from_db()
    assert piece.stage == Stage.LOST


def test_a_promise_in_the_way_asks_for_a_reason_and_keeps_the_form(owner_client: Client) -> None:
    pieces = [factories.a_piece("drying"), factories.a_piece("drying")]
    promises.make(factories.a_scribe(), "A bowl for the vicar", pieces=pieces[1:])
    cause = LossCause.objects.get(slug="cracked")
    typed = sent(*pieces, cause=cause.pk, words="Both of them.")
    page = owner_client.post("/pieces/lose-many/", typed).content.decode()
    assert "A bowl for the vicar" in page
    assert 'name="reason"' in page
    assert "Both of them." in page
    assert not Piece.objects.at_stage(Stage.LOST).exists()
    owner_client.post("/pieces/lose-many/", {**typed, "reason": "It fell in two."})
    assert Piece.objects.at_stage(Stage.LOST).count() == 2


def test_a_sold_piece_is_not_lost(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    custody.hand_over([piece], Custody.Kind.BUYER, factories.a_scribe())
    cause = LossCause.objects.get(slug="cracked")
    page = owner_client.post(address("lose", piece), sent(cause=cause.pk)).content.decode()
    assert "no longer the shop&#x27;s to lose" in page


def test_the_last_step_is_taken_back_once_however_often_it_is_pressed(owner_client: Client) -> None:
    piece = factories.a_piece("dry")
    step = workflow.last_move(piece)
    assert step is not None
    typed = {"entry": step.pk, "words": "Still damp."}
    for _ in range(2):
        owner_client.post(address("undo", piece), typed)
    piece.refresh_from_db()
    assert piece.stage == Stage.DRYING
    assert piece.journal.entries.filter(kind="correction").count() == 1


def test_taking_back_without_a_step_or_with_too_many_words_says_so(owner_client: Client) -> None:
    piece = factories.a_piece()
    page = owner_client.post(address("undo", piece), follow=True).content.decode()
    assert "nothing to take back" in page
    answer = owner_client.post(address("undo", piece), {"words": "x" * 501}, follow=True)
    assert "the words are too long" in answer.content.decode()


def test_several_are_taken_back_together_or_none(owner_client: Client) -> None:
    dry, blank = factories.a_piece("dry"), factories.a_piece()
    page = owner_client.get(f"/pieces/undo-many/?{query(dry, blank)}").content.decode()
    assert "It will be drying again." in page
    assert "It has made no move yet." in page
    answer = owner_client.post("/pieces/undo-many/", sent(dry, blank))
    assert "nothing to take back" in answer.content.decode()
    typed = sent(dry)
    owner_client.post("/pieces/undo-many/", typed)
    owner_client.post("/pieces/undo-many/", typed)
    dry.refresh_from_db()
    assert dry.stage == Stage.DRYING


def test_a_coat_is_added(owner_client: Client) -> None:
    piece = factories.a_piece("finished")
    wax = Finish.objects.get(slug="beeswax")
    url = address("add_coat", piece)
    assert "curing counts from this day" in owner_client.get(url).content.decode()
    typed = sent(finish=wax.pk, on="2026-06-15", coats="1")
    owner_client.post(url, typed)
    owner_client.post(url, typed)
    assert piece.finishes.standing().filter(finish=wax).count() == 1
    later = owner_client.post(url, sent(finish=wax.pk, on="2999-01-01")).content.decode()
    assert "still to come" in later


def test_a_refusal_of_the_record_comes_back_on_the_coats_page(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise workflow.NotOffered("Not now.")

    monkeypatch.setattr(workflow, "add_coat", refuse)
    wax = Finish.objects.get(slug="beeswax")
    url = address("add_coat", factories.a_piece("finished"))
    page = owner_client.post(url, sent(finish=wax.pk, on="2026-06-15")).content.decode()
    assert "Not now." in page
