"""Photos of a thing: adding them, changing what they say, putting them away."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from django.conf import settings
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from provenance.record import journal as journals
from provenance.record.models import Journal, JournalEntry, Photo
from provenance.record.partial_dates import PartialDate
from provenance.record.photos import AcceptedPhoto, PhotoRefused, PhotoStore, accept
from provenance.record.scribe import Scribe
from provenance.record.text import quote


def store() -> PhotoStore:
    """Return the shop's photo store."""
    return PhotoStore(Path(settings.PHOTO_ROOT))


@dataclass(frozen=True)
class KeptFile:
    """A photo's file in the store, which may have no row yet."""

    token: str
    extension: str
    width: int
    height: int
    sha256: str

    @classmethod
    def keep(cls, photo: AcceptedPhoto) -> "KeptFile":
        """Write the picture to the store."""
        token = store().keep(photo)
        return cls(token, photo.extension, photo.width, photo.height, photo.sha256)


def add_photo(
    journal: Journal,
    data: BinaryIO,
    scribe: Scribe,
    *,
    caption: str = "",
    is_public: bool = False,
) -> Photo:
    """Keep a photo and return its row; the same picture sent again returns the first row.

    Raises `photos.PhotoRefused` with a sentence. The file is written before the row, so no row
    ever points to nothing.
    """
    accepted = accept(data, max_bytes=settings.PHOTO_MAX_BYTES)
    known = Photo.objects.filter(journal=journal, sha256=accepted.sha256).first()
    if known:
        bring_back(known, scribe)
        return known
    kept = KeptFile.keep(accepted)
    return hang(journal, kept, scribe, caption=caption, is_public=is_public)


@transaction.atomic
def hang(
    journal: Journal, kept: KeptFile, scribe: Scribe, *, caption: str = "", is_public: bool = False
) -> Photo:
    """Give a file in the store its row; the same picture hung again is the first row."""
    photo, is_new = Photo.objects.get_or_create(
        journal=journal,
        sha256=kept.sha256,
        defaults={
            "token": kept.token,
            "extension": kept.extension,
            "width": kept.width,
            "height": kept.height,
            "caption": caption,
            "is_public": is_public,
            "added_at": scribe.at,
            "by": scribe.user,
        },
    )
    if is_new:
        journals.write(
            journal,
            JournalEntry.Kind.PHOTO,
            scribe,
            happened=PartialDate.of(scribe.today),
            words=f"Photo added{f': {caption}' if caption else ''}.",
        )
    return photo


def add_photos(
    journal: Journal, files: Iterable[UploadedFile], scribe: Scribe, *, is_public: bool = False
) -> tuple[list[Photo], list[str]]:
    """Keep what can be kept of several photos.

    Returns the rows, and a sentence for each that was refused, with its file's name.
    """
    kept, refused = [], []
    for file in files:
        try:
            kept.append(add_photo(journal, file, scribe, is_public=is_public))  # type: ignore[arg-type]
        except PhotoRefused as error:
            refused.append(f"{quote(file.name or '')}: {error}")
    return kept, refused


@transaction.atomic
def describe(photo: Photo, scribe: Scribe, *, caption: str, is_public: bool) -> None:
    """Change a photo's caption, and whether strangers may see it."""
    was_public = photo.is_public
    if (photo.caption, was_public) == (caption, is_public):
        return
    photo.caption = caption
    photo.is_public = is_public
    photo.save(update_fields=["caption", "is_public"])
    if was_public != is_public:
        _note(
            photo, scribe, "Photo shown to strangers" if is_public else "Photo kept from strangers"
        )


@transaction.atomic
def put_away(photo: Photo, scribe: Scribe) -> None:
    """Take a photo off every page. The original stays in the book."""
    if photo.hidden_at is None:
        photo.hidden_at = scribe.at
        photo.save(update_fields=["hidden_at"])
        _note(photo, scribe, "Photo put away")


@transaction.atomic
def bring_back(photo: Photo, scribe: Scribe) -> None:
    """Show a photo again that was put away."""
    if photo.hidden_at is not None:
        photo.hidden_at = None
        photo.save(update_fields=["hidden_at"])
        _note(photo, scribe, "Photo brought back")


def _note(photo: Photo, scribe: Scribe, words: str) -> None:
    caption = f": {photo.caption}" if photo.caption else ""
    journals.write(
        photo.journal,
        JournalEntry.Kind.PHOTO,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=f"{words}{caption}.",
    )
