"""Drawn stand-ins for photographs, so that the demo's shop has something to show.

Nobody took them and no such pieces exist: wood grain and light are worked out from a seed. They
are warm and plain enough to be taken for drawings.
"""

import math
import random
from collections.abc import Callable
from io import BytesIO

from PIL import Image

from shop.keeping.demo.logs import log_end, trunk
from shop.keeping.demo.tones import SIZE, Tone, paper_ground, tone_of
from shop.keeping.demo.turned import (
    Profile,
    Rod,
    Vessel,
    draw_rod,
    draw_vessel,
    grain_of,
)

SHOWN = (960, 720)  # drawn larger: edges come out smooth, and the shop is quicker to start


def picture_of(form: str, species_tone: str, seed: int) -> bytes:
    """A JPEG of 960 × 720 px of a piece or log in that wood; the same for the same arguments.

    `form` is one of FORMS; `species_tone` a species' slug or common name, or a name in
    `tones.TONES`. Raises KeyError for a form that is not drawn.
    """
    chance = random.Random(f"{form} {species_tone} {seed}")  # noqa: S311 - nothing secret
    picture = FORMS[form](tone_of(species_tone), chance).resize(SHOWN, Image.Resampling.BICUBIC)
    out = BytesIO()
    picture.save(out, "JPEG", quality=86)
    return out.getvalue()


def _bowl(tone: Tone, chance: random.Random) -> Image.Image:
    return _bowl_from_above(tone, chance) if chance.random() < 0.4 else _bowl_standing(tone, chance)


def _bowl_from_above(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    rim = chance.uniform(330, 375)
    height = rim * chance.uniform(0.7, 0.95)
    draw_vessel(
        picture,
        Vessel(
            outside=Profile([(0, rim * 0.4), (height * 0.5, rim * 0.85), (height, rim)]),
            grain=grain_of(
                chance,
                along_x=True,
                pith=(chance.uniform(-30, 30), height * chance.uniform(1.1, 1.5)),
            ),
            tilt=math.pi / 2,
            foot_y=SIZE[1] / 2,
            wall=chance.uniform(13, 22),
            sap_from=rim * chance.uniform(1.0, 1.6),
        ),
        tone,
        chance,
    )
    return picture


def _bowl_standing(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    rim = chance.uniform(345, 400)
    height = rim * chance.uniform(0.72, 0.98)
    foot = rim * chance.uniform(0.34, 0.46)
    belly = chance.uniform(0.8, 0.93)
    draw_vessel(
        picture,
        Vessel(
            outside=Profile(
                [
                    (0, foot),
                    (height * 0.05, foot * 1.01),
                    (height * 0.3, rim * belly * 0.82),
                    (height * 0.65, rim * (belly + 1) / 2 * 0.985),
                    (height, rim),
                ]
            ),
            grain=grain_of(
                chance,
                along_x=True,
                pith=(chance.uniform(-50, 50), height * chance.uniform(1.15, 1.6)),
            ),
            tilt=math.radians(chance.uniform(30, 42)),
            foot_y=650,
            wall=chance.uniform(12, 19),
            sap_from=rim * chance.uniform(1.0, 1.8),
            grooves=[height * 0.86, height * 0.89] if chance.random() < 0.35 else [],
        ),
        tone,
        chance,
    )
    return picture


def _natural_edge_bowl(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    rim = chance.uniform(390, 425)
    log = rim * chance.uniform(1.2, 1.34)
    pith = -rim * chance.uniform(0.42, 0.5)
    height = pith + log
    draw_vessel(
        picture,
        Vessel(
            outside=Profile(
                [
                    (0, rim * 0.36),
                    (height * 0.06, rim * 0.37),
                    (height * 0.4, rim * 0.86),
                    (height * 0.75, rim * 0.98),
                    (height, rim),
                ]
            ),
            grain=grain_of(chance, along_x=True, pith=(chance.uniform(-12, 12), pith)),
            tilt=math.radians(chance.uniform(29, 36)),
            foot_y=690,
            wall=17,
            bark_radius=log,
            sap_from=log - chance.uniform(55, 95),
        ),
        tone,
        chance,
    )
    return picture


def _platter(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    rim = chance.uniform(400, 440)
    height = rim * chance.uniform(0.15, 0.2)
    draw_vessel(
        picture,
        Vessel(
            outside=Profile(
                [
                    (0, rim * 0.55),
                    (height * 0.3, rim * 0.72),
                    (height * 0.8, rim * 0.97),
                    (height, rim),
                ]
            ),
            grain=grain_of(
                chance,
                along_x=True,
                pith=(chance.uniform(-220, 220), -rim * chance.uniform(0.3, 0.9)),
            ),
            tilt=math.radians(chance.uniform(44, 56)),
            foot_y=505,
            wall=chance.uniform(40, 75),
            depth=0.75,
        ),
        tone,
        chance,
    )
    return picture


def _vase(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    height = chance.uniform(560, 630)
    belly = chance.uniform(180, 220)
    shoulder = chance.uniform(0.5, 0.68)
    neck = belly * chance.uniform(0.34, 0.46)
    draw_vessel(
        picture,
        Vessel(
            outside=Profile(
                [
                    (0, belly * chance.uniform(0.48, 0.6)),
                    (height * shoulder * 0.5, belly * 0.86),
                    (height * shoulder, belly),
                    (height * (shoulder + 0.09), belly * 0.93),
                    (height * 0.87, neck),
                    (height, neck * chance.uniform(1.25, 1.6)),
                ]
            ),
            grain=grain_of(
                chance, along_x=False, pith=(chance.uniform(-90, 90), chance.uniform(-60, 120))
            ),
            tilt=math.radians(13),
            foot_y=770,
            wall=10,
            depth=0.5,
            ring_px=tone.ring_px * 1.25,
        ),
        tone,
        chance,
    )
    return picture


def _hollow_form(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    height = chance.uniform(450, 530)
    belly = chance.uniform(325, 370)
    shoulder = chance.uniform(0.55, 0.66)
    side = chance.random() < 0.6
    pith = (chance.uniform(-60, 60), height * chance.uniform(-0.3, 0.1)) if side else (70.0, 60.0)
    draw_vessel(
        picture,
        Vessel(
            outside=Profile(
                [
                    (0, belly * 0.38),
                    (height * 0.25, belly * 0.74),
                    (height * shoulder, belly),
                    (height * 0.9, belly * 0.62),
                    (height * 0.98, belly * 0.3),
                    (height, belly * 0.24),
                ]
            ),
            grain=grain_of(chance, along_x=side, pith=pith),
            tilt=math.radians(21),
            foot_y=745,
            wall=9,
            depth=0.55,
            sap_from=belly * chance.uniform(1.0, 1.5),
        ),
        tone,
        chance,
    )
    return picture


def _box(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    radius = chance.uniform(230, 262)
    height = radius * chance.uniform(1.3, 1.7)
    lid = height * chance.uniform(0.68, 0.76)
    grain = grain_of(chance, along_x=False, pith=(chance.uniform(-60, 60), chance.uniform(-70, 40)))
    tilt = math.radians(26)
    body = Vessel(
        outside=Profile(
            [
                (0, radius * 0.95),
                (height * 0.3, radius * 0.97),
                (lid, radius),
                (height * 0.94, radius * 0.985),
                (height, radius * 0.93),
            ]
        ),
        grain=grain,
        tilt=tilt,
        foot_y=715,
        depth=0,
        grooves=[lid - 2, lid, lid + 2],
    )
    draw_vessel(picture, body, tone, chance)
    knob = radius * 0.16
    top = Vessel(
        outside=Profile(
            [
                (0, knob * 0.6),
                (knob * 0.9, knob * 0.5),
                (knob * 2.2, knob),
                (knob * 2.9, knob * 0.7),
            ]
        ),
        grain=grain_of(chance, along_x=False, pith=(4, 6)),
        tilt=tilt,
        foot_y=body.seen(0, 0, height)[1],
        depth=0,
    )
    draw_vessel(picture, top, tone_of("ebony") if chance.random() < 0.5 else tone, chance)
    return picture


def _pen(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    thick = chance.uniform(30, 35)
    draw_rod(
        picture,
        Rod(
            outline=Profile(
                [
                    (-450, 5),
                    (-442, 8),
                    (-385, thick * 0.62),
                    (-372, thick * 0.8),
                    (-180, thick * 1.08),
                    (-20, thick * 0.9),
                    (-8, thick * 1.02),
                    (22, thick * 1.02),
                    (34, thick * 0.9),
                    (220, thick * 1.12),
                    (392, thick * 0.9),
                    (404, thick * 0.98),
                    (430, thick * 0.9),
                    (446, thick * 0.4),
                    (450, 2),
                ]
            ),
            metal=[(-462, -374), (-10, 24), (394, 462)],
            shine=chance.choice([(226, 196, 140), (214, 214, 212), (150, 148, 146)]),
            angle=chance.uniform(16, 32),
        ),
        tone,
        chance,
    )
    return picture


def _stopper(tone: Tone, chance: random.Random) -> Image.Image:
    picture = paper_ground(chance)
    head = chance.uniform(122, 152)
    draw_rod(
        picture,
        Rod(
            outline=Profile(
                [
                    (-420, 46),
                    (-411, 58),
                    (-76, 84),
                    (-66, 108),
                    (-32, 110),
                    (-20, 88),
                    (76, 62),
                    (244, head),
                    (345, head * 0.86),
                    (412, head * 0.4),
                    (426, 3),
                ]
            ),
            metal=[(-432, -24)],
            rings=[(-345, -322), (-275, -252), (-205, -182)],
            shine=(214, 214, 212),
            angle=chance.uniform(24, 42),
        ),
        tone,
        chance,
    )
    return picture


FORMS: dict[str, Callable[[Tone, random.Random], Image.Image]] = {
    "bowl": _bowl,
    "bowl from above": _bowl_from_above,
    "natural-edge bowl": _natural_edge_bowl,
    "platter": _platter,
    "vase": _vase,
    "hollow form": _hollow_form,
    "pen": _pen,
    "stopper": _stopper,
    "box": _box,
    "log end": log_end,
    "trunk": trunk,
}
