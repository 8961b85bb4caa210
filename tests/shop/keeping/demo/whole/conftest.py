"""The demo, built once for the tests of this folder and taken back after them."""

from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest
from django.db import transaction
from django.test import override_settings

from shop.keeping import demo

AT = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="package", autouse=True)
def demo_shop(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """The invented shop as it stands on Monday, 15 June 2026, at five in the morning there."""
    photos = tmp_path_factory.mktemp("demo-photos")
    with django_db_blocker.unblock(), transaction.atomic():
        with override_settings(PHOTO_ROOT=photos):
            demo.build(AT)
        yield
        transaction.set_rollback(True)
