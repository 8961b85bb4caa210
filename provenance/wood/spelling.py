"""Finding a name that was typed in a hurry: any order, any case, a slip or two.

Each thing looked for has several names. A query's words are matched one by one: the whole word,
its beginning, a part of it, and only where none of these fits, a near spelling. Rare words weigh
more than common ones, so "red walnut" leads to walnuts.
"""

import math
import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence

# Words that say nothing about which wood it is.
_NOISE = frozenset(
    [
        "a",
        "an",
        "and",
        "kind",
        "log",
        "lumber",
        "not",
        "of",
        "or",
        "possibly",
        "probably",
        "some",
        "sp",
        "species",
        "spp",
        "sure",
        "the",
        "timber",
        "tree",
        "trees",
        "unknown",
        "wood",
        "woods",
    ]
)
_MOST_CHARACTERS = 80
_MOST_WORDS = 8
_UNKNOWN_WORD_WEIGHT = 1.0
_LEAST_SHARE = 0.5


def plain(text: str) -> str:
    """The text in lower case without accents, every mark between words turned into a space."""
    parted = unicodedata.normalize("NFKD", text.casefold())
    bare = "".join(letter for letter in parted if not unicodedata.combining(letter))
    return " ".join(re.findall(r"[a-z0-9]+", bare))


class NameIndex:
    """Names of things, by the thing's key; the earlier a name stands in its list, the better."""

    def __init__(self, names: Mapping[str, Sequence[str]]) -> None:
        self._phrases: dict[str, list[tuple[str, float]]] = {}
        self._words: dict[str, dict[str, float]] = {}
        self._initials: dict[str, set[str]] = {key: set() for key in names}
        self._order = {key: place for place, key in enumerate(names)}
        for key, own in names.items():
            for place, name in enumerate(own):
                weight = 1.0 if place == 0 else 0.9
                phrase = plain(name)
                for joined in {phrase.replace(" ", ""), _sorted(phrase.split())}:
                    self._phrases.setdefault(joined, []).append((key, weight))
                for word in phrase.split():
                    self._initials[key].add(word[0])
                    keys = self._words.setdefault(word, {})
                    keys[key] = max(weight, keys.get(key, 0.0))
        self._letters = {word: _letters(word) for word in self._words}
        self._joined = {name: _letters(name) for name in self._phrases if " " not in name}

    def find(self, text: str) -> list[str]:
        """The keys that the text may mean, best first; none for nonsense."""
        said = plain(text[:_MOST_CHARACTERS]).split()[:_MOST_WORDS]
        words = [word for word in said if word not in _NOISE and not word.isdigit()]
        initials = [word for word in words if len(word) == 1]
        words = [word for word in words if len(word) > 1]
        if not words:
            return []
        found = self._by_words(words)
        # Every word of the query, or else most of them by weight; the name as a whole is best.
        complete = {key for key, (_, full) in found.items() if full}
        scores = {k: score for k, (score, _) in found.items() if k in complete or not complete}
        wholes = ["".join(said), "".join(words), _sorted(words)]
        fits = [(name, 2.0) for name in wholes if name in self._phrases]
        for name, fit in fits or self._near_whole(wholes[0]):
            for key, weight in self._phrases[name]:
                scores[key] = max(fit * weight, scores.get(key, 0.0))
        for key in scores:
            # "Q. alba" is the oak, not another alba.
            scores[key] += 0.1 * sum(letter in self._initials[key] for letter in initials)
        return sorted(scores, key=lambda key: (-round(scores[key], 3), self._order[key]))

    def _by_words(self, words: Sequence[str]) -> dict[str, tuple[float, bool]]:
        """Score from 0 to 1 and whether every known word fits, for each key that may be meant."""
        total, known = 0.0, 0
        scores: dict[str, float] = {}
        hits: dict[str, int] = {}
        for word in words:
            keys = self._keys(word)
            if not keys:
                total += _UNKNOWN_WORD_WEIGHT
                continue
            known += 1
            weight = math.log(1 + len(self._order) / len(keys))
            total += weight
            for key, fit in keys.items():
                scores[key] = scores.get(key, 0.0) + weight * fit
                hits[key] = hits.get(key, 0) + 1
        return {
            key: (score / total, hits[key] == known)
            for key, score in scores.items()
            if score / total >= _LEAST_SHARE or hits[key] == known
        }

    def _keys(self, word: str) -> dict[str, float]:
        """How well the word fits each key, from 0 to 1."""
        keys: dict[str, float] = {}
        for name, fit in self._fitting(word):
            for key, weight in self._words[name].items():
                keys[key] = max(fit * weight, keys.get(key, 0.0))
        return keys

    def _fitting(self, word: str) -> list[tuple[str, float]]:
        fits: list[tuple[str, float]] = []
        for name in self._words:
            if name == word:
                fits.append((name, 1.0))
            elif name.startswith(word):
                fits.append((name, 0.7 + 0.2 * len(word) / len(name)))
            elif len(word) > 3 and word in name:
                fits.append((name, 0.6))
        return fits or list(self._near(word))

    def _near_whole(self, said: str) -> Iterable[tuple[str, float]]:
        """Whole names a slip or two from what was said, its spaces left out: "black sh"."""
        allowed = 0 if len(said) < 3 else 1 if len(said) < 6 else 2
        for name, slips in _slipped(said, self._joined, allowed):
            if len(said) == 3 and name[0] != said[0]:
                continue
            # Few slip on the first letter.
            yield name, 1.6 - 0.2 * slips - 0.1 * (name[0] != said[0])

    def _near(self, word: str) -> Iterable[tuple[str, float]]:
        allowed = 0 if len(word) < 4 else 1 if len(word) < 7 else 2
        for name, slips in _slipped(word, self._letters, allowed):
            if len(word) > 4 or name[0] == word[0]:
                yield name, 0.75 - 0.1 * slips


def _slipped(said: str, names: Mapping[str, int], allowed: int) -> Iterable[tuple[str, int]]:
    """The names that are as near as allowed, and how many slips away; `names` with `_letters`."""
    letters = _letters(said)
    for name, of_name in names.items():
        if abs(len(name) - len(said)) > allowed:
            continue
        # A slip changes at most two of the letters that occur: cheap, and rules out nearly all.
        if (letters ^ of_name).bit_count() > 2 * allowed:
            continue
        slips = slips_between(said, name)
        if slips <= allowed:
            yield name, slips


def slips_between(one: str, other: str) -> int:
    """Wrong, missing, extra and swapped neighbouring letters between two words."""
    before_last: list[int] = []
    last = list(range(len(other) + 1))
    for row, letter in enumerate(one, start=1):
        current = [row]
        for column, against in enumerate(other, start=1):
            slips = min(
                last[column] + 1,
                current[column - 1] + 1,
                last[column - 1] + (letter != against),
            )
            swapped = (
                row > 1 and column > 1 and letter == other[column - 2] and one[row - 2] == against
            )
            if swapped:
                slips = min(slips, before_last[column - 2] + 1)
            current.append(slips)
        before_last, last = last, current
    return last[-1]


def _letters(word: str) -> int:
    """The letters that occur in the word, as bits."""
    bits = 0
    for letter in word:
        bits |= 1 << (ord(letter) - ord("0"))
    return bits


def _sorted(words: Iterable[str]) -> str:
    """The words as one key, whatever order they came in."""
    return " ".join(sorted(words))
