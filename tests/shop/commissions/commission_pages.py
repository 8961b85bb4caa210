"""What the tests of the pages of commissions share: what is sent, and reading a page."""

import uuid
from typing import Any

from django.test import Client
from django.urls import reverse

from shop.commissions.models import Commission


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), **typed}


def at(name: str, commission: Commission) -> str:
    return reverse(f"commissions:{name}", args=[commission.pk])


def page(client: Client, name: str, commission: Commission) -> str:
    return " ".join(client.get(at(name, commission)).content.decode().split())
