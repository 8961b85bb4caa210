"""What is known of the dust of a piece's wood, for the moment when it is sanded."""

from collections.abc import Iterable

from provenance.pieces.models import Piece
from provenance.trees.models import BoughtStock, Tree
from provenance.wood import cautions
from provenance.wood.cautions import Caution

#: Moves at which wood is cut or sanded dry, or sanded between coats.
DUSTY = ("turn", "true-up", "into-finish", "finish", "refinish")
#: What a finding says when the dust does more than irritate: it sensitises, or it is toxic.
HARMFUL = ("sensitizer", "pneumonitis", "asthma", "dermatitis", "toxin", "nausea", "cancer")


def cautions_for(pieces: Iterable[Piece]) -> list[Caution]:
    """Return what is found about sensitising or toxic dust of these woods, each finding once.

    An empty list means that nothing was found, which is no evidence of safety. Uses the
    prefetched sources.
    """
    sources: list[Tree | BoughtStock] = []
    for piece in pieces:
        sources += [*piece.trees.all(), *piece.stocks.all()]
    found = [caution for source in sources for caution in source.cautions]
    return list(dict.fromkeys(c for c in found if _harms(c)))


def _harms(caution: Caution) -> bool:
    return caution.kind == cautions.DUST and any(word in caution.text for word in HARMFUL)
