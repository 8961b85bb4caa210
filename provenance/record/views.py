"""A photo's original, for the owner alone, and what may be changed about a photo."""

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_POST, require_safe

from provenance.record import album
from provenance.record.going_back import back
from provenance.record.models import Photo
from provenance.record.photos import MEDIA_TYPES, PhotoMissing
from provenance.record.scribe import scribe_of
from provenance.record.small_forms import PhotoForm


@require_safe
def original(request: HttpRequest, token: str) -> FileResponse:
    """Send a photo as it was taken, place and all, as a file to keep: never shown in a page."""
    photo = get_object_or_404(Photo, token=token)
    try:
        path = album.store().original_path(photo.token, photo.extension)
    except PhotoMissing as error:
        raise Http404 from error
    response = FileResponse(
        path.open("rb"),
        as_attachment=True,
        filename=f"photo-{photo.added_at:%Y-%m-%d}-{photo.pk}.{photo.extension}",
        content_type=MEDIA_TYPES[photo.extension],
    )
    response["X-Content-Type-Options"] = "nosniff"
    return response


@require_POST
def edit_photo(request: HttpRequest, token: str) -> HttpResponse:
    """Change a photo's caption and whether strangers may see it."""
    photo = get_object_or_404(Photo.objects.select_related("journal"), token=token)
    form = PhotoForm(request.POST)
    if form.is_valid():
        album.describe(photo, scribe_of(request), **form.cleaned_data)
        messages.success(request, "The photo’s words are written.")
    else:
        messages.error(request, "Not written. A photo’s words have at most 200 characters.")
    return back(request, "bench:bench")


@require_POST
def hide_photo(request: HttpRequest, token: str) -> HttpResponse:
    """Take a photo off every page."""
    photo = get_object_or_404(Photo.objects.select_related("journal"), token=token)
    album.put_away(photo, scribe_of(request))
    messages.success(request, "The photo is put away. Its original stays in the book.")
    return back(request, "bench:bench")


@require_POST
def show_photo(request: HttpRequest, token: str) -> HttpResponse:
    """Bring a photo back that was put away."""
    photo = get_object_or_404(Photo.objects.select_related("journal"), token=token)
    album.bring_back(photo, scribe_of(request))
    messages.success(request, "The photo is back.")
    return back(request, "bench:bench")
