"""The woods: names, density, shrinkage and green moisture, each figure with source and trust.

Densities are specific gravities on oven-dry mass: `sg_green` with the volume green, `sg_12` with
the volume at 12 % moisture. Shrinkage is in per cent from green to oven-dry, of the green size.
Moisture contents are in per cent of oven-dry mass.

"Maple, kind unknown" is an entry of its own: for each figure the lowest and the highest of the
genus's species in the table, never a mean. Where fewer than two of them have the figure there is
no range to give, and it is None.
"""

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from importlib.resources import files
from typing import Any

from provenance.wood.cautions import Caution, cautions_for
from provenance.wood.checked import checked
from provenance.wood.spelling import NameIndex

Figure = float | tuple[float, float] | None

FIGURES = (
    "sg_green",
    "sg_12",
    "shrink_radial_pct",
    "shrink_tangential_pct",
    "shrink_volumetric_pct",
    "mc_green_heartwood_pct",
    "mc_green_sapwood_pct",
)
# From the weakest up: a range is trusted as far as the weakest figure in it.
TRUSTS = ("memory", "derived", "confirmed", "read")
UNCONFIRMED = "from memory, unconfirmed"
OWNER = "owner"
KIND_UNKNOWN = " (kind unknown)"


@dataclass(frozen=True)
class Species:
    """One wood, or a genus whose kind is unknown; see the module for units.

    `common_name` is in natural order ("white ash"). `source` names every source of its figures,
    or is empty when it has none; `source_of` and `trust_of` speak for one figure. `members` are
    the slugs of a genus's species in the table, empty for a species. `own` names the figures that
    the owner of the book filled in, from `own_source`.
    """

    slug: str
    common_name: str
    scientific_name: str
    origin: str
    sg_green: Figure
    sg_12: Figure
    shrink_radial_pct: Figure
    shrink_tangential_pct: Figure
    shrink_volumetric_pct: Figure
    mc_green_heartwood_pct: Figure
    mc_green_sapwood_pct: Figure
    source: str
    sg_source: str
    shrink_source: str
    mc_source: str
    sg_trust: str | None
    shrink_radial_trust: str | None
    shrink_tangential_trust: str | None
    shrink_volumetric_trust: str | None
    mc_trust: str | None
    other_names: tuple[str, ...] = ()
    note: str = ""
    members: tuple[str, ...] = ()
    own: tuple[str, ...] = ()
    own_source: str = ""

    def __str__(self) -> str:
        return f"{self.common_name} ({self.scientific_name})"

    @property
    def is_genus(self) -> bool:
        """Whether the kind is unknown and figures are (low, high) pairs."""
        return bool(self.members)

    @property
    def genus(self) -> str:
        return self.scientific_name.split()[0]

    @cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What is known against its dust and of limits on its trade; none is not "safe"."""
        return cautions_for(self.scientific_name)

    @property
    def missing(self) -> tuple[str, ...]:
        """The names of the figures that the sources lack."""
        return tuple(name for name in FIGURES if getattr(self, name) is None)

    def trust_of(self, figure: str) -> str | None:
        """How far one of FIGURES is trusted: one of TRUSTS, or None where there is no figure.

        "owner" where the owner of the book filled it in.
        """
        if getattr(self, figure) is None:
            return None
        if figure in self.own:
            return OWNER
        trust: str | None = getattr(self, _TRUST_FIELD[figure])
        return trust

    def source_of(self, figure: str) -> str | None:
        """Where one of FIGURES was found, in words for the screen; None where there is none."""
        trust = self.trust_of(figure)
        if trust is None:
            return None
        if trust == OWNER:
            return f"your own figure: {self.own_source}"
        source: str = getattr(self, _SOURCE_FIELD[figure])
        if trust == "memory":
            return f"{source}; {UNCONFIRMED}"
        if trust == "derived":
            return f"{source}; derived"
        return source


_TRUST_FIELD = {
    "sg_green": "sg_trust",
    "sg_12": "sg_trust",
    "shrink_radial_pct": "shrink_radial_trust",
    "shrink_tangential_pct": "shrink_tangential_trust",
    "shrink_volumetric_pct": "shrink_volumetric_trust",
    "mc_green_heartwood_pct": "mc_trust",
    "mc_green_sapwood_pct": "mc_trust",
}
_SOURCE_FIELD = {
    "sg_green": "sg_source",
    "sg_12": "sg_source",
    "shrink_radial_pct": "shrink_source",
    "shrink_tangential_pct": "shrink_source",
    "shrink_volumetric_pct": "shrink_source",
    "mc_green_heartwood_pct": "mc_source",
    "mc_green_sapwood_pct": "mc_source",
}


_SOURCES = tuple(dict.fromkeys(_SOURCE_FIELD.values()))
_TRUSTS = tuple(dict.fromkeys(_TRUST_FIELD.values()))


def find(text: str) -> list[Species]:
    """Woods that the text may mean, best first, by common or scientific name.

    Any case, either order ("ash, white"), the beginning of a word, a slip or two. A bare "ash"
    gives the genus first, kind unknown, and then its kinds. Nonsense gives an empty list.
    """
    return list(_find(text))


def get(slug: str) -> Species | None:
    """The wood of that slug ("white-ash", "genus-fraxinus"), or None."""
    return _by_slug().get(slug)


def with_figures(wood: Species, figures: Mapping[str, float], source: str) -> Species:
    """The wood with `figures` (by the names of FIGURES) in the places where its own are None.

    What the table has is never replaced. `source` says where they are from. Without one, for a
    figure of another name, and for one that no wood has (specific gravity above 0 to 1.5, shrinkage
    0 to 30 %, moisture 0 to 400 %), ValueError.
    """
    if not source.strip():
        raise ValueError("Say where the figures come from.")
    for name, figure in figures.items():
        if name not in FIGURES:
            raise ValueError(f"There is no figure called {name}.")
        _check_figure(name, figure)
    own = {name: figure for name, figure in figures.items() if getattr(wood, name) is None}
    if not own:
        return wood
    said = "; ".join(dict.fromkeys(filter(None, [wood.own_source, source.strip()])))
    values: dict[str, Any] = {**own, "own": (*wood.own, *own), "own_source": said}
    sources = [wood.source, f"the owner: {source.strip()}"]
    return replace(wood, **values, source="; ".join(filter(None, sources)))


def _check_figure(name: str, figure: float) -> None:
    if name.startswith("sg_"):
        checked(figure, "A specific gravity", above=0, most=1.5)
    elif name.startswith("shrink_"):
        checked(figure, "Shrinkage in per cent", least=0, most=30)
    else:
        checked(figure, "A green moisture in per cent", least=0, most=400)


def all_species() -> tuple[Species, ...]:
    """Every species of the table, by common name; genera are in `all_genera`."""
    return tuple(wood for wood in _by_slug().values() if not wood.is_genus)


def all_genera() -> tuple[Species, ...]:
    """The genus entries ("maple (kind unknown)"), by common name."""
    return tuple(wood for wood in _by_slug().values() if wood.is_genus)


@lru_cache(maxsize=2048)
def _find(text: str) -> tuple[Species, ...]:
    by_slug = _by_slug()
    return tuple(by_slug[slug] for slug in _index().find(text))


@lru_cache(maxsize=1)
def _index() -> NameIndex:
    """Genera come first, then domestic woods: that is the order among equals."""
    woods = sorted(_by_slug().values(), key=lambda wood: (not wood.is_genus, wood.origin))
    return NameIndex(
        {
            wood.slug: (
                wood.common_name.removesuffix(KIND_UNKNOWN),
                wood.genus if wood.is_genus else wood.scientific_name,
                *wood.other_names,
            )
            for wood in woods
        }
    )


@lru_cache(maxsize=1)
def _by_slug() -> Mapping[str, Species]:
    species = [_species(row) for row in _table("species.csv")]
    genera = [_genus(row, species) for row in _table("genera.csv")]
    ordered = sorted([*genera, *species], key=lambda wood: wood.common_name.casefold())
    return {wood.slug: wood for wood in ordered}


def _table(name: str) -> list[dict[str, str]]:
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _species(row: Mapping[str, str]) -> Species:
    sources = {field: row[field] for field in _SOURCES}
    values: dict[str, Any] = {
        **{name: float(row[name]) if row[name] else None for name in FIGURES},
        **{field: row[field] or None for field in _TRUSTS},
        **sources,
    }
    return Species(
        slug=row["slug"],
        common_name=row["common_name"],
        scientific_name=row["scientific_name"],
        origin=row["origin"],
        source="; ".join(source for source in sources.values() if source),
        other_names=_names(row["other_names"]),
        note=row["note"],
        **values,
    )


def _genus(row: Mapping[str, str], species: list[Species]) -> Species:
    members = [wood for wood in species if wood.genus == row["genus"]]
    ranges = {name: _range([getattr(wood, name) for wood in members]) for name in FIGURES}
    with_range = [name for name in FIGURES if ranges[name] is not None]
    sources = {
        field: _together(members, field, [n for n in with_range if _SOURCE_FIELD[n] == field])
        for field in _SOURCES
    }
    trusts = {
        field: _weakest(members, [n for n in with_range if _TRUST_FIELD[n] == field])
        for field in _TRUSTS
    }
    values: dict[str, Any] = {**ranges, **sources, **trusts}
    origins = {wood.origin for wood in members}
    return Species(
        slug=f"genus-{row['genus'].lower()}",
        common_name=row["common_name"] + KIND_UNKNOWN,
        scientific_name=row["scientific_name"],
        origin=origins.pop() if len(origins) == 1 else "domestic or imported",
        source="; ".join(source for source in sources.values() if source),
        other_names=_names(row["other_names"]),
        note=(
            f"Ranges over the {len(members)} kinds in the table."
            if len(members) > 1
            else "Only one of its kinds is in the table: that makes no range."
        ),
        members=tuple(wood.slug for wood in members),
        **values,
    )


def _range(figures: list[float | None]) -> tuple[float, float] | None:
    known = [figure for figure in figures if figure is not None]
    return (min(known), max(known)) if len(known) > 1 else None


def _together(members: list[Species], field: str, names: list[str]) -> str:
    """The sources behind the figures of these names, each source once."""
    sources = [
        source
        for wood in members
        if any(getattr(wood, name) is not None for name in names)
        for source in getattr(wood, field).split("; ")
    ]
    return "; ".join(dict.fromkeys(sources))


def _weakest(members: list[Species], names: list[str]) -> str | None:
    trusts = [wood.trust_of(name) for wood in members for name in names]
    return min((trust for trust in trusts if trust), key=TRUSTS.index, default=None)


def _names(text: str) -> tuple[str, ...]:
    return tuple(name for name in text.split("; ") if name)
