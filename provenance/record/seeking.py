"""Looking for words in the record."""

import re

from django.db.models import Q

from provenance.record.text import clean_text

LONGEST = 120


def sought(text: str) -> str:
    """Return what somebody typed into a search box, fit for a query: clean, trimmed, not long."""
    return " ".join(clean_text(text[: 4 * LONGEST]).split())[:LONGEST].strip()


def holding(column: str, text: str) -> Q:
    """Return the condition that `column` has `text` in it, capitals or not.

    SQLite's LIKE knows capitals of the English alphabet only and finds no "Élodie" for "élodie":
    what has other letters is sought by a pattern, in those rows that hold its longest run of plain
    letters, since SQLite asks Python for every row that a pattern is tried on. `text` must have
    gone through `sought`.
    """
    plain = max(re.findall(r"[\x00-\x7f]+", text), key=len, default="")
    holds_plain = Q(**{f"{column}__icontains": plain}) if plain else Q()
    if plain == text:
        return holds_plain
    return holds_plain & Q(**{f"{column}__iregex": re.escape(text)})


def exactly(column: str, text: str) -> Q:
    """Return the condition that `column` is `text`, capitals or not; see `holding`."""
    return Q(**{f"{column}__iregex": f"^{re.escape(sought(text))}$"})
