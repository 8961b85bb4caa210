"""The stranger's pages."""

from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from provenance.people.models import Person
from provenance.pieces import custody, publishing
from provenance.pieces.models import Custody, Method
from provenance.public import pages
from provenance.record import journal
from provenance.record.album import add_photo
from tests import factories

pytestmark = pytest.mark.django_db


@pytest.fixture
def stranger(shop) -> Client:
    return Client()


@pytest.fixture
def published(shop):
    piece = factories.a_piece("finished", diameter_mm=292, height_mm=108)
    publishing.publish([piece], factories.a_scribe())
    piece.refresh_from_db()
    return piece


def test_a_piece_tells_its_story_from_tree_to_today(stranger, published):
    page = stranger.get(f"/P/{published.code}").content.decode().replace("\xa0", " ")
    for words in (
        "Salad bowl in bigleaf maple",
        str(published.number),
        "about 90 rings",
        "A storm brought it down in March 2023",
        "Roughed out green",
        "In the shop",
        "292 × 108 mm (11 1/2 × 4 1/4 in)",
        "Wash by hand, dry at once.",
        "Saltmarsh Lane Turnery",
    ):
        assert words in page


def test_what_was_left_to_move_says_how_oval_to_expect_it(stranger, published):
    assert "Shape" not in stranger.get(f"/P/{published.code}").content.decode()
    single = factories.a_piece("finished", method=Method.SINGLE, diameter_mm=200)
    publishing.publish([single], factories.a_scribe())
    page = stranger.get(f"/P/{single.code}").content.decode()
    assert "Turned green in one go and left to move as it dried: expect its rim" in page


def test_no_cookie_script_or_sign_in_is_needed(stranger, published):
    for address in ("/", f"/P/{published.code}", f"/T/{published.trees.get().code}"):
        response = stranger.get(address)
        assert response.status_code == 200
        assert not response.cookies
        assert b"<script" not in response.content
        assert "public" in response["Cache-Control"]


def test_lower_case_and_dashes_lead_to_the_one_address(stranger, published):
    code = published.code
    assert stranger.get(f"/p/{code.lower()}").status_code == 200
    for other in (str(published.number), f"{code[:2]} {code[2:]}"):
        response = stranger.get(f"/p/{other}")
        assert (response.status_code, response["Location"]) == (301, f"/P/{code}")


def test_unpublished_unknown_and_slipped_numbers_give_the_same_404(stranger, published):
    hidden = factories.a_piece("finished")
    answers = [
        stranger.get(f"/P/{code}") for code in (hidden.code, "269994", "260420", "nonsense", "T26")
    ]
    assert {a.status_code for a in answers} == {404}
    assert len({a.content for a in answers}) == 1
    assert len({tuple(sorted(a.headers.items())) for a in answers}) == 1


def test_a_withdrawn_piece_is_gone_again(stranger, published):
    publishing.withdraw([published], factories.a_scribe())
    assert stranger.get(f"/P/{published.code}").status_code == 404
    assert stranger.get(f"/T/{published.trees.get().code}").status_code == 404


def test_the_owner_sees_an_unpublished_page_and_is_told_so(owner_client):
    piece = factories.a_piece("finished")
    response = owner_client.get(f"/P/{piece.code}")
    assert b"it is not published yet" in response.content
    assert "no-store" in response["Cache-Control"]


def test_the_tree_shows_only_its_published_pieces(stranger, published):
    tree = published.trees.get()
    other = factories.a_piece(source=published.parts.get().section)
    page = stranger.get(f"/T/{tree.code}").content.decode()
    assert str(published.number) in page
    assert str(other.number) not in page


def test_a_number_is_asked_for_and_led_to_its_page(stranger, published):
    response = stranger.get(reverse("public:find"), {"number": str(published.number).lower()})
    assert response["Location"] == f"/P/{published.code}"


def test_a_slip_of_the_last_character_is_said_to_a_stranger_and_no_more(stranger, published):
    wrong = str(published.number)[:-1] + ("0" if published.code[-1] != "0" else "1")
    page = stranger.get(reverse("public:find"), {"number": wrong}).content.decode()
    assert "check the last character" in page
    assert f'value="{wrong}"' in page
    assert str(published.number) not in page


@pytest.mark.parametrize("typed", ["\x00", "🌳" * 400, "26-", "<script>", "9" * 5000])
def test_whatever_a_stranger_types_gets_a_page(stranger, typed):
    assert stranger.get(reverse("public:find"), {"number": typed}).status_code in (200, 302)


@pytest.mark.parametrize(
    ("kind", "words"),
    [("buyer", "With its owner"), ("gallery", "At a gallery"), ("lent", "Out on loan")],
)
def test_where_it_is_is_told_never_with_whom(stranger, published, kind, words):
    holder = Person.objects.create(name="Zebedee Holder", created_at=factories.NOW)
    custody.hand_over([published], kind, factories.a_scribe(), holder=holder, why="Sold at Whitsun")
    page = stranger.get(f"/P/{published.code}").content.decode()
    assert words in page
    assert "Zebedee" not in page
    assert "Whitsun" not in page


def test_a_public_photo_of_a_published_piece_is_shown(stranger, published):
    photo = add_photo(
        published.journal, factories.a_picture(), factories.a_scribe(), is_public=True
    )
    address = reverse("public:photo", args=[photo.token, 480])
    assert (
        reverse("public:photo", args=[photo.token, 1600]).encode()
        in stranger.get(f"/P/{published.code}").content
    )
    response = stranger.get(address)
    assert response["Content-Type"] == "image/webp"
    assert response.content[8:12] == b"WEBP"
    publishing.withdraw([published], factories.a_scribe())
    assert stranger.get(address).status_code == 404


def test_a_private_photo_is_the_owners_alone(stranger, owner_client, published):
    photo = add_photo(published.journal, factories.a_picture(), factories.a_scribe())
    address = reverse("public:photo", args=[photo.token, 480])
    assert stranger.get(address).status_code == 404
    assert photo.token not in stranger.get(f"/P/{published.code}").content.decode()
    assert "private" in owner_client.get(address)["Cache-Control"]


def test_a_trees_public_photo_needs_a_published_piece(stranger, shop):
    piece = factories.a_piece("finished")
    tree = piece.trees.get()
    photo = add_photo(tree.journal, factories.a_picture(), factories.a_scribe(), is_public=True)
    address = reverse("public:photo", args=[photo.token, 1600])
    assert stranger.get(address).status_code == 404
    publishing.publish([piece], factories.a_scribe())
    assert stranger.get(address).status_code == 200


def test_a_photo_of_a_section_is_never_public(stranger, published):
    section = published.parts.get().section
    photo = add_photo(section.journal, factories.a_picture(), factories.a_scribe(), is_public=True)
    assert stranger.get(reverse("public:photo", args=[photo.token, 480])).status_code == 404


def test_what_the_tree_is_called_follows_how_sure_we_are(stranger, published):
    tree = published.trees.get()
    journal.amend(tree, {"certainty": "guess"}, factories.a_scribe())
    assert (
        "Perhaps a bigleaf maple from Hollin Ferry"
        in stranger.get(f"/T/{tree.code}").content.decode()
    )


def test_a_piece_in_the_buyers_hands_is_still_told(stranger, published):
    custody.hand_over([published], Custody.Kind.BUYER, factories.a_scribe())
    assert stranger.get(f"/P/{published.code}").status_code == 200


def test_a_photo_whose_file_is_gone_is_not_found(stranger, published, own_photos):
    photo = add_photo(
        published.journal, factories.a_picture(), factories.a_scribe(), is_public=True
    )
    for file in own_photos.rglob(f"{photo.token}*"):
        file.unlink()
    assert stranger.get(reverse("public:photo", args=[photo.token, 480])).status_code == 404


@pytest.mark.parametrize(("kind", "unknown"), [("P", "269991"), ("T", "T269991")])
def test_what_is_not_published_answers_just_like_what_never_was(stranger, kind, unknown):
    unpublished = factories.a_piece("finished")
    code = unpublished.code if kind == "P" else unpublished.trees.get().code
    answers = []
    for asked in (code, unknown):
        with CaptureQueriesContext(connection) as queries:
            response = stranger.get(f"/{kind}/{asked}")
        answers.append(
            (response.status_code, response.content, dict(response.headers), len(queries))
        )
    assert answers[0] == answers[1]
    assert answers[0][0] == 404


def test_a_tree_with_very_many_pieces_names_them_page_by_page(stranger, shop, monkeypatch) -> None:
    monkeypatch.setattr(pages, "PER_PAGE", 2)
    pieces = factories.some_pieces(3)
    publishing.publish(pieces, factories.a_scribe())
    address = f"/T/{pieces[0].trees.get().code}"
    first = stranger.get(address).content.decode()
    assert "3 pieces from it" in first
    assert pieces[2].code not in first
    assert "?page=2" in first
    second = stranger.get(f"{address}?page=2").content.decode()
    assert pieces[2].code in second
    assert pieces[0].code not in second


def test_a_form_that_holds_too_much_is_told_what_to_do(owner_client):
    tree = factories.a_tree()
    body = urlencode({"words": "x" * 3_000_000})
    kind = "application/x-www-form-urlencoded"
    page = owner_client.post(f"/trees/{tree.code}/notes/", body, content_type=kind)
    assert page.status_code == 400
    assert "shorten the longest text" in page.content.decode()


def test_a_strange_name_of_the_server_is_told_apart(stranger):
    page = stranger.get("/", headers={"host": "elsewhere.example.org"})
    assert page.status_code == 400
    assert "BOLEBOOK_HOSTS" in page.content.decode()
