"""Promises: which wood they keep, and how they end."""

from datetime import date

import pytest

from provenance.pieces import making, promises
from provenance.pieces.making import Source
from provenance.pieces.models import Form, Method, Promise
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import NotADate
from tests import factories

pytestmark = pytest.mark.django_db


def words_of(thing: object) -> list[str]:
    entries = JournalEntry.objects.filter(journal=thing.journal_id, kind="promise")  # type: ignore[attr-defined]
    return list(entries.values_list("words", flat=True))


def test_a_promise_stands_in_the_journals_of_its_tree_and_its_wood() -> None:
    section = factories.a_section()
    promise = promises.make(
        factories.a_scribe(),
        "A bowl for the church.",
        to=factories.a_person(),
        tree=section.tree,
        sections=[section],
        made_on=date(2026, 5, 1),
    )
    assert words_of(section.tree) == ["Promised: A bowl for the church."]
    assert words_of(section) == ["Kept for the promise to Ada Quill: A bowl for the church."]
    assert list(Promise.objects.standing()) == [promise]


def test_a_piece_from_kept_wood_is_kept_and_so_is_what_was_recut_from_it() -> None:
    section = factories.a_section()
    [bowl] = factories.some_pieces(source=section)
    [core] = making.make(
        factories.a_scribe(), Form.objects.get(slug="bowl"), Method.TWICE, [Source(bowl)]
    )
    promise = promises.make(factories.a_scribe(), "All of it", sections=[section], pieces=[bowl])
    assert promises.broken_by(bowl) == promises.broken_by(core) == [promise]
    assert promises.broken_by(factories.a_piece()) == []


def test_a_promise_is_not_broken_by_keeping_it() -> None:
    piece, whom = factories.a_piece(), factories.a_person()
    promises.make(factories.a_scribe(), "This one", to=whom, pieces=[piece])
    assert promises.broken_by(piece, to=whom) == []
    assert len(promises.broken_by(piece, to=factories.a_person(name="Nell Quill"))) == 1


def test_wood_kept_anew_and_wood_let_go_both_say_so() -> None:
    old, new = factories.some_pieces(2)
    promise = promises.make(factories.a_scribe(), "One bowl", pieces=[old])
    promises.reserve(promise, factories.a_scribe(), sections=[], pieces=[new])
    assert words_of(old) == [
        "Kept for the promise: One bowl",
        "No longer kept for the promise: One bowl",
    ]
    assert words_of(new) == ["Kept for the promise: One bowl"]
    assert list(promise.pieces.all()) == [new]


def test_a_settled_promise_keeps_nothing_and_settles_once() -> None:
    section = factories.a_section()
    [piece] = factories.some_pieces(source=section)
    promise = promises.make(
        factories.a_scribe(), "One bowl", tree=section.tree, sections=[section], pieces=[piece]
    )
    promises.settle(promise, factories.a_scribe(), "Given on Sunday.", on=date(2026, 6, 14))
    assert promises.broken_by(piece) == []
    for thing in (section.tree, section, piece):
        assert words_of(thing)[-1] == "Promise settled: Given on Sunday."
    with pytest.raises(promises.Settled, match="settled on 14 June 2026"):
        promises.settle(promise, factories.a_scribe(), "Again")
    with pytest.raises(promises.Settled):
        promises.reserve(promise, factories.a_scribe(), sections=[], pieces=[])


def test_a_settling_that_fails_leaves_the_promise_as_it_was() -> None:
    [piece] = factories.some_pieces()
    promise = promises.make(factories.a_scribe(), "One bowl", pieces=[piece])
    with pytest.raises(NotADate):
        promises.settle(promise, factories.a_scribe(), "Given", on=date(1, 1, 1))
    assert (promise.settled_on, promise.settled_how) == (None, "")
    promise.refresh_from_db()
    assert promise.settled_on is None
