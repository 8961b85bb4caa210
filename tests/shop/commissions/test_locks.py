"""Two people made one while something happens with a commission of theirs."""

import pytest
from django.db import transaction

from provenance.people import merging
from shop.commissions import entries, orders
from shop.sales.models import Account
from tests import factories
from tests.shop.commissions.cast import a_commission, paid
from tests.shop.sales.test_locks import Other

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def test_a_first_deposit_and_a_merge_do_not_wait_in_a_ring() -> None:
    commission, scribe = a_commission("asked"), factories.a_scribe()
    kept = factories.a_person(name="Ada T. Quill")
    merge = Other(lambda: merging.merge(kept, commission.person, scribe))
    with transaction.atomic():
        entries.locked(commission)
        assert merge.does_wait()
        orders.take_deposit(commission, paid(5_000), scribe)
    merge.join()
    assert merge.said == ""
    assert Account.objects.get().person == kept
