"""What pages get of a photo: upright, in the right colours, and nothing but pixels."""

from collections.abc import Callable
from io import BytesIO

import pytest
from PIL import ExifTags, Image, ImageCms

from provenance.record import photos
from provenance.record.photos import PhotoRefused, derive
from tests.provenance.record.crafted_pictures import (
    SENTINEL,
    WOOD,
    display_p3_profile,
    exif_with_place,
    grey_profile,
    near,
    opened,
    pixel,
    plank,
    private_jpeg,
    private_mpo,
    private_png,
    private_trailer,
    private_webp,
    riff_chunks,
    saved,
    taken,
)


@pytest.mark.parametrize("width", photos.WIDTHS)
@pytest.mark.parametrize(
    "original", [private_jpeg, private_png, private_webp, private_mpo, private_trailer]
)
def test_nothing_but_pixels_gets_into_a_derived_picture(
    original: Callable[[], bytes], width: int
) -> None:
    content = original()
    assert SENTINEL in content  # there is something to leak

    derived = derive(taken(content).content, width)

    assert riff_chunks(derived) == [b"VP8 "]  # no EXIF, XMP, ICCP or any other
    for trace in (SENTINEL, SENTINEL.decode().encode("utf-16-le"), b"Exif", b"secret!"):
        assert trace not in derived
    assert not opened(derived).getexif()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(
    ("orientation", "across", "down"),
    [
        (1, 0.1, 0.1),
        (2, 0.9, 0.1),
        (3, 0.9, 0.9),
        (4, 0.1, 0.9),
        (5, 0.1, 0.1),
        (6, 0.9, 0.1),
        (7, 0.9, 0.9),
        (8, 0.1, 0.9),
    ],
)
def test_derived_pictures_stand_upright(
    kind: str, orientation: int, across: float, down: float
) -> None:
    """Where the first row and column belong: Exif 2.32, tag 0112h."""
    content = saved(plank(120, 60), kind, exif=exif_with_place(orientation))

    upright = opened(derive(content, 480))

    assert upright.size == ((60, 120) if orientation >= 5 else (120, 60))
    corners = [(x, y) for x in (0.1, 0.9) for y in (0.1, 0.9)]
    red = [corner for corner in corners if pixel(upright, *corner)[1] < 70]
    assert red == [(across, down)]


def test_an_orientation_that_is_nonsense_turns_nothing() -> None:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = 77
    assert opened(derive(saved(plank(), "JPEG", exif=exif), 480)).size == (60, 40)

    words = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x02\0\0\0\x04six\0\0\0\0\0"
    content = saved(plank(), "JPEG", exif=words)
    assert Image.open(BytesIO(content)).getexif()[ExifTags.Base.Orientation] == "six"
    assert (taken(content).width, taken(content).height) == (60, 40)


def test_exif_that_cannot_be_read_does_not_cost_the_picture() -> None:
    content = saved(plank(), "PNG", exif=b"Exif\0\0II*\0not a directory")
    with pytest.raises(Exception):  # noqa: B017 - whatever this Pillow raises
        Image.open(BytesIO(content)).getexif()

    assert taken(content).width == 60
    assert opened(derive(content, 480)).size == (60, 40)


def test_derived_pictures_are_as_wide_as_asked_and_never_enlarged() -> None:
    content = saved(plank(2400, 1800), "JPEG")

    assert [opened(derive(content, width)).size for width in (480, 1600)] == [
        (480, 360),
        (1600, 1200),
    ]
    assert opened(derive(saved(plank(300, 200), "JPEG"), 480)).size == (300, 200)


def test_a_picture_on_its_side_is_as_wide_as_asked_when_upright() -> None:
    content = saved(plank(2400, 1800), "JPEG", exif=exif_with_place(6))

    assert opened(derive(content, 480)).size == (480, 640)


def test_display_p3_keeps_the_colour_of_the_wood() -> None:
    """Expected: the linear matrix from Display P3 to sRGB of CSS Color Module Level 4, § 18."""
    colour = (200, 120, 60)
    red, green, blue = ((value / 255) ** 2.2 for value in colour)
    linear = (
        1.22494 * red - 0.22494 * green,
        -0.04206 * red + 1.04206 * green,
        -0.01964 * red - 0.07864 * green + 1.09827 * blue,
    )
    # sRGB's transfer function, IEC 61966-2-1
    wanted = tuple(round(255 * (1.055 * value ** (1 / 2.4) - 0.055)) for value in linear)
    assert not near(wanted, colour, by=6)
    content = saved(Image.new("RGB", (64, 64), colour), "PNG", icc_profile=display_p3_profile())

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), wanted, by=3)


def test_a_grey_picture_follows_its_profile() -> None:
    content = saved(Image.new("L", (64, 64), 55), "PNG", icc_profile=grey_profile())

    # linear 55/255 is 127 in sRGB (IEC 61966-2-1)
    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), (127, 127, 127), by=3)


def test_a_grey_picture_may_carry_a_profile_for_colours() -> None:
    srgb = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    content = saved(Image.new("L", (64, 64), 90), "PNG", icc_profile=srgb)

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), (90, 90, 90), by=3)


@pytest.mark.parametrize("profile", [b"not a profile", grey_profile()], ids=["broken", "grey"])
def test_an_unusable_profile_is_passed_over(profile: bytes) -> None:
    content = saved(Image.new("RGB", (64, 64), WOOD), "JPEG", icc_profile=profile, quality=95)

    assert taken(content).width == 64
    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), WOOD, by=5)


@pytest.mark.parametrize("mode", ["1", "L", "P", "RGB", "RGBA"])
def test_each_mode_of_png_shows_its_colours(mode: str) -> None:
    content = saved(Image.new("RGB", (64, 64), (255, 255, 255)).convert(mode), "PNG")

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), (255, 255, 255), by=2)


def test_a_palette_keeps_its_colours() -> None:
    content = saved(plank(mode="P"), "PNG")

    assert near(pixel(opened(derive(content, 480)), 0.8, 0.8), WOOD, by=20)


def test_ink_for_print_becomes_light_for_screens() -> None:
    content = saved(plank(120, 80, mode="CMYK"), "JPEG", quality=95)
    assert Image.open(BytesIO(content)).mode == "CMYK"

    assert near(pixel(opened(derive(content, 480)), 0.8, 0.8), WOOD)


def test_sixteen_bits_of_grey_become_eight_not_white() -> None:
    content = saved(Image.new("I;16", (64, 64), 90 * 257), "PNG")
    assert Image.open(BytesIO(content)).mode == "I;16"

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), (90, 90, 90), by=2)


@pytest.mark.parametrize(
    "image",
    [
        Image.new("RGBA", (64, 64), (0, 0, 0, 0)),
        Image.new("LA", (64, 64), (0, 0)),
    ],
    ids=["colour", "grey"],
)
def test_transparent_parts_show_the_paper(image: Image.Image) -> None:
    assert near(pixel(opened(derive(saved(image, "PNG"), 480)), 0.5, 0.5), photos.PAPER, by=2)


def test_a_transparent_palette_colour_shows_the_paper() -> None:
    content = saved(Image.new("P", (64, 64), 0), "PNG", transparency=0)

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), photos.PAPER, by=2)


def test_half_transparent_colour_is_mixed_with_the_paper() -> None:
    content = saved(Image.new("RGBA", (64, 64), (0, 0, 0, 128)), "PNG")

    assert near(pixel(opened(derive(content, 480)), 0.5, 0.5), (125, 123, 120), by=3)


def test_a_damaged_original_is_told_when_deriving() -> None:
    with pytest.raises(PhotoRefused, match="damaged"):
        derive(saved(plank(), "JPEG")[:300], 480)
