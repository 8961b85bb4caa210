"""The log tells where a fault is, and nothing of what people typed."""

import logging
import sys

import pytest
from django.db import IntegrityError
from django.test import Client

from shop.keeping.logs import Discreet

PRIVATE = "12 Saltmarsh Lane"


def keep(address: str) -> None:
    raise IntegrityError(f"Key (address)=({address}) already exists.")


def test_an_exception_is_told_by_place_and_kind_only() -> None:
    record = logging.LogRecord("shop", logging.ERROR, __file__, 1, "It broke", None, None)
    try:
        keep(PRIVATE)
    except IntegrityError:
        record.exc_info = sys.exc_info()
    told = Discreet("{levelname} {message}", style="{").format(record)
    assert PRIVATE not in told
    assert "already exists" not in told
    assert told.startswith("ERROR It broke\n")
    assert "test_logs.py" in told
    assert "in keep" in told
    assert told.endswith("django.db.utils.IntegrityError")


def test_a_stack_is_not_told() -> None:
    record = logging.LogRecord("shop", logging.ERROR, __file__, 1, "It broke", None, None)
    record.stack_info = f"address = {PRIVATE}"
    assert PRIVATE not in Discreet().format(record)


@pytest.mark.django_db
def test_wrong_addresses_and_refused_forms_write_no_line(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    client.get("/nowhere/with-a-secret-token")
    client.get("/sign-in", headers={"host": "stranger.example.org"})
    assert not [r for r in caplog.records if logging.getLogger(r.name).isEnabledFor(r.levelno)]


@pytest.mark.django_db
def test_a_wrong_password_leaves_no_name_in_the_log(
    client: Client, caplog: pytest.LogCaptureFixture
) -> None:
    client.post("/sign-in", {"username": "turner@example.org", "password": "guessed"})
    assert "turner" not in caplog.text
    assert "guessed" not in caplog.text
