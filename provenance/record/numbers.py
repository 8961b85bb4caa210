"""The numbers that are burned into a foot: `26-042-8` for a piece, `T26-014-5` for a tree.

Two-digit year, sequence within that year, check character: ISO 7064 MOD 11-2 over the digits
before it. A section is its tree's number and a letter: `T26-014-5 B`.
"""

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from itertools import chain
from typing import Self

from .errors import RecordError
from .text import quote, straighten

#: "piece" or "tree"
Kind = str

MAX_SEQUENCE = 999_999

_CHECK_CHARACTERS = "0123456789X"
_CODE = re.compile(r"(T?)([0-9]{2})((?!000)[0-9]{3}|[1-9][0-9]{3,5})([0-9X])")
_LONGEST_CODE = len("T26") + len(str(MAX_SEQUENCE)) + 1
_BETWEEN = re.compile(r"[-\s.·_#]")
_MISREAD = str.maketrans("OIL", "011")
_ADDRESS = re.compile(r".*/([pt])/([^/?#]+)", re.IGNORECASE)
_LETTERS = re.compile(r"[A-Za-z]{1,2}")


class NotANumber(RecordError, ValueError):
    """What was typed is no number of ours; `str(error)` says what to look at."""


def check_character(body: str) -> str:
    """The check character ("0" to "9" or "X") for a body of ASCII digits.

    Source: ISO/IEC 7064:2003, pure system MOD 11-2: with weights 2ⁿ counted from the right (the
    check character's is 1) the sum leaves 1 when divided by 11. X stands for ten. Every single
    wrong digit, neighbouring swap, jump swap (abc, cba) and twin error (aa, bb) changes it.
    Raises `ValueError` for anything but digits.
    """
    if not (body.isascii() and body.isdigit()):
        raise ValueError(f"not a body of digits: {body!r}")
    total = 0
    for digit in body:
        total = (total + int(digit)) * 2 % 11
    return _CHECK_CHARACTERS[(1 - total) % 11]


@dataclass(frozen=True, order=True)
class Number:
    """A piece's or a tree's number; one that exists is valid. Sorts by kind, year, sequence."""

    kind: Kind
    year: int
    """The last two digits of the year of its allocation."""
    sequence: int
    """Its place in that year, from 1."""

    def __post_init__(self) -> None:
        if not (0 <= self.year <= 99 and 1 <= self.sequence <= MAX_SEQUENCE):
            raise ValueError(f"no such number: year {self.year}, sequence {self.sequence}")

    @classmethod
    def from_code(cls, code: str) -> Self:
        """The number of a stored `code`, taken exactly as it is. Raises `NotANumber`."""
        match = _CODE.fullmatch(code)
        if match is None:
            raise NotANumber(_unlike(code))
        prefix, year, sequence, check = match.groups()
        if check != check_character(year + sequence):
            raise NotANumber(
                f"{prefix}{year}-{sequence}-{check} is not a number of ours: "
                "check the last character."
            )
        return cls("tree" if prefix else "piece", int(year), int(sequence))

    @classmethod
    def parse(cls, text: str) -> Self:
        """The number in what somebody typed, read out or pasted. Raises `NotANumber`.

        Dashes, dots and spaces may be of any kind or missing, letters of either case, O stands for
        0, I and l for 1; a public address (`…/P/260428`) is taken for the number at its end.
        """
        code = _straight_code(text)
        if _CODE.fullmatch(code) is None:
            raise NotANumber(_unlike(text))
        return cls.from_code(code)

    @property
    def check(self) -> str:
        """The check character."""
        return check_character(f"{self.year:02}{self.sequence:03}")

    @property
    def code(self) -> str:
        """The form that is stored and stands in addresses: `260428`, `T260145`."""
        return self.spoken.replace("-", "")

    @property
    def spoken(self) -> str:
        """The form that is burned, printed and read out: `26-042-8`, `T26-014-5`."""
        prefix = "T" if self.kind == "tree" else ""
        return f"{prefix}{self.year:02}-{self.sequence:03}-{self.check}"

    def __str__(self) -> str:
        return self.spoken


def codes_of(texts: Iterable[str]) -> list[str]:
    """The codes of those texts that are numbers, in order, each once; others are passed over."""
    codes: dict[str, None] = {}
    for text in texts:
        with suppress(NotANumber):
            codes[Number.parse(text).code] = None
    return list(codes)


def near_misses(text: str) -> list[Number]:
    """The valid numbers one slip away from what was typed, the likeliest first.

    First comes the same number with its right check character, then one wrong character, one
    neighbouring swap, one character left out, one too many. The caller keeps those that exist.
    Empty where nothing like a number was typed.
    """
    code = _straight_code(text)
    if len(code) > _LONGEST_CODE + 1:
        return []
    slips = dict.fromkeys(_slips(code))
    slips.pop(code, None)
    return [Number.from_code(slip) for slip in slips if _is_valid(slip)]


def _slips(code: str) -> Iterator[str]:
    """Every text that is one slip away from the code; most are no numbers."""
    places = range(len(code))
    characters = _CHECK_CHARACTERS + "T"
    return chain(
        (code[:-1] + c for c in _CHECK_CHARACTERS),
        (code[:i] + c + code[i + 1 :] for i in places for c in characters),
        (code[:i] + code[i + 1] + code[i] + code[i + 2 :] for i in places[:-1]),
        (code + c for c in _CHECK_CHARACTERS),
        (code[:i] + c + code[i:] for i in places for c in characters),
        (code[:i] + code[i + 1 :] for i in places),
    )


def _is_valid(code: str) -> bool:
    match = _CODE.fullmatch(code)
    return match is not None and match[4] == check_character(match[2] + match[3])


def _straight_code(text: str) -> str:
    """What was typed in the characters of a code, whether or not it is one."""
    plain = straighten(text)
    if address := _ADDRESS.match(plain):
        room, plain = address.groups()
        if room in "Tt" and not plain.upper().startswith("T"):
            plain = "T" + plain
    return _BETWEEN.sub("", plain).upper().translate(_MISREAD)


def _unlike(text: str) -> str:
    return (
        f"{quote(text)} is not a number of ours: "
        "a piece's looks like 26-042-8, a tree's like T26-014-5."
    )


def section_letter(index: int) -> str:
    """The letter of a tree's section, counted from 0: A to Z, then AA, AB and so on."""
    if index < 0:
        raise ValueError(f"sections are counted from 0, not {index}")
    letters = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return letters


def parse_section(text: str) -> tuple[Number, str]:
    """The tree's number and the section's letter in `T26-014-5 B`, typed as loosely as a number.

    Raises `NotANumber`, also where the letter is missing or the number is a piece's.
    """
    plain = straighten(text)
    splits = [plain.rpartition(" ")[::2]]
    # T26-1000-X is a tree and, run together, would be section X of T26-100-0: the space decides.
    if not _is_valid(_straight_code(plain)):
        splits += [(plain[:-1], plain[-1:]), (plain[:-2], plain[-2:])]
    readings = [
        (code, letter.upper())
        for number, letter in splits
        if _LETTERS.fullmatch(letter)
        and (code := _straight_code(number)).startswith("T")
        and _CODE.fullmatch(code)
    ]
    if not readings:
        raise NotANumber(
            f"{quote(text)} is not a section's number: "
            "that is its tree's number and a letter, like T26-014-5 B."
        )
    code, letter = next((reading for reading in readings if _is_valid(reading[0])), readings[0])
    return Number.from_code(code), letter
