"""One person who was entered twice: making the two entries one, and parting them again."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from provenance.people import merging
from provenance.people.acquaintance import alike
from provenance.people.forms import MergeForm
from provenance.people.models import Merge, Person
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.fragments import wants_fragment
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.seeking import holding, sought

#: How many people are offered to choose the other entry from.
OFFERED = 12
#: By how many letters names are like each other, and among how many they are looked for.
ALIKE, MOST = 4, 200


@require_http_methods(["GET", "POST"])
def merge(request: HttpRequest, pk: int) -> HttpResponse:
    """Let the other entry of a person be chosen, show what would happen, and make the two one."""
    person = get_object_or_404(Person, pk=pk)
    if person.merged_into_id:
        return redirect("people:merge", person.merged_into_id)
    if request.method == "GET":
        return _choose(request, person)
    form = MergeForm(request.POST)
    if form.is_valid():
        other: Person = form.cleaned_data["other"]
        try:
            _merge(form, person, scribe_of(request))
        except RecordError as error:
            form.add_error("other", str(error))
        else:
            messages.success(request, f"{other} and {person} are one person now.")
            return redirect("bench:person", person.pk)
    return render(request, "people/merge.html", _offered(person, "") | {"form": form})


def _merge(form: MergeForm, person: Person, scribe: Scribe) -> list[str]:
    def work() -> list[str]:
        return [str(merging.merge(person, form.cleaned_data["other"], scribe).pk)]

    return operations.once(form.cleaned_data["token"], scribe, work)


def _choose(request: HttpRequest, person: Person) -> HttpResponse:
    """Offer who may be the same person; show both entries once one is chosen."""
    chosen = MergeForm(request.GET)
    other = chosen.cleaned_data["other"] if chosen.is_valid() else None
    find = sought(request.GET.get("find", ""))
    offered = _offered(person, find)
    if wants_fragment(request):
        return render(request, "people/_others.html", offered)
    if other is None and find and len(offered["others"]) == 1:
        [other] = offered["others"]
    if other and not other.merged_into_id and other != person:
        shown = {"room": "people", "person": person, "other": other, "form": MergeForm()}
        shown["moves"] = merging.what_moves(other)
        return render(request, "people/merge_both.html", shown)
    if {"find", "other"} & set(request.GET):
        offered["asked"] = _asked(find, offered["others"])
    return render(request, "people/merge.html", offered)


def _asked(find: str, others: list[Person]) -> str:
    """Return what is missing where nobody, or nobody who will do, was chosen."""
    if find and not others:
        return (
            f"Nobody else in the book matches “{find}”. Try part of the name, or the last digits "
            "of the phone."
        )
    if find:
        return f"More than one matches “{find}”: choose the one below."
    return "Type whom you mean, then choose the other entry."


def _offered(person: Person, find: str) -> dict[str, Any]:
    """Return the page's people: those who match what is typed, or else those who look the same."""
    if find:
        others = list(Person.objects.search(find).by_name().exclude(pk=person.pk)[:OFFERED])
    else:
        same = alike(person.name, person.mail, person.phone, besides=person.pk)
        others = list(dict.fromkeys([*same, *_of_like_name(person)]))[:OFFERED]
    return {"room": "people", "person": person, "find": find, "others": others}


def _of_like_name(person: Person) -> list[Person]:
    """Return people whose last name begins like this one's: Quil, Quill, Quille. One query."""
    begins = (person.name.split() or [""])[-1][:ALIKE].casefold()
    if len(begins) < ALIKE - 1:
        return []
    found = Person.objects.by_name().filter(holding("name", begins)).exclude(pk=person.pk)
    return [other for other in found[:MOST] if _begins(other.name, begins)]


def _begins(name: str, begins: str) -> bool:
    return any(word.casefold().startswith(begins) for word in name.split())


@require_POST
def part(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a merge back."""
    made = get_object_or_404(Merge.objects.select_related("kept", "folded"), pk=pk)
    try:
        merging.part(made, scribe_of(request))
    except RecordError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{made.folded} and {made.kept} are two people again.")
    return redirect("bench:person", made.kept_id)
