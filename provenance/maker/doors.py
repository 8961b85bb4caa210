"""The ways in that are opened by a printed link: the first owner's set-up, and the demo.

A link's token is kept as its SHA-256 in the data folder: a copy of the folder opens nothing.
"""

import hashlib
import hmac
import os
import secrets
from pathlib import Path

from django.conf import settings
from django.db import transaction

from provenance.maker.models import Shop, User

SET_UP = "set-up-link"
DEMO = "demo-link"


class DoorClosed(Exception):
    """The link leads nowhere any more. `str(error)` is a sentence for the person."""


def cut_key(door: str) -> str:
    """Return a new token for `door` (`SET_UP` or `DEMO`); the one before it no longer opens."""
    token = secrets.token_urlsafe(32)
    file: Path = settings.DATA / door
    new = file.with_name(f"{door}.{secrets.token_hex(4)}")
    handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="ascii") as stream:
        stream.write(_hash(token))
    new.replace(file)
    return token


def opens(door: str, token: str) -> bool:
    """Return whether `token` is the one last cut for `door`."""
    file: Path = settings.DATA / door
    try:
        kept = file.read_text(encoding="ascii").strip()
    except OSError:
        return False
    return hmac.compare_digest(kept, _hash(token))


def close(door: str) -> None:
    """Throw the door's key away; harmless when there is none."""
    (settings.DATA / door).unlink(missing_ok=True)


def set_up(token: str, *, profile: dict[str, str], name: str, password: str) -> User:
    """Write the shop's profile and its first owner, once; return the owner.

    Raises `DoorClosed` for a token that does not open, or when the book has an owner already.
    """
    with transaction.atomic():
        # The shop's row is the lock: of two people with the link, the second finds the owner there.
        Shop.objects.get_or_create(pk=1)
        Shop.objects.select_for_update().get(pk=1)
        if User.objects.exists() or not opens(SET_UP, token):
            raise DoorClosed(
                "This link has been used. Sign in, or start the shop again for a new link."
            )
        Shop.objects.update(**profile)
        owner = User.objects.create_user(username=name, password=password)
        transaction.on_commit(lambda: close(SET_UP))
    return owner


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()
