"""The time zones a shop may stand in, from the IANA database."""

import zoneinfo
from functools import lru_cache


@lru_cache
def names() -> tuple[str, ...]:
    """Return the zones named for a place, and UTC, in order; no aliases such as `EST5EDT`."""
    places = (
        name
        for name in zoneinfo.available_timezones()
        if "/" in name and name.split("/")[0] not in ("Etc", "SystemV", "posix", "right", "US")
    )
    return (*sorted(places), "UTC")


def by_region() -> list[tuple[str, list[tuple[str, str]]]]:
    """Return (region, [(zone, "Place")]) for a list to choose from."""
    regions: dict[str, list[tuple[str, str]]] = {}
    for name in names():
        region, _, place = name.rpartition("/") if name.count("/") == 1 else name.partition("/")
        regions.setdefault(region or "Other", []).append((name, place.replace("_", " ")))
    return sorted(regions.items())
