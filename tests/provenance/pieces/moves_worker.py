"""Tries to rough out every piece of the book, one by one; prints the number of those it moved."""

import sys

import django

django.setup()

from provenance.pieces import workflow  # noqa: E402 -- Django must be set up first
from provenance.pieces.models import Piece  # noqa: E402
from provenance.record.scribe import Scribe  # noqa: E402


def main() -> None:
    """Move what is still a blank; pass over what another process moved first."""
    scribe = Scribe.now()
    moved = 0
    sys.stdin.readline()  # all begin together
    for piece in Piece.objects.order_by("pk"):
        try:
            workflow.move([piece], "rough", scribe)
        except workflow.NotOffered:
            continue
        moved += 1
    sys.stdout.write(f"{moved}\n")


if __name__ == "__main__":
    main()
