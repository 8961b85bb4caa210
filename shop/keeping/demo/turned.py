"""Turned pieces for the demo's drawn pictures: vessels that stand, and rods that lie.

A vessel is a body of revolution seen from a tilt above the table, without perspective. Its x runs
to the right, y towards the viewer, z up from the foot; all in pixels of the picture.
"""

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from shop.keeping.demo.tones import (
    SIZE,
    Tone,
    cast_shadow,
    light_and_gloss,
    lit,
    mask,
    noise,
    rings_of,
    sampled,
    unit,
    wander,
    wood,
)

Points = Sequence[tuple[float, float]]


class Profile:
    """A smooth curve through (place, radius) points, looked up from a table."""

    def __init__(self, points: Points) -> None:
        self.start, self.end = points[0][0], points[-1][0]
        self._step = (self.end - self.start) / 240
        self._radii = [_smooth(points, self.start + n * self._step) for n in range(241)]
        self.widest = max(self._radii)

    def radius(self, at: float) -> float:
        place = min(239.999, max(0.0, (at - self.start) / self._step))
        n = int(place)
        return self._radii[n] + (self._radii[n + 1] - self._radii[n]) * (place - n)

    def slope(self, at: float) -> float:
        wide = 3 * self._step
        return (self.radius(at + wide) - self.radius(at - wide)) / (2 * wide)


def _smooth(points: Points, at: float) -> float:
    """Cubic Hermite through the points, flat where they turn round."""
    n = 0
    while n < len(points) - 2 and at > points[n + 1][0]:
        n += 1
    (x0, y0), (x1, y1) = points[n], points[n + 1]
    slope = (y1 - y0) / (x1 - x0)
    before = (y0 - points[n - 1][1]) / (x0 - points[n - 1][0]) if n else slope
    after = (points[n + 2][1] - y1) / (points[n + 2][0] - x1) if n + 2 < len(points) else slope
    # the harmonic mean never swings past a point (Fritsch and Butland's choice)
    m0 = 2 * before * slope / (before + slope) if before * slope > 0 else 0.0
    m1 = 2 * slope * after / (slope + after) if slope * after > 0 else 0.0
    t = min(1.0, max(0.0, (at - x0) / (x1 - x0)))
    rise = (y1 - y0) * t * t * (3 - 2 * t)
    return y0 + rise + (x1 - x0) * t * (1 - t) * (m0 * (1 - t) - m1 * t)


@dataclass(frozen=True, slots=True)
class Grain:
    """Where the pith runs in a piece: along x (side grain) or along z (end grain)."""

    along_x: bool
    pith: tuple[float, float]  # (y, z) of a pith along x, (x, y) of one along z
    lean: float
    ripple: Callable[[float], float]
    wave: Callable[[float], float]

    def distance(self, x: float, y: float, z: float) -> float:
        """Distance from the pith in px, a little uneven as wood is."""
        if self.along_x:
            off = math.hypot(y - self.pith[0] - self.lean * x, z - self.pith[1])
            return off + 9 * self.ripple(x) + 4 * self.wave(y + z)
        off = math.hypot(x - self.pith[0] - self.lean * z, y - self.pith[1])
        return off + 7 * self.ripple(z) + 4 * self.wave(x + y)


def grain_of(chance: random.Random, *, along_x: bool, pith: tuple[float, float]) -> Grain:
    """A grain with its own small irregularities."""
    lean = chance.uniform(-0.05, 0.05) if along_x else chance.uniform(-0.16, 0.16)
    return Grain(along_x, pith, lean, wander(chance, 210), wander(chance, 90))


@dataclass(frozen=True, slots=True)
class Vessel:
    """A standing piece: its outside, how it stands in the picture, and how it is opened."""

    outside: Profile
    grain: Grain
    tilt: float  # of the line of sight above the table, in radians
    foot_y: float  # where the centre of the foot stands in the picture
    wall: float = 14
    depth: float = 0.9  # of the hollow, as a part of the height; 0 for a closed top
    grooves: Sequence[float] = ()
    sap_from: float = 1600
    bark_radius: float = 0  # of the log, for a natural edge
    ring_px: float | None = None
    centre_x: float = SIZE[0] / 2
    inside: Profile = field(init=False)

    def __post_init__(self) -> None:
        rim = self.outside.radius(self.outside.end) - self.wall
        floor = self.height * (1 - self.depth)
        steps = [n / 24 for n in range(25)]
        curve = [
            (floor + (self.height - floor) * t, max(1.0, rim * (1 - (1 - t) ** 2.3) ** (1 / 2.1)))
            for t in steps
        ]
        object.__setattr__(self, "inside", Profile(curve if self.depth else [(0, 1), (1, 1)]))

    @property
    def height(self) -> float:
        """Of the highest point, in px."""
        return self.outside.end

    def rim_height(self, angle: float, radius: float) -> float:
        """Of the rim over `angle` from the x axis: level, or where the log's bark was."""
        if not self.bark_radius:
            return self.height
        across = radius * math.sin(angle) - self.grain.pith[0]
        return self.grain.pith[1] + math.sqrt(max(1.0, self.bark_radius**2 - across**2))

    def ring(self, part: float, inset: float = 0) -> list[tuple[float, float]]:
        """Screen points round the piece at `part` of the rim's height, `inset` px further in."""
        widest = self.outside.radius(self.height)
        points = []
        for n in range(72):
            angle = math.tau * n / 72
            z = part * self.rim_height(angle, widest)
            radius = max(0.0, self.outside.radius(z) - inset)
            points.append(self.seen(radius * math.cos(angle), radius * math.sin(angle), z))
        return points

    def seen(self, x: float, y: float, z: float) -> tuple[float, float]:
        """Where a point of the piece is in the picture."""
        return (
            self.centre_x + x,
            self.foot_y - z * math.cos(self.tilt) + y * math.sin(self.tilt),
        )

    def box(self) -> tuple[int, int, int, int]:
        """Of the whole piece in the picture, with a little room."""
        points = [point for n in range(13) for point in self.ring(n / 12)]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return (int(min(xs)) - 4, int(min(ys)) - 4, int(max(xs)) + 5, int(max(ys)) + 5)

    def on_outside(self, across: float, down: float) -> tuple[float, ...]:
        """(distance to pith, light, sheen) of the outside seen at a place of the picture."""
        x, low = across - self.centre_x, (self.foot_y - down) / math.cos(self.tilt)
        rise = math.tan(self.tilt)
        near, far = 0.0, self.outside.widest
        for _ in range(8):
            y = (near + far) / 2
            if math.hypot(x, y) < self.outside.radius(low + y * rise):
                near = y
            else:
                far = y
        z = min(self.height, max(0.0, low + near * rise))
        radius = math.hypot(x, near) or 1.0
        normal = unit(x / radius, near / radius, -self.outside.slope(z))
        light, gloss = light_and_gloss(normal, self.tilt)
        light *= 0.66 + 0.34 * min(1.0, (z + 4) / 60)  # the table takes light from the foot
        return self.grain.distance(x, near, z), light, gloss

    def on_inside(self, across: float, down: float) -> tuple[float, ...]:
        """(distance to pith, light, sheen) of the hollow seen at a place of the picture."""
        x, drop = across - self.centre_x, down - self.foot_y
        sine, cosine = math.sin(self.tilt), math.cos(self.tilt)
        low, high = self.inside.start, self.inside.end
        # where the rim dips, the line of sight comes in below the highest point
        while self.bark_radius and high > low + 5:
            if math.hypot(x, (drop + high * cosine) / sine) < self.inside.radius(high):
                break
            high -= 5
        for _ in range(9):
            z = (low + high) / 2
            if math.hypot(x, (drop + z * cosine) / sine) < self.inside.radius(z):
                high = z
            else:
                low = z
        y = (drop + high * cosine) / sine
        radius = math.hypot(x, y) or 1.0
        normal = unit(-x / radius, -y / radius, max(0.02, self.inside.slope(high)))
        light, gloss = light_and_gloss(normal, self.tilt)
        sunk = (self.inside.end - high) / max(60.0, self.inside.widest)
        light = 0.2 + 0.82 * light - 0.3 * min(1.0, sunk) * (1 - math.sin(self.tilt) * 0.75)
        return self.grain.distance(x, y, high), min(1.0, light), gloss

    def on_rim(self, across: float, down: float) -> tuple[float, ...]:
        """(distance to pith, light, sheen) of the level top of rim or lid."""
        x = across - self.centre_x
        y = (down - self.foot_y + self.height * math.cos(self.tilt)) / math.sin(self.tilt)
        # turned slightly round, so that the light catches one side
        radius = math.hypot(x, y) or 1.0
        normal = unit(0.3 * x / radius, 0.3 * y / radius, 1)
        light, gloss = light_and_gloss(normal, self.tilt)
        return self.grain.distance(x, y, self.height), min(1.0, light + 0.03), gloss


def draw_vessel(picture: Image.Image, vessel: Vessel, tone: Tone, chance: random.Random) -> None:
    """Stand `vessel` in the picture with its shadow."""
    rings = rings_of(tone, chance, sap_from=vessel.sap_from, ring_px=vessel.ring_px)
    box = vessel.box()
    _shadow_of(picture, vessel)
    cell = max(9.0, math.sqrt((box[2] - box[0]) * (box[3] - box[1]) / 1200))
    streaks = (52, 2.4) if vessel.grain.along_x else (2.6, 70)
    size = (box[2] - box[0], box[3] - box[1])
    fibre = noise(chance, size, streaks)

    def layer(surface: Callable[[float, float], tuple[float, ...]], shape: Image.Image) -> None:
        inner = shape.getbbox() or (0, 0, *size)
        place = (box[0] + inner[0], box[1] + inner[1], box[0] + inner[2], box[1] + inner[3])
        distance, light, gloss = sampled(place, cell, surface)
        skin = lit(wood(distance, rings, fibre.crop(inner)), light, gloss)
        picture.paste(skin, place[:2], shape.crop(inner))

    def shape_of(rings: Sequence[Sequence[tuple[float, float]]]) -> Image.Image:
        def draw(pen: ImageDraw.ImageDraw, scale: float) -> None:
            for ring in rings:
                pen.polygon(
                    [((x - box[0]) * scale, (y - box[1]) * scale) for x, y in ring], fill=255
                )

        return mask(size, draw)

    if vessel.tilt < 1.4:
        levels = [vessel.ring(n / 40) for n in range(41)]
        if not vessel.bark_radius:
            # between two levels of a steep side lies more than their ellipses cover
            levels.append([ring[0] for ring in levels] + [ring[36] for ring in reversed(levels)])
        layer(vessel.on_outside, shape_of(levels))
        if vessel.grooves:
            _grooves(picture, vessel)
    layer(vessel.on_rim, shape_of([vessel.ring(1)]))
    if vessel.depth:
        layer(vessel.on_inside, shape_of([vessel.ring(1, vessel.wall)]))
    if vessel.bark_radius:
        _bark_edge(picture, vessel, tone, chance)


def _shadow_of(picture: Image.Image, vessel: Vessel) -> None:
    wide, flat = vessel.outside.widest, max(0.24, math.sin(vessel.tilt))
    foot = vessel.outside.radius(0)
    x, y = vessel.centre_x, vessel.foot_y
    if vessel.tilt > 1.4:
        soft = [((x - wide + 44, y - wide + 54, x + wide + 40, y + wide + 50), 0.55)]
        cast_shadow(picture, soft)
        return
    reach = 0.36 * vessel.height
    cast_shadow(
        picture,
        [
            (
                (
                    x - wide * 0.8,
                    y - wide * flat * 0.62 - 8,
                    x + wide * 0.95 + reach,
                    y + wide * flat * 0.62 + 14,
                ),
                0.34,
            ),
            ((x - foot * 1.02, y - foot * flat, x + foot * 1.12, y + foot * flat + 10), 0.62),
        ],
    )


def _grooves(picture: Image.Image, vessel: Vessel) -> None:
    veil = Image.new("L", picture.size)
    pen = ImageDraw.Draw(veil)
    for z in vessel.grooves:
        radius = vessel.outside.radius(z)
        front = [
            vessel.seen(radius * math.cos(angle), radius * math.sin(angle), z)
            for angle in (math.pi * n / 60 for n in range(61))
        ]
        pen.line(front, fill=150, width=3)
    picture.paste((58, 36, 22), (0, 0), veil.filter(ImageFilter.GaussianBlur(0.8)))


def _bark_edge(picture: Image.Image, vessel: Vessel, tone: Tone, chance: random.Random) -> None:
    """Rough bark along the rim, thicker on the side towards the viewer."""
    left, top, right, bottom = vessel.box()
    veil = Image.new("L", (right - left + 40, bottom - top + 40))
    pen = ImageDraw.Draw(veil)
    outer, inner = vessel.ring(1), vessel.ring(1, vessel.wall * 0.8)
    middle = [((x + u) / 2, (y + v) / 2) for (x, y), (u, v) in zip(outer, inner, strict=True)]
    steps = 5
    for n, (one, other) in enumerate(zip(middle, middle[1:] + middle[:1], strict=True)):
        toward = 0.5 + 0.5 * math.sin(math.tau * n / len(middle))
        for step in range(steps):
            x = one[0] + (other[0] - one[0]) * step / steps - left + 20
            y = one[1] + (other[1] - one[1]) * step / steps - top + 24 + 5 * toward
            rough = 7 + 4 * toward + chance.uniform(-2.6, 2.6)
            pen.ellipse((x - rough, y - rough, x + rough, y + rough), fill=255)
    rough_bark = noise(chance, veil.size, (5, 4)).point([115 + value // 2 for value in range(256)])
    bark = ImageChops.multiply(
        Image.new("RGB", veil.size, tone.bark), Image.merge("RGB", (rough_bark,) * 3)
    )
    picture.paste(bark, (left - 20, top - 20), veil.filter(ImageFilter.GaussianBlur(0.9)))


@dataclass(frozen=True, slots=True)
class Rod:
    """A lying piece: its outline along the axis, and which stretches of it are metal."""

    outline: Profile
    metal: Sequence[tuple[float, float]]
    shine: tuple[int, int, int]
    angle: float  # of the axis in the picture, in degrees, counter-clockwise
    rings: Sequence[tuple[float, float]] = ()  # dark rubber, as on a stopper


def draw_rod(picture: Image.Image, rod: Rod, tone: Tone, chance: random.Random) -> None:
    """Lay `rod` in the middle of the picture with its shadow."""
    tall = round(rod.outline.widest * 2) + 24
    size = (round(rod.outline.end - rod.outline.start) + 24, tall)
    axis, start = tall / 2, rod.outline.start - 12
    turn = math.radians(rod.angle)
    # the light as the rod sees it before it is turned: x along, y down, z to the viewer
    lx, ly = -0.5, -0.5
    along, down, up = unit(
        lx * math.cos(turn) - ly * math.sin(turn), lx * math.sin(turn) + ly * math.cos(turn), 0.72
    )
    pith = (chance.uniform(70, 190), chance.uniform(-40, 90))
    ripple, lean = wander(chance, 150), chance.uniform(-0.05, 0.05)

    def surface(across: float, place: float) -> tuple[float, ...]:
        at = across + start
        radius = max(1.0, rod.outline.radius(at))
        u = min(0.995, max(-0.995, (place - axis) / radius))
        h = math.sqrt(1 - u * u)
        nx, ny, nz = unit(-rod.outline.slope(at), u, h)
        facing = max(0.0, nx * along + ny * down + nz * up)
        shine = max(0.0, unit(along, down, up + 1)[1] * ny + unit(along, down, up + 1)[2] * nz)
        distance = math.hypot(u * radius - pith[0] - lean * at, h * radius - pith[1])
        mirror = 0.3 + 0.75 * math.exp(-(((u - down * 0.75) / 0.2) ** 2))
        mirror += 0.3 * math.exp(-(((u + down * 0.9) / 0.16) ** 2)) - 0.12 * (1 - h)
        return (
            distance * 1.6 + 5 * ripple(at),
            0.36 + 0.62 * facing,
            0.3 * shine**30 + 0.05 * shine**4,
            mirror,
        )

    distance, light, gloss, mirror = sampled((0, 0, *size), 5, surface)
    fibre = noise(chance, size, (40, 1.5))
    rings = rings_of(tone, chance, ring_px=tone.ring_px * 0.8)
    body = lit(wood(distance, rings, fibre), light, gloss)
    metal = lit(Image.new("RGB", size, rod.shine), mirror, gloss)
    for left, right in rod.metal:
        body.paste(
            metal.crop((round(left - start), 0, round(right - start), tall)),
            (round(left - start), 0),
        )
    rubber = lit(Image.new("RGB", size, (58, 54, 52)), light, gloss)
    for left, right in rod.rings:
        body.paste(
            rubber.crop((round(left - start), 0, round(right - start), tall)),
            (round(left - start), 0),
        )

    def outline(pen: ImageDraw.ImageDraw, scale: float) -> None:
        places = [rod.outline.start + n * (size[0] - 24) / 240 for n in range(241)]
        upper = [((at - start) * scale, (axis - rod.outline.radius(at)) * scale) for at in places]
        lower = [(x, 2 * axis * scale - y) for x, y in reversed(upper)]
        pen.polygon(upper + lower, fill=255)

    _lay(picture, body, mask(size, outline), rod.angle)


def _lay(picture: Image.Image, body: Image.Image, shape: Image.Image, angle: float) -> None:
    turned = shape.rotate(angle, Image.Resampling.BICUBIC, expand=True)
    skin = body.rotate(angle, Image.Resampling.BICUBIC, expand=True)
    left, top = (picture.width - turned.width) // 2, (picture.height - turned.height) // 2
    veil = Image.new("L", picture.size)
    for shift, depth, blur in ((26, 0.34, 16), (9, 0.5, 6)):
        veil.paste(0, (0, 0, *picture.size))
        veil.paste(
            turned.point([round(v * depth) for v in range(256)]), (left + shift, top + shift)
        )
        soft = veil.reduce(4).filter(ImageFilter.GaussianBlur(blur / 4))
        picture.paste((92, 68, 48), (0, 0), soft.resize(picture.size, Image.Resampling.BICUBIC))
    picture.paste(skin, (left, top), turned)
