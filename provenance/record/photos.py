"""Pictures for the record: what is taken in, how it is kept, what pages may show.

An original is kept byte for byte, for the owner alone: it may hold the place where it was taken.
What the public can reach is always drawn anew from it by `derive`, so that nothing but the
pixels gets through. No models here: images, bytes and paths only.
"""

import hashlib
import os
import re
import secrets
import tempfile
import warnings
import zipfile
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from typing import Protocol

from PIL import ExifTags, Image, ImageCms, UnidentifiedImageError

from provenance.record.errors import RecordError

MAX_BYTES = 25 * 1024 * 1024
MAX_PIXELS = 50_000_000
# What a JPEG file can hold along one side (ITU-T T.81 allows 65,535, libjpeg 65,500). Without it
# a PNG one pixel wide and millions high passes the pixel count and costs 8 bytes a row besides.
MAX_SIDE = 65_500
WIDTHS = (480, 1600)

EXTENSIONS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}
MEDIA_TYPES = {"jpg": "image/jpeg", "png": "image/png", "webp": "image/webp"}

# The pages' paper (static/css/tokens.css): what shows through where a picture is transparent.
PAPER = (0xFB, 0xF7, 0xF0)

# A strip of a picture would otherwise be higher than the 16,383 pixels that WebP can hold.
_TALLEST = 3

_TOKEN = re.compile(r"[A-Za-z0-9_-]{22}")
_ORIGINAL_NAME = re.compile(rf"{_TOKEN.pattern}\.(?:{'|'.join(MEDIA_TYPES)})")

# Brands of ISO base media files that hold HEIF pictures (ISO/IEC 23008-12, annex B).
_HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}

_TURNS = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
_TURNS_ON_THEIR_SIDE = {5, 6, 7, 8}

_CAN_FLUSH_FOLDERS = hasattr(os, "O_DIRECTORY")  # Windows opens no folders

# The size check below stands on its own; this keeps Pillow from carrying on if it is moved.
warnings.simplefilter("error", Image.DecompressionBombWarning)


class PhotoRefused(RecordError):
    """A file that is not taken in as a photo; the sentence says what to do instead."""


class PhotoMissing(RecordError):
    """No photo is kept under this token, extension and width."""


class Readable(Protocol):
    """Anything with a `read`: an open file, an upload, a BytesIO."""

    def read(self, size: int, /) -> bytes: ...


@dataclass(frozen=True, slots=True)
class AcceptedPhoto:
    """A picture that decodes in full, and is of a kind and size that the book keeps.

    `width` and `height` are in pixels as a person sees it, after turning by its EXIF orientation.
    """

    content: bytes = field(repr=False)
    format: str  # JPEG, PNG or WEBP
    extension: str  # jpg, png or webp
    width: int
    height: int
    sha256: str  # of `content`, in hexadecimal


def accept(file: Readable, *, max_bytes: int = MAX_BYTES) -> AcceptedPhoto:
    """Read a picture from where `file` stands and check it; raises PhotoRefused.

    Phones' multi-picture JPEGs (MPO) count as JPEG. Of an animated picture the first frame
    counts. Other bytes behind the picture's end, such as phones write, stay in the original,
    which only the owner can reach; a file that is a ZIP archive as well is refused.
    """
    content = file.read(max_bytes + 1)
    if not content:
        raise PhotoRefused("This file is empty: choose the picture again.")
    if len(content) > max_bytes:
        raise PhotoRefused(
            f"This file is larger than {max_bytes / 1024**2:.3g} MiB: save a smaller copy of the "
            "picture and choose that."
        )
    image = _decode(content)
    if _is_also_a_zip(content):
        raise PhotoRefused(
            "This file is a picture with a ZIP archive behind it: save the picture anew and "
            "choose that."
        )
    width, height = image.size
    if _orientation(image) in _TURNS_ON_THEIR_SIDE:
        width, height = height, width
    kind = "JPEG" if image.format == "MPO" else str(image.format)
    return AcceptedPhoto(
        content=content,
        format=kind,
        extension=EXTENSIONS[kind],
        width=width,
        height=height,
        sha256=hashlib.sha256(content).hexdigest(),
    )


def derive(content: bytes, width: int) -> bytes:
    """A WebP of the picture for a page: upright, in sRGB, at most `width` pixels wide.

    Never enlarged, and at most three times as high as `width`. It is drawn on a new image, so
    it carries no EXIF, XMP, colour profile, comment or text of the original. Raises PhotoRefused
    when `content` is no picture that `accept` takes.
    """
    image = _decode(content, draft_width=width)
    turn = _TURNS.get(_orientation(image))
    profile = image.info.get("icc_profile")
    pixels = _on_paper(image, profile)
    if turn is not None:
        pixels = pixels.transpose(turn)
    scale = min(1.0, width / pixels.width, _TALLEST * width / pixels.height)
    if scale < 1:
        size = (max(1, round(pixels.width * scale)), max(1, round(pixels.height * scale)))
        pixels = pixels.resize(size, Image.Resampling.LANCZOS, reducing_gap=3)
    fresh = Image.new("RGB", pixels.size)
    fresh.paste(pixels)
    out = BytesIO()
    fresh.save(out, "WEBP", quality=82, method=4)
    return out.getvalue()


def _decode(content: bytes, *, draft_width: int | None = None) -> Image.Image:
    """The first frame, decoded to its last row; a JPEG maybe smaller, not below `draft_width`."""
    try:
        # MPO comes through the JPEG plugin. Nothing but these three is even tried: Pillow also
        # knows formats that run programs (EPS) or fetch fonts.
        image = Image.open(BytesIO(content), formats=tuple(EXTENSIONS))
        _check_size(*image.size)
        if draft_width is not None:
            image.draft(None, (draft_width, draft_width))
        image.load()  # not verify(), which passes a JPEG that is cut short
    except PhotoRefused:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise PhotoRefused(_too_many_pixels()) from error
    except UnidentifiedImageError as error:
        raise PhotoRefused(_why_unknown(content)) from error
    except Exception as error:  # Pillow's decoders raise a dozen kinds on a damaged file
        raise PhotoRefused(_damaged()) from error
    return image


def _check_size(width: int, height: int) -> None:
    if width * height > MAX_PIXELS:
        raise PhotoRefused(_too_many_pixels())
    if max(width, height) > MAX_SIDE:
        raise PhotoRefused(
            f"This picture is more than {MAX_SIDE:,} pixels long: cut it and choose the part."
        )


def _too_many_pixels() -> str:
    return (
        f"This picture has more than {MAX_PIXELS // 1_000_000} megapixels: save a smaller copy "
        "and choose that."
    )


def _damaged() -> str:
    return "This picture is damaged or was cut short on its way: choose it again, or another copy."


def _why_unknown(content: bytes) -> str:
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return "This is a HEIC picture, which the book cannot read yet: save it as JPEG."
    if content.startswith((b"\xff\xd8\xff", b"\x89PNG\r\n", b"RIFF")):
        return _damaged()
    return "This is not a picture of a kind that the book keeps: choose a JPEG, PNG or WebP file."


def _is_also_a_zip(content: bytes) -> bool:
    # is_zipfile looks only for an end record, four bytes that a photo may hold by chance
    return b"PK\x01\x02" in content and zipfile.is_zipfile(BytesIO(content))


def _orientation(image: Image.Image) -> int:
    """EXIF (or XMP) orientation, 1 to 8; 1 where there is none that can be read.

    Not ImageOps.exif_transpose: that writes the EXIF anew, and fails on what it cannot write.
    """
    try:
        found = image.getexif().get(ExifTags.Base.Orientation, 1)
    except Exception:  # a picture is worth keeping even if its EXIF is nonsense
        return 1
    return found if isinstance(found, int) else 1


def _on_paper(image: Image.Image, profile: bytes | None) -> Image.Image:
    """The picture in sRGB, its transparent parts showing paper."""
    alpha = image.convert("RGBA").getchannel("A") if image.has_transparency_data else None
    if image.mode == "I;16":
        # convert("L") would cut every value above 255 to white
        colours = image.point(lambda value: value * (1 / 257)).convert("L")
    elif image.mode in {"1", "LA"}:
        colours = image.convert("L")
    elif image.mode in {"L", "RGB", "CMYK"}:
        colours = image
    else:
        colours = image.convert("RGB")
    colours = _in_srgb(colours, profile)
    if alpha is not None:
        colours = Image.composite(colours, Image.new("RGB", colours.size, PAPER), alpha)
    return colours


def _in_srgb(image: Image.Image, profile: bytes | None) -> Image.Image:
    """An L, RGB or CMYK image by its embedded profile; as it is when that is none or unusable."""
    if profile:
        try:
            source = ImageCms.ImageCmsProfile(BytesIO(profile))
            if image.mode == "L" and source.profile.xcolor_space.strip() == "RGB":
                image = image.convert("RGB")
            seen = ImageCms.profileToProfile(
                image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
            )
        except (ImageCms.PyCMSError, OSError, ValueError):
            seen = None  # a broken profile, or one for another kind of picture
        if seen is not None:
            return seen
    return image if image.mode == "RGB" else image.convert("RGB")


@dataclass(frozen=True, slots=True)
class PhotoStore:
    """Photo files below `root`, named by random tokens that no one can guess.

    `originals/` must be backed up and never be served to strangers; `derived/` can be made again
    from it; `arriving/` holds files that are not whole yet. A file is never changed once it has
    its final name.
    """

    root: Path

    @property
    def originals(self) -> Path:
        """The folder of the originals."""
        return self.root / "originals"

    @property
    def derived(self) -> Path:
        """The folder of the derived pictures."""
        return self.root / "derived"

    def keep(self, photo: AcceptedPhoto) -> str:
        """Write original and derived files to the disk itself; returns the new token.

        Call it before the row that names the token is committed: a file without a row is
        harmless, a row without a file is not.
        """
        pictures = {width: derive(photo.content, width) for width in WIDTHS}
        token = secrets.token_urlsafe(16)
        self._write(self.originals / f"{token}.{photo.extension}", photo.content)
        for width, content in pictures.items():
            self._write(self._derived_file(token, width), content)
        return token

    def original_path(self, token: str, extension: str) -> Path:
        """The owner's file; raises PhotoMissing when there is none, or no such name can be."""
        if extension in MEDIA_TYPES and _TOKEN.fullmatch(token):
            path = self.originals / f"{token}.{extension}"
            if path.is_file():
                return path
        raise PhotoMissing("There is no such picture.")

    def derived_path(self, token: str, width: int) -> Path:
        """The page's file, made again from the original if it is missing; raises PhotoMissing."""
        if width not in WIDTHS or not _TOKEN.fullmatch(token):
            raise PhotoMissing("There is no such picture.")
        path = self._derived_file(token, width)
        if not path.is_file():
            self._write(path, derive(self._any_original(token).read_bytes(), width))
        return path

    def names_of_originals(self) -> list[str]:
        """File names in `originals`, sorted; for the backup."""
        if not self.originals.is_dir():
            return []
        return sorted(
            path.name for path in self.originals.iterdir() if _ORIGINAL_NAME.fullmatch(path.name)
        )

    def clear_arriving(self) -> int:
        """Remove what a killed process left half written; returns how many files.

        Only while nothing else writes to the store, as when the server starts.
        """
        left = list((self.root / "arriving").glob("*.part"))
        for path in left:
            path.unlink()
        return len(left)

    def _derived_file(self, token: str, width: int) -> Path:
        return self.derived / f"{token}-{width}.webp"

    def _any_original(self, token: str) -> Path:
        for extension in MEDIA_TYPES:
            path = self.originals / f"{token}.{extension}"
            if path.is_file():
                return path
        raise PhotoMissing("There is no such picture.")

    def _write(self, path: Path, content: bytes) -> None:
        """Give `content` its final name only when all of it is on the disk; mode 0600."""
        arriving = self.root / "arriving"
        self.root.parent.mkdir(parents=True, exist_ok=True)
        for folder in (self.root, arriving, path.parent):
            folder.mkdir(mode=0o700, exist_ok=True)
        handle, name = tempfile.mkstemp(suffix=".part", dir=arriving)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(path)
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
        _flush_folder(path.parent)


def _flush_folder(folder: Path) -> None:
    """Put the folder's list of names on the disk, so that a power cut keeps the new one."""
    if not _CAN_FLUSH_FOLDERS:
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
