"""What wood somebody means by what they type: a row of the reference table, or their own words."""

import hashlib
import re
from dataclasses import dataclass
from difflib import SequenceMatcher

from django.utils.text import slugify

from provenance.wood import species as reference
from provenance.wood.cautions import TRADE
from provenance.wood.species import KIND_UNKNOWN, Species

OWN_WORDS = "own-words"
OWN = "own"  # no slug of the table begins with it
SHOWN = 6
_KIND_UNKNOWN = re.compile(r"[,(]? *kind unknown *\)?", re.IGNORECASE)
A_SLIP = 0.85  # as alike as "bigleaf mapel" and "bigleaf maple"; "don't know" is like no wood


@dataclass(frozen=True)
class Choice:
    """One wood that may be meant, for a list to choose from."""

    species: Species
    is_chosen: bool

    @property
    def has_trade_caution(self) -> bool:
        """Whether limits on its trade are known of."""
        return any(caution.kind == TRADE for caution in self.species.cautions)


@dataclass(frozen=True)
class Choices:
    """The woods that `typed` may mean; none chosen leaves it in the owner's own words."""

    typed: str
    woods: list[Choice]

    @property
    def is_own_words(self) -> bool:
        """Whether the words stay as they are typed."""
        return not any(choice.is_chosen for choice in self.woods)


def entry_text(slug: str, words: str) -> str:
    """Return what to put into the text box for a wood already in the book."""
    species = reference.get(slug)
    return species.common_name.removesuffix(KIND_UNKNOWN) if species else words


def wood_key(slug: str, words: str) -> str:
    """Return by what a wood is known in the book: its slug, or the words in any case alike."""
    return slug or " ".join(words.casefold().split())[:120]


def wood_slug(slug: str, words: str) -> str:
    """Return how the address of a wood's page ends, also of one known by words; '' for none.

    Words in other letters than a to z, or alike in these, are told apart by a digest.
    """
    key = wood_key(slug, words)
    if slug or not key:
        return slug
    digest = hashlib.sha256(key.encode()).hexdigest()[:8]
    return "-".join(filter(None, [OWN, slugify(key)[:60].strip("-"), digest]))


def best(typed: str) -> Species | None:
    """Return the wood that `typed` names without doubt: one of its names, or a slip away from the
    only hit."""
    typed = _KIND_UNKNOWN.sub("", typed).strip()
    found = reference.find(typed)
    if not found:
        return None
    likeness = max(_likeness(typed, name) for name in _names(found[0]))
    is_meant = likeness == 1 or (len(found) == 1 and likeness >= A_SLIP)
    return found[0] if is_meant else None


def meant(typed: str, choice: str = "") -> tuple[str, str]:
    """Return (slug, "") for a wood of the table, ("", words) for the owner's own words.

    A `choice` counts only when it is among the hits for what is typed: the list may be older than
    the text. Without one, only a name that leaves no doubt is taken from the table.
    """
    if choice == OWN_WORDS:
        return "", typed
    if choice in {species.slug for species in reference.find(typed)}:
        return choice, ""
    species = best(typed)
    return (species.slug, "") if species else ("", typed)


def choices(typed: str, choice: str = "") -> Choices:
    """Return what to choose from, with the one marked that would be kept as things stand."""
    slug, _ = meant(typed, choice)
    found = reference.find(typed)
    shown = found[:SHOWN] + [species for species in found[SHOWN:] if species.slug == slug]
    return Choices(typed, [Choice(species, species.slug == slug) for species in shown])


def _names(species: Species) -> list[str]:
    names = [species.common_name.removesuffix(KIND_UNKNOWN), species.scientific_name]
    return [*names, *([species.genus] if species.is_genus else []), *species.other_names]


def _likeness(typed: str, name: str) -> float:
    """Return 1 for the same words in any order and case, less for slips."""
    return SequenceMatcher(None, _words(typed), _words(name)).ratio()


def _words(text: str) -> str:
    return " ".join(sorted(text.casefold().replace(",", " ").split()))
