"""Searching without minding capitals, in SQLite as in PostgreSQL: there É is not é by itself."""

import re
import sqlite3
from functools import lru_cache


def teach(connection: sqlite3.Connection) -> None:
    """Let the connection's LIKE, and so Django's `icontains`, know every letter's case."""
    for arguments in (2, 3):
        connection.create_function("like", arguments, like, deterministic=True)


def like(pattern: object, text: object, escape: str | None = None) -> bool | None:
    """Return whether `text` is like `pattern` (SQL's `%` and `_`); None when either is NULL."""
    if pattern is None or text is None:
        return None
    return _compiled(str(pattern), escape).fullmatch(str(text).casefold()) is not None


@lru_cache(maxsize=64)
def _compiled(pattern: str, escape: str | None) -> re.Pattern[str]:
    parts, characters = [], iter(pattern)
    for character in characters:
        if character == escape:
            parts.append(re.escape(next(characters, "").casefold()))
        elif character == "%":
            parts.append(".*")
        elif character == "_":
            parts.append(".")
        else:
            parts.append(re.escape(character.casefold()))
    return re.compile("".join(parts), re.DOTALL)
