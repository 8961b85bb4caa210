from uuid import uuid4

import pytest

from provenance.record.models import Operation
from provenance.record.operations import once
from tests import factories

pytestmark = pytest.mark.django_db


def test_a_second_sender_gets_the_first_outcome():
    token, done = uuid4(), []

    def work():
        done.append(1)
        return ["260428"]

    scribe = factories.a_scribe()
    assert [once(token, scribe, work) for _ in range(8)] == [["260428"]] * 8
    assert done == [1]


def test_a_failure_leaves_the_token_free():
    token, scribe = uuid4(), factories.a_scribe()
    with pytest.raises(ZeroDivisionError):
        once(token, scribe, lambda: [str(1 // 0)])
    assert not Operation.objects.exists()
    assert once(token, scribe, lambda: ["done"]) == ["done"]
