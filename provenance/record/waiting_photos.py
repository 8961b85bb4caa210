"""Photos of a form that came back: a browser lets go of its files, so the shop holds on to them.

The files lie in the store without a row. The form carries a signed slip for each, and the rows are
written when it goes through. A slip that never comes back leaves a file that no page shows.
"""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from django.conf import settings
from django.core import signing
from django.core.files.uploadedfile import UploadedFile

from provenance.record.album import KeptFile, hang
from provenance.record.models import Journal, Photo
from provenance.record.photos import PhotoRefused, accept
from provenance.record.scribe import Scribe
from provenance.record.text import clean_text, quote

SALT = "provenance.record.waiting-photos"
DAY_SECONDS = 24 * 60 * 60
MOST = 40


@dataclass(frozen=True)
class WaitingPhoto:
    """A photo that waits for its form: the file's name, and the slip that fetches it."""

    name: str
    slip: str


def hold(files: Iterable[UploadedFile]) -> tuple[list[WaitingPhoto], list[str]]:
    """Keep the files of a form that comes back.

    Returns a slip for each, and a sentence for each that was refused, with its file's name.
    """
    waiting, refused = [], []
    for file in files:
        try:
            accepted = accept(file, max_bytes=settings.PHOTO_MAX_BYTES)
        except PhotoRefused as error:
            refused.append(f"{quote(file.name or '')}: {error}")
            continue
        name = clean_text(file.name or "")[:60]
        held = {"name": name, **asdict(KeptFile.keep(accepted))}
        waiting.append(WaitingPhoto(name, signing.dumps(held, salt=SALT)))
    return waiting, refused


def still_waiting(slips: Iterable[str]) -> list[WaitingPhoto]:
    """Return the photos of those slips that are sound and not older than a day."""
    return [WaitingPhoto(held["name"], slip) for slip, held in _read(slips)]


def hang_waiting(
    journal: Journal, slips: Iterable[str], scribe: Scribe, *, is_public: bool
) -> list[Photo]:
    """Give the waiting photos their rows, in the order in which they were taken."""
    photos = []
    for _, held in _read(slips):
        kept = KeptFile(**{field: held[field] for field in KeptFile.__dataclass_fields__})
        photos.append(hang(journal, kept, scribe, is_public=is_public))
    return photos


def _read(slips: Iterable[str]) -> list[tuple[str, dict[str, Any]]]:
    found = []
    for slip in list(slips)[:MOST]:
        try:
            found.append((slip, signing.loads(slip, salt=SALT, max_age=DAY_SECONDS)))
        except signing.BadSignature:
            continue  # forged, or from yesterday: the form says how many photos it has
    return found
