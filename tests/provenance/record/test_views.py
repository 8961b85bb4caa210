"""A photo's original, its words, who may see it, putting it away."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from provenance.maker.models import User
from provenance.record import album
from provenance.record.models import Photo
from tests.factories import a_picture, a_scribe, a_tree


@pytest.fixture
def photo(owner: User) -> Photo:
    return album.add_photo(a_tree().journal, a_picture(), a_scribe(owner))


def test_the_owner_gets_the_original_byte_for_byte_as_a_file(
    owner_client: Client, photo: Photo
) -> None:
    response = owner_client.get(f"/photos/{photo.token}/original")
    assert b"".join(response.streaming_content) == a_picture().getvalue()  # type: ignore[attr-defined]
    assert response.headers["Content-Type"] == "image/jpeg"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    disposition = response.headers["Content-Disposition"]
    assert disposition == f'attachment; filename="photo-2026-06-15-{photo.pk}.jpg"'
    assert "no-store" in response.headers["Cache-Control"]


def test_a_stranger_never_gets_an_original(photo: Photo) -> None:
    Photo.objects.update(is_public=True)
    response = Client().get(f"/photos/{photo.token}/original")
    assert "/sign-in" in response.headers["Location"]


def test_an_original_that_is_not_there_is_not_found(owner_client: Client, photo: Photo) -> None:
    assert owner_client.get("/photos/no-such/original").status_code == 404
    album.store().original_path(photo.token, photo.extension).unlink()
    assert owner_client.get(f"/photos/{photo.token}/original").status_code == 404


def test_words_and_who_may_see_it_are_changed_and_journalled(
    owner_client: Client, photo: Photo
) -> None:
    url = f"/photos/{photo.token}/edit"
    form = {"caption": "On the\x00 trailer 🌳", "is_public": "on", "next": "/trees/"}
    response = owner_client.post(url, form)
    assert response.headers["Location"] == "/trees/"
    photo.refresh_from_db()
    assert (photo.caption, photo.is_public) == ("On the trailer 🌳", True)
    last = photo.journal.entries.last()
    assert last is not None and last.words == "Photo shown to strangers: On the trailer 🌳."
    count = photo.journal.entries.count()
    owner_client.post(url, form)
    assert photo.journal.entries.count() == count
    owner_client.post(url, form | {"is_public": ""})
    assert photo.journal.entries.count() == count + 1


def test_words_that_are_too_long_are_refused_in_a_sentence(
    owner_client: Client, photo: Photo
) -> None:
    form = {"caption": "x" * 10_000, "next": "/trees/"}
    page = owner_client.post(f"/photos/{photo.token}/edit", form, follow=True).content.decode()
    assert "at most 200 characters" in page
    photo.refresh_from_db()
    assert photo.caption == ""


@pytest.mark.parametrize("elsewhere", ["https://elsewhere.example.org/", "//x", "javascript:1", ""])
def test_nobody_is_sent_elsewhere(owner_client: Client, photo: Photo, elsewhere: str) -> None:
    response = owner_client.post(f"/photos/{photo.token}/hide", {"next": elsewhere})
    assert response.headers["Location"] == "/bench/"


def test_a_photo_put_away_is_off_the_page_and_comes_back(
    owner_client: Client, photo: Photo
) -> None:
    for _ in range(2):
        owner_client.post(f"/photos/{photo.token}/hide")
    assert not photo.journal.photos.shown().exists()
    for _ in range(2):
        owner_client.post(f"/photos/{photo.token}/show")
    assert photo.journal.photos.shown().count() == 1
    words = list(photo.journal.entries.values_list("words", flat=True))[-2:]
    assert words == ["Photo put away.", "Photo brought back."]


def test_adding_a_photo_that_was_put_away_brings_it_back(
    owner_client: Client, photo: Photo
) -> None:
    owner_client.post(f"/photos/{photo.token}/hide")
    again = album.add_photo(photo.journal, a_picture(), a_scribe())
    assert again == photo
    assert photo.journal.photos.shown().count() == 1


def test_photos_are_changed_by_post_only(owner_client: Client, photo: Photo) -> None:
    for what in ("edit", "hide", "show"):
        assert owner_client.get(f"/photos/{photo.token}/{what}").status_code == 405
        assert owner_client.post(f"/photos/no-such/{what}").status_code == 404


def test_of_several_photos_what_can_be_kept_is_kept(owner: User) -> None:
    good = SimpleUploadedFile("good.jpg", a_picture().getvalue())
    empty = SimpleUploadedFile("<b>\x00.jpg", b"")
    kept, refused = album.add_photos(a_tree().journal, [empty, good], a_scribe(owner))
    assert len(kept) == 1
    [sentence] = refused
    assert sentence.startswith("“<b>.jpg”: This file is empty")
