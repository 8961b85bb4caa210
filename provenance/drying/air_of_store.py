"""What moisture a piece comes to where it is kept, and in which words that is said."""

from dataclasses import dataclass
from datetime import date

from provenance.drying import climate
from provenance.drying.climate import Target
from provenance.drying.range_words import percent_words
from provenance.wood.moisture import equilibrium_moisture_content

#: Air that is assumed where none was read: a lived-in room. Said so wherever it is used.
ASSUMED_C, ASSUMED_PCT = 20.0, 50.0
#: Wood that stops above this will lose and move further in a heated room.
DAMP_PCT = 11.0


@dataclass(frozen=True)
class Moisture:
    """The moisture content in per cent, and where it is from in a sentence."""

    pct: float
    is_read: bool
    words: str

    @property
    def pct_words(self) -> str:
        return percent_words(self.pct)

    @property
    def is_damp(self) -> bool:
        """Whether the air is damper than a heated room's."""
        return self.is_read and self.pct > DAMP_PCT


def expected_moisture(store: str, today: date) -> Moisture:
    """Return what wood comes to in the air of that store, or in assumed air if none was read."""
    target = climate.target_of(store, today) if store else None
    if target is None:
        pct = equilibrium_moisture_content(ASSUMED_C, ASSUMED_PCT)
        where = f"The air of “{store}” was not read yet" if store else "No store is noted for it"
        return Moisture(
            pct,
            False,
            f"{where}: {ASSUMED_C:g} °C and {ASSUMED_PCT:g} % humidity are assumed, in which wood "
            f"comes to about {percent_words(pct)}.",
        )
    return Moisture(target.moisture_pct, True, _said(target))


def _said(target: Target) -> str:
    """What wood comes to in the store, by how many readings, and how far the seasons swing it."""
    count, low, high = target.count, percent_words(target.low_pct), percent_words(target.high_pct)
    said = f"In the air of “{target.store}” wood comes to about "
    said += f"{percent_words(target.moisture_pct)}, by {count} reading{'s' if count > 1 else ''}"
    if low != high:
        said += f" that swing from {low.removesuffix(' %')} to {high} with the months"
    seasons = (
        "" if target.is_of_a_year else " They are not of a whole year: the seasons may differ."
    )
    return f"{said}.{seasons if count > 1 else ' One reading is one season: take more.'}"
