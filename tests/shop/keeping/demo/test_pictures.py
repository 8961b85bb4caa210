"""The demo's drawn pictures: as many forms as the shop makes, and the same every time."""

from io import BytesIO

import pytest
from PIL import Image, ImageStat

from provenance.record.photos import accept
from shop.keeping.demo.pictures import FORMS, picture_of
from shop.keeping.demo.tones import TONES, tone_of


@pytest.mark.parametrize("form", FORMS)
def test_each_form_is_a_picture_that_the_book_takes(form: str) -> None:
    for seed in range(3):
        photo = accept(BytesIO(picture_of(form, "bigleaf maple", seed)))

        assert (photo.format, photo.width, photo.height) == ("JPEG", 960, 720)
        small = Image.open(BytesIO(photo.content)).resize((120, 90))
        assert max(ImageStat.Stat(small).stddev) > 8  # something stands on the ground


def test_the_same_arguments_give_the_same_picture() -> None:
    assert picture_of("bowl", "white ash", 7) == picture_of("bowl", "white ash", 7)
    assert picture_of("bowl", "white ash", 7) != picture_of("bowl", "white ash", 8)
    assert picture_of("bowl", "white ash", 7) != picture_of("bowl", "black walnut", 7)


@pytest.mark.parametrize(
    ("species", "tone"),
    [
        ("maple", "maple"),
        ("Bigleaf maple", "maple"),
        ("ash-white", "ash"),
        ("Pacific madrone", "madrone"),
        ("osage orange", None),
        ("", None),
    ],
)
def test_a_species_has_the_colours_of_its_kind(species: str, tone: str | None) -> None:
    assert tone_of(species) == (TONES[tone] if tone else tone_of("some other tree"))


def test_an_unknown_species_looks_like_none_of_the_known() -> None:
    assert tone_of("some other tree") not in TONES.values()


def test_a_form_that_is_not_drawn_is_an_error() -> None:
    with pytest.raises(KeyError):
        picture_of("chair", "maple", 1)
