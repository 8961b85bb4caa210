"""What waited for somebody else sees what they did, and nobody waits in a ring."""

import threading
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from provenance.people.acquaintance import Named, same_person
from shop.sales import deposits, paying, undoing
from shop.sales.checkout import Sold
from shop.sales.paying import Paid
from tests import factories

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


class Other(threading.Thread):
    """Somebody at another window; `said` is the sentence that refused them, '' for none."""

    def __init__(self, work: Callable[[], object]) -> None:
        super().__init__()
        self.work, self.said = work, ""

    def run(self) -> None:
        try:
            self.work()
        except Exception as error:
            self.said = str(error)
        finally:
            connection.close()

    def does_wait(self) -> bool:
        """Start, and return whether it is still at it after a moment."""
        self.start()
        self.join(0.5)
        return self.is_alive()


def test_who_waited_for_a_receipt_knows_what_was_done_with_it() -> None:
    receipt = factories.a_receipt(Sold(5_000, words="Lesson"), payments=())
    scribe, cash = factories.a_scribe(), Paid(factories.a_kind(), 5_000)
    wish = undoing.Wish(receipt.lines.get(), 5_000)
    others = [
        Other(lambda: paying.pay(receipt, cash, scribe)),
        Other(lambda: undoing.refund(receipt, [wish], "It cracked", scribe)),
        Other(lambda: undoing.void(receipt, "Wrong", scribe)),
    ]
    with transaction.atomic():
        undoing.void(receipt, "Written twice", scribe)
        assert all(other.does_wait() for other in others)
    for other in others:
        other.join()
    assert [other.said for other in others] == [
        "Receipt R26-001 is void: nothing is owed on it.",
        "Receipt R26-001 is void: all of it was taken back.",
        "Receipt R26-001 is void already.",
    ]


def test_a_deposit_given_back_from_two_windows_is_given_back_once() -> None:
    scribe = factories.a_scribe()
    account = deposits.open_account(factories.a_person(), "A bowl", scribe)
    deposits.take(account, Paid(factories.a_kind(), 3_000), scribe)
    back = Paid(factories.a_kind(), 3_000)
    other = Other(lambda: deposits.give_back(account, back, scribe))
    with transaction.atomic():
        deposits.give_back(account, back, scribe)
        assert other.does_wait()
    other.join()
    assert other.said == "$0 is held for Ada Quill: give back that much at most."


def test_two_sales_to_one_buyer_do_not_wait_in_a_ring() -> None:
    """One had chosen the buyer at the desk, the other knew them: both take the next number."""
    ada = factories.a_person()
    other = Other(lambda: factories.a_receipt(Sold(100, words="Wax"), buyer=ada))
    with transaction.atomic():
        same_person(Named(pk=ada.pk), factories.a_scribe())
        assert not other.does_wait()
        factories.a_receipt(Sold(100, words="Wax"), buyer=ada)
    other.join()
    assert other.said == ""
