"""What is taken in as a photo, and what is refused with which sentence."""

import zipfile
import zlib
from io import BytesIO

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from provenance.record import photos
from provenance.record.errors import RecordError
from provenance.record.photos import PhotoMissing, PhotoRefused, accept, derive
from tests.provenance.record.crafted_pictures import (
    WOOD,
    exif_with_place,
    near,
    opened,
    pixel,
    plank,
    png_chunk,
    png_claiming,
    riff_chunks,
    saved,
    taken,
)


def refusal(content: bytes) -> str:
    with pytest.raises(PhotoRefused) as refused:
        taken(content)
    return str(refused.value)


# What is taken in


@pytest.mark.parametrize(("kind", "extension"), [("JPEG", "jpg"), ("PNG", "png"), ("WEBP", "webp")])
def test_the_three_kinds_are_taken_with_their_facts(kind: str, extension: str) -> None:
    content = saved(plank(), kind)

    photo = taken(content)

    assert (photo.format, photo.extension, photo.width, photo.height) == (kind, extension, 60, 40)
    assert photo.content == content
    assert len(photo.sha256) == 64
    assert extension in photos.MEDIA_TYPES
    assert "content" not in repr(photo)


def test_a_phones_multi_picture_jpeg_counts_as_jpeg() -> None:
    content = saved(plank(), "MPO", save_all=True, append_images=[plank(30, 20)])
    assert Image.open(BytesIO(content)).format == "MPO"

    photo = taken(content)

    assert (photo.format, photo.extension, photo.width, photo.height) == ("JPEG", "jpg", 60, 40)
    assert opened(derive(content, 30)).size == (30, 20)


def test_bytes_that_phones_write_behind_a_jpeg_are_no_reason_to_refuse() -> None:
    assert taken(saved(plank(), "JPEG") + b"SEFT" + bytes(200)).width == 60


def test_bytes_that_look_like_an_archives_end_by_chance_are_no_reason_to_refuse() -> None:
    end_record = b"PK\x05\x06" + bytes(18)
    assert zipfile.is_zipfile(BytesIO(end_record))

    assert taken(saved(plank(), "JPEG") + end_record).width == 60


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_the_first_frame_of_an_animated_picture_counts(kind: str) -> None:
    other = Image.new("RGB", (60, 40), (0, 0, 255))
    content = saved(plank(), kind, save_all=True, append_images=[other], duration=100)

    assert taken(content).width == 60
    small = opened(derive(content, 480))
    assert getattr(small, "n_frames", 1) == 1
    assert near(pixel(small, 0.8, 0.8), WOOD)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_width_and_height_are_as_a_person_sees_them(orientation: int) -> None:
    photo = taken(saved(plank(), "JPEG", exif=exif_with_place(orientation)))

    assert (photo.width, photo.height) == ((40, 60) if orientation >= 5 else (60, 40))


def test_a_strip_is_taken_and_shown_within_bounds() -> None:
    upright, lying = saved(plank(1, 60_000), "PNG"), saved(plank(60_000, 1), "PNG")

    assert (taken(upright).width, taken(upright).height) == (1, 60_000)
    assert opened(derive(upright, 480)).size == (1, 1440)
    assert opened(derive(lying, 480)).size == (480, 1)


def test_a_file_of_just_the_most_bytes_is_taken() -> None:
    content = saved(plank(), "PNG")

    assert accept(BytesIO(content), max_bytes=len(content)).width == 60
    with pytest.raises(PhotoRefused, match="larger than"):
        accept(BytesIO(content), max_bytes=len(content) - 1)


# What is refused


def test_the_sentence_names_the_limit() -> None:
    assert "larger than 25 MiB" in refusal(bytes(photos.MAX_BYTES + 1))


def test_an_empty_file_is_refused() -> None:
    assert "empty" in refusal(b"")


def test_a_heic_picture_is_told_to_become_a_jpeg() -> None:
    assert "save it as JPEG" in refusal(b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(100))


@pytest.mark.parametrize(
    "content",
    [
        saved(plank(), "GIF"),
        saved(plank(), "EPS"),
        saved(plank(), "BMP"),
        saved(plank(), "TIFF"),
        b"\0\0\0\x1cftypavif\0\0\0\0mif1avif" + bytes(100),
        b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        b"%PDF-1.7\n",
        b"a note",
        b"\0",
    ],
    ids=["gif", "eps", "bmp", "tiff", "avif", "svg", "pdf", "text", "nul"],
)
def test_other_kinds_are_refused(content: bytes) -> None:
    assert "JPEG, PNG or WebP" in refusal(content)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize("part", [0.02, 0.5, 0.9])
def test_a_picture_cut_short_is_refused(kind: str, part: float) -> None:
    noise = Image.frombytes("RGB", (60, 40), bytes(i * i % 251 for i in range(60 * 40 * 3)))
    content = saved(noise, kind)

    assert "cut short" in refusal(content[: int(len(content) * part)])


@pytest.mark.parametrize(("width", "height"), [(13_000, 13_000), (30_000, 30_000), (7_072, 7_072)])
def test_too_many_pixels_are_refused_before_they_are_decoded(width: int, height: int) -> None:
    assert "more than 50 megapixels" in refusal(png_claiming(width, height))


def test_pixels_are_counted_even_if_pillow_does_not_warn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)

    assert "more than 50 megapixels" in refusal(png_claiming(13_000, 13_000))


def test_fifty_megapixels_are_not_too_many() -> None:
    assert "cut short" in refusal(png_claiming(10_000, 5_000))  # its rows are missing


def test_an_endless_strip_is_refused() -> None:
    assert "65,500 pixels long" in refusal(png_claiming(1, 65_501))


def test_a_jpeg_that_is_a_zip_archive_too_is_refused() -> None:
    archive = BytesIO()
    with zipfile.ZipFile(archive, "w") as file:
        file.writestr("run.js", "alert(1)")
    content = saved(plank(), "JPEG") + archive.getvalue()
    assert zipfile.ZipFile(BytesIO(content)).namelist() == ["run.js"]

    assert "ZIP" in refusal(content)


def test_a_text_chunk_that_unpacks_without_end_is_refused() -> None:
    bomb = png_chunk(b"zTXt", b"Comment\0\0" + zlib.compress(bytes(80_000_000)))
    content = saved(plank(), "PNG")

    assert "damaged" in refusal(content[:33] + bomb + content[33:])


def test_refusals_are_sentences_of_the_record() -> None:
    assert issubclass(PhotoRefused, RecordError)
    assert issubclass(PhotoMissing, RecordError)


@settings(deadline=None)  # a busy machine is no fault
@given(
    kind=st.sampled_from(["JPEG", "PNG", "WEBP"]),
    places=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 255)), min_size=1, max_size=6),
)
def test_no_damage_raises_anything_but_a_refusal(
    kind: str, places: list[tuple[float, int]]
) -> None:
    damaged = bytearray(saved(plank(), kind, exif=exif_with_place(6)))
    for place, value in places:
        damaged[int(place * (len(damaged) - 1))] = value

    try:
        photo = taken(bytes(damaged))
    except PhotoRefused as refused:
        assert str(refused).endswith(".")
    else:
        assert riff_chunks(derive(photo.content, 480)) == [b"VP8 "]
