"""The shop's scales: how fine a scale reads decides how sure a forecast can be."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from provenance.drying.forms.masses import plain_mass
from provenance.drying.forms.scales import ScaleForm
from provenance.drying.models import Scale
from provenance.maker.models import Shop


@require_safe
def scales(request: HttpRequest) -> HttpResponse:
    """List the scales, with a form for another."""
    return _page(request, ScaleForm(shop=Shop.current()))


@require_POST
def add_scale(request: HttpRequest) -> HttpResponse:
    """Add a scale."""
    form = ScaleForm(request.POST, shop=Shop.current())
    if not form.is_valid():
        return _page(request, form)
    messages.success(request, f"Added: {form.save()}.")
    return redirect("drying:scales")


@require_http_methods(["GET", "POST"])
def edit_scale(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a scale."""
    known = get_object_or_404(Scale, pk=pk)
    name = known.name
    form = ScaleForm(request.POST or None, instance=known, shop=Shop.current())
    if request.method == "POST" and form.is_valid():
        messages.success(request, f"Saved: {form.save()}.")
        return redirect("drying:scales")
    page = {"room": "pieces", "form": form, "name": name}
    return render(request, "drying/edit_scale.html", page)


def _page(request: HttpRequest, form: ScaleForm) -> HttpResponse:
    unit = Shop.current().mass_unit
    rows = [(scale, plain_mass(scale.step_g, unit)) for scale in Scale.objects.all()]
    return render(request, "drying/scales.html", {"room": "pieces", "form": form, "rows": rows})
