"""What every template may know of the shop."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from provenance.maker.models import Shop


def shop(request: HttpRequest) -> dict[str, Any]:
    """Return the shop (read when a page first asks) and whether this is the demo."""
    return {"shop": SimpleLazyObject(Shop.current), "is_demo": settings.DEMO}
