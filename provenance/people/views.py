"""The people of the book: entering, changing and choosing them."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from provenance.people.acquaintance import add_person, alike, amend_person
from provenance.people.forms import EditPersonForm, PersonForm, offer
from provenance.people.models import Person
from provenance.record import operations
from provenance.record.scribe import scribe_of


@require_http_methods(["GET", "POST"])
def add(request: HttpRequest) -> HttpResponse:
    """Enter somebody, after showing who of the book they might be already."""
    scribe = scribe_of(request)
    form = PersonForm(request.POST or None, today=scribe.today)
    known: list[Person] = []
    if request.method == "POST" and form.is_valid():
        typed = form.cleaned_data
        if not typed["confirmed"]:
            known = alike(typed["name"], typed["mail"], typed["phone"])
        if not known:
            [pk] = operations.once(
                typed["token"], scribe, lambda: [str(add_person(scribe, **form.values()).pk)]
            )
            messages.success(request, f"{typed['name']} is in the book.")
            return redirect("bench:person", int(pk))
    context = {"room": "people", "form": form, "known": known}
    return render(request, "people/add.html", context)


@require_http_methods(["GET", "POST"])
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change somebody's details."""
    person = get_object_or_404(Person, pk=pk)
    if person.merged_into_id:
        if request.method == "POST":
            messages.error(request, "Nothing was changed: this entry was made one with another.")
        return redirect("people:edit", person.merged_into_id)
    scribe = scribe_of(request)
    form = EditPersonForm(request.POST or None, instance=person, today=scribe.today)
    if request.method == "POST" and form.is_valid():
        changed = amend_person(person, form.values(), scribe)
        messages.success(request, "Written." if changed else "Nothing had changed.")
        others = alike(person.name, person.mail, person.phone, besides=person.pk)
        if others and {"name", "mail", "phone"} & set(changed):
            messages.warning(
                request,
                f"{others[0]} has the same name, mail or phone. If that is the same person, "
                "make the two entries one below.",
            )
        return redirect("bench:person", person.pk)
    context = {"room": "people", "form": form, "person": form.person}
    return render(request, "people/edit.html", context)


@require_safe
def choices(request: HttpRequest) -> HttpResponse:
    """Offer the people whom a name typed in another form may mean. A fragment."""
    role = request.GET.get("role", "")
    if not (role.isidentifier() and role.isascii() and len(role) <= 30):
        raise Http404
    offered = offer(request.GET.get(f"{role}_name", ""), request.GET.get(f"{role}_choice", ""))
    return render(request, "people/_choices.html", {"role": role, "offer": offered})
