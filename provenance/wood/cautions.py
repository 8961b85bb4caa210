"""Cautions by kind of wood: what its dust does, and what the trade in it is subject to.

A wood without a caution is a wood nothing was found about; that is no evidence of safety. Listings
of protected woods change: each row carries the month of its check, and the last word is the
authority's (the CITES management authority of the countries concerned). Nothing here says that a
wood is safe or may be traded.
"""

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

DUST = "dust"
TRADE = "trade"
UNLISTED = "unlisted"
ALL_WOODS = "*"


@dataclass(frozen=True)
class Caution:
    """One finding. `kind` is "dust", "trade" or "unlisted" (looked for and not found).

    `named` is the wood as the source names it, `when` a condition ("spalted") or empty, `checked`
    the month of the check as "2026-11". `trust` is "read" or "memory"; `source` may be empty for
    "unlisted".
    """

    text: str
    source: str
    trust: str
    kind: str
    named: str
    when: str
    checked: str

    def sentence(self) -> str:
        """The caution as one line for a page: whose it is, what, from where, how far trusted."""
        what = f"{self.named}: {self.text}"
        where = [self.source] if self.source else []
        if self.trust == "memory":
            where.append("from memory, at least in part, unconfirmed")
        where.append(f"checked {self.checked}")
        ending = (
            ". Listings change: ask the authority before it moves." if self.kind == TRADE else "."
        )
        return f"{what} ({'; '.join(where)}){ending}"


def for_all_woods() -> tuple[Caution, ...]:
    """What holds for the dust of every wood, whatever its own row says or leaves out."""
    return tuple(caution for genus, _, caution in _rows() if genus == ALL_WOODS)


def cautions_for(scientific_name: str) -> tuple[Caution, ...]:
    """The cautions on a wood by its scientific name, as "Acer rubrum" or "Guibourtia spp.".

    What is said of the species itself goes before what is said of its genus; a name that stops at
    the genus gets what is said of each of its species as well, since it may be any of them. An
    unknown name gives none, which is no evidence of safety.
    """
    words = scientific_name.replace("(", " ").replace(")", " ").split()
    if not words:
        return ()
    genus = words[0].capitalize()
    species = words[-1].lower() if len(words) > 1 else ""
    if species in {"", "sp.", "spp.", "sp", "spp"} or "spp." in scientific_name:
        return _once(caution for name, _, caution in _rows() if name == genus)
    own = [caution for name, kind, caution in _rows() if (name, kind) == (genus, species)]
    said = {caution.kind for caution in own}
    of_genus = [
        caution
        for name, kind, caution in _rows()
        if (name, kind) == (genus, "") and caution.kind not in said
    ]
    return _once([*own, *of_genus])


def _once(cautions: Iterable[Caution]) -> tuple[Caution, ...]:
    return tuple(dict.fromkeys(cautions))


@lru_cache(maxsize=1)
def _rows() -> tuple[tuple[str, str, Caution], ...]:
    """(genus, species or "", caution) for each row of the table."""
    text = files(__package__).joinpath("hazards.csv").read_text(encoding="utf-8")
    return tuple(
        (
            row["genus"],
            row["species"],
            Caution(
                text=row["text"],
                source=row["source"],
                trust=row["trust"],
                kind=row["kind"],
                named=row["named"],
                when=row["when"],
                checked=row["checked"],
            ),
        )
        for row in csv.DictReader(text.splitlines())
    )
