"""What people type, made fit to keep, to read and to repeat back."""

import re
import unicodedata

READABLE_LENGTH = 200
"""Longer than any number, date or measure that someone types, a pasted address included."""

_QUOTED_LENGTH = 40


def clean_text(value: str) -> str:
    """Text as it may be stored: Unicode NFC, newlines as "\\n", nothing that can't be written.

    Taken out are control characters (NUL among them, which PostgreSQL refuses) and lone surrogates
    (which no encoding takes); a tab becomes a space. Cleaning twice changes nothing more.
    """
    lines = re.sub("\r\n?|[\u2028\u2029]", "\n", value).replace("\t", " ")
    kept = (c for c in lines if c == "\n" or unicodedata.category(c) not in {"Cc", "Cs"})
    return unicodedata.normalize("NFC", "".join(kept))


def straighten(text: str) -> str:
    """A short entry in plain characters, for reading a number, a date or a measure from it.

    Compatibility forms become ordinary (NFKC: full-width digits, for one), every dash and minus
    "-", every run of space " ", invisible marks vanish, the ends are trimmed. An entry longer than
    `READABLE_LENGTH` comes back empty: there is nothing in it to read.
    """
    if len(text) > READABLE_LENGTH:
        return ""
    return " ".join("".join(map(_plain, unicodedata.normalize("NFKC", text))).split())


def _plain(character: str) -> str:
    match unicodedata.category(character):
        case "Pd":
            return "-"
        case "Cf":
            return ""
    return "-" if character == "\N{MINUS SIGN}" else character


def is_key(text: str) -> bool:
    """Whether the text is a row's key, as an address or a form carries it: no more than a database
    can hold."""
    return text.isascii() and text.isdigit() and len(text) < 18


def quote(text: str) -> str:
    """The entry in quotation marks to begin a sentence with: clean, one line, shortened.

    Gives "This" where nothing visible was typed.
    """
    shown = " ".join(clean_text(text[: 2 * _QUOTED_LENGTH]).split())
    if len(shown) > _QUOTED_LENGTH:
        shown = shown[:_QUOTED_LENGTH].rstrip() + "…"
    return f"“{shown}”" if shown else "This"
