"""The one shop."""

from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from provenance.maker.models import Shop
from tests import factories


@pytest.mark.django_db
def test_there_is_one_shop_only(shop: Shop) -> None:
    for number in (1, 2):
        with pytest.raises(IntegrityError), transaction.atomic():
            Shop(id=number, name="Another").save(force_insert=True)
    assert Shop.objects.get() == shop


@pytest.mark.django_db
def test_before_it_is_set_up_the_shop_has_no_name() -> None:
    assert Shop.current().name == ""
    assert not Shop.objects.exists()


@pytest.mark.django_db
def test_the_public_address_is_the_profiles_unless_the_server_says(settings: Any) -> None:
    factories.a_shop(public_url="https://bowls.example.org")
    settings.PUBLIC_URL = ""
    assert Shop.current().public_address == "https://bowls.example.org"
    settings.PUBLIC_URL = "https://turnery.example.org"
    assert Shop.current().public_address == "https://turnery.example.org"


def test_the_zone_is_the_profiles() -> None:
    assert Shop(time_zone="Europe/Lisbon").zone == ZoneInfo("Europe/Lisbon")
