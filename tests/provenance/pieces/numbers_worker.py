"""Makes pieces in a process of its own, as many as it is told to, or until it is killed.

Called with the number of pieces and of those per run; prints each number once it is committed.
"""

import sys

import django

django.setup()

from provenance.pieces import making  # noqa: E402 -- Django must be set up first
from provenance.pieces.making import Source  # noqa: E402
from provenance.pieces.models import Form, Method  # noqa: E402
from provenance.record.scribe import Scribe  # noqa: E402


def main(count: int, at_once: int) -> None:
    """Make `count` pieces, `at_once` in a transaction, acknowledging each."""
    form = Form.objects.get(slug="bowl")
    scribe = Scribe.now()
    for _ in range(count // at_once):
        pieces = making.make(scribe, form, Method.TWICE, [Source(None)], count=at_once)
        for piece in pieces:
            sys.stdout.write(f"{piece.code}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
