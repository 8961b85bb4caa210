"""Pictures made on the spot for the tests of photos: harmless, private, odd and hostile."""

import struct
import zlib
from io import BytesIO

from PIL import ExifTags, Image, PngImagePlugin

from provenance.record.photos import AcceptedPhoto, accept

SENTINEL = b"WrenshireSecretOrchard"
WOOD = (180, 120, 70)


def saved(image: Image.Image, kind: str, **options: object) -> bytes:
    out = BytesIO()
    image.save(out, kind, **options)
    return out.getvalue()


def plank(width: int = 60, height: int = 40, mode: str = "RGB") -> Image.Image:
    """Wood colour, with a red mark in the upper left corner to tell which way is up."""
    image = Image.new("RGB", (width, height), WOOD)
    image.paste((200, 20, 20), (0, 0, width // 3, height // 3))
    return image.convert(mode)


def opened(content: bytes) -> Image.Image:
    image = Image.open(BytesIO(content))
    image.load()
    return image


def pixel(image: Image.Image, across: float, down: float) -> tuple[int, ...]:
    found = image.getpixel((int(image.width * across), int(image.height * down)))
    assert isinstance(found, tuple)
    return found


def near(seen: tuple[int, ...], wanted: tuple[int, ...], by: int = 12) -> bool:
    return all(abs(one - other) <= by for one, other in zip(seen, wanted, strict=True))


def exif_with_place(orientation: int = 1) -> Image.Exif:
    exif = Image.Exif()
    exif[ExifTags.Base.Orientation] = orientation
    exif[ExifTags.Base.ImageDescription] = SENTINEL.decode()
    exif[ExifTags.Base.XPComment] = SENTINEL.decode().encode("utf-16-le")
    exif.get_ifd(ExifTags.IFD.GPSInfo).update(
        {1: "N", 2: (51.0, 30.0, 12.5), 29: SENTINEL.decode()}
    )
    return exif


def riff_chunks(webp: bytes) -> list[bytes]:
    """The four-letter names of a WebP's chunks (WebP container specification, RFC 9649)."""
    assert webp[:4] == b"RIFF"
    assert webp[8:12] == b"WEBP"
    assert int.from_bytes(webp[4:8], "little") + 8 == len(webp)
    names, at = [], 12
    while at < len(webp):
        names.append(webp[at : at + 4])
        size = int.from_bytes(webp[at + 4 : at + 8], "little")
        at += 8 + size + size % 2
    return names


def png_chunk(name: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))


def png_claiming(width: int, height: int) -> bytes:
    """A few dozen bytes that say they are a picture of that size."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + png_chunk(b"IHDR", header)
        + png_chunk(b"IDAT", zlib.compress(b"\0" * 10))
        + png_chunk(b"IEND", b"")
    )


def display_p3_profile() -> bytes:
    """An ICC profile (version 2, matrix and gamma) with Display P3's colours.

    Colorants: the primaries of SMPTE EG 432-1 with a D65 white, adapted to D50 by Bradford as
    ICC.1:2022 annex E has it. A plain gamma of 2.2 stands for the tone curve.
    """

    def number(value: float) -> bytes:
        return struct.pack(">i", round(value * 65536))

    def xyz(*values: float) -> bytes:
        return b"XYZ \0\0\0\0" + b"".join(number(value) for value in values)

    words = b"Display P3 by test\0"
    curve = b"curv\0\0\0\0" + struct.pack(">IHxx", 1, round(2.2 * 256))
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(words)) + words + bytes(78),
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": xyz(0.9642, 1.0, 0.8249),
        b"rXYZ": xyz(0.51512, 0.24119, -0.00105),
        b"gXYZ": xyz(0.29198, 0.69224, 0.04188),
        b"bXYZ": xyz(0.15710, 0.06657, 0.78407),
        b"rTRC": curve,
        b"gTRC": curve,
        b"bTRC": curve,
    }
    table, body, start = struct.pack(">I", len(tags)), b"", 128 + 4 + 12 * len(tags)
    for name, tag in tags.items():
        table += name + struct.pack(">II", start + len(body), len(tag))
        body += tag + bytes(-len(tag) % 4)
    header = bytearray(128)
    header[0:4] = struct.pack(">I", start + len(body))
    header[8:12] = b"\x02\x40\x00\x00"
    header[12:24] = b"mntrRGB XYZ "
    header[36:40] = b"acsp"
    header[68:80] = number(0.9642) + number(1.0) + number(0.8249)
    return bytes(header) + table + body


def grey_profile() -> bytes:
    """An ICC profile for grey with a gamma of 1.0, so that middle grey must become lighter."""
    curve = b"curv\0\0\0\0" + struct.pack(">IHxx", 1, 256)
    white = b"XYZ \0\0\0\0" + struct.pack(">iii", 63190, 65536, 54061)
    start = 128 + 4 + 24
    table = struct.pack(">I", 2)
    table += b"kTRC" + struct.pack(">II", start, len(curve))
    table += b"wtpt" + struct.pack(">II", start + len(curve), len(white))
    header = bytearray(128)
    header[0:4] = struct.pack(">I", start + len(curve) + len(white))
    header[8:12] = b"\x02\x40\x00\x00"
    header[12:24] = b"mntrGRAYXYZ "
    header[36:40] = b"acsp"
    header[68:80] = struct.pack(">iii", 63190, 65536, 54061)
    return bytes(header) + table + curve + white


def taken(content: bytes) -> AcceptedPhoto:
    return accept(BytesIO(content))


def private_jpeg() -> bytes:
    xmp = b'<x:xmpmeta xmlns:x="adobe:ns:meta/"><p>' + SENTINEL + b"</p></x:xmpmeta>"
    profile = display_p3_profile().replace(b"by test", b"secret!")
    return saved(
        plank(),
        "JPEG",
        exif=exif_with_place(6),
        xmp=xmp,
        comment=SENTINEL,
        icc_profile=profile,
    )


def private_png() -> bytes:
    words = PngImagePlugin.PngInfo()
    words.add_text("Comment", SENTINEL.decode())
    words.add_itxt("XML:com.adobe.xmp", f"<p>{SENTINEL.decode()}</p>")
    return saved(plank(), "PNG", exif=exif_with_place(), pnginfo=words)


def private_webp() -> bytes:
    return saved(plank(), "WEBP", exif=exif_with_place(), xmp=b"<p>" + SENTINEL + b"</p>")


def private_mpo() -> bytes:
    return saved(
        plank(), "MPO", exif=exif_with_place(), save_all=True, append_images=[plank(30, 20)]
    )


def private_trailer() -> bytes:
    return saved(plank(), "JPEG") + SENTINEL
