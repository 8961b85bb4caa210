"""What every answer goes through."""

from typing import Any

import pytest
from django.conf import settings
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from django.utils import timezone

from provenance.maker.models import User
from shop.keeping.middleware import NotTooMuch, PrivateUnlessSaid, SecureCookies, ShopClock
from tests import factories

pytestmark = pytest.mark.django_db
WORD = {"username": "owner", "password": "a long invented one"}


def answered(request: HttpRequest) -> HttpResponse:
    return HttpResponse("A private page.")


def test_cookies_are_secure_over_https_only(client: Client, owner: User) -> None:
    plain = client.post("/sign-in", WORD)
    assert plain.cookies["bolebook"]["httponly"]
    assert not [name for name, morsel in plain.cookies.items() if morsel["secure"]]
    safe = Client().post("/sign-in", WORD, secure=True)
    assert {"bolebook", "bolebook-form"} <= set(safe.cookies)
    assert all(morsel["secure"] for morsel in safe.cookies.values())


def test_a_cookie_set_by_any_view_is_marked() -> None:
    def with_cookie(request: HttpRequest) -> HttpResponse:
        response = answered(request)
        response.set_cookie("taste", "ash")
        return response

    request = RequestFactory().get("/", secure=True)
    assert SecureCookies(with_cookie)(request).cookies["taste"]["secure"]


def through(request: HttpRequest, user: Any, *, is_private: bool = True) -> Any:
    """Return what `PrivateUnlessSaid` answers."""
    request.user = user
    view = answered if is_private else type("Open", (), {"login_required": False})()
    middleware = PrivateUnlessSaid(
        lambda r: middleware.process_view(r, view, (), {}) or answered(r)
    )
    return middleware(request)


def test_a_stranger_is_sent_to_sign_in_and_the_answer_is_kept_nowhere() -> None:
    answer = through(RequestFactory().get("/trees/?page=2"), AnonymousUser())
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in?next=/trees/%3Fpage%3D2")
    assert "no-store" in answer["Cache-Control"]


def test_the_owner_gets_a_page_that_is_kept_nowhere(owner: User) -> None:
    answer = through(RequestFactory().get("/trees/"), owner)
    assert answer.content == b"A private page."
    assert "no-store" in answer["Cache-Control"]
    assert "HX-Request" in answer["Vary"]


def test_a_public_page_may_be_kept() -> None:
    answer = through(RequestFactory().get("/P/260428"), AnonymousUser(), is_private=False)
    assert answer.status_code == 200
    assert "Cache-Control" not in answer


def test_a_strangers_fragment_sends_the_whole_browser_to_sign_in() -> None:
    request = RequestFactory().get(
        "/pieces/rows?page=2",
        headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/pieces/?find=ash"},
    )
    answer = through(request, AnonymousUser())
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer["HX-Redirect"] == "/sign-in?next=/pieces/%3Ffind%3Dash"


def test_a_form_sent_after_sign_out_comes_back_to_its_page() -> None:
    request = RequestFactory().post("/pieces/move", headers={"Referer": "http://testserver/bench/"})
    assert through(request, AnonymousUser())["Location"] == "/sign-in?next=/bench/"


@pytest.mark.parametrize("referer", ["", "https://stranger.example.org/x"])
def test_nobody_comes_back_to_somewhere_else(referer: str) -> None:
    request = RequestFactory().post("/pieces/move", headers={"Referer": referer})
    assert through(request, AnonymousUser())["Location"] == "/sign-in?next=/"


def test_moments_are_shown_on_the_shops_clock() -> None:
    factories.a_shop(time_zone="Pacific/Auckland")
    seen = []
    ShopClock(lambda r: seen.append(timezone.get_current_timezone_name()) or answered(r))(  # type: ignore[func-returns-value]
        RequestFactory().get("/")
    )
    assert seen == ["Pacific/Auckland"]
    assert timezone.get_current_timezone_name() == "UTC"


def test_every_page_carries_the_policies(client: Client) -> None:
    answer = client.get("/sign-in")
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]
    assert answer["X-Frame-Options"] == "DENY"
    assert answer["Referrer-Policy"] == "same-origin"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "no-store" in answer["Cache-Control"]


def test_a_form_too_large_is_refused_unread_in_words(client: Client, owner: User) -> None:
    client.force_login(owner)
    answer = client.post(
        "/trees/register/", {}, CONTENT_LENGTH=str(settings.FORM_MAX_BYTES + 1), secure=True
    )
    assert answer.status_code == 400
    assert "choose fewer photos" in answer.content.decode()
    assert "Content-Security-Policy" in answer.headers


@pytest.mark.parametrize("length", ["", "0", "12", "²", str(32 * 1024 * 1024)])
def test_other_forms_are_let_through(length: str) -> None:
    request = RequestFactory().post("/", CONTENT_LENGTH=length)
    assert NotTooMuch(answered)(request).status_code == 200
