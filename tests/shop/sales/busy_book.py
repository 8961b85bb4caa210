"""Fills the book of a test: the shop, its owner, signed in, and blanks to sell.

Called with how many blanks; prints the owner's session, then the number of each blank.
"""

import sys

import django

django.setup()

from django.conf import settings  # noqa: E402 -- Django must be set up first
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY  # noqa: E402
from django.contrib.sessions.backends.db import SessionStore  # noqa: E402
from django.db import transaction  # noqa: E402

from provenance.maker.models import Shop, User  # noqa: E402
from provenance.pieces import making  # noqa: E402
from provenance.pieces.making import Source  # noqa: E402
from provenance.pieces.models import Form, Method  # noqa: E402
from provenance.record.scribe import Scribe  # noqa: E402
from shop.keeping import folder  # noqa: E402


def main(count: int) -> None:
    """Fill the book."""
    folder.mark(settings.DATA, demo=False)
    Shop.objects.create(name="Saltmarsh Lane Turnery", currency="USD")
    owner = User.objects.create(username="turner", password="!")
    session = SessionStore()
    session[SESSION_KEY] = str(owner.pk)
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[-1]
    session[HASH_SESSION_KEY] = owner.get_session_auth_hash()
    session.create()
    sys.stdout.write(f"{session.session_key}\n")
    form = Form.objects.get(slug="bowl")
    scribe = Scribe.now()
    with transaction.atomic():
        for start in range(0, count, making.MOST_AT_ONCE):
            at_once = min(making.MOST_AT_ONCE, count - start)
            for piece in making.make(scribe, form, Method.TWICE, [Source(None)], count=at_once):
                sys.stdout.write(f"{piece.code}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]))
