"""Words for the journal: what an entry changed, and a token for a form in a fragment."""

import uuid
from dataclasses import dataclass
from typing import Any

from django import template

from provenance.record.models import JournalEntry
from provenance.record.partial_dates import NotADate, PartialDate

register = template.Library()

# What the journal keeps by the key of its row, or what a page must not show in passing.
KEYS_ONLY = {"cause", "donor", "supplier", "form", "edge", "finish", "piece_set", "set", "holder"}
# Told by the entry's own words and day.
TOLD = {"stage", "stage_when", "stage_since"}
# A wood's figures, whose short names say little.
FIGURES = {
    "sg_green": "specific gravity, green",
    "sg_12": "specific gravity, dry",
    "shrink_radial_pct": "shrinkage along the rays",
    "shrink_tangential_pct": "shrinkage along the rings",
    "shrink_volumetric_pct": "shrinkage in volume",
    "mc_green_heartwood_pct": "moisture when green, heartwood",
    "mc_green_sapwood_pct": "moisture when green, sapwood",
}
DATES = {"felled", "collected", "cut", "end_sealed", "bought"}


@dataclass(frozen=True)
class Change:
    """One field that an entry changed; `before` and `after` are '' for nothing."""

    name: str
    before: str
    after: str
    has_values: bool


@register.filter
def changed(entry: JournalEntry) -> list[Change]:
    """Return what an entry changed, in words."""
    return [_change(name, *values) for name, values in entry.changes.items() if name not in TOLD]


@register.simple_tag
def fresh_token() -> str:
    """Return a new token by which a form sent twice is known."""
    return str(uuid.uuid4())


def _change(name: str, before: Any, after: Any) -> Change:
    unitless = name.removesuffix("_mm").removesuffix("_minor").removesuffix("_pct")
    label = FIGURES.get(name, unitless.replace("_", " "))
    has_values = not (name in KEYS_ONLY or name.endswith("_minor"))
    return Change(label, _words(name, before), _words(name, after), has_values)


def _words(name: str, value: Any) -> str:
    if value in (None, ""):
        return ""
    if isinstance(value, list):
        return "; ".join(str(one) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name in DATES:
        try:
            return PartialDate(str(value)).spoken()
        except NotADate:
            return str(value)
    if name == "species_slug":
        return str(value).replace("-", " ")
    if name.endswith("_pct"):
        return f"{value} %"
    return f"{value} mm" if name.endswith("_mm") else str(value)
