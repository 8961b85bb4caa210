"""The backup's file: a zip archive with a manifest that holds a hash of everything else.

    manifest.json            format, version, when, migrations, rows by table, files with SHA-256
    book.sqlite3             the database as SQLite keeps it, or
    records.jsonl            the database as one record a line, which any database can take in
    photos/originals/NAME    the photos as they came

Plain standard library: an archive must be readable in years when nothing else of this is.
"""

import errno
import hashlib
import json
import os
import re
import secrets
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

from provenance.record.errors import RecordError

FORMAT = 1
MANIFEST = "manifest.json"
BOOK = "book.sqlite3"
RECORDS = "records.jsonl"
ORIGINALS = "photos/originals"
# Nothing but these names is ever written out of an archive, so none can point elsewhere.
KNOWN_NAMES = re.compile(rf"{BOOK}|{RECORDS}|{ORIGINALS}/[A-Za-z0-9_-]{{1,64}}\.[a-z0-9]{{1,5}}")
CHUNK = 1024 * 1024


class ArchiveRefused(RecordError):
    """The file is no backup of ours, or it is damaged."""


@dataclass(frozen=True)
class Manifest:
    """What an archive says of itself. `files` maps names to (SHA-256, bytes)."""

    version: str
    made_at: str
    migrations: list[tuple[str, str]]
    counts: dict[str, int]
    files: dict[str, tuple[str, int]]
    missing: list[str] = field(default_factory=list)

    def to_json(self) -> str:
        """Return the manifest as it is stored."""
        return json.dumps({"format": FORMAT, **vars(self)}, indent=1, sort_keys=True)

    @classmethod
    def from_json(cls, text: bytes) -> "Manifest":
        """Read a stored manifest; raises `ArchiveRefused`."""
        try:
            stored: dict[str, Any] = json.loads(text)
            if stored.pop("format") != FORMAT:
                raise ArchiveRefused("This backup was made by a newer Bolebook: restore it there.")
            stored["files"] = {n: (str(h), int(b)) for n, (h, b) in stored["files"].items()}
            stored["migrations"] = [(str(app), str(name)) for app, name in stored["migrations"]]
            return cls(**stored)
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise ArchiveRefused("This backup is damaged: its manifest cannot be read.") from error


def write(target: Path, files: Iterable[tuple[str, Path]], about: dict[str, Any]) -> Manifest:
    """Write an archive of (name, path) pairs, check it, and give it its name only then.

    `about` is the rest of the manifest. Raises `ArchiveRefused`; nothing is left at `target` then.
    """
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}.part")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o600)
        with os.fdopen(handle, "wb") as stream:
            with zipfile.ZipFile(stream, "w", allowZip64=True) as archive:
                hashes = {name: _add(archive, name, path) for name, path in files}
                manifest = Manifest(files=hashes, **about)
                archive.writestr(MANIFEST, manifest.to_json(), zipfile.ZIP_DEFLATED)
            stream.flush()
            os.fsync(stream.fileno())
        with opened(part) as archive:
            if check(archive) != manifest:
                raise ArchiveRefused("The backup read back differs from what was written.")
        _name_once(part, target)
    finally:
        part.unlink(missing_ok=True)
    return manifest


@contextmanager
def opened(file: Path) -> Iterator[zipfile.ZipFile]:
    """Open an archive; whatever is wrong with its bytes becomes `ArchiveRefused`."""
    try:
        with zipfile.ZipFile(file) as archive:
            yield archive
    except FileNotFoundError as error:
        raise ArchiveRefused(f"There is no file {file}.") from error
    except (IsADirectoryError, PermissionError) as error:
        raise ArchiveRefused(f"{file} cannot be read.") from error
    except (zipfile.BadZipFile, EOFError, NotImplementedError, RuntimeError) as error:
        raise ArchiveRefused(f"{file} is damaged, or not a backup.") from error
    except OSError as error:
        # A damaged offset, or bytes that bzip2 cannot unpack; not a full disk or the like.
        if error.errno not in (errno.EINVAL, None):
            raise
        raise ArchiveRefused(f"{file} is damaged, or not a backup.") from error
    except Exception as error:
        if type(error).__module__ in ("zlib", "_lzma", "zipfile", "struct"):
            raise ArchiveRefused(f"{file} is damaged, or not a backup.") from error
        raise


def read_manifest(archive: zipfile.ZipFile) -> Manifest:
    """Return the manifest, its list of files held against the archive's own."""
    names = [entry.filename for entry in archive.infolist()]
    if MANIFEST not in names:
        raise ArchiveRefused(f"{archive.filename} is not a backup: it has no manifest.")
    manifest = Manifest.from_json(archive.read(MANIFEST))
    if sorted(names) != sorted([MANIFEST, *manifest.files]):
        raise ArchiveRefused("This backup is damaged: it holds other files than its manifest says.")
    strange = [name for name in manifest.files if not KNOWN_NAMES.fullmatch(name)]
    if strange or not ({BOOK, RECORDS} & set(manifest.files)):
        raise ArchiveRefused("This is not a backup of ours: it holds files that belong elsewhere.")
    return manifest


def check(archive: zipfile.ZipFile) -> Manifest:
    """Read every file and hold it against its hash; return the manifest."""
    manifest = read_manifest(archive)
    for name in manifest.files:
        with archive.open(name) as source:
            _check_hash(manifest, name, *_copy(source, None))
    return manifest


def extract(archive: zipfile.ZipFile, folder: Path) -> Manifest:
    """Write every file below `folder`, each held against its hash; return the manifest."""
    manifest = read_manifest(archive)
    for name in manifest.files:
        path = folder.joinpath(*name.split("/"))
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        most = manifest.files[name][1]
        with archive.open(name) as source, path.open("xb") as target:
            _check_hash(manifest, name, *_copy(source, target, most=most))
            target.flush()
            os.fsync(target.fileno())
    return manifest


_BINARY = getattr(os, "O_BINARY", 0)


def _add(archive: zipfile.ZipFile, name: str, path: Path) -> tuple[str, int]:
    entry = zipfile.ZipInfo.from_file(path, name, strict_timestamps=False)
    is_packed_already = name.startswith(ORIGINALS)
    entry.compress_type = zipfile.ZIP_STORED if is_packed_already else zipfile.ZIP_DEFLATED
    with path.open("rb") as source, archive.open(entry, "w", force_zip64=True) as target:
        return _copy(source, target)


def _copy(
    source: IO[bytes], target: IO[bytes] | None, *, most: int | None = None
) -> tuple[str, int]:
    """Copy (or only read) to the end, or a little past `most` bytes; return SHA-256 and bytes.

    Room on the disk was reckoned by what the manifest says: what unpacks to more stops there.
    """
    digest, size = hashlib.sha256(), 0
    while (most is None or size <= most) and (chunk := source.read(CHUNK)):
        digest.update(chunk)
        size += len(chunk)
        if target is not None:
            target.write(chunk)
    return digest.hexdigest(), size


def _check_hash(manifest: Manifest, name: str, digest: str, size: int) -> None:
    if (digest, size) != tuple(manifest.files[name]):
        raise ArchiveRefused(f"This backup is damaged: {name} is not what it was.")


def _name_once(part: Path, target: Path) -> None:
    """Give the finished file its name, never in place of another."""
    if target.exists():
        raise ArchiveRefused(f"{target} is there already: choose another name.")
    part.rename(target)
