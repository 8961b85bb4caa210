"""Correcting what a piece is made of."""

import pytest
from django.test import Client

from provenance.pieces import making, publishing, workflow
from provenance.pieces.making import NoSource, Source
from provenance.pieces.models import Form, Method, Part, Piece
from provenance.pieces.order import TooEarly
from provenance.pieces.sourcing import InCircle, correct_sources
from provenance.record.partial_dates import PartialDate
from provenance.trees.models import Section
from tests import factories

pytestmark = pytest.mark.django_db


def made_of(*origins: Piece | Section) -> Piece:
    """A bowl glued up of these."""
    roles = (Part.Role.BODY, Part.Role.LID)
    sources = [Source(origin, role) for origin, role in zip(origins, roles, strict=False)]
    form = Form.objects.get(slug="bowl")
    [piece] = making.make(factories.a_scribe(), form, Method.TWICE, sources)
    return piece


def ash() -> Section:
    return factories.a_section(factories.a_tree(species_slug="white-ash"))


def test_the_piece_comes_from_the_right_tree_and_the_journal_keeps_both() -> None:
    wrong, right = factories.a_section(), ash()
    piece = factories.a_piece(source=wrong)
    entry = correct_sources(
        piece, [Source(right, uses_up=True)], factories.a_scribe(), words="Seen by the bark."
    )
    assert list(piece.trees.all()) == [right.tree]
    assert [part.source for part in piece.parts.all()] == [right]
    assert entry is not None
    assert (entry.kind, entry.corrects) == ("correction", None)
    assert entry.changes == {"parts": [[f"whole: {wrong}"], [f"whole: {right}"]]}
    assert entry.words == "Where its wood comes from was corrected. Seen by the bark."
    right.refresh_from_db()
    assert right.state == Section.State.USED_UP


def test_a_section_is_cut_into_now_and_the_parts_may_be_of_every_kind() -> None:
    section, stock, other = ash(), factories.some_stock(), factories.a_piece()
    piece = factories.a_piece()
    sources = [
        Source(section, Part.Role.BODY),
        Source(stock, Part.Role.RING, uses_up=True),
        Source(other, Part.Role.LID),
        Source(None, Part.Role.INLAY),
    ]
    entry = correct_sources(piece, sources, factories.a_scribe())
    assert entry is not None
    assert entry.changes["parts"][1] == [
        f"body: {section}",
        "ring: Cocobolo pen blanks",
        f"lid: {other.number}",
        "inlay: unknown",
    ]
    assert set(piece.trees.all()) == {section.tree, *other.trees.all()}
    assert list(piece.stocks.all()) == [stock]
    section.refresh_from_db()
    stock.refresh_from_db()
    assert (section.state, stock.used_up) == (Section.State.CUT_INTO, True)


def test_what_was_made_from_it_follows_however_far_down() -> None:
    wrong, right, beside = factories.a_section(), ash(), factories.a_section()
    first = factories.a_piece(source=wrong)
    core = made_of(first)
    # Made of the core's wood and of the first's: found anew only once its givers are.
    last = made_of(made_of(core), first)
    mixed = made_of(core, beside)
    correct_sources(first, [Source(right)], factories.a_scribe())
    assert list(core.trees.all()) == [right.tree]
    assert list(last.trees.all()) == [right.tree]
    assert set(mixed.trees.all()) == {right.tree, beside.tree}
    correct_sources(first, [Source(factories.some_stock())], factories.a_scribe())
    assert (last.trees.count(), last.stocks.count()) == (0, 1)


def test_the_public_pages_of_both_trees_follow() -> None:
    factories.a_shop()
    wrong, right = factories.a_section(), ash()
    piece = factories.a_piece("finished", source=wrong)
    publishing.publish([piece], factories.a_scribe())
    stranger = Client()
    assert str(piece.number) in stranger.get(f"/T/{wrong.tree.code}").content.decode()
    assert stranger.get(f"/T/{right.tree.code}").status_code == 404
    correct_sources(piece, [Source(right)], factories.a_scribe())
    assert stranger.get(f"/T/{wrong.tree.code}").status_code == 404
    assert str(piece.number) in stranger.get(f"/T/{right.tree.code}").content.decode()
    page = stranger.get(f"/P/{piece.code}").content.decode()
    assert "ash" in page
    assert "maple" not in page
    assert "was corrected" not in page


def test_no_piece_is_made_from_itself_nor_from_what_was_made_of_it() -> None:
    first = factories.a_piece()
    core = made_of(first)
    small = made_of(core)
    before = list(first.parts.values())
    with pytest.raises(InCircle, match=f"{first.number} can't be made from itself"):
        correct_sources(first, [Source(first)], factories.a_scribe())
    with pytest.raises(InCircle, match=f"{small.number} was made from {first.number}"):
        correct_sources(first, [Source(small)], factories.a_scribe())
    assert list(first.parts.values()) == before


def test_wood_that_still_stood_when_the_piece_was_worked_is_refused_whole() -> None:
    late = factories.a_section(factories.a_tree(felled=PartialDate("2026-06-10")))
    piece = factories.a_piece(happened=PartialDate("2026-06-01"))
    trees = list(piece.trees.all())
    with pytest.raises(TooEarly, match="its wood was not worked before"):
        correct_sources(piece, [Source(late)], factories.a_scribe())
    late.refresh_from_db()
    assert (list(piece.trees.all()), late.state) == (trees, Section.State.WHOLE)


def test_the_same_again_writes_nothing_but_that_the_wood_is_used_up() -> None:
    section = factories.a_section()
    piece = factories.a_piece(source=section)
    count = piece.journal.entries.count()
    assert correct_sources(piece, [Source(section)], factories.a_scribe()) is None
    assert correct_sources(piece, [Source(section, uses_up=True)], factories.a_scribe()) is None
    assert piece.journal.entries.count() == count
    section.refresh_from_db()
    assert section.state == Section.State.USED_UP
    assert correct_sources(piece, [Source(section, Part.Role.LID)], factories.a_scribe())


def test_two_lots_of_one_name_are_not_the_same_wood() -> None:
    first, second = factories.some_stock(), factories.some_stock()
    piece = factories.a_piece(source=first)
    assert correct_sources(piece, [Source(second)], factories.a_scribe())
    assert list(piece.stocks.all()) == [second]


def test_nothing_is_not_an_answer() -> None:
    with pytest.raises(NoSource):
        correct_sources(factories.a_piece(), [], factories.a_scribe())


def test_taking_back_the_last_step_leaves_the_corrected_wood() -> None:
    right = ash()
    piece = factories.a_piece("drying")
    correct_sources(piece, [Source(right)], factories.a_scribe())
    last = workflow.last_move(piece)
    assert last is not None
    assert last.move == "rough"
    workflow.undo([piece], factories.a_scribe())
    piece.refresh_from_db()
    assert (piece.stage, list(piece.trees.all())) == ("blank", [right.tree])
