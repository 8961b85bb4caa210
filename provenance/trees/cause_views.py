"""The open list of reasons for a tree to come down."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from provenance.trees.models import Cause
from provenance.trees.register import add_cause as add_to_list
from provenance.trees.wood_forms import CauseForm


def _page(
    request: HttpRequest, adding: CauseForm | None = None, changing: CauseForm | None = None
) -> HttpResponse:
    """Show the list: each reason with a form of its own, and one for a new reason below."""
    forms = [
        changing
        if changing and changing.instance.pk == cause.pk
        else CauseForm(instance=cause, prefix=cause.slug)
        for cause in Cause.objects.all()
    ]
    context = {"room": "trees", "forms": forms, "form": adding or CauseForm()}
    return render(request, "trees/causes.html", context)


@require_safe
def causes(request: HttpRequest) -> HttpResponse:
    """Show the list."""
    return _page(request)


@require_POST
def add_cause(request: HttpRequest) -> HttpResponse:
    """Add a reason to the list."""
    form = CauseForm(request.POST)
    if not form.is_valid():
        return _page(request, adding=form)
    add_to_list(form.cleaned_data["name"], form.cleaned_data["sentence"])
    messages.success(request, f"Added: {form.cleaned_data['name']}.")
    return redirect("trees:causes")


@require_POST
def edit_cause(request: HttpRequest, slug: str) -> HttpResponse:
    """Reword a reason. Trees that came down for it say it the new way."""
    cause = get_object_or_404(Cause, slug=slug)
    form = CauseForm(request.POST, instance=cause, prefix=slug)
    if not form.is_valid():
        return _page(request, changing=form)
    Cause.objects.filter(pk=cause.pk).update(**form.cleaned_data)
    messages.success(request, f"Reworded: {form.cleaned_data['name']}.")
    return redirect("trees:causes")
