"""The desk of a hand-over: what it opens with, and the piece that takes the place of the words."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from provenance.pieces.models import Piece
from shop.commissions import wood
from shop.commissions.models import Commission
from shop.sales.models import Receipt
from tests import factories
from tests.shop.commissions.cast import WISH, a_commission
from tests.shop.commissions.commission_pages import at, desk_of, page

pytestmark = pytest.mark.django_db
UNNAMED = "it takes that line’s place and price"


def worded(commission: Commission, **more: Any) -> dict[str, Any]:
    """The desk as it opens where no piece was named, sent."""
    typed = desk_of(factories.a_piece(), commission)
    return {**typed, "lines-0-piece": "", "lines-0-words": WISH, "lines-0-quantity": "1", **more}


def lines_of(client: Client, commission: Commission, typed: dict[str, Any]) -> list[Any]:
    """Return (piece, words, price) of the lines that the page comes back with."""
    desk = client.post(at("hand_over", commission), typed).context["desk"]
    names = ("piece", "words", "price")
    return [tuple(str(line[name].value() or "") for name in names) for line in desk.lines]


def dear_piece() -> Piece:
    piece = factories.a_piece("finished")
    piece.price_minor = 25000
    piece.save(update_fields=["price_minor"])
    return piece


def test_without_a_piece_the_page_says_what_to_do(owner_client: Client) -> None:
    commission = a_commission("ready")
    assert UNNAMED in page(owner_client, "hand_over", commission)
    wood.make_for_it(commission, [factories.a_piece("finished")], factories.a_scribe())
    text = page(owner_client, "hand_over", commission)
    assert UNNAMED not in text
    assert "shared over what was made" in text


@pytest.mark.parametrize("button", ["add_piece", "add_code"])
def test_the_first_piece_takes_the_place_and_the_price_of_the_words(
    owner_client: Client, button: str
) -> None:
    commission, piece = a_commission("ready"), dear_piece()
    how = {"add_code": piece.code} if button == "add_code" else {
        "add_piece": "1", "add": str(piece.number),
    }  # fmt: skip
    typed = worded(commission, **how, **{"lines-0-price": "175"})
    answer = owner_client.post(at("hand_over", commission), typed)
    desk = answer.context["desk"]
    [line] = desk.lines
    assert (line.piece_row, line["words"].value() or "", line["price"].value()) == (
        piece, "", "175",
    )  # fmt: skip
    assert UNNAMED not in answer.content.decode()


def test_a_second_piece_stands_beside_at_its_own_price_and_the_difference_is_shown(
    owner_client: Client,
) -> None:
    commission, second = a_commission("ready"), dear_piece()
    first = factories.a_piece("finished")
    typed = {**desk_of(first, commission), "add_code": second.code}
    assert lines_of(owner_client, commission, typed) == [
        (first.code, "", "180"), (second.code, "", "250.00"),
    ]  # fmt: skip
    answer = owner_client.post(at("hand_over", commission), typed)
    text = " ".join(answer.content.decode().split())
    assert '<dt>Agreed</dt><dd class="figure">$180</dd>' in text
    assert '<dt>The lines come to</dt><dd class="figure">$430</dd>' in text


@pytest.mark.parametrize(
    "kept",
    [
        {"lines-0-words": "The turning of a lid"},  # the owner's own line
        {"lines-0-quantity": "2"},  # the words stand for more than one thing
    ],
)
def test_what_is_not_the_line_of_the_wish_stays(owner_client: Client, kept: Any) -> None:
    commission, piece = a_commission("ready"), dear_piece()
    typed = worded(commission, **kept, add_code=piece.code)
    assert [code for code, _, _ in lines_of(owner_client, commission, typed)] == ["", piece.code]


def test_a_number_that_is_none_leaves_the_line_and_says_so(owner_client: Client) -> None:
    commission = a_commission("ready")
    typed = worded(commission, add_piece="1", add="26-042-3")
    assert lines_of(owner_client, commission, typed) == [("", WISH, "180")]
    assert "26-042" in owner_client.post(at("hand_over", commission), typed).content.decode()


def test_at_the_agreed_price_only_that_is_shown(owner_client: Client) -> None:
    text = page(owner_client, "hand_over", a_commission("ready"))
    assert '<dt>Agreed</dt><dd class="figure">$180</dd>' in text
    assert "The lines come to" not in text
    sale = owner_client.get(reverse("sales:sell")).content.decode()
    assert "<dt>Agreed</dt>" not in sale


@pytest.mark.parametrize(
    ("price", "said"), [("180", ""), ("150", "Its lines come to $150; agreed was $180.")]
)
def test_another_price_than_the_agreed_one_is_said_once_more_when_it_is_written(
    owner_client: Client, price: str, said: str
) -> None:
    commission, piece = a_commission("ready"), factories.a_piece("finished")
    typed = {**desk_of(piece, commission), "lines-0-price": price}
    text = owner_client.post(at("hand_over", commission), typed, follow=True).content.decode()
    assert said in text
    assert ("agreed was" in text) == bool(said)
    assert Receipt.objects.get().total_minor == int(price) * 100
