"""Parts of a paper stacked down its pages: what stands on which page, and what stays together.

A part is so many points high and draws itself below a height. Parts that belong together (a title
and its picture, the last line and the sums) are chained; only a chain taller than a page is parted.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from reportlab.pdfgen.canvas import Canvas


@dataclass(frozen=True)
class Part:
    """One part of a paper.

    `draw` is called with the canvas and the height of the part's top. `keeps_next` ties it to the
    part after it. `heading` is drawn again above the part when a page begins with it. A space says
    nothing, so no page begins with one.
    """

    height: float
    draw: Callable[[Canvas, float], None]
    keeps_next: bool = False
    heading: "Part | None" = None
    is_space: bool = False


def space(height: float, *, keeps_next: bool = False) -> Part:
    """So many points with nothing in them."""
    return Part(height, lambda canvas, top: None, keeps_next, is_space=True)


def shared_out(parts: Sequence[Part], first_room: float, room: float) -> list[list[Part]]:
    """The parts on pages, of which the first has another room than the others; at least one page.

    A part taller than a page gets a page of its own and runs over its foot: whoever makes parts
    has to see to it that there are none.
    """
    pages: list[list[Part]] = [[]]
    left = first_room
    for chain in _chains(parts):
        tall = sum(part.height for part in chain)
        if tall > left and pages[-1] and tall <= room - _heading_height(chain[0]):
            pages.append([])
            left = room
        for part in chain:
            if part.height > left and pages[-1]:
                pages.append([])
                left = room
            if part.is_space and not pages[-1]:
                continue
            if not pages[-1] and part.heading and len(pages) > 1:
                pages[-1].append(part.heading)
                left -= part.heading.height
            pages[-1].append(part)
            left -= part.height
    return pages


def _chains(parts: Sequence[Part]) -> Iterator[list[Part]]:
    """The parts in runs that stay together."""
    chain: list[Part] = []
    for part in parts:
        chain.append(part)
        if not part.keeps_next:
            yield chain
            chain = []
    if chain:
        yield chain


def _heading_height(part: Part) -> float:
    return part.heading.height if part.heading else 0.0


def draw_parts(canvas: Canvas, parts: Sequence[Part], top: float) -> float:
    """Draw one page's parts from `top` down; returns where the next would begin."""
    for part in parts:
        canvas.saveState()
        part.draw(canvas, top)
        canvas.restoreState()
        top -= part.height
    return top
