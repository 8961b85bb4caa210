"""The currencies a shop may keep its book in, from the Unicode CLDR tables that Babel carries."""

from functools import lru_cache

from babel import Locale
from babel.core import get_global

# Codes of ISO 4217 for metals, bond units, drawing rights, tests, "no currency", and funds: nobody
# is paid in them, though the tables call some of them tender.
METALS_AND_UNITS = ["XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XUA"]
TESTS_AND_FUNDS = ["XTS", "XXX", "BOV", "CHE", "CHW", "CLF", "COU", "MXV", "USN", "USS", "UYI"]
NOT_PAID_IN = frozenset([*METALS_AND_UNITS, *TESTS_AND_FUNDS, "UYW"])


@lru_cache
def codes() -> frozenset[str]:
    """Return the ISO 4217 codes that are legal tender somewhere today."""
    territories = get_global("territory_currencies")
    return frozenset(
        code
        for uses in territories.values()
        for code, _start, end, tender in uses
        if end is None and tender and code not in NOT_PAID_IN
    )


def named(locale: str = "en") -> list[tuple[str, str]]:
    """Return (code, "Name (code)") for every currency, by name in that language."""
    names = Locale.parse(locale).currencies
    pairs = [(code, f"{names.get(code, code)} ({code})") for code in codes()]
    return sorted(pairs, key=lambda pair: pair[1].casefold())
