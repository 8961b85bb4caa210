"""Receipt numbers as people type them."""

import re

#: With fewer it may be a word: "roll" has only letters that look like digits.
LEAST_DIGITS = 3
_LIKE_DIGITS = str.maketrans({"O": "0", "I": "1", "L": "1"})


def receipt_code(text: str) -> str:
    """Return "R26-001" for "r26001", "R 26-1" and the like; '' for what is no receipt's number.

    No query: there may be no such receipt.
    """
    bare = "".join(c for c in text[:40].upper() if c.isalnum())
    digits = bare[1:].translate(_LIKE_DIGITS)
    is_word = sum(c.isdigit() for c in bare) < LEAST_DIGITS
    if bare[:1] != "R" or is_word or not re.fullmatch(r"[0-9]{3,9}", digits):
        return ""
    return f"R{digits[:2]}-{int(digits[2:]):03}"
