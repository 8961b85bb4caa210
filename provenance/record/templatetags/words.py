"""Words and marks for templates: measures, money, dates, numbers, ring marks and stages."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.forms import BoundField
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from provenance.drawing.ring_mark import ring_mark_svg
from provenance.drawing.stage_mark import stage_mark_svg
from provenance.record import money as amounts
from provenance.record import units
from provenance.record.partial_dates import PartialDate

register = template.Library()

NO_TREE = SafeString(
    '<span class="ring-mark ring-mark-row"><svg class="ring-mark no-tree" viewBox="0 0 44 44" '
    'aria-hidden="true"><circle cx="22" cy="22" r="19" fill="none" stroke="currentColor" '
    'stroke-width="1.5" stroke-dasharray="3 5"/></svg></span>'
)


@register.filter
def as_length(mm: int | None, unit: str) -> str:
    """267 → "267 mm" or "10 1/2 in"; '' for None."""
    return "" if mm is None else units.format_length(mm, unit)


@register.filter
def both_lengths(mm: int | None, unit: str) -> str:
    """267 → "267 mm (10 1/2 in)"; '' for None."""
    return "" if mm is None else units.format_both(mm, unit)


@register.filter
def money(minor: int | None, currency: str) -> str:
    """16500 → "$165"; '' for None."""
    return "" if minor is None else amounts.format_money(minor, currency)


@register.filter
def percent(pct: Decimal) -> str:
    """6.2500 → "6.25"."""
    return amounts.plain_percent(pct)


@register.filter
def spoken(when: PartialDate | date | datetime | None) -> str:
    """A date in words: "12 March 2023", "about 1998"; '' for None. Moments in the shop's zone."""
    if when is None:
        return ""
    if isinstance(when, datetime):
        when = timezone.localtime(when).date()
    return (when if isinstance(when, PartialDate) else PartialDate.of(when)).spoken()


@register.filter
def capfirst_only(text: str) -> str:
    """Raise the first letter and leave the rest alone."""
    return text[:1].upper() + text[1:]


@register.simple_tag
def ring_mark(tree: Any, size: str = "row", title: str = "") -> SafeString:
    """Draw a tree's ring mark: size "row", "medium" or "large".

    Without a tree (None, or the empty text that a template makes of it) a list row shows an open
    dashed ring, and a larger place nothing.
    """
    if not tree:
        return NO_TREE if size == "row" else SafeString("")
    svg = ring_mark_svg(
        tree.code, tree.ring_count, title=title, detail="small" if size == "row" else "full"
    )
    # The SVG is our own drawing; the only foreign text, the title, is escaped where it is drawn.
    return format_html('<span class="ring-mark ring-mark-{}">{}</span>', size, mark_safe(svg))  # noqa: S308


@register.simple_tag
def stage_mark(piece: Any) -> SafeString:
    """Draw a piece's stage as a shape with its word."""
    svg = mark_safe(stage_mark_svg(piece.stage))  # noqa: S308 -- our own drawing, no foreign text
    return format_html('<span class="stage-mark">{}{}</span>', svg, piece.get_stage_display())


@register.simple_tag
def stage_shape(stage: str) -> SafeString:
    """Draw the shape of a stage alone; its word stands beside it."""
    return mark_safe(stage_mark_svg(stage))  # noqa: S308 -- our own drawing, no foreign text


@register.inclusion_tag("record/_field.html")
def field(bound: BoundField, **options: Any) -> dict[str, Any]:
    """Show one form field: label, hint, control, error beside it."""
    widget = bound.field.widget
    kind = getattr(widget, "input_type", "") or type(widget).__name__.lower()
    described = [f"{bound.id_for_label}_hint"] if bound.help_text else []
    if bound.errors:
        described.append(f"{bound.id_for_label}_error")
    attributes: dict[str, Any] = {}
    if described:
        attributes["aria-describedby"] = " ".join(described)
    if bound.errors:
        attributes["aria-invalid"] = "true"
    grouped = kind in ("radio", "checkboxselectmultiple", "radioselect") or (
        kind == "checkbox" and hasattr(widget, "choices")
    )
    is_tick = type(widget).__name__ == "CheckboxInput"
    if grouped:
        attributes = {}
    return {
        "bound": bound,
        "control": bound.as_widget(attrs=attributes),
        "is_group": grouped,
        "is_tick": is_tick,
        **options,
    }
