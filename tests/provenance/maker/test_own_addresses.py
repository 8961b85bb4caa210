"""Where a page sends the browser on to."""

import pytest
from django.test import Client, RequestFactory

from provenance.maker.own_addresses import own_address


@pytest.mark.parametrize("wanted", ["/", "/pieces/?page=2", "/P/260428#care"])
def test_a_path_of_the_shop_is_taken(wanted):
    assert own_address(RequestFactory().get("/"), wanted) == wanted


@pytest.mark.parametrize(
    "wanted",
    ["", "bench", "//evil.example.org", "/\\evil.example.org", "///evil.example.org",
     "https://evil.example.org/", "javascript:alert(1)", " /pieces/", "http://testserver/pieces/"],
)  # fmt: skip
def test_anything_else_is_not(wanted):
    assert own_address(RequestFactory().get("/"), wanted) == ""


@pytest.mark.parametrize("wanted", ["bench", "-1", "maker:sign_out", "//evil.example.org"])
def test_the_owner_signed_in_already_goes_to_the_bench_from_a_strange_link(owner_client, wanted):
    response = owner_client.get("/sign-in", {"next": wanted})
    assert (response.status_code, response["Location"]) == (302, "/bench/")


def test_signing_in_leads_on_to_a_path_only(owner, db):
    typed = {"username": owner.username, "password": "a long invented one", "next": "pieces/"}
    assert Client().post("/sign-in", typed)["Location"] == "/bench/"
    typed["next"] = "/pieces/?page=2"
    assert Client().post("/sign-in", typed)["Location"] == "/pieces/?page=2"
