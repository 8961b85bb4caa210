"""Looking for words in the record."""

import re
import unicodedata
from functools import cache
from typing import Any

from django.db.models import F, Func, IntegerField, Q
from django.db.models.functions import Length
from django.db.models.lookups import GreaterThan

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


def naming(column: str, text: str) -> Q:
    """Return the condition that a name in `column` has `text` in it, as `holding`, or without its
    accents: "zoe" is in "Zoë". An accent that is typed counts.

    Only a name with other letters than plain ones, longer in bytes than in letters, is tried
    against the pattern.
    """
    is_foreign = Q(GreaterThan(Octets(F(column)), Length(column)))
    pattern = "".join(_accented(letter) for letter in text)
    return holding(column, text) | (is_foreign & Q(**{f"{column}__iregex": pattern}))


class Octets(Func):
    """The length of a text in the bytes of UTF-8."""

    function = "OCTET_LENGTH"
    output_field = IntegerField()

    def as_sqlite(self, *args: Any, **kwargs: Any) -> Any:
        # Its own octet_length() came with 3.43.
        kwargs["template"] = "LENGTH(CAST(%(expressions)s AS BLOB))"
        return self.as_sql(*args, **kwargs)


def _accented(letter: str) -> str:
    """Return the pattern of a letter: itself, and with any accent if it is typed without."""
    others = _accents().get(letter.lower(), "")
    return f"[{letter}{others}]" if others else re.escape(letter)


@cache
def _accents() -> dict[str, str]:
    """Return the Latin letters with an accent, small and capital, by their plain small letter.

    Those of the Unicode blocks Latin-1 Supplement to Latin Extended-B and Latin Extended
    Additional that decompose (unicode.org/charts).
    """
    found: dict[str, str] = {}
    for code in (*range(0x00C0, 0x0250), *range(0x1E00, 0x1F00)):
        plain = unicodedata.normalize("NFD", chr(code))[0].lower()
        if plain.isascii():
            found[plain] = found.get(plain, "") + chr(code)
    return found


def exactly(column: str, text: str) -> Q:
    """Return the condition that `column` is `text`, capitals or not; see `holding`."""
    return Q(**{f"{column}__iregex": f"^{re.escape(sought(text))}$"})
