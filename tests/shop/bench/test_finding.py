"""One box that finds anything."""

import pytest
from django.urls import reverse

from shop.sales.checkout import Sold
from tests import factories

pytestmark = pytest.mark.django_db


def find(client, text):
    return client.get(reverse("bench:find"), {"q": text})


def wrong_check(number) -> str:
    return str(number)[:-1] + ("0" if number.code[-1] != "0" else "1")


@pytest.mark.parametrize(
    "write", [str, str.lower, lambda n: n.replace("-", ""), lambda n: f" {n} "]
)
def test_a_number_leads_straight_to_its_piece(owner_client, write):
    piece = factories.a_piece()
    response = find(owner_client, write(str(piece.number)))
    assert response["Location"] == reverse("bench:piece", args=[piece.code])


def test_letters_that_look_like_digits_are_read_as_digits(owner_client):
    piece = factories.a_piece()
    typed = str(piece.number).replace("0", "O").replace("1", "l")
    assert find(owner_client, typed)["Location"] == reverse("bench:piece", args=[piece.code])


def test_a_section_leads_to_its_tree(owner_client):
    section = factories.a_section()
    response = find(owner_client, str(section))
    assert response["Location"] == reverse("bench:tree", args=[section.tree.code])


def test_a_scanned_public_address_leads_to_the_piece(owner_client):
    piece = factories.a_piece()
    response = find(owner_client, f"https://saltmarsh.example.org/P/{piece.code}")
    assert response["Location"] == reverse("bench:piece", args=[piece.code])


def test_a_slip_is_said_and_near_numbers_that_exist_are_offered(owner_client):
    piece = factories.some_pieces(2)[0]
    page = find(owner_client, wrong_check(piece.number)).content.decode()
    assert f"{wrong_check(piece.number)} is not a number of ours: check the last character." in page
    assert reverse("bench:piece", args=[piece.code]) in page


def test_near_numbers_that_do_not_exist_are_not_offered(owner_client):
    page = find(owner_client, "26-042-3").content.decode()
    assert "is not a number of ours" in page
    assert "Did you mean" not in page


def test_a_sound_number_that_nothing_has_is_said(owner_client):
    page = find(owner_client, "26-042-8").content.decode()
    assert "26-042-8 is a sound number, but nothing in the book has it." in page


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("maple", "Salad bowl in bigleaf maple"),
        ("acer macro", "Salad bowl in bigleaf maple"),
        ("HOLLIN", "Bigleaf maple"),
        ("quill", "Ada Quill"),
        ("555-0142", "Ada Quill"),
        ("cocobolo", "Cocobolo pen blanks"),
        ("No. 14", "No. 14"),
    ],
)
def test_words_find_pieces_trees_people_and_stock(owner_client, text, found):
    factories.a_piece(old_mark="No. 14")
    factories.a_person(phone="555-0142")
    factories.some_stock()
    assert found in find(owner_client, text).content.decode()


def test_accents_are_found_in_either_case(owner_client):
    factories.a_tree(public_place="Élan Weir")
    assert "Élan Weir" in find(owner_client, "éLAN").content.decode()


@pytest.mark.parametrize("text", ["", "\x00", "🌳", "%", "_", "x" * 3000, "'; --"])
def test_whatever_is_typed_gets_a_page(owner_client, text):
    assert find(owner_client, text).status_code == 200


def test_nothing_found_says_what_may_be_typed(owner_client):
    assert "Nothing in the book matches" in find(owner_client, "zebrano").content.decode()


@pytest.mark.parametrize("typed", ["R26-001", "r26001", "R 26 1"])
def test_a_receipts_number_leads_straight_to_it(owner_client, typed):
    receipt = factories.a_receipt()
    assert find(owner_client, typed)["Location"] == reverse("sales:receipt", args=[receipt.code])


def test_a_receipt_that_is_not_there_is_said_to_be_none(owner_client):
    page = find(owner_client, "r26-007").content.decode()
    assert "No receipt has the number R26-007." in page


@pytest.mark.parametrize("text", ["quay", "spoon", "quill"])
def test_words_find_receipts(owner_client, text):
    receipt = factories.a_receipt(
        Sold(1_500, words="Spoon of plum"), place="Quay Market", buyer=factories.a_person()
    )
    factories.a_receipt(Sold(900, words="Ring dish"))
    page = find(owner_client, text)
    assert [row.receipt for row in page.context["receipts"]] == [receipt]
    assert reverse("sales:receipt", args=[receipt.code]) in page.content.decode()
