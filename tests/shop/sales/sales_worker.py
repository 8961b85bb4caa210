"""Tries to sell the pieces whose numbers it is given; prints how many of them it sold."""

import sys

import django

django.setup()

from provenance.pieces.models import Piece  # noqa: E402 -- Django must be set up first
from provenance.record.scribe import Scribe  # noqa: E402
from shop.sales import checkout  # noqa: E402
from shop.sales.checkout import CannotBeSold, Draft, Sold  # noqa: E402
from shop.sales.models import PaymentKind  # noqa: E402
from shop.sales.paying import Paid  # noqa: E402


def main(codes: list[str]) -> None:
    """Sell what is still there; pass over what another process sold first."""
    scribe, cash = Scribe.now(), Paid(PaymentKind.objects.get(slug="cash"))
    pieces, sold = list(Piece.objects.filter(code__in=codes).order_by("pk")), 0
    sys.stdin.readline()  # all begin together
    for piece in pieces:
        try:
            checkout.sell(
                Draft([Sold(10_000, piece=piece)], sold_on=scribe.today, payments=[cash]), scribe
            )
        except CannotBeSold:
            continue
        sold += 1
    sys.stdout.write(f"{sold}\n")


if __name__ == "__main__":
    main(sys.argv[1:])
