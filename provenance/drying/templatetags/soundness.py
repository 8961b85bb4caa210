"""What the checks for soundness say, on the page of a move."""

from collections.abc import Sequence
from typing import Any

from django import template

from provenance.drying import measuring
from provenance.pieces.models import Piece

register = template.Library()

#: Moves after which the piece is on the lathe, or on its way there.
TO_THE_LATHE = ("call-dry", "true-up")


@register.inclusion_tag("drying/_soundness_notice.html")
def soundness_notice(pieces: Sequence[Piece], slug: str) -> dict[str, Any]:
    """Name the pieces that a check keeps off the lathe, and those not looked over. One query."""
    if slug not in TO_THE_LATHE:
        return {}
    checks = measuring.standing_of(pieces)
    held = [(p, checks[p.pk]) for p in pieces if measuring.is_held(p, checks.get(p.pk))]
    unchecked = [p for p in pieces if p.pk not in checks] if slug == "true-up" else []
    return {"held": held, "unchecked": unchecked}
