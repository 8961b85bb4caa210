"""Values that are checked as they come in."""

import math


def checked(
    value: float,
    what: str,
    *,
    least: float = -math.inf,
    above: float = -math.inf,
    most: float = math.inf,
    below: float = math.inf,
) -> float:
    """Return the value; ValueError with a sentence where it is no number or out of range."""
    if not math.isfinite(value):
        raise ValueError(f"{what} must be a number.")
    if value < least or (value < 0 and above == 0):
        raise ValueError(f"{what} can’t be below {least if math.isfinite(least) else 0:g}.")
    if value <= above:
        raise ValueError(f"{what} must be more than {above:g}.")
    if value > most:
        raise ValueError(f"{what} can’t be more than {most:g}.")
    if value >= below:
        raise ValueError(f"{what} must be less than {below:g}.")
    return value
