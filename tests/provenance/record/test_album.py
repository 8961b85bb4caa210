import io

import pytest

from provenance.record.album import add_photo, store
from provenance.record.models import JournalEntry, Photo
from provenance.record.photos import PhotoRefused
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_photo_is_kept_with_its_row_and_journalled():
    tree = factories.a_tree()
    photo = add_photo(tree.journal, factories.a_picture(), factories.a_scribe(), caption="The yard")
    assert store().original_path(photo.token, photo.extension).is_file()
    assert store().derived_path(photo.token, 480).is_file()
    assert tree.journal.entries.last().words == "Photo added: The yard."
    assert not photo.is_public


def test_the_same_picture_twice_is_kept_once():
    tree = factories.a_tree()
    first = add_photo(tree.journal, factories.a_picture(), factories.a_scribe())
    second = add_photo(tree.journal, factories.a_picture(), factories.a_scribe())
    assert first == second
    assert len(store().names_of_originals()) == 1


def test_the_same_picture_may_hang_on_two_things():
    for _ in range(2):
        add_photo(factories.a_tree().journal, factories.a_picture(), factories.a_scribe())
    assert Photo.objects.count() == 2


def test_a_refused_picture_leaves_no_trace():
    tree = factories.a_tree()
    count = JournalEntry.objects.count()
    with pytest.raises(PhotoRefused):
        add_photo(tree.journal, io.BytesIO(b"not a picture"), factories.a_scribe())
    assert JournalEntry.objects.count() == count
    assert not Photo.objects.exists()
