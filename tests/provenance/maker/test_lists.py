"""The lists to choose from: currencies and time zones."""

import re
import zoneinfo

import pytest
from django.core.exceptions import ValidationError

from provenance.maker import currencies, time_zones
from provenance.maker.models import check_currency, check_time_zone


def test_currencies_are_what_people_are_paid_in() -> None:
    codes = currencies.codes()
    # ISO 4217, list one: some in use today, some withdrawn, some that are no money at all.
    assert {"USD", "EUR", "GBP", "JPY", "KWD", "NOK", "XOF"} <= codes
    assert not {"DEM", "FRF", "XXX", "XTS", "XAU", "CHE", "MXV"} & codes
    assert all(re.fullmatch("[A-Z]{3}", code) for code in codes)


def test_currencies_are_named_and_in_order() -> None:
    names = currencies.named()
    assert ("EUR", "Euro (EUR)") in names
    assert [name for _, name in names] == sorted((name for _, name in names), key=str.casefold)


@pytest.mark.parametrize("code", ["usd", "XXX", "DEM", "", "EURO"])
def test_other_codes_are_refused(code: str) -> None:
    with pytest.raises(ValidationError, match="Choose a currency"):
        check_currency(code)


def test_time_zones_are_places() -> None:
    names = time_zones.names()
    assert {"Europe/Lisbon", "America/New_York", "Australia/Hobart", "UTC"} <= set(names)
    assert not [name for name in names if name.startswith(("Etc/", "posix/")) or name == "EST"]
    assert all(zoneinfo.ZoneInfo(name) for name in names)


def test_time_zones_are_gathered_by_region() -> None:
    regions = dict(time_zones.by_region())
    assert ("Europe/Lisbon", "Lisbon") in regions["Europe"]
    assert ("America/New_York", "New York") in regions["America"]
    assert sum(len(zones) for zones in regions.values()) == len(time_zones.names())


def test_a_made_up_zone_is_refused() -> None:
    check_time_zone("Europe/Lisbon")
    with pytest.raises(ValidationError, match="Choose a time zone"):
        check_time_zone("Wrenshire/Hollin_Ferry")
