"""The pages of commissions."""

import uuid
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces import promises
from provenance.pieces.models import Form
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from shop.sales import undoing
from shop.sales.models import Receipt
from tests import factories
from tests.shop.commissions.cast import a_commission, a_draft, later, paid, promise_of

pytestmark = pytest.mark.django_db


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), **typed}


def at(name: str, commission: Commission) -> str:
    return reverse(f"commissions:{name}", args=[commission.pk])


def page(client: Client, name: str, commission: Commission) -> str:
    return " ".join(client.get(at(name, commission)).content.decode().split())


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


# Its way


def test_its_way_goes_button_by_button(owner_client: Client) -> None:
    commission = a_commission()
    owner_client.post(
        at("agree", commission), sent(price="180", on="2026-06-15", words="By letter.")
    )
    for name, state in [("begin", "making"), ("ready", "ready"), ("begin", "making")]:
        owner_client.post(at(name, commission))
        commission.refresh_from_db()
        assert (commission.state, commission.price_minor) == (state, 18000)


def test_a_step_that_does_not_go_says_why(owner_client: Client) -> None:
    answer = owner_client.post(at("begin", a_commission()), follow=True)
    assert "No price is agreed yet" in answer.content.decode()
    over = a_commission("called-off")
    text = owner_client.post(at("agree", over), sent(price="1", on="2026-06-15"))
    assert "was called off" in text.content.decode()


@pytest.mark.parametrize(
    ("state", "names", "sentence"),
    [
        ("asked", ["hand_over"], "No price is agreed yet: agree on one first."),
        (
            "handed-over",
            ["agree", "hand_over", "call_off", "deposit", "wood", "pieces"],
            "handed over: void receipt R26-001",
        ),
        (
            "called-off",
            ["agree", "hand_over", "call_off", "deposit", "wood", "pieces"],
            "This commission was called off",
        ),
    ],
)
def test_what_is_no_longer_open_leads_back_to_the_commission_and_says_why(
    owner_client: Client, state: str, names: list[str], sentence: str
) -> None:
    commission = a_commission(state)
    for name in names:
        answer = owner_client.get(at(name, commission), follow=True)
        assert answer.redirect_chain == [(at("commission", commission), 302)], name
        assert sentence in answer.content.decode(), name
    for name in ("begin", "ready"):
        text = owner_client.post(at(name, commission), follow=True).content.decode()
        assert sentence.split(":")[0] in text, name


def test_once_its_receipt_is_void_its_ways_are_open_again(owner_client: Client) -> None:
    commission = a_commission("handed-over")
    undoing.void(Receipt.objects.get(), "Wrong person", later(1))
    for name in ("agree", "hand_over", "call_off", "deposit", "wood", "pieces"):
        assert "<form" in page(owner_client, name, commission).partition("<main")[2], name


def test_handing_over_is_a_sale_of_what_was_made_less_the_deposit(owner_client: Client) -> None:
    commission, scribe = a_commission("ready"), factories.a_scribe()
    piece = factories.a_piece("finished")
    wood.make_for_it(commission, [piece], scribe)
    orders.take_deposit(commission, paid(5000), scribe)
    text = page(owner_client, "hand_over", commission)
    assert "$50</span> is taken off" in text
    typed = desk_of(piece, commission)
    for _ in range(2):
        answer = owner_client.post(at("hand_over", commission), typed)
    receipt = Receipt.objects.get()
    assert answer["Location"] == reverse("sales:receipt", args=[receipt.code])
    assert (receipt.total_minor, receipt.owed_minor) == (18000, 0)
    commission.refresh_from_db()
    assert (commission.state, commission.receipt) == ("handed-over", receipt)


def desk_of(piece: Any, commission: Commission, **more: Any) -> dict[str, Any]:
    return sent(
        **{
            "lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "0",
            "lines-0-piece": piece.code, "lines-0-price": "180",
            "payments-TOTAL_FORMS": "1", "payments-INITIAL_FORMS": "0",
            "payments-0-kind": factories.a_kind().pk, "channel": "direct", "tax": "none",
            "prices": "added", "sold_on": factories.NOW.date().isoformat(),
            "buyer_name": str(commission.person), "buyer_choice": str(commission.person_id),
        },
        **more,
    )  # fmt: skip


def test_a_hand_over_that_is_refused_shows_the_sentence_and_writes_nothing(
    owner_client: Client,
) -> None:
    commission = a_commission()
    answer = owner_client.post(
        at("hand_over", commission), desk_of(factories.a_piece("finished"), commission)
    )
    assert "No price is agreed yet: agree on one first." in answer.content.decode()
    assert not Receipt.objects.exists()


def test_calling_off_offers_to_return_all_of_it_and_keeps_what_is_asked(
    owner_client: Client,
) -> None:
    commission, scribe = a_commission("agreed"), factories.a_scribe()
    orders.take_deposit(commission, paid(5000), scribe)
    text = page(owner_client, "call_off", commission)
    assert 'name="returned" value="50.00"' in text
    assert 'name="kept" value="0.00"' in text
    assert "a question for your tax authority" in text
    typed = sent(why="They moved away.", returned="30", kept="20", on="2026-06-15")
    answer = owner_client.post(at("call_off", commission), typed)
    assert "Say how it is returned." in answer.content.decode()
    typed["kind"] = factories.a_kind("transfer").pk
    wrong = owner_client.post(at("call_off", commission), {**typed, "kept": "21"})
    assert "$50 is held" in wrong.content.decode()
    for _ in range(2):
        owner_client.post(at("call_off", commission), typed)
    commission.refresh_from_db()
    assert (commission.state, commission.held_minor) == ("called-off", 0)
    assert commission.receipt.total_minor == 2000
    assert "Deposit kept" in page(owner_client, "commission", commission)


def test_without_a_deposit_calling_off_asks_only_why_and_when(owner_client: Client) -> None:
    commission = a_commission()
    assert 'name="returned"' not in page(owner_client, "call_off", commission)
    owner_client.post(at("call_off", commission), sent(why="Too dear.", on="2026-06-15"))
    commission.refresh_from_db()
    assert commission.state == "called-off"


# Wood and pieces


def test_sections_of_its_tree_are_ticked_and_other_wood_is_named(owner_client: Client) -> None:
    section, other, piece = factories.a_section(), factories.a_section(), factories.a_piece()
    commission = a_commission("agreed", tree=section.tree)
    assert f'value="{section.pk}"' in page(owner_client, "wood", commission)
    owner_client.post(
        at("wood", commission), {"sections": [section.pk], "numbers": f"{other}, {piece.number}"}
    )
    promise = promise_of(Commission.objects.get())
    assert set(promise.sections.all()) == {section, other}
    assert list(promise.pieces.all()) == [piece]
    text = page(owner_client, "wood", commission)
    assert f'value="{section.pk}" id="id_sections_0" checked' in text
    assert f"{other}, {piece.number}" in text


def test_wood_that_can_not_be_kept_says_why(owner_client: Client) -> None:
    commission, lost = a_commission(), factories.a_piece("lost")
    answer = owner_client.post(at("wood", commission), {"numbers": str(lost.number)})
    assert "recorded as lost" in answer.content.decode()


def test_likely_pieces_are_ticked_and_others_are_named(owner_client: Client) -> None:
    commission, scribe = a_commission("making"), factories.a_scribe()
    section = factories.a_section()
    [cut] = factories.some_pieces(source=section)
    other = factories.a_piece()
    wood.keep_wood(commission, scribe, sections=[section], pieces=[])
    assert f'value="{cut.code}"><span' in page(owner_client, "pieces", commission)
    owner_client.post(at("pieces", commission), {"piece": [cut.code], "numbers": str(other.number)})
    assert set(commission.pieces.all()) == {cut, other}
    text = page(owner_client, "pieces", commission)
    assert f'value="{cut.code}" checked' in text
    owner_client.post(at("pieces", commission), {"piece": [other.code]})
    assert list(commission.pieces.all()) == [other]


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"piece": ["999999"]}, "went elsewhere"),
        ({"numbers": "26-042-3"}, "check the last character"),
        ({"numbers": ",".join(["26-042-8"] * 61)}, "60 pieces at most"),
    ],
)
def test_a_piece_that_is_none_of_ours_is_refused(
    owner_client: Client, typed: dict[str, Any], sentence: str
) -> None:
    answer = owner_client.post(at("pieces", a_commission()), typed)
    assert sentence in answer.content.decode()


def test_a_piece_promised_to_somebody_else_is_refused_on_the_page(owner_client: Client) -> None:
    piece, ivo = factories.a_piece(), factories.a_person(name="Ivo Reed")
    promises.make(factories.a_scribe(), "A cup.", to=ivo, pieces=[piece])
    answer = owner_client.post(at("pieces", a_commission()), {"numbers": str(piece.number)})
    assert "kept for another promise" in answer.content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_pieces_to_tick_ask_the_same_number_of_queries_for_one_and_for_three(
    owner_client: Client, count: int, django_assert_num_queries: Any
) -> None:
    commission = a_commission("making")
    wood.make_for_it(commission, factories.some_pieces(count), factories.a_scribe())
    page(owner_client, "pieces", commission)
    with django_assert_num_queries(15):
        page(owner_client, "pieces", commission)


# Details


def edited(client: Client, commission: Commission, **typed: Any) -> dict[str, Any]:
    form = client.get(at("edit", commission)).context["form"]
    values = {name: form[name].value() or "" for name in form.fields}
    return {**values, **typed}


def test_details_are_changed_and_told(owner_client: Client) -> None:
    commission = a_commission("agreed", wood="cherry")
    typed = edited(owner_client, commission, wood="ash", wanted_by="2999-01-01")
    owner_client.post(at("edit", commission), typed)
    commission.refresh_from_db()
    assert (commission.wood, commission.wanted_by) == ("ash", date(2999, 1, 1))
    assert str(commission.person) == "Ada Quill"
    assert "wood (before: cherry)" in page(owner_client, "commission", commission)
    again = edited(owner_client, commission)
    text = owner_client.post(at("edit", commission), again, follow=True).content.decode()
    assert "Nothing had changed." in text


def test_what_another_window_changed_meanwhile_is_not_overwritten_unseen(
    owner_client: Client,
) -> None:
    commission = a_commission("agreed", wood="cherry")
    typed = edited(owner_client, commission, wood="ash")
    orders.amend(commission, {"wood": "walnut"}, factories.a_scribe())
    answer = owner_client.post(at("edit", commission), typed)
    text = answer.content.decode()
    assert "changed in another window" in text
    assert 'value="ash"' in text
    commission.refresh_from_db()
    assert commission.wood == "walnut"
    seen = answer.context["form"].data["seen"]
    owner_client.post(at("edit", commission), {**typed, "seen": seen})
    commission.refresh_from_db()
    assert commission.wood == "ash"
