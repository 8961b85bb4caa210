"""Notes and photos that come in on a thing's page, for any thing that has a journal."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from provenance.record import album, journal, operations
from provenance.record.errors import RecordError
from provenance.record.models import Journal, JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.small_forms import NoteForm
from provenance.record.waiting_photos import hang_waiting, hold, still_waiting


def take_note(request: HttpRequest, into: Journal, home: str) -> HttpResponse:
    """Write the note of a posted `record/_note_form.html` into the journal and go `home`.

    What cannot be noted comes back on a page of its own, as it was typed.
    """
    scribe = scribe_of(request)
    form = NoteForm(request.POST, today=scribe.today)
    if form.is_valid():
        try:
            operations.once(form.cleaned_data["token"], scribe, lambda: _noted(form, into, scribe))
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Noted.")
            return redirect(home)
    return render(request, "record/note.html", {"form": form, "home": home})


def _noted(form: NoteForm, into: Journal, scribe: Scribe) -> list[str]:
    typed = form.cleaned_data
    entry = journal.write(
        into,
        JournalEntry.Kind.NOTE,
        scribe,
        happened=typed["happened"] or PartialDate.of(scribe.today),
        words=typed["words"],
        minutes=typed["minutes"],
    )
    return [str(entry.pk)]


def keep_photos(request: HttpRequest, into: Journal, *, is_public: bool) -> bool:
    """Keep a form's photos, those that waited for it too; tell which could not be kept, and why.

    Returns whether the form had any.
    """
    scribe = scribe_of(request)
    files, slips = request.FILES.getlist("photos"), request.POST.getlist("waiting")
    waited = hang_waiting(into, slips, scribe, is_public=is_public)
    fresh, refused = album.add_photos(into, files, scribe, is_public=is_public)
    count = len({photo.pk for photo in (*waited, *fresh)})
    if count:
        messages.success(request, "Photo kept." if count == 1 else f"{count} photos kept.")
    for sentence in refused:
        messages.error(request, f"Not kept: {sentence}")
    return bool(files or slips)


def take_photos(request: HttpRequest, into: Journal) -> None:
    """Keep the photos of a posted `record/_photos.html`; tell how it went."""
    if not keep_photos(request, into, is_public=bool(request.POST.get("is_public"))):
        messages.error(request, "No photo was chosen.")


def hold_photos(request: HttpRequest) -> dict[str, Any]:
    """Return the context of `record/_shots.html` for a form that comes back: its photos wait."""
    fresh, refused = hold(request.FILES.getlist("photos"))
    waiting = [*still_waiting(request.POST.getlist("waiting")), *fresh]
    return {"waiting_photos": waiting, "refused_photos": refused}
