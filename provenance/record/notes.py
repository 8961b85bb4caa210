"""Notes and photos that come in on a thing's page, for any thing that has a journal."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from provenance.record import album, journal, operations
from provenance.record.errors import RecordError
from provenance.record.models import Journal, JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe, scribe_of
from provenance.record.small_forms import NoteForm


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


def take_photos(request: HttpRequest, into: Journal, *, is_public: bool | None = None) -> None:
    """Keep the photos of a posted `record/_photos.html`; tell which could not be kept, and why."""
    files = request.FILES.getlist("photos")
    if is_public is None:
        is_public = bool(request.POST.get("is_public"))
    kept, refused = album.add_photos(into, files, scribe_of(request), is_public=is_public)
    if kept:
        many = "Photo kept." if len(kept) == 1 else f"{len(kept)} photos kept."
        messages.success(request, many)
    for sentence in refused:
        messages.error(request, f"Not kept: {sentence}")
    if not files:
        messages.error(request, "No photo was chosen.")
