"""Whether a whole printed page is sound: nothing outside, nothing on top of anything else."""

from itertools import pairwise

from tests.provenance.cards.conftest import MM, Area, Printed


def assert_pages_sound(printed: Printed, side_mm: float = 17) -> None:
    """All words are within the margins, clear of each other, of rules and columns and the foot.

    The last words of a page are its foot, the page's number.
    """
    for number, page in enumerate(printed.pages):
        runs = sorted(printed.runs(number), key=lambda run: run.bottom)
        side = side_mm * MM
        inside = Area(side, side - 1, page["width"] - side, page["height"] - 8 * MM)
        _assert_no_letter_on_another(page["chars"])
        for index, run in enumerate(runs):
            assert inside.holds(run), run
            # Runs are in order of their baselines, and none is higher than 30 points.
            near = [other for other in runs[index + 1 :] if other.bottom < run.bottom + 30]
            assert not any(run.meets(other) for other in near), run
        foot = runs[-1]
        assert all(run.bottom < foot.top - 2 * MM for run in runs[:-1])
        for rule in map(Area.of, page["lines"]):
            assert inside.holds(rule)
            assert not any(_cuts(rule, run) for run in runs), rule
        for rect in map(Area.of, page["rects"]):
            assert inside.holds(rect)
            assert not any(run.meets(rect) for run in runs)


def _cuts(rule: Area, run: Area) -> bool:
    return (
        min(rule.x1, run.x1) - max(rule.x0, run.x0) >= 0
        and min(rule.bottom, run.bottom - 0.1) - max(rule.top, run.top + 0.1) >= 0
    )


def _assert_no_letter_on_another(chars: list[dict]) -> None:
    """On one baseline each letter begins where the one before it ends, or later."""
    lines: dict[float, list[dict]] = {}
    for char in chars:
        lines.setdefault(round(char["matrix"][5], 2), []).append(char)
    for line in lines.values():
        for before, after in pairwise(sorted(line, key=lambda char: char["x0"])):
            assert after["x0"] > before["x1"] - 0.05 * after["size"], (before, after)
