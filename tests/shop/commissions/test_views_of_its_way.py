"""What is done with a commission: its steps, hand-over, calling off, wood and pieces, details."""

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces import promises
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from shop.sales import undoing
from shop.sales.models import Receipt
from tests import factories
from tests.shop.commissions.cast import a_commission, later, paid, promise_of
from tests.shop.commissions.commission_pages import at, desk_of, page, sent

pytestmark = pytest.mark.django_db


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
