"""Sells, pays, voids, refunds and passes on at random, in a book that others do the same in.

Called with the seed and the number of deeds; "begin" furnishes the book and "add-up" asks whether
all of it adds up. What is refused in words is passed over; anything else ends it.
"""

import random
import sys
from decimal import Decimal
from typing import Any

import django

django.setup()

from provenance.pieces.models import Custody  # noqa: E402 -- Django must be set up first
from provenance.record.errors import RecordError  # noqa: E402
from shop.sales.reckoning import Off  # noqa: E402
from tests import factories  # noqa: E402
from tests.shop.sales import test_histories  # noqa: E402
from tests.shop.sales.test_histories import PIECES, Histories  # noqa: E402

#: Sales and what takes them back come often, so that they meet.
DEEDS = ["sell"] * 6 + ["void", "refund", "refund_all", "pay"] * 2
DEEDS += ["take", "give_back", "pass_on", "undo"]


def some_way(dice: random.Random, deed: str) -> Any:
    """Return how to do `deed`, for the method of that name."""
    pick, amount = dice.randrange(6), dice.choice([None, dice.randrange(13_000)])
    if deed == "sell":
        return {
            "pieces": set(dice.sample(range(PIECES), dice.randrange(PIECES + 1))),
            "extra": (dice.randrange(999), 2),
            "unit": dice.randrange(13_000),
            "off": Off(),
            "off_all": Off(pct=Decimal(10)),
            "rate": dice.choice([None, 0, 1, 2]),
            "is_taxed": True,
            "is_included": dice.random() < 0.5,
            "rounding": dice.choice(["item", "receipt"]),
            "share": dice.choice([Decimal(0), Decimal(40)]),
            "is_tax_theirs": dice.random() < 0.5,
            "paid": dice.choice([[], [None], [100]]),
            "account": dice.random() < 0.5,
            "buyer": dice.choice([None, 0, 1]),
        }
    if deed == "pass_on":
        return pick, dice.choice([Custody.Kind.SHOP, Custody.Kind.BUYER, Custody.Kind.GALLERY])
    ways = {"pay": (pick, amount), "refund": (pick, [(pick, amount or 1, dice.random() < 0.5)])}
    return ways.get(deed, amount if deed in ("take", "give_back") else pick)


def main(seed: str, count: int) -> None:
    """Do `count` deeds; print how many were not refused."""
    till, dice, done = Histories("assert_sums"), random.Random(seed), 0
    till.enter()
    sys.stdin.readline()  # all begin together
    for _ in range(count):
        deed = dice.choice(DEEDS)
        try:
            getattr(till, deed)(some_way(dice, deed), factories.a_scribe())
        except RecordError:
            continue
        done += 1
    sys.stdout.write(f"{done}\n")


if __name__ == "__main__":
    match sys.argv[1]:
        case "begin":
            Histories("assert_sums").begin()
        case "add-up":
            rows = test_histories.all_rows()
            Histories("assert_sums").assert_sums(rows)
            Histories("assert_sums").assert_present(rows)
        case seed:
            main(seed, int(sys.argv[2]))
