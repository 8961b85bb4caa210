"""The list of commissions, writing one down, and the page of one."""

from datetime import date
from typing import Any

import pytest
from django.test import Client

from provenance.pieces.models import Form
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from shop.sales import undoing
from shop.sales.models import Receipt
from tests import factories
from tests.shop.commissions.cast import a_commission, a_draft, later, paid
from tests.shop.commissions.commission_pages import at, page, sent

pytestmark = pytest.mark.django_db


# The list


def test_the_list_shows_what_stands_by_when_it_is_wanted_and_what_ended_below(
    owner_client: Client,
) -> None:
    for wished, state, wanted_by in [
        ("wish-late", "agreed", date(2999, 9, 1)),
        ("wish-soon", "agreed", date(2026, 7, 1)),
        ("wish-someday", "asked", None),
        ("wish-gone", "called-off", date(2026, 1, 1)),
        ("wish-done", "handed-over", None),
    ]:
        a_commission(state, wished=wished, wanted_by=wanted_by)
    text = owner_client.get("/commissions/").content.decode()
    places = [text.index(f"wish-{word}") for word in ("soon", "late", "someday", "done", "gone")]
    assert places == sorted(places)
    assert "3 to make or to hand over" in text
    assert text.count("overdue since") == 1
    assert "R26-001" in text


def test_what_is_ready_is_not_called_overdue_and_offers_the_hand_over(
    owner_client: Client,
) -> None:
    commission = a_commission("ready", wanted_by=date(2026, 6, 1))
    text = owner_client.get("/commissions/").content.decode()
    assert "overdue" not in text
    assert at("hand_over", commission) in text


def test_a_commission_is_found_by_name_or_by_words_of_the_wish(owner_client: Client) -> None:
    a_commission(wished="wish-cup", person=factories.a_person(name="Ivo Reed"))
    a_commission(wished="wish-vase", wood="cherry")
    for find, shown, hidden in [
        ("reed", "wish-cup", "wish-vase"),
        ("CHERRY", "wish-vase", "wish-cup"),
        ("wish-cup", "wish-cup", "wish-vase"),
    ]:
        text = owner_client.get("/commissions/", {"find": find}).content.decode()
        assert shown in text
        assert hidden not in text
    answer = owner_client.get("/commissions/", {"find": "walnut"}).content.decode()
    assert "No commission matches “walnut”" in answer


def test_the_list_says_what_is_held_of_deposits_and_what_belongs_on_an_empty_one(
    owner_client: Client,
) -> None:
    assert "Nothing is asked for just now" in owner_client.get("/commissions/").content.decode()
    orders.take_deposit(a_commission(), paid(5000), factories.a_scribe())
    orders.take_deposit(a_commission(), paid(2500), factories.a_scribe())
    assert "$75" in owner_client.get("/commissions/").content.decode()


def test_typing_answers_with_the_rows_alone(owner_client: Client) -> None:
    a_commission(wished="wish-cup")
    answer = owner_client.get("/commissions/?find=cup", headers={"HX-Request": "true"})
    text = answer.content.decode()
    assert "wish-cup" in text
    assert "<html" not in text


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_asks_the_same_number_of_queries_for_one_row_and_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    tree = factories.a_tree()
    for _ in range(count):
        orders.take_deposit(a_commission("ready", tree=tree), paid(100), factories.a_scribe())
        a_commission("handed-over")
        a_commission("called-off")
    owner_client.get("/commissions/")
    with django_assert_num_queries(10):
        owner_client.get("/commissions/")


# Writing one down


def test_who_and_what_are_enough_and_twice_is_once(owner_client: Client) -> None:
    typed = sent(person_name="Nell Quill", wished="A bowl for the\nwedding.")
    for _ in range(2):
        answer = owner_client.post("/commissions/add/", typed)
    commission = Commission.objects.get()
    assert answer["Location"] == at("commission", commission)
    assert (str(commission.person), commission.state) == ("Nell Quill", "asked")
    assert commission.wished == "A bowl for the\nwedding."
    assert commission.promise is None


def test_all_that_is_known_is_taken_and_a_price_is_an_agreement(owner_client: Client) -> None:
    tree, pen = factories.a_tree(), Form.objects.get(slug="pen")
    typed = sent(
        person_name="Nell Quill", wished="A pen.", form=pen.pk, least_mm="120", most_mm="5 1/2 in",
        wood="maple", tree=tree.pk, price="85.50", wanted_by="2999-01-01", asked_on="2026-06-01",
        notes="Met at the ferry.",
    )  # fmt: skip
    owner_client.post("/commissions/add/", typed)
    made = Commission.objects.get()
    assert (made.form, made.least_mm, made.most_mm, made.wood, made.tree) == (
        pen, 120, 140, "maple", tree,
    )  # fmt: skip
    assert (made.state, made.price_minor, made.wanted_by, made.asked_on, made.notes) == (
        "agreed", 8550, date(2999, 1, 1), date(2026, 6, 1), "Met at the ferry.",
    )  # fmt: skip
    assert made.promise.tree == tree
    text = page(owner_client, "commission", made)
    assert "120 mm (4 3/4 in) to 140 mm (5 1/2 in) long" in text


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"wished": "A bowl."}, "Say who asks."),
        ({"person_name": "Nell"}, "Write down what they wish."),
        ({"least_mm": "300", "most_mm": "200"}, "more than the largest size"),
        ({"asked_on": "2999-01-01"}, "still to come"),
        ({"tree": "999999999999999999999"}, "Select a valid choice"),
    ],
)
def test_what_can_not_be_written_down_comes_back_with_what_was_typed(
    owner_client: Client, typed: dict[str, str], sentence: str
) -> None:
    whole = typed if sentence[0] in "SW" and "tree" not in typed else {
        "person_name": "Nell Quill", "wished": "A bowl.", **typed,
    }  # fmt: skip
    text = owner_client.post("/commissions/add/", sent(**whole)).content.decode()
    assert sentence in text
    assert whole.get("wished", "") in text
    assert not Commission.objects.exists()


def test_a_person_and_a_tree_may_come_along(owner_client: Client) -> None:
    person, tree = factories.a_person(name="Nell Quill"), factories.a_tree()
    text = owner_client.get(f"/commissions/add/?person={person.pk}&tree={tree.code}")
    assert 'value="Nell Quill"' in text.content.decode()
    assert f'value="{tree.pk}" selected' in text.content.decode()
    owner_client.get("/commissions/add/?person=nobody&tree=none")


# The page of one


def test_the_page_tells_what_is_wished_held_still_to_pay_and_what_happened(
    owner_client: Client,
) -> None:
    commission = a_commission("agreed", wood="cherry", wanted_by=date(2026, 6, 20))
    section, piece = factories.a_section(), factories.a_piece()
    scribe = factories.a_scribe()
    wood.keep_wood(commission, scribe, sections=[section], pieces=[])
    wood.make_for_it(commission, [piece], scribe)
    orders.take_deposit(commission, paid(5000, "card", words="At the booth"), scribe)
    orders.give_back_deposit(commission, paid(1000), scribe)
    text = page(owner_client, "commission", commission)
    for words in [
        commission.wished, "Cherry", str(section), str(piece.number), "overdue: it was wanted by",
        "$40</span>, owed to them until hand-over", "$140</span>, and tax where it is due",
        "Asked.", "Agreed. Price $180.", f"Made for it: {piece.number}.",
        "Deposit of $50, card. At the booth", "$10 of the deposit given back, cash.",
    ]:  # fmt: skip
        assert words in text, words


@pytest.mark.parametrize(
    ("state", "button"),
    [
        ("asked", "Agree on a price"), ("agreed", "Begin making it"), ("making", "It is ready"),
        ("ready", "Hand it over"), ("handed-over", ""), ("called-off", ""),
    ],
)  # fmt: skip
def test_one_main_button_says_what_is_next(owner_client: Client, state: str, button: str) -> None:
    text = page(owner_client, "commission", a_commission(state))
    assert text.count("button-main") == bool(button)
    assert button in text.partition("button-main")[2]
    assert ("Call it off" in text) == bool(button)


def test_what_an_ended_one_still_holds_is_said_with_a_way_to_give_it_back(
    owner_client: Client,
) -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    orders.take_deposit(commission, paid(20000), scribe)
    orders.hand_over(commission, a_draft(commission, scribe), scribe)
    text = page(owner_client, "commission", commission)
    assert "$20</span> of the deposit is still held. It is owed to Ada Quill." in text
    assert at("give_back", commission) in text


def test_what_happened_is_told_when_a_receipt_was_voided(owner_client: Client) -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    orders.hand_over(commission, a_draft(commission, scribe), scribe)
    undoing.void(Receipt.objects.get(), "Wrong person", later(1))
    text = page(owner_client, "commission", commission)
    assert "is void, so this is ready again" in text
    assert "$50 of the deposit taken off receipt R26-001." in text
    assert "$50 of the deposit held again: receipt R26-001 is void." in text
    owner_client.post(at("take_up", commission))
    text = page(owner_client, "commission", commission)
    assert "so this is ready again" not in text
    assert "Ready. Receipt R26-001 is void." in text


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_asks_the_same_number_of_queries_for_one_of_each_and_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    sections = [factories.a_section() for _ in range(count)]
    wood.keep_wood(commission, scribe, sections=sections, pieces=factories.some_pieces(count))
    wood.make_for_it(commission, factories.some_pieces(count), scribe)
    for _ in range(count):
        orders.take_deposit(commission, paid(100), scribe)
    page(owner_client, "commission", commission)
    with django_assert_num_queries(17):
        page(owner_client, "commission", commission)
