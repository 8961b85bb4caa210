"""The air of the stores: what was read, and what wood comes to in it."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.drying import climate
from provenance.drying.air_of_store import DAMP_PCT
from provenance.drying.climate import Target
from provenance.drying.forms.climate import AirForm, values_of
from provenance.drying.models import ShopClimate, store_key
from provenance.drying.range_words import percent_words
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import scribe_of

#: So many readings are listed; the older ones still count.
SHOWN = 60


@dataclass(frozen=True)
class Store:
    """A store as the page shows it; `target` is None where its air was never read."""

    name: str
    target: Target | None

    @property
    def comes_to(self) -> str:
        return percent_words(self.target.moisture_pct) if self.target else ""

    @property
    def now(self) -> str:
        """The moisture of the newest reading."""
        return percent_words(self.target.newest_pct) if self.target else ""

    @property
    def swings(self) -> str:
        """From the driest to the dampest month, "9 to 14.5 %"; '' where they show the same."""
        if self.target is None:
            return ""
        low, high = percent_words(self.target.low_pct), percent_words(self.target.high_pct)
        return "" if low == high else f"{low.removesuffix(' %')} to {high}"

    @property
    def is_damp(self) -> bool:
        return self.target is not None and self.target.moisture_pct > DAMP_PCT


@require_safe
def air(request: HttpRequest) -> HttpResponse:
    """Show each store's air, with a form for another reading."""
    return _page(request, AirForm(scribe=scribe_of(request)))


@require_POST
def read_air(request: HttpRequest) -> HttpResponse:
    """Write a reading down."""
    scribe = scribe_of(request)
    form = AirForm(request.POST, scribe=scribe)
    if form.is_valid():
        typed = form.reading()

        def work() -> list[str]:
            return [str(climate.read_air(scribe=scribe, **typed).pk)]

        try:
            operations.once(form.cleaned_data["token"], scribe, work)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"Written down: {typed['store']}.")
            return redirect("drying:climate")
    return _page(request, form)


@require_http_methods(["GET", "POST"])
def correct_air(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a reading right; what it said before is kept."""
    reading = get_object_or_404(ShopClimate.objects.select_related("corrects"), pk=pk)
    scribe = scribe_of(request)
    form = AirForm(request.POST or None, scribe=scribe, initial=values_of(reading))
    if request.method == "POST" and form.is_valid():
        try:
            climate.correct(reading, scribe, **form.reading())
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Put right. What it said before is kept with it.")
            return redirect("drying:climate")
    page = {
        "room": "pieces",
        "reading": reading,
        "form": form,
        "stores": climate.stores(),
        "before": _before(reading),
        "is_standing": ShopClimate.objects.standing().filter(pk=pk).exists(),
    }
    return render(request, "drying/correct_air.html", page)


@require_POST
def take_back_air(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a reading back by a row that says so."""
    reading = get_object_or_404(ShopClimate, pk=pk)
    try:
        climate.take_back(reading, scribe_of(request))
        messages.success(request, f"Taken back: {reading}. The book keeps both.")
    except RecordError as error:
        messages.error(request, str(error))
    return redirect("drying:climate")


def _before(reading: ShopClimate) -> list[ShopClimate]:
    """What the reading said before it was put right, the latest first. A query for each."""
    found: list[ShopClimate] = []
    while reading.corrects_id:
        reading = ShopClimate.objects.select_related("by").get(pk=reading.corrects_id)
        found.append(reading)
    return found


def _page(request: HttpRequest, form: AirForm) -> HttpResponse:
    targets = climate.targets(scribe_of(request).today)
    names = climate.stores()
    readings = ShopClimate.objects.standing()
    page = {
        "room": "pieces",
        "form": form,
        "stores": names,
        "rows": [Store(name, targets.get(store_key(name))) for name in names],
        "readings": [(each, percent_words(climate.moisture_of(each))) for each in readings[:SHOWN]],
        "count": readings.count(),
    }
    return render(request, "drying/air.html", page)
