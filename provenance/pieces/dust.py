"""What is known of the dust of a piece's wood, for the moment when it is sanded."""

from collections.abc import Iterable

from provenance.pieces.models import Piece
from provenance.trees.models import BoughtStock, Tree
from provenance.wood import cautions
from provenance.wood import species as reference
from provenance.wood.cautions import Caution

#: Moves at which wood is cut or sanded dry, or sanded between coats.
DUSTY = ("turn", "true-up", "into-finish", "finish", "refinish")
SENSITISING = ("sensitizer", "pneumonitis")


def cautions_for(pieces: Iterable[Piece]) -> list[Caution]:
    """Return what is found about sensitising dust of these pieces' woods, each finding once.

    An empty list means that nothing was found, which is no evidence of safety. Uses the
    prefetched sources.
    """
    sources: list[Tree | BoughtStock] = []
    for piece in pieces:
        sources += [*piece.trees.all(), *piece.stocks.all()]
    found = [caution for source in sources for caution in _of_source(source)]
    return list(dict.fromkeys(c for c in found if _sensitises(c)))


def _of_source(source: Tree | BoughtStock) -> tuple[Caution, ...]:
    """The cautions by reference row, by the papers' scientific name, or by the owner's words."""
    if source.species:
        return source.species.cautions
    listed = getattr(source, "listed_scientific_name", "")
    if listed:
        return cautions.cautions_for(listed)
    words = source.species_words.casefold().strip()
    named = [wood for wood in reference.find(words) if wood.common_name.casefold() == words]
    return named[0].cautions if named else ()


def _sensitises(caution: Caution) -> bool:
    return caution.kind == cautions.DUST and any(word in caution.text for word in SENSITISING)
