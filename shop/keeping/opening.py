"""What `start` does before it serves: prepare whatever is missing, each step safe to repeat."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.urls import reverse

from provenance.maker import doors
from provenance.maker.models import Shop, User
from provenance.record import album
from shop import environment
from shop.keeping import database, folder, static_files

Say = Callable[[str], None]


def prepare(data: Path, say: Say, *, at: datetime) -> None:
    """Make or check secret, tables and static files; in a demo, the invented shop as well.

    Clears away what nobody needs any more: expired sessions, and photos that a kill left half
    written.
    """
    if not environment.has_secret():
        settings.SECRET_KEY = folder.write_secret(data)
    database.check_reachable()
    database.check_not_newer()
    copy = database.bring_up_to_date(data, at=at)
    if copy:
        say(f"The book was brought up to date; as it was before: {copy}")
    call_command("clearsessions")
    album.store().clear_arriving()
    static_files.gather(data)
    if settings.DEMO:
        build_demo(say)


def build_demo(say: Say) -> None:
    """Write the invented shop once: all of it, or, when something breaks it off, nothing."""
    from shop.keeping import demo

    if Shop.objects.exists():
        return
    say("Writing the invented shop; this takes up to a minute …")
    with transaction.atomic():
        demo.build()


def first_page() -> str:
    """Return the path of the page to open: a way in for the demo or a new owner, else the bench."""
    if settings.DEMO:
        return reverse("maker:demo_door", args=[doors.cut_key(doors.DEMO)])
    if not User.objects.exists():
        return reverse("maker:set_up", args=[doors.cut_key(doors.SET_UP)])
    doors.close(doors.SET_UP)
    return reverse(settings.LOGIN_REDIRECT_URL)


def close_database() -> None:
    """Let go of the connection that preparing used; the server's threads open their own."""
    connection.close()
