"""Style sheets, scripts and fonts, gathered where the server finds them."""

import hashlib
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command

from shop import __version__

FINGERPRINT = "static-fingerprint"
# Pages use the TrueType files; the same faces in OpenType would only be compressed in vain.
LEFT_OUT = ["*.otf", "CVS", ".*", "*~"]


def gather(data: Path) -> bool:
    """Collect the static files if they changed since the last time; return whether they had."""
    found, kept = fingerprint(), data / FINGERPRINT
    root = Path(settings.STATIC_ROOT)
    if kept.is_file() and kept.read_text(encoding="ascii") == found and root.is_dir():
        return False
    kept.unlink(missing_ok=True)
    # From nothing: by itself the command leaves alone what is not newer to the second, and the
    # files of another version may well be older.
    call_command(
        "collectstatic", interactive=False, verbosity=0, clear=True, ignore_patterns=LEFT_OUT
    )
    kept.write_text(found, encoding="ascii")
    return True


def fingerprint() -> str:
    """Return a digest of what there is to collect: names, sizes and times of change."""
    digest = hashlib.sha256(__version__.encode())
    for finder in get_finders():
        for path, storage in sorted(finder.list(LEFT_OUT), key=lambda found: str(found[0])):
            status = Path(storage.path(path)).stat()
            digest.update(f"{path}\0{status.st_size}\0{status.st_mtime_ns}\n".encode())
    return digest.hexdigest()
