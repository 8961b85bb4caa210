"""A stage as a small shape, told without colour: a round that fills as work goes on."""

from math import cos, pi, sin

#: How full the round is, by stage.
FILLED = {
    "blank": 0.0,
    "turned": 0.5,
    "drying": 0.25,
    "dry": 0.5,
    "trued": 0.75,
    "in-finish": 0.875,
    "finished": 1.0,
}


def stage_mark_svg(stage: str) -> str:
    """Return an inline SVG of 16 units: an open round, filled clockwise; lost is struck through."""
    ring = '<circle cx="8" cy="8" r="6.5" fill="none" stroke="currentColor" stroke-width="1.5"/>'
    return (
        '<svg viewBox="0 0 16 16" aria-hidden="true" focusable="false">'
        f"{ring}{_inside(stage)}</svg>"
    )


def _inside(stage: str) -> str:
    if stage == "lost":
        return '<path d="M3.4 12.6L12.6 3.4" stroke="currentColor" stroke-width="1.5"/>'
    share = FILLED[stage]
    if share == 1.0:
        return '<circle cx="8" cy="8" r="4.5" fill="currentColor"/>'
    if share == 0.0:
        return ""
    x, y = 8 + 4.5 * sin(2 * pi * share), 8 - 4.5 * cos(2 * pi * share)
    large = int(share > 0.5)
    return f'<path d="M8 8V3.5A4.5 4.5 0 {large} 1 {x:.1f} {y:.1f}Z" fill="currentColor"/>'
