"""Bought stock: entering it, its papers and cautions, finding it."""

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from provenance.people.models import Person
from provenance.trees.models import BoughtStock
from tests.factories import a_person, some_stock


def typed(**more: Any) -> dict[str, Any]:
    return {
        "token": str(uuid4()),
        "name": "Pen blanks",
        "species": "cocobolo",
        "certainty": "sure",
        **more,
    }


def test_stock_is_entered_with_its_papers(owner_client: Client) -> None:
    response = owner_client.post(
        "/stock/add/",
        typed(
            quantity="12",
            supplier_name="Wrenshire Timber Yard",
            invoice="2231",
            bought="May 2026",
            cost_minor="84.50",
            origin_claim="“legal, Mexico”",
            listed_scientific_name="Dalbergia retusa",
            listed_country="Mexico",
            listed_permit="MX 0001",
        ),
    )
    stock = BoughtStock.objects.get()
    assert response.headers["Location"] == f"/stock/{stock.pk}/"
    assert (stock.species_slug, stock.quantity, stock.cost_minor) == ("cocobolo", 12, 8450)
    assert stock.supplier == Person.objects.get(name="Wrenshire Timber Yard")
    page = owner_client.get(f"/stock/{stock.pk}/").content.decode()
    assert "MX 0001" in page and "$84.50" in page
    assert "Papers not entered" not in page


def test_a_wood_with_limits_on_its_trade_asks_for_its_papers(owner_client: Client) -> None:
    stock = some_stock()
    page = owner_client.get(f"/stock/{stock.pk}/").content.decode()
    assert "Papers not entered:" in page
    assert "the scientific name, the country of harvest, the permit number" in page
    assert "ask the authority" in page
    assert "ALL WOODS" in page
    assert "papers missing" in owner_client.get("/stock/").content.decode()


def test_a_wood_without_known_limits_asks_for_none(owner_client: Client) -> None:
    stock = some_stock(species_words="sugar maple")
    page = owner_client.get(f"/stock/{stock.pk}/").content.decode()
    assert "Papers not entered" not in page
    assert "does not make it safe" in page


def test_a_form_sent_twice_enters_one_lot(owner_client: Client) -> None:
    form = typed(supplier_name="Wrenshire Timber Yard")
    for _ in range(2):
        owner_client.post("/stock/add/", form)
    assert (BoughtStock.objects.count(), Person.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("species", ""),
        ("quantity", "0"),
        ("quantity", "9" * 40),
        ("cost_minor", "a lot"),
        ("cost_minor", "9" * 29),
        ("bought", "2999"),
        ("listed_permit", "x" * 10_000),
        ("notes", "x" * 10_000),
    ],
)
def test_what_cannot_be_kept_comes_back_as_typed(
    owner_client: Client, field: str, value: str
) -> None:
    response = owner_client.post("/stock/add/", typed(invoice="2231") | {field: value})
    assert response.context["form"].errors[field]
    assert 'value="2231"' in response.content.decode()
    assert not BoughtStock.objects.exists()


def edit_form(client: Client, stock: BoughtStock) -> dict[str, Any]:
    form = client.get(f"/stock/{stock.pk}/edit/").context["form"]
    values = {name: form[name].value() for name in form.fields}
    shown = {name: form.fields[name].prepare_value(value) for name, value in values.items()}
    return {name: value for name, value in shown.items() if value not in (None, False)}


def test_a_form_sent_back_untouched_changes_nothing(owner_client: Client) -> None:
    stock = some_stock(supplier=a_person(), cost_minor=8450, species_words="a Narra burl")
    owner_client.post(f"/stock/{stock.pk}/edit/", edit_form(owner_client, stock))
    assert stock.journal.entries.count() == 1


def test_a_change_is_written_and_journalled(owner_client: Client) -> None:
    stock = some_stock(quantity=12)
    form = edit_form(owner_client, stock) | {"used_up": "on", "supplier_name": "Ada Quill"}
    owner_client.post(f"/stock/{stock.pk}/edit/", form)
    stock.refresh_from_db()
    assert stock.used_up and stock.supplier == Person.objects.get(name="Ada Quill")
    [entry] = stock.journal.entries.exclude(changes={})
    assert entry.changes["used_up"] == [False, True]


def test_two_windows_do_not_overwrite_each_other_unseen(owner_client: Client) -> None:
    stock = some_stock()
    url = f"/stock/{stock.pk}/edit/"
    one, other = edit_form(owner_client, stock), edit_form(owner_client, stock)
    owner_client.post(url, one | {"invoice": "1"})
    page = owner_client.post(url, other | {"invoice": "2"}).content.decode()
    assert "changed in another window" in page
    stock.refresh_from_db()
    assert stock.invoice == "1"


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_as_many_queries_for_one_as_for_three(
    owner_client: Client, django_assert_num_queries: Any, count: int
) -> None:
    for _ in range(count):
        some_stock(supplier=a_person())
    with django_assert_num_queries(6):  # session, user, shop's clock, count, rows, shop
        page = owner_client.get("/stock/").content.decode()
    assert page.count('class="row"') == count


def test_what_is_used_up_shows_only_when_asked_for(owner_client: Client) -> None:
    left, gone = some_stock(), some_stock(name="Ebony ends", used_up=True)
    assert list(owner_client.get("/stock/").context["page"]) == [left]
    assert set(owner_client.get("/stock/", {"used_up": "yes"}).context["page"]) == {left, gone}
    page = owner_client.get("/stock/", {"find": "ebony"}).content.decode()
    assert "tick “Used up, too”" in page


@pytest.mark.parametrize("find", ["élodie", "É", "COCOBOLO", "pen", "Dalbergia", "2231"])
def test_typing_finds_in_any_case(owner_client: Client, find: str) -> None:
    stock = some_stock(
        species_slug="cocobolo",
        species_words="",
        supplier=a_person(name="Élodie Marchbank"),
        invoice="No. 2231",
    )
    some_stock(name="Lid board", species_words="sugar maple")
    assert list(owner_client.get("/stock/", {"find": find}).context["page"]) == [stock]


def test_an_empty_list_and_odd_pages_are_shown(owner_client: Client) -> None:
    assert "No bought stock" in owner_client.get("/stock/").content.decode()
    some_stock()
    assert len(owner_client.get("/stock/", {"page": "abc"}).context["page"]) == 1
    rows = owner_client.get("/stock/", headers={"HX-Request": "true"}).content.decode()
    assert "<h1>" not in rows


def test_notes_are_written_into_its_journal(owner_client: Client) -> None:
    stock = some_stock()
    owner_client.post(f"/stock/{stock.pk}/notes/", {"words": "Two of them checked"})
    assert stock.journal.entries.get(kind="note").words == "Two of them checked"
    assert owner_client.get("/stock/99/").status_code == 404
