"""What a stranger may read of a tree, in sentences."""

from provenance.record.date_words import when_words
from provenance.trees.models import Certainty, Tree


def article(noun: str) -> str:
    """Return `noun` with "a" or "an" before it, by its first letter."""
    return ("an " if noun[:1].lower() in "aeiou" else "a ") + noun


def introduction(tree: Tree) -> str:
    """Return "A bigleaf maple from Hollin Ferry, about 90 rings." """
    name = article(tree.species_name) if tree.species else tree.species_name
    sure = {Certainty.LIKELY: f"{name}, we think,", Certainty.GUESS: f"perhaps {name}"}
    words = sure.get(Certainty(tree.certainty), name) + f" from {tree.public_place}"
    if tree.ring_count:
        words += f", about {tree.ring_count} rings"
    return words[0].upper() + words[1:] + "."


def downfall(tree: Tree) -> str:
    """Return "A storm brought it down in March 2023: the gale of the 12th." or '' when unknown."""
    if not (tree.cause or tree.felled):
        return ""
    words = tree.cause.sentence if tree.cause else "It came down"
    if tree.felled:
        words += f" {when_words(tree.felled)}"
    if tree.cause_words:
        words += f": {tree.cause_words.rstrip('.')}"
    return words + "."


def summary(tree: Tree) -> str:
    """Return the tree in one or two sentences, as cards and public pages tell it."""
    return " ".join(part for part in (introduction(tree), downfall(tree)) if part)
