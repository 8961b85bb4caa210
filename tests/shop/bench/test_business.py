"""What the bench says of the shop's business: commissions due and ready, money owed."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.maker.models import Shop
from provenance.people import merging
from shop.bench import wants
from shop.commissions import orders
from shop.sales import undoing
from shop.sales.checkout import Sold
from tests import factories
from tests.shop.commissions.cast import a_commission, a_draft, later, paid

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]
TODAY = date(2026, 6, 15)
LESSON = Sold(10_000, words="A lesson")


def viewer() -> wants.Viewer:
    return wants.Viewer(Shop.current(), TODAY)


def test_what_is_wanted_soonest_is_due_first_and_what_is_ready_waits_apart() -> None:
    someday = a_commission("asked")
    late = a_commission("making", wanted_by=date(2026, 6, 1))
    soon = a_commission("agreed", wanted_by=date(2026, 7, 1))
    ready = a_commission("ready", wanted_by=date(2026, 5, 1))
    a_commission("called-off")
    a_commission("handed-over")
    assert wants.commissions_due(viewer()).rows == [late, soon, someday]
    assert wants.ready_to_hand_over(viewer()).rows == [ready]


def test_a_commission_whose_receipt_was_voided_waits_again() -> None:
    commission = a_commission("ready")
    receipt = orders.hand_over(
        commission, a_draft(commission, factories.a_scribe()), factories.a_scribe()
    )
    assert wants.ready_to_hand_over(viewer()).total == 0
    undoing.void(receipt, "Wrong person", later(1))
    assert wants.ready_to_hand_over(viewer()).rows == [commission]


def test_deposits_are_said_to_be_owed() -> None:
    orders.take_deposit(a_commission("agreed"), paid(5000), factories.a_scribe())
    orders.take_deposit(a_commission("ready"), paid(2500), factories.a_scribe())
    assert "Deposits held: $75" in wants.commissions_due(viewer()).why


def test_the_oldest_receipt_that_is_owed_stands_first(owner_client: Client) -> None:
    factories.a_receipt(LESSON, sold_on=date(2026, 6, 2))
    newer = factories.a_receipt(LESSON, sold_on=date(2026, 6, 10), payments=[])
    older = factories.a_receipt(
        LESSON, sold_on=date(2026, 6, 3), payments=[paid(4000)], buyer=factories.a_person()
    )
    want = wants.owed_to_the_shop()
    assert [row.receipt for row in want.rows] == [older, newer]
    text = owner_client.get(reverse("bench:bench")).content.decode()
    assert text.index(reverse("sales:receipt", args=[older.code])) < text.index(
        reverse("sales:receipt", args=[newer.code])
    )
    assert "$60" in text


def test_a_commissions_own_promise_is_not_told_twice() -> None:
    a_commission("agreed")
    assert wants.promises().total == 0


@pytest.mark.parametrize("count", [1, 3])
def test_the_lists_of_the_business_ask_the_same_number_of_queries_for_one_and_for_three(
    count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        a_commission("agreed", tree=factories.a_tree())
        a_commission("ready")
        factories.a_receipt(LESSON, payments=[], buyer=factories.a_person())
    who = viewer()
    with django_assert_num_queries(5):
        due, ready = wants.commissions_due(who), wants.ready_to_hand_over(who)
        owed = wants.owed_to_the_shop()
    assert len(due.rows) == len(ready.rows) == len(owed.rows) == count


def test_a_long_list_of_commissions_leads_to_all_of_them(owner_client: Client) -> None:
    for _ in range(wants.SHOWN + 1):
        a_commission("agreed")
    want = wants.commissions_due(viewer())
    assert (len(want.rows), want.total) == (wants.SHOWN, wants.SHOWN + 1)
    assert reverse("commissions:commissions") in owner_client.get("/bench/").content.decode()


# On a person's page


def test_a_persons_commissions_and_receipts_stand_on_their_page_under_every_entry(
    owner_client: Client,
) -> None:
    kept, folded = factories.a_person(), factories.a_person(name="A. Quill")
    commission = a_commission("ready", person=folded, wished="wish-cup")
    bought = factories.a_receipt(Sold(100, words="line-wax"), buyer=folded)
    passed_on = factories.a_receipt(Sold(100, words="line-bowl"), channel="gallery", gallery=kept)
    factories.a_receipt(Sold(100, words="line-other"), buyer=factories.a_person(name="Ivo Reed"))
    merging.merge(kept, folded, factories.a_scribe())
    text = owner_client.get(reverse("bench:person", args=[kept.pk])).content.decode()
    assert reverse("commissions:commission", args=[commission.pk]) in text
    for receipt in (bought, passed_on):
        assert reverse("sales:receipt", args=[receipt.code]) in text
    assert "line-other" not in text
    assert "Promised to them" not in text  # its promise stands with the commission
    assert f"{reverse('commissions:add')}?person={kept.pk}" in text


@pytest.mark.parametrize("count", [1, 3])
def test_a_persons_page_asks_the_same_number_of_queries_for_one_of_each_and_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    person = factories.a_person()
    for _ in range(count):
        a_commission("ready", person=person, tree=factories.a_tree())
        factories.a_receipt(buyer=person)
    url = reverse("bench:person", args=[person.pk])
    owner_client.get(url)
    with django_assert_num_queries(25):
        owner_client.get(url)


def test_a_book_with_nothing_but_a_commission_says_that_it_is_due(owner_client: Client) -> None:
    a_commission("agreed", wished="wish-cup")
    text = owner_client.get(reverse("bench:bench")).content.decode()
    assert "wish-cup" in text
    assert "The book is open and empty" not in text
