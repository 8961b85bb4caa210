"""Logs for the demo's drawn pictures: a sawn end by itself, and a trunk where it fell."""

import math
import random
from collections.abc import Callable

from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageOps

from shop.keeping.demo.tones import (
    SIZE,
    Tone,
    cast_shadow,
    lit,
    mask,
    noise,
    paper_ground,
    rings_of,
    sampled,
    wander,
    wood,
)

Outline = Callable[[float], float]


def _log_outline(chance: random.Random) -> Outline:
    """How far the bark is from the middle, about 1, by the angle: no log is quite round."""
    waves = [(chance.uniform(0, 0.05) / n, n, chance.uniform(0, math.tau)) for n in (2, 3, 5)]
    return lambda angle: 1 + sum(size * math.sin(n * angle + phase) for size, n, phase in waves)


def _end_face(
    tone: Tone, chance: random.Random, size: tuple[int, int], outline: Outline
) -> tuple[Image.Image, Image.Image]:
    """A sawn end as (colours, mask), filling `size`: bark, sapwood, rings round an off pith."""
    width, height = size
    px, py = chance.uniform(-0.16, 0.16), chance.uniform(-0.16, 0.16)
    reach = 620.0
    ripple = wander(chance, 0.5)

    def ring_at(x: float, y: float) -> tuple[float, ...]:
        u, v = (x / width - 0.5) * 2.1, (y / height - 0.5) * 2.1
        angle, far = math.atan2(v, u), math.hypot(u, v)
        edge = far / outline(angle)
        # rings are round the pith inside and follow the bark outside
        inner = math.hypot(u - px * (1 - edge), v - py * (1 - edge))
        ring = max(0.0, inner / outline(angle)) * reach + 5 * ripple(angle)
        return ring, 0.97 - 0.1 * max(0.0, u * 0.6 + v * 0.5)

    distance, light = sampled((0, 0, width, height), max(5.0, width / 70), ring_at)
    rings = rings_of(
        tone,
        chance,
        sap_from=reach * chance.uniform(0.7, 0.84),
        ring_px=tone.ring_px * 1.5,
    )
    colours = wood(distance, rings, noise(chance, size, (2.5, 2.5)))
    bark_from = reach * 0.945
    rough = noise(chance, size, (7, 7))
    shade = rough.point([round(110 + value * 0.52) for value in range(256)])
    bark = ImageChops.multiply(
        Image.new("RGB", size, tone.bark), Image.merge("RGB", (shade, shade, shade))
    )
    jagged = ImageChops.add(
        distance.point(lambda value: (value - bark_from) * 12.0 + 60.0).convert("L"),
        rough.point([round(value * 0.35) for value in range(256)]),
    )
    colours.paste(bark, (0, 0), jagged.point([min(255, max(0, (v - 90) * 4)) for v in range(256)]))
    colours.paste((70, 48, 34), (0, 0), _checks(chance, size, (px, py)))
    colours = lit(colours, light)

    def shape(pen: ImageDraw.ImageDraw, scale: float) -> None:
        pen.polygon(
            [
                (
                    (0.5 + outline(a) * math.cos(a) / 2.1) * width * scale,
                    (0.5 + outline(a) * math.sin(a) / 2.1) * height * scale,
                )
                for a in (math.tau * n / 180 for n in range(180))
            ],
            fill=255,
        )

    return colours, mask(size, shape)


def _checks(chance: random.Random, size: tuple[int, int], pith: tuple[float, float]) -> Image.Image:
    """Drying checks: thin wedges that run outward from near the pith."""
    width, height = size
    middle = ((0.5 + pith[0] / 2.1) * width, (0.5 + pith[1] / 2.1) * height)

    turn, count = chance.uniform(0, math.tau), chance.randint(3, 5)

    def draw(pen: ImageDraw.ImageDraw, scale: float) -> None:
        for n in range(count):
            angle = turn + math.tau * (n + chance.uniform(-0.3, 0.3)) / count
            long, thick = chance.uniform(0.07, 0.3), chance.uniform(1.0, 2.6)
            spine = [
                (angle + chance.uniform(-0.05, 0.05), 0.012 + long * part)
                for part in (0, 0.3, 0.6, 1)
            ]
            points = [
                (middle[0] + math.cos(a) * far * width, middle[1] + math.sin(a) * far * height)
                for a, far in spine
            ]
            across = (-math.sin(angle) * thick, math.cos(angle) * thick)
            wide = (0.5, 1.0, 0.6, 0.0)
            left = [
                (x + across[0] * w, y + across[1] * w)
                for (x, y), w in zip(points, wide, strict=True)
            ]
            right = [
                (x - across[0] * w, y - across[1] * w)
                for (x, y), w in zip(points, wide, strict=True)
            ]
            pen.polygon([(x * scale, y * scale) for x, y in left + right[::-1]], fill=210)

    return mask(size, draw)


def _paler(colour: tuple[int, int, int]) -> tuple[int, int, int]:
    """Bark in daylight, before furrows and shade darken it."""
    red, green, blue = (min(245, round(30 + value * 1.2)) for value in colour)
    return red, green, blue


def _bark(
    tone: Tone,
    chance: random.Random,
    size: tuple[int, int],
    light: Callable[[float, float], tuple[float]],
) -> Image.Image:
    """A log's side lying along x: furrowed bark under `light`."""
    furrows = ImageChops.multiply(noise(chance, size, (70, 9)), noise(chance, size, (24, 6)))
    shade = ImageChops.add(furrows, noise(chance, size, (8, 3)), scale=2)
    level = shade.point([min(255, round(96 + value * 1.5)) for value in range(256)])
    colours = ImageChops.multiply(
        Image.new("RGB", size, _paler(tone.bark)), Image.merge("RGB", (level, level, level))
    )
    return lit(colours, sampled((0, 0, *size), 14, light)[0])


def log_end(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    radius = chance.randint(285, 315)
    outline = _log_outline(chance)
    span = round(radius * 2.1)
    left, top = round(430 - span / 2), round(440 - span / 2)
    away = (chance.randint(300, 370), -chance.randint(60, 90))
    under = 440 + radius * 0.97
    places = [(430 + 30 + away[0] * part, under + away[1] * part) for part in (0, 0.34, 0.67, 1)]
    cast_shadow(picture, [((x - 190, y - 40, x + 190, y + 40), 0.4) for x, y in places])
    colours, shape = _end_face(tone, chance, (span, span), outline)
    whole = (span + away[0], span - away[1])
    body = Image.new("L", whole)
    for step in range(33):
        place = (round(away[0] * step / 32), round(-away[1] + away[1] * step / 32))
        body.paste(255, place, shape)
    rise = math.atan2(away[1], away[0])

    def light(x: float, y: float) -> tuple[float]:
        # how far round the log's side: -1 along its upper edge, 1 along its lower
        across = (y - span / 2 + away[1] * -1 - (x - span / 2) * math.tan(rise)) / radius
        facing = math.exp(-(((across + 0.62) / 0.62) ** 2))
        return (0.5 + 0.5 * facing,)

    picture.paste(_bark(tone, chance, whole, light), (left, top + away[1]), body)
    picture.paste(colours, (left, top), shape)
    return picture


def trunk(tone: Tone, chance: random.Random) -> Image.Image:
    picture = _yard(chance)
    radius = chance.randint(118, 140)
    outline = _log_outline(chance)
    face = (round(radius * 1.35), round(radius * 2.1))
    left, middle = chance.randint(130, 180), 560
    right = chance.randint(1010, 1080)
    far = radius * chance.uniform(0.72, 0.84)
    cast_shadow(
        picture, [((left - 30, middle + radius * 0.62, right + 40, middle + radius * 1.32), 0.7)]
    )
    start = left + face[0] // 2
    size = (right - start, round(radius * 2.1))
    bulge = round(far * 0.3)
    whole = (size[0] + bulge, size[1])

    def edges(x: float) -> tuple[float, float]:
        half = (radius + (far - radius) * x / size[0]) * (1 + 0.012 * math.sin(x / 60))
        centre = size[1] / 2 - (radius - far) * 0.35 * x / size[0]
        return centre - half, centre + half

    def light(x: float, y: float) -> tuple[float]:
        upper, lower = edges(x)
        across = (y - upper) / (lower - upper) * 2 - 1
        return (0.42 + 0.58 * math.exp(-(((across + 0.55) / 0.68) ** 2)),)

    def side(pen: ImageDraw.ImageDraw, scale: float) -> None:
        places = [size[0] * n / 60 for n in range(61)]
        points = [(x * scale, edges(x)[0] * scale) for x in places]
        points += [(x * scale, edges(x)[1] * scale) for x in reversed(places)]
        pen.polygon(points, fill=255)
        upper, lower = edges(size[0])
        pen.ellipse(
            (
                (size[0] - bulge) * scale,
                upper * scale,
                (size[0] + bulge) * scale,
                lower * scale,
            ),
            fill=255,
        )

    bark = _bark(tone, chance, whole, light)
    picture.paste(bark, (start, middle - size[1] // 2), mask(whole, side))
    colours, shape = _end_face(tone, chance, face, outline)
    picture.paste(colours, (left, middle - face[1] // 2), shape)
    _grass_before(picture, chance, middle + radius)
    return ImageOps.mirror(picture) if chance.random() < 0.5 else picture


def _yard(chance: random.Random) -> Image.Image:
    """Pale sky, a blurred line of trees, and mown grass."""
    width, height = SIZE
    sky = chance.choice([(226, 226, 214), (233, 226, 210), (219, 224, 222)])

    def shade(_: float, y: float) -> tuple[float, float, float]:
        low = y / height
        if low < 0.42:
            part = low / 0.42
            return tuple(c + (238 - c) * part for c in sky)  # type: ignore[return-value]
        part = (low - 0.42) / 0.58
        return 158 - 44 * part, 160 - 36 * part, 112 - 40 * part

    picture = Image.merge("RGB", [band.convert("L") for band in sampled((0, 0, *SIZE), 18, shade)])
    hedge = Image.new("L", (width // 6, height // 6))
    pen = ImageDraw.Draw(hedge)
    for _ in range(46):
        x, r = chance.uniform(0, width / 6), chance.uniform(5, 17)
        y = height * 0.43 / 6 - chance.uniform(0, 14)
        pen.ellipse((x - r, y - r, x + r, y + r), fill=chance.randint(110, 200))
    soft = hedge.filter(ImageFilter.GaussianBlur(2.2)).resize(SIZE, Image.Resampling.BICUBIC)
    soft.paste(0, (0, round(height * 0.425), width, height))
    picture.paste((122, 134, 104), (0, 0), soft)
    blades = ImageChops.add(noise(chance, SIZE, (3, 11)), noise(chance, SIZE, (60, 20)), scale=2)
    level = blades.point([round(208 + value * 0.19) for value in range(256)])
    level.paste(255, (0, 0, width, round(height * 0.42)))
    return ImageChops.multiply(picture, Image.merge("RGB", (level, level, level)))


def _grass_before(picture: Image.Image, chance: random.Random, ground: float) -> None:
    """Tufts that stand before the trunk, so that it lies in the grass and not on it."""
    large = picture.width
    pen = ImageDraw.Draw(picture)
    for _ in range(620):
        x = chance.uniform(60, large - 40)
        base = ground + chance.uniform(-6, 46)
        high = chance.uniform(14, 38)
        lean = chance.uniform(-9, 9)
        green = chance.randint(-16, 18)
        pen.polygon(
            [(x - 2, base), (x + lean, base - high), (x + 2, base)],
            fill=(122 + green, 132 + green, 84 + green // 2),
        )
