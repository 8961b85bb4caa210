"""Wood, light and ground for the demo's drawn pictures, with Pillow alone.

A picture is made of smooth fields (how far from the pith, how much light) that are worked out on
a coarse grid in Python, enlarged by Pillow, and looked up in tables of colours: quick enough to
draw the whole demo while it starts.
"""

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PIL import Image, ImageChops, ImageDraw, ImageFilter

SIZE = (1200, 900)

Colour = tuple[int, int, int]
Box = tuple[int, int, int, int]
Vector = tuple[float, float, float]

_STEPS = 4096  # of the ring tables; 65,536 entries are what Pillow looks up for mode I
_REACH_PX = 1600.0  # distance from the pith that the tables cover


@dataclass(frozen=True, slots=True)
class Tone:
    """The colours of a kind of wood as drawn here: invented, only to tell one from another."""

    early: Colour
    late: Colour
    sap: Colour
    bark: Colour
    ring_px: float = 17.0


def _tone(early: str, late: str, sap: str, bark: str, ring_px: float = 17.0) -> Tone:
    def colour(text: str) -> Colour:
        red, green, blue = bytes.fromhex(text)
        return red, green, blue

    return Tone(colour(early), colour(late), colour(sap), colour(bark), ring_px)


TONES = {
    "alder": _tone("CD9567", "B3764A", "DDB48A", "7B7064"),
    "apple": _tone("C08558", "99603B", "E2C196", "756353", 13),
    "ash": _tone("E9D2AE", "C29A68", "EBDCBC", "7C7364", 21),
    "beech": _tone("DDB98C", "C2956A", "E4C8A2", "8D877E", 14),
    "birch": _tone("E8D3AB", "CFAD78", "EEDFC2", "CFC6B6", 16),
    "cedar": _tone("BC6D4C", "8E4735", "EBCFA4", "7A5A46", 12),
    "cherry": _tone("BC7544", "93502B", "E3C193", "5F4B42", 16),
    "chestnut": _tone("BF935D", "8F6638", "D9BB8B", "6A5A4C", 20),
    "cocobolo": _tone("9A5029", "4E2418", "E0C08A", "4D3A2E", 11),
    "ebony": _tone("3C3128", "221A14", "8A735A", "2E2620", 10),
    "elm": _tone("BE8D60", "8C603E", "DDC096", "6C5F50", 20),
    "holly": _tone("EFE6D2", "DDCFB4", "F3ECDC", "8F887B", 12),
    "locust": _tone("B8934F", "856732", "E2CF9C", "66574A", 19),
    "madrone": _tone("C88B6C", "A5654B", "DFB797", "A0583E", 12),
    "maple": _tone("E8CAA0", "CB9F6E", "EFDDBD", "75695B", 17),
    "mulberry": _tone("C28F3C", "8F6122", "EBD7A2", "6F5C45", 18),
    "oak": _tone("CBA06E", "9B6F44", "E0C7A0", "655A4E", 21),
    "padauk": _tone("B64C2C", "862F1E", "E4C49A", "5A4437", 12),
    "pear": _tone("CF9A74", "B27A55", "E0BC98", "6A5E53", 12),
    "plum": _tone("A45B44", "743730", "E2BE90", "57463E", 13),
    "purpleheart": _tone("74405A", "52283F", "DCC3A2", "4F4340", 11),
    "rosewood": _tone("7C4630", "43241C", "DDBF92", "4B3A31", 11),
    "sycamore": _tone("DDC09A", "BF986F", "E9D6B5", "A39A88", 14),
    "walnut": _tone("7A5238", "4A2F20", "CBAA7C", "54473B", 18),
    "willow": _tone("D3AE82", "B28A60", "E9D8B8", "766B5C", 23),
    "yew": _tone("C87B42", "98502A", "EBD5A6", "7C4E3C", 9),
}
_UNKNOWN = _tone("B98556", "8C5C37", "DDBB8C", "685848")


def tone_of(species: str) -> Tone:
    """The colours for a species' slug or common name, in any case; a plain brown if unknown."""
    words = species.lower().replace("-", " ")
    found = [name for name in TONES if name in words]
    # "mountain-ash" and "ash", "appleberry" and "pear": the name that stands last is the kind
    return TONES[max(found, key=lambda name: words.rfind(name))] if found else _UNKNOWN


def sampled(
    box: Box, cell: float, values: Callable[[float, float], tuple[float, ...]]
) -> list[Image.Image]:
    """Fields over `box`, one per value that `values(x, y)` gives, worked out every `cell` px."""
    left, top, right, bottom = box
    width, height = right - left, bottom - top
    columns, rows = max(4, round(width / cell)), max(4, round(height / cell))
    across = [left + (column + 0.5) * width / columns for column in range(columns)]
    down = [top + (row + 0.5) * height / rows for row in range(rows)]
    points = [values(x, y) for y in down for x in across]
    fields = []
    for number in zip(*points, strict=True):
        field = Image.new("F", (columns, rows))
        field.putdata(number)
        fields.append(field.resize((width, height), Image.Resampling.BICUBIC))
    return fields


def noise(chance: random.Random, size: tuple[int, int], grain: tuple[float, float]) -> Image.Image:
    """Soft noise (L) whose blots are about `grain` pixels wide and high."""
    small = (max(2, round(size[0] / grain[0])), max(2, round(size[1] / grain[1])))
    spots = Image.frombytes("L", small, chance.randbytes(small[0] * small[1]))
    return spots.resize(size, Image.Resampling.BICUBIC)


def wander(chance: random.Random, reach: float) -> Callable[[float], float]:
    """A slow random curve, about ±1, that repeats only after several times `reach` px."""
    waves = [
        (chance.uniform(0.6, 1.0) / (n + 1), (n + 1) * chance.uniform(0.8, 1.2), chance.random())
        for n in range(3)
    ]
    return lambda at: sum(
        size * math.sin(math.tau * (rate * at / (4 * reach) + phase)) for size, rate, phase in waves
    )


def _mixed(one: Sequence[float], other: Sequence[float], part: float) -> tuple[float, ...]:
    return tuple(a + (b - a) * part for a, b in zip(one, other, strict=True))


@dataclass(frozen=True, slots=True)
class Rings:
    """The growth rings of one log: a shade for each distance from the pith, a colour for each."""

    shades: list[int]  # for 65,536 distances up to _REACH_PX
    palette: list[int]  # red, green, blue of each of 256 shades


def rings_of(
    tone: Tone, chance: random.Random, *, sap_from: float = _REACH_PX, ring_px: float | None = None
) -> Rings:
    """Rings of uneven width, about `ring_px` px; the sapwood begins at `sap_from` px.

    Each ring runs slowly from pale early wood to its dark late edge, then starts pale again.
    """
    spacing = tone.ring_px if ring_px is None else ring_px
    shades: list[int] = []
    px_per_step = _REACH_PX / _STEPS
    while len(shades) < _STEPS:
        ring = max(3, round(spacing * chance.uniform(0.55, 1.45) / px_per_step))
        depth = chance.uniform(0.65, 1.0)
        for step in range(ring):
            at = step / ring
            late = depth * (at**2.4 if at < 0.92 else (1 - at) / 0.08)
            sapness = min(1.0, max(0.0, (len(shades) * px_per_step - sap_from) / 14))
            shades.append(64 * round(3 * sapness) + round(63 * late))
    palette: list[int] = []
    for shade in range(256):
        late = shade % 64 / 63
        heart = _mixed(tone.early, tone.late, late)
        sap = _mixed(tone.sap, tone.early, late * 0.7)
        palette += (round(value) for value in _mixed(heart, sap, shade // 64 / 3))
    copies = 65_536 // _STEPS
    return Rings([shade for shade in shades[:_STEPS] for _ in range(copies)], palette)


def wood(distance: Image.Image, rings: Rings, fibre: Image.Image) -> Image.Image:
    """Colours for a field of distances to the pith (F, px), streaked by `fibre` (L)."""
    index = distance.point(lambda value: value * (65_535 / _REACH_PX)).convert("I")
    shades = index.point(rings.shades, "L")
    shades.putpalette(rings.palette)
    streaks = fibre.point([round(226 + value * 29 / 255) for value in range(256)])
    return ImageChops.multiply(shades.convert("RGB"), Image.merge("RGB", (streaks,) * 3))


def lit(colours: Image.Image, light: Image.Image, gloss: Image.Image | None = None) -> Image.Image:
    """`colours` under `light` (F, 1 = full), warm in the shade, with a sheen of `gloss` (F)."""
    level = light.point(lambda value: value * 255.0).convert("L")
    warm = Image.merge(
        "RGB",
        [
            level.point([round(255 * (value / 255) ** power) for value in range(256)])
            for power in (0.84, 1.0, 1.07)
        ],
    )
    shaded = ImageChops.multiply(colours, warm)
    if gloss is None:
        return shaded
    sheen = gloss.point(lambda value: value * 255.0).convert("L")
    return ImageChops.screen(
        shaded,
        Image.merge(
            "RGB", (sheen, sheen.point(lambda v: v * 0.95), sheen.point(lambda v: v * 0.86))
        ),
    )


def mask(size: tuple[int, int], draw: Callable[[ImageDraw.ImageDraw, float], None]) -> Image.Image:
    """A mask (L) with soft edges: `draw(pen, scale)` draws it in white, `scale` times as large."""
    large = Image.new("L", (size[0] * 2, size[1] * 2))
    draw(ImageDraw.Draw(large), 2.0)
    return large.reduce(2)


def paper_ground(chance: random.Random) -> Image.Image:
    """A sheet of warm paper that rolls up behind the piece, lighter where the window is."""
    width, height = SIZE[0] // 40, SIZE[1] // 40
    turn = chance.uniform(-4, 4)

    def shade(x: float, y: float) -> tuple[float, float, float]:
        window = math.exp(-(((x / width - 0.3) ** 2) * 2.2 + ((y / height - 0.18) ** 2) * 2.6))
        floor = 1 / (1 + math.exp(-(y / height - 0.56) * 9))
        level = 216 + 24 * window + 5 * floor - 9 * max(0.0, y / height - 0.75)
        return level + 3 + turn * 0.3, level - 4, level - 19 - turn * 0.6

    bands = [band.convert("L") for band in sampled((0, 0, width, height), 1, shade)]
    sheet = Image.merge("RGB", bands).resize(SIZE, Image.Resampling.BICUBIC)
    tooth = noise(chance, SIZE, (2.2, 2.2)).point([250 + value // 51 for value in range(256)])
    return ImageChops.multiply(sheet, Image.merge("RGB", (tooth, tooth, tooth)))


def cast_shadow(picture: Image.Image, ellipses: Sequence[tuple[tuple[float, ...], float]]) -> None:
    """Darken the ground below: each ellipse (left, top, right, bottom) with its depth, 0 to 1."""
    small = (picture.width // 6, picture.height // 6)
    for bounds, depth in ellipses:
        shade = Image.new("L", small)
        ImageDraw.Draw(shade).ellipse([value / 6 for value in bounds], fill=round(255 * depth))
        blur = max(1.5, min(9, (bounds[3] - bounds[1]) / 6 * 0.16))
        soft = shade.filter(ImageFilter.GaussianBlur(blur)).resize(
            picture.size, Image.Resampling.BICUBIC
        )
        picture.paste((92, 68, 48), (0, 0), soft)


def unit(x: float, y: float, z: float) -> Vector:
    """The vector at length one."""
    length = math.sqrt(x * x + y * y + z * z) or 1.0
    return x / length, y / length, z / length


LIGHT = unit(-0.52, 0.42, 0.75)  # from the upper left, a little before the piece


def light_and_gloss(normal: Vector, tilt: float) -> tuple[float, float]:
    """Light and sheen of a point whose surface looks along `normal`, seen from `tilt` above."""
    nx, ny, nz = normal
    facing = nx * LIGHT[0] + ny * LIGHT[1] + nz * LIGHT[2]
    light = 0.42 + 0.56 * max(0.0, 0.22 + 0.78 * facing)
    hx, hy, hz = unit(LIGHT[0], LIGHT[1] + math.cos(tilt), LIGHT[2] + math.sin(tilt))
    shine = max(0.0, nx * hx + ny * hy + nz * hz)
    return min(1.0, light), 0.2 * shine**22 + 0.06 * shine**5
