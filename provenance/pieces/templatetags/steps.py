"""What a page says of a piece's steps."""

from django import template

from provenance.pieces.models import Stage
from provenance.pieces.workflow import entry_title
from provenance.record.models import JournalEntry

register = template.Library()


@register.filter
def step_title(entry: JournalEntry) -> str:
    """Return the heading of a journal entry: "Roughed out"."""
    return entry_title(entry)


@register.filter
def once_undone(entry: JournalEntry) -> str:
    """Return what a piece will be when this step is taken back."""
    before = entry.changes.get("stage", [None])[0]
    if before and entry.kind == JournalEntry.Kind.LOST:
        return f"It will be {Stage(before).label} again, and where it was."
    if before:
        return f"It will be {Stage(before).label} again."
    if entry.kind == JournalEntry.Kind.FINISH:
        return "That coat will no longer count."
    return "It will be where it was before."
