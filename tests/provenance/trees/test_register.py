"""Writing what came in: givers and sellers enter the book in the same transaction."""

import pytest
from django.db import DatabaseError

from provenance.people.acquaintance import Named
from provenance.people.models import Person
from provenance.record.errors import RecordError
from provenance.trees import register
from provenance.trees.models import BoughtStock, Tree
from tests.factories import a_scribe, a_section, a_tree, some_stock

pytestmark = pytest.mark.django_db


def test_a_tree_that_cannot_be_written_leaves_no_giver_behind() -> None:
    with pytest.raises((DatabaseError, TypeError, ValueError)):
        register.register_tree(
            a_scribe(), donor_named=Named(name="Ada Quill"), public_place=None, ring_count="many"
        )
    assert not Person.objects.exists()
    assert not Tree.objects.exists()


def test_somebody_gone_from_the_book_is_refused_in_a_sentence() -> None:
    with pytest.raises(RecordError, match="choose again"):
        register.add_stock(a_scribe(), supplier_named=Named(pk=999), name="Pen blanks")
    assert not BoughtStock.objects.exists()


def test_amending_says_whether_anything_differed() -> None:
    tree, stock = a_tree(), some_stock()
    assert not register.amend_tree(tree, {"ring_count": 90}, Named(), a_scribe())
    assert register.amend_tree(tree, {"ring_count": 91}, Named(), a_scribe())
    assert not register.amend_stock(stock, {"name": stock.name}, Named(), a_scribe())
    assert register.amend_stock(stock, {"quantity": 3}, Named(name="Ada Quill"), a_scribe())


def test_sealing_ends_twice_is_written_once() -> None:
    section = a_section()
    register.seal_ends(section, a_scribe())
    section.refresh_from_db()
    register.seal_ends(section, a_scribe())
    assert section.end_sealed is not None
    assert section.end_sealed.edtf == "2026-06-15"
    assert section.journal.entries.exclude(changes={}).count() == 1


def test_papers_are_missed_once_some_are_there_or_limits_are_known() -> None:
    assert len(some_stock().missing_papers()) == 3
    assert some_stock(species_words="sugar maple").missing_papers() == []
    started = some_stock(species_words="sugar maple", listed_permit="0001")
    assert started.missing_papers() == ["the scientific name", "the country of harvest"]
