"""The pages of the keeping room."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from shop.keeping.health import readings


@require_GET
def health(request: HttpRequest) -> HttpResponse:
    """Show how the machinery is, what is amiss first."""
    found = readings(at=timezone.now())
    page = {
        "amiss": [reading for reading in found if reading.remedy],
        "well": [reading for reading in found if not reading.remedy],
    }
    return render(request, "keeping/health.html", page)
