"""What the tests of the pages of commissions share: what is sent, and reading a page."""

import uuid
from typing import Any

from django.test import Client
from django.urls import reverse

from shop.commissions.models import Commission
from tests import factories


def sent(**typed: Any) -> dict[str, Any]:
    return {"token": str(uuid.uuid4()), **typed}


def at(name: str, commission: Commission) -> str:
    return reverse(f"commissions:{name}", args=[commission.pk])


def page(client: Client, name: str, commission: Commission) -> str:
    return " ".join(client.get(at(name, commission)).content.decode().split())


def desk_of(piece: Any, commission: Commission, **more: Any) -> dict[str, Any]:
    return sent(
        **{
            "lines-TOTAL_FORMS": "1", "lines-INITIAL_FORMS": "0",
            "lines-0-piece": piece.code, "lines-0-price": "180",
            "payments-TOTAL_FORMS": "1", "payments-INITIAL_FORMS": "0",
            "payments-0-kind": factories.a_kind().pk, "channel": "direct", "tax": "none",
            "prices": "added", "sold_on": factories.NOW.date().isoformat(),
            "buyer_name": str(commission.person), "buyer_choice": str(commission.person_id),
        },
        **more,
    )  # fmt: skip
