"""Opening and closing a public page."""

import pytest

from provenance.pieces import publishing
from provenance.pieces.models import Piece
from tests import factories

pytestmark = pytest.mark.django_db


def test_only_what_changes_is_written_down() -> None:
    first, second = factories.some_pieces(2)
    scribe = factories.a_scribe()
    assert publishing.publish([first], scribe) == [first]
    assert publishing.publish([first, second], scribe) == [second]
    assert Piece.objects.published().count() == 2
    assert publishing.withdraw([first], scribe) == [first]
    assert publishing.withdraw([first], scribe) == []
    words = first.journal.entries.filter(kind="public").values_list("words", flat=True)
    assert list(words) == ["Public page opened.", "Public page closed."]
    first.refresh_from_db()
    assert not first.is_published
