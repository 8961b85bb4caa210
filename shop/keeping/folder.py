"""The data folder: made for its owner alone, marked as ours, held by one server at a time."""

import json
import os
import secrets
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from provenance.record.errors import RecordError

MARK = "bolebook.json"
LOCK = "running.lock"
SECRET = "secret-key"  # noqa: S105 (a file's name)


class FolderRefused(RecordError):
    """The data folder will not do."""


def prepare(data: Path, *, demo: bool) -> None:
    """Make the folder (0700) and its mark, or check that it is ours to write in."""
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        _check_mark(data, demo=demo)
        probe = data / f"probe.{secrets.token_hex(4)}"
        probe.touch(mode=0o600)
        probe.unlink()
    except FileExistsError as error:
        raise FolderRefused(f"{data} is a file: choose a folder with --data.") from error
    except OSError as error:
        raise FolderRefused(
            f"The folder {data} cannot be written to: change its permissions, or choose another "
            "with --data."
        ) from error


def kind_of(data: Path) -> str | None:
    """Return "book" or "demo" for a folder of ours, None for any other."""
    try:
        mark = json.loads((data / MARK).read_text(encoding="utf-8"))
        return str(mark["holds"])
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (ValueError, KeyError, TypeError) as error:
        raise FolderRefused(
            f"{data / MARK} is damaged: it should say what the folder is."
        ) from error


def mark(data: Path, *, demo: bool) -> None:
    """Say in the folder what it holds."""
    holds = json.dumps({"holds": "demo" if demo else "book"})
    (data / MARK).write_text(holds + "\n", encoding="utf-8")


def _check_mark(data: Path, *, demo: bool) -> None:
    kind = kind_of(data)
    if kind is None and any(data.iterdir()):
        raise FolderRefused(
            f"The folder {data} holds other things: choose an empty one with --data, or a new name."
        )
    if kind is None:
        data.chmod(0o700)
        mark(data, demo=demo)
    elif kind == "demo" and not demo:
        raise FolderRefused(f"{data} holds the demo: add --demo, or choose another folder.")
    elif kind != "demo" and demo:
        raise FolderRefused(
            f"{data} holds a real book, which the demo never touches: choose another folder."
        )


def write_secret(data: Path) -> str:
    """Return the folder's secret key, made first if there is none; of two makers the first wins."""
    file = data / SECRET
    if not file.is_file():
        new = data / f"{SECRET}.{secrets.token_hex(8)}"
        handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        try:
            with os.fdopen(handle, "w", encoding="ascii") as stream:
                stream.write(secrets.token_urlsafe(50))
                stream.flush()
                os.fsync(stream.fileno())
            _link(new, file)
        finally:
            new.unlink(missing_ok=True)
    return file.read_text(encoding="ascii").strip()


def _link(new: Path, file: Path) -> None:
    """Give the finished file its name, unless the name is taken."""
    try:
        os.link(new, file)
    except FileExistsError:
        return
    except OSError:
        if not file.exists():  # a file system without hard links, such as a memory stick's
            new.rename(file)


@contextmanager
def held(data: Path) -> Iterator[None]:
    """Hold the folder as its only server; the operating system lets go when the process dies."""
    with (data / LOCK).open("a+b") as stream:
        try:
            _lock(stream.fileno())
        except OSError as error:
            raise FolderRefused(
                f"Another Bolebook is running on {data}: use that one, or stop it first."
            ) from error
        yield


def _lock(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        os.lseek(handle, 0, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
