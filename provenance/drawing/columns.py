"""A picture of amounts by month: a column for each, worked out once for the page and for paper.

Amounts below nothing hang under the line. The month that the picture is about is filled where the
others are only tinted, and its name and amount are set bold, so no colour alone tells anything.
`column_layout` says where everything lies; on paper its units are points, turned over.
"""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.lib.colors import HexColor

from provenance.drawing.column_layout import (
    SANS,
    SANS_BOLD,
    Bar,
    Column,
    Words,
    laid_out,
)
from provenance.drawing.ring_mark import ACCENT, INK

__all__ = ["Column", "columns_drawing", "columns_svg"]

SOFT_INK, WASH = "#6B5B4E", "#F3EBDD"

# On a phone, 340 pixels wide, the words are set in 11.5 pixels: as small as one reads at ease.
SVG_WIDTH, SVG_HEIGHT, SVG_SIZE = 360.0, 190.0, 12.2
# Where the style sheet shows the picture wide it may set the words smaller: down to this, the
# words of class "columns-more" have room as well.
SVG_SIZE_WIDE = 7.6
_PAPER_SIZE = 8.0


def columns_svg(columns: Sequence[Column], *, title: str) -> str:
    """The picture as inline SVG, an image named by `title`, made for 340 to 900 pixels of width.

    All inks are the text's colour; the style sheet may colour class "columns-marked". Sizes of
    words hang on the picture's font-size, so that a style sheet may lower it, never raise it;
    below `SVG_SIZE_WIDE` it may also show what has class "columns-more".
    """
    has_amounts = any(column.value for column in columns)
    height = SVG_HEIGHT if has_amounts else SVG_SIZE * 5
    picture = laid_out(columns, SVG_WIDTH, height, SVG_SIZE, SVG_SIZE_WIDE)
    plain = "".join(_rect(bar) for bar in picture.bars if not bar.is_marked)
    marked = "".join(_rect(bar) for bar in picture.bars if bar.is_marked)
    leaders = "".join(
        f"M{_number((box.x0 + box.x1) / 2)} {_number(box.top)}V{_number(box.bottom)}"
        for box in picture.leaders
    )
    return (
        f'<svg class="columns" viewBox="0 0 {_number(SVG_WIDTH)} {_number(height)}" role="img"'
        f' fill="currentColor" font-size="{SVG_SIZE}" text-anchor="middle">'
        f"<title>{escape(title)}</title>"
        f'<g fill-opacity=".13" stroke="currentColor" stroke-width=".7">{plain}</g>'
        f'<g class="columns-marked">{marked}</g>'
        f'<path fill="none" stroke="currentColor" stroke-width=".5" d="{leaders}"/>'
        f'<path stroke="currentColor" d="M0 {_number(picture.zero)}H{_number(SVG_WIDTH)}"/>'
        f"{''.join(_text(words) for words in picture.words)}</svg>"
    )


def columns_drawing(columns: Sequence[Column], width: float, height: float) -> Drawing:
    """The picture as a reportlab drawing of so many points. Its texts must be printable."""
    picture = laid_out(columns, width, height, _PAPER_SIZE)
    ink, accent, wash = HexColor(INK), HexColor(ACCENT), HexColor(WASH)
    drawing = Drawing(width, height)
    for bar in picture.bars:
        box = bar.box
        drawing.add(
            Rect(
                box.x0, height - box.bottom, box.x1 - box.x0, box.bottom - box.top,
                fillColor=accent if bar.is_marked else wash,
                strokeColor=None if bar.is_marked else ink,
                strokeWidth=0.4,
            )
        )  # fmt: skip
    for box in picture.leaders:
        x = (box.x0 + box.x1) / 2
        drawing.add(
            Line(x, height - box.top, x, height - box.bottom, strokeColor=ink, strokeWidth=0.3)
        )
    zero = height - picture.zero
    drawing.add(Line(0, zero, width, zero, strokeColor=ink, strokeWidth=0.8))
    for words in picture.words:
        drawing.add(
            String(
                words.x, height - words.y, words.text, textAnchor="middle", fontSize=words.size,
                fontName=SANS_BOLD if words.is_bold else SANS,
                fillColor=HexColor(SOFT_INK) if words.is_soft else ink,
            )
        )  # fmt: skip
    return drawing


def _rect(bar: Bar) -> str:
    box = bar.box
    return (
        f'<rect x="{_number(box.x0)}" y="{_number(box.top)}"'
        f' width="{_number(box.x1 - box.x0)}" height="{_number(box.bottom - box.top)}"/>'
    )


def _text(words: Words) -> str:
    size = "" if words.size == SVG_SIZE else f' font-size="{words.size / SVG_SIZE:.3f}em"'
    kind = ' class="columns-more" display="none"' if words.is_extra else ""
    look = (' font-weight="600"' if words.is_bold else "") + (
        ' fill-opacity=".75"' if words.is_soft else ""
    )
    return (
        f'<text x="{_number(words.x)}" y="{_number(words.y)}"{size}{look}{kind}>'
        f"{escape(words.text)}</text>"
    )


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")
