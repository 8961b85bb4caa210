"""Making a sheet, making it again, and the list of what was printed."""

import pytest
from django.test import Client
from django.urls import reverse

from provenance.cards import printing
from provenance.cards.models import PrintRun
from provenance.maker.models import Shop
from provenance.pieces import publishing
from provenance.pieces.models import Piece
from provenance.record.models import JournalEntry
from tests.factories import a_piece, a_scribe, a_shop, some_pieces
from tests.provenance.cards.printing_pages import (
    QUERIES_OF_A_RUN,
    QUERIES_OF_THE_LIST,
    a_run,
    make,
    prepare,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(db: None) -> Shop:
    return a_shop(public_url="https://saltmarsh.example.org", paper="a4")


# -- making --------------------------------------------------------------------------------------


def test_the_page_names_the_pieces_that_codes_would_publish(owner_client):
    open_, closed = some_pieces(2)
    publishing.publish([open_], a_scribe())
    page = owner_client.get(reverse("cards:run", args=[a_run([open_, closed]).pk]))
    words = page.content.decode()
    assert "Printing with codes publishes 1 piece:" in words
    names = words.split('<ul class="names">')[1].split("</ul>")[0]
    assert str(closed.number) in names
    assert str(open_.number) not in names


def test_many_names_are_cut_short_with_their_count(owner_client):
    words = owner_client.get(reverse("cards:run", args=[a_run(some_pieces(15)).pk]))
    assert "publishes 15 pieces" in words.content.decode()
    assert "and 3 more" in words.content.decode()


def test_a_scanned_code_opens_the_piece_from_tick_to_telephone(owner_client, printed):
    piece = a_piece("finished", price_minor=16500, diameter_mm=292)
    stranger = Client()
    prepare(owner_client, piece=piece.code)
    run = PrintRun.objects.get()
    assert stranger.get(f"/P/{piece.code}").status_code == 404
    make(owner_client, run, codes="yes")
    sheet = owner_client.get(reverse("cards:sheet", args=[run.pk]))
    assert sheet["Content-Type"] == "application/pdf"
    [scanned] = printed(sheet.content).codes(300)
    scheme, _, rest = scanned.partition("://")
    host, _, path = rest.partition("/")
    assert (scheme, host) == ("https", "SALTMARSH.EXAMPLE.ORG")
    assert str(piece.number) in stranger.get(f"/{path}").content.decode()
    assert "$165" in printed(sheet.content).text()


def test_made_without_codes_nothing_is_published(owner_client, printed):
    run = a_run()
    make(owner_client, run)
    run.refresh_from_db()
    assert (run.is_issued, run.has_codes) == (True, False)
    assert not Piece.objects.published().exists()
    sheet = owner_client.get(reverse("cards:sheet", args=[run.pk])).content
    assert printed(sheet).codes(300) == []


def test_a_sheet_is_the_same_on_reload_and_kept_by_no_cache(owner_client):
    run = a_run([a_piece("finished")], kind="card")
    make(owner_client, run, codes="yes")
    first, second = (owner_client.get(reverse("cards:sheet", args=[run.pk])) for _ in range(2))
    assert first.content == second.content
    assert "no-store" in first["Cache-Control"]
    name = f"provenance-cards-{run.pk}.pdf"
    assert first["Content-Disposition"] == f'inline; filename="{name}"'


def test_before_it_is_made_the_sheet_is_a_trial_that_publishes_nothing(owner_client, printed):
    run = a_run(some_pieces(2))
    response = owner_client.get(reverse("cards:sheet", args=[run.pk]))
    assert response["Content-Disposition"].endswith('-trial.pdf"')
    assert len(printed(response.content).outlines()) == 2
    assert not Piece.objects.published().exists()


def test_a_second_press_makes_the_sheet_once(owner_client):
    [piece] = some_pieces()
    run = a_run([piece])
    form = {"sheet": run.sheet, "first_cell": 0, "announced": 1, "codes": "yes"}
    for _ in range(2):
        response = owner_client.post(reverse("cards:issue", args=[run.pk]), form)
        assert response.status_code == 302
    assert piece.journal.entries.filter(kind=JournalEntry.Kind.PRINTED).count() == 1
    assert piece.journal.entries.filter(kind=JournalEntry.Kind.PUBLIC).count() == 1


def test_what_was_not_said_is_not_published(owner_client):
    run = a_run(some_pieces(2))
    form = {"sheet": run.sheet, "first_cell": 0, "announced": 1, "codes": "yes"}
    for sent in (form, {**form, "announced": ""}):
        page = owner_client.post(reverse("cards:issue", args=[run.pk]), sent).content.decode()
        assert "would now publish 2 pieces" in page
    assert not Piece.objects.published().exists()


def test_making_takes_the_layout_along(owner_client):
    run = a_run()
    make(owner_client, run, first_cell=6)
    run.refresh_from_db()
    assert (run.first_cell, run.is_issued) == (6, True)


def test_a_made_run_says_how_it_was_made_and_can_be_changed_and_made_anew(owner_client):
    run = a_run()
    make(owner_client, run, codes="yes")
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert ", with codes" in page
    assert "https://saltmarsh.example.org" in page
    owner_client.post(reverse("cards:change", args=[run.pk]), {"sheet": run.sheet, "first_cell": 5})
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert "panel made" not in page
    run.refresh_from_db()
    make(owner_client, run)
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert "without codes" in page
    assert "Make it with codes" in page


def test_a_new_public_address_and_a_closed_page_are_said_on_a_made_run(owner_client):
    one, two = some_pieces(2)
    run = a_run([one, two])
    make(owner_client, run, codes="yes")
    Shop.objects.update(public_url="https://elsewhere.example.org")
    publishing.withdraw([two], a_scribe())
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert "public address is now https://elsewhere.example.org" in page
    assert "1 piece has no public page any more" in page
    run.refresh_from_db()
    make(owner_client, run, codes="yes")
    run.refresh_from_db()
    assert run.public_url == "https://elsewhere.example.org"
    assert Piece.objects.published().count() == 2


@pytest.mark.parametrize("url", ["", "http://192.168.1.20:8000"])
def test_without_a_public_address_only_the_clean_sheet_is_offered(owner_client, url):
    Shop.objects.update(public_url=url)
    run = a_run()
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert "No QR code is printed, because" in page
    assert reverse("maker:profile") + '">Set it' in page
    assert "Make the sheet without codes" in page
    assert 'name="codes"' not in page
    page = make(owner_client, run, codes="yes").content.decode()
    assert "No QR code is printed" in page
    assert not Piece.objects.published().exists()


def test_labels_too_small_for_a_code_are_said(owner_client):
    run = a_run(sheet="letter-80")
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert "labels are too small" in page
    assert "Choose larger labels" in page
    assert 'name="codes"' not in page


@pytest.mark.parametrize(("kind", "word"), [("rough-out", "sheet"), ("price-list", "list")])
def test_kinds_without_codes_have_one_button(owner_client, kind, word):
    run = a_run(kind=kind)
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert f"Make the {word}</button>" in page
    assert 'name="codes"' not in page
    make(owner_client, run, heading="River market")
    page = owner_client.get(reverse("cards:run", args=[run.pk])).content.decode()
    assert f"Open the {word}" in page


def test_missing_prices_and_letters_are_said_before_printing(owner_client):
    one, two = a_piece("finished", title="Moon 🌙"), a_piece("finished", price_minor=100)
    page = owner_client.get(reverse("cards:run", args=[a_run([one, two]).pk])).content.decode()
    assert "1 of them has no price" in page
    assert "Our type has no 🌙" in page
    page = owner_client.get(reverse("cards:run", args=[a_run([two]).pk])).content.decode()
    assert "no price" not in page
    assert "Our type" not in page


@pytest.mark.parametrize("count", [1, 3])
def test_a_run_takes_a_fixed_number_of_queries(owner_client, count, django_assert_num_queries):
    run = a_run(some_pieces(count))
    with django_assert_num_queries(QUERIES_OF_A_RUN):
        owner_client.get(reverse("cards:run", args=[run.pk]))


@pytest.mark.parametrize("name", ["run", "change", "issue", "sheet"])
def test_a_run_that_never_was_is_not_found(owner_client, name):
    client = owner_client.post if name in ("change", "issue") else owner_client.get
    assert client(reverse(f"cards:{name}", args=[999])).status_code == 404


# -- what was printed ----------------------------------------------------------------------------


def test_runs_are_listed_newest_first_with_what_they_are(owner_client):
    one, two = some_pieces(2)
    older, newer = a_run([one, two]), a_run([two], kind="rough-out")
    printing.issue(older, a_scribe(), with_codes=True)
    page = owner_client.get(reverse("cards:runs")).content.decode()
    places = [page.index(reverse("cards:run", args=[run.pk]) + '"') for run in (newer, older)]
    assert places == sorted(places)
    for words in ("2 booth tags", "1 rough-out tag", "and 1 more", "with codes", "not made yet"):
        assert words in page
    assert reverse("cards:sheet", args=[older.pk]) in page
    assert reverse("cards:sheet", args=[newer.pk]) not in page


def test_without_runs_the_page_says_what_belongs_there(owner_client):
    assert "Nothing is printed yet" in owner_client.get(reverse("cards:runs")).content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_a_fixed_number_of_queries(owner_client, count, django_assert_num_queries):
    for _ in range(count):
        a_run(some_pieces(2))
    with django_assert_num_queries(QUERIES_OF_THE_LIST):
        owner_client.get(reverse("cards:runs"))


@pytest.mark.parametrize("name", ["runs", "choose", "prepare", "run", "change", "issue", "sheet"])
def test_all_of_it_is_the_owners(shop, name):
    args = [] if name in ("runs", "choose", "prepare") else [a_run().pk]
    for answer in (Client().get, Client().post):
        response = answer(reverse(f"cards:{name}", args=args))
        assert response["Location"].startswith("/sign-in")
    assert not PrintRun.objects.filter(issued_at__isnull=False).exists()
