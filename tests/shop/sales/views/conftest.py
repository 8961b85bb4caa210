"""What the pages of sales are tried with."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from provenance.pieces.models import Piece
from shop.sales.models import PaymentKind, TaxRate
from tests import factories

Typed = dict[str, str]


@pytest.fixture
def today() -> date:
    return timezone.now().date()


@pytest.fixture
def bowl(owner_client: Client) -> Piece:
    """A finished bowl with a price of $165, in the shop."""
    return factories.a_piece("finished", price_minor=16_500)


@pytest.fixture
def county(db: None) -> TaxRate:
    return TaxRate.objects.create(
        name="Wrenshire sales tax", rate_pct=Decimal("6.25"), since=date(2026, 1, 1)
    )


@pytest.fixture
def typed(today: date) -> Callable[..., Typed]:
    """What a browser sends from the form of a sale: pieces with their prices, in cash."""

    def form(*pieces: tuple[Piece, str], **more: Any) -> Typed:
        sent = {
            "token": "11111111-1111-4111-8111-111111111111",
            "channel": "direct",
            "sold_on": today.isoformat(),
            "tax": "none",
            "prices": "added",
            "lines-TOTAL_FORMS": str(len(pieces)),
            "lines-INITIAL_FORMS": "0",
            "payments-TOTAL_FORMS": "2",
            "payments-INITIAL_FORMS": "0",
            "payments-0-kind": str(PaymentKind.objects.get(slug="cash").pk),
        }
        for nth, (piece, price) in enumerate(pieces):
            sent |= {f"lines-{nth}-piece": piece.code, f"lines-{nth}-price": price}
        return {**sent, **{name.replace("__", "-"): value for name, value in more.items()}}

    return form
