"""Smooth curves on a whole-number grid: one set of points, written as SVG or as a reportlab path.

A curve passes through its points. At each point the way in and the way out are mirror images, so
SVG can leave one of the two out (`s`), and both writers start from the same whole numbers.
The grid has its origin at the top left, y downwards, as SVG has it; paper is turned over on the
way out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reportlab.graphics.shapes import Path

Point = tuple[int, int]
Cubic = tuple[Point, Point, Point, Point]


@dataclass(frozen=True)
class Curve:
    """A smooth line through `points`; `reaches[i]` is the arm from point i to its way out."""

    points: tuple[Point, ...]
    reaches: tuple[Point, ...]
    closed: bool = True

    def cubics(self) -> Iterator[Cubic]:
        """The Bézier pieces in order, each as (start, control, control, end)."""
        count = len(self.points)
        for start in range(count if self.closed else count - 1):
            end = (start + 1) % count
            (ax, ay), (bx, by) = self.points[start], self.points[end]
            (arm_x, arm_y), (back_x, back_y) = self.reaches[start], self.reaches[end]
            yield (ax, ay), (ax + arm_x, ay + arm_y), (bx - back_x, by - back_y), (bx, by)

    def backwards(self) -> "Curve":
        """The same line drawn the other way round, which cuts a hole in a filled shape."""
        mirrored = tuple((-x, -y) for x, y in reversed(self.reaches))
        return Curve(tuple(reversed(self.points)), mirrored, self.closed)

    def sample(self, per_piece: int = 8) -> list[tuple[float, float]]:
        """Points along the line, `per_piece` of them on each Bézier piece."""
        return [
            _on_cubic(cubic, step / per_piece)
            for cubic in self.cubics()
            for step in range(per_piece)
        ]

    def path_data(self) -> str:
        """The line as the value of an SVG `d` attribute: relative, without needless spaces."""
        words = ["M" + _numbers(*self.points[0])]
        for index, ((ax, ay), (bx, by), (cx, cy), (dx, dy)) in enumerate(self.cubics()):
            rest = (cx - ax, cy - ay, dx - ax, dy - ay)
            if index:
                words.append("s" + _numbers(*rest))
            else:
                words.append("c" + _numbers(bx - ax, by - ay, *rest))
        return "".join(words) + ("z" if self.closed else "")

    def add_to(self, path: Path, *, scale: float, height: float) -> None:
        """Draw the line into a reportlab path; `scale` is points per unit, `height` in points."""
        for index, (start, control, other, end) in enumerate(self.cubics()):
            if not index:
                path.moveTo(start[0] * scale, height - start[1] * scale)
            path.curveTo(
                control[0] * scale,
                height - control[1] * scale,
                other[0] * scale,
                height - other[1] * scale,
                end[0] * scale,
                height - end[1] * scale,
            )
        if self.closed:
            path.closePath()


def smooth(points: Sequence[tuple[float, float]], *, closed: bool = True) -> Curve:
    """A smooth curve through the points (a Catmull-Rom spline), rounded to the whole-number grid.

    Evenly spread points give the calmest line; at least three of them, or two if it is open.
    """
    count = len(points)
    reaches: list[Point] = []
    for index in range(count):
        before = (index - 1) % count if closed else max(index - 1, 0)
        after = (index + 1) % count if closed else min(index + 1, count - 1)
        reaches.append(
            (
                round((points[after][0] - points[before][0]) / 6),
                round((points[after][1] - points[before][1]) / 6),
            )
        )
    return Curve(tuple((round(x), round(y)) for x, y in points), tuple(reaches), closed)


def _on_cubic(cubic: Cubic, share: float) -> tuple[float, float]:
    rest = 1 - share
    weights = (rest**3, 3 * rest * rest * share, 3 * rest * share * share, share**3)
    return (
        sum(weight * point[0] for weight, point in zip(weights, cubic, strict=True)),
        sum(weight * point[1] for weight, point in zip(weights, cubic, strict=True)),
    )


def _numbers(*values: int) -> str:
    """Whole numbers side by side; a minus sign parts them as well as a space does."""
    text = str(values[0])
    for value in values[1:]:
        text += str(value) if value < 0 else f" {value}"
    return text
