"""In and out of the book."""

import pytest
from django.test import Client

from provenance.maker.models import User

pytestmark = pytest.mark.django_db
WORD = {"username": "owner", "password": "a long invented one"}


def is_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def test_the_owner_gets_to_the_bench(client: Client, owner: User) -> None:
    answer = client.post("/sign-in", WORD)
    assert (answer.status_code, answer["Location"]) == (302, "/bench/")
    assert is_in(client)


def test_the_owner_gets_where_they_were_going(client: Client, owner: User) -> None:
    answer = client.get("/shop/?from=card")
    assert answer["Location"] == "/sign-in?next=/shop/%3Ffrom%3Dcard"
    page = client.get(answer["Location"])
    assert '<input type="hidden" name="next" value="/shop/?from=card">' in page.content.decode()
    answer = client.post("/sign-in", {**WORD, "next": "/shop/?from=card"})
    assert answer["Location"] == "/shop/?from=card"


@pytest.mark.parametrize(
    "elsewhere", ["https://stranger.example.org/", "//stranger.example.org", "javascript:alert(1)"]
)
def test_nobody_is_sent_elsewhere(client: Client, owner: User, elsewhere: str) -> None:
    assert client.post("/sign-in", {**WORD, "next": elsewhere})["Location"] == "/bench/"
    assert client.get("/sign-in", {"next": elsewhere})["Location"] == "/bench/"


def test_a_wrong_password_says_what_to_mind(client: Client, owner: User) -> None:
    page = client.post("/sign-in", {**WORD, "password": "guessed"}).content.decode()
    assert "Name and password do not belong together." in page
    assert "guessed" not in page
    assert not is_in(client)


def test_before_there_is_an_owner_the_page_says_how_to_begin(client: Client) -> None:
    assert "This book has no owner yet." in client.get("/sign-in").content.decode()


def test_with_an_owner_it_does_not(client: Client, owner: User) -> None:
    assert "no owner yet" not in client.get("/sign-in").content.decode()


def guess(client: Client, times: int, address: str = "192.0.2.66") -> int:
    """Try wrong passwords; return the last answer's status."""
    status = 0
    for _ in range(times):
        wrong = {**WORD, "password": "guessed"}
        status = client.post("/sign-in", wrong, REMOTE_ADDR=address).status_code
    return status


def test_the_fifth_wrong_try_shuts_the_door_for_a_quarter_of_an_hour(
    client: Client, owner: User
) -> None:
    assert guess(client, 4) == 200
    assert guess(client, 1) == 429
    answer = client.post("/sign-in", WORD, REMOTE_ADDR="192.0.2.66")
    assert answer.status_code == 429
    assert answer["Retry-After"] == "900"
    assert "no-store" in answer["Cache-Control"]
    assert "Wait 15 minutes, then sign in again." in answer.content.decode()


def test_a_stranger_who_guesses_does_not_lock_the_owner_out(client: Client, owner: User) -> None:
    guess(client, 6)
    answer = client.post("/sign-in", WORD, REMOTE_ADDR="192.0.2.7")
    assert answer.status_code == 302


def test_signing_in_forgets_the_wrong_tries(client: Client, owner: User) -> None:
    guess(client, 4, "192.0.2.7")
    assert client.post("/sign-in", WORD, REMOTE_ADDR="192.0.2.7").status_code == 302
    client.logout()
    assert guess(client, 4, "192.0.2.7") == 200


def test_signing_out_takes_a_form(owner_client: Client) -> None:
    assert owner_client.get("/sign-out").status_code == 405
    assert is_in(owner_client)
    assert owner_client.post("/sign-out")["Location"] == "/sign-in"
    assert not is_in(owner_client)


def test_an_old_form_is_told_what_to_do() -> None:
    answer = Client(enforce_csrf_checks=True).post("/sign-in", WORD)
    assert answer.status_code == 403
    assert "What you typed is still in your browser: go back" in answer.content.decode()
