"""How the book bears its size: `python -m tests.benchmarks`.

Each row measures something of ours and, turn by turn with it, a reference, and holds the ratio of
the medians against a goal: seconds would tell of the machine. It makes two books of its own in a
folder that vanishes with it, a small one and a large one. Ends with 1 when a goal is not met.
"""

# ruff: noqa: E402 -- Django is set up before what needs it is imported
import argparse
import difflib
import gc
import itertools
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

os.environ.pop("DATABASE_URL", None)  # the books are SQLite files, whatever is set
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")

import django
import numpy as np

django.setup()

from django.conf import settings
from django.core.management import call_command
from django.db import connection, transaction
from django.test import Client
from django.test.utils import setup_test_environment

from provenance.cards.sheets import SHEETS
from provenance.cards.tags import TagFacts, booth_tags
from provenance.drawing import ring_mark
from provenance.maker.models import User
from provenance.pieces import making
from provenance.pieces.models import Custody, Form, Method, Part, Piece, Stage
from provenance.record.models import Counter, Journal, JournalEntry
from provenance.record.numbering import allocate
from provenance.record.numbers import Number
from provenance.trees.models import Section
from provenance.wood import species
from shop.sales import undoing
from shop.sales.models import Holding, Line, Payment, PaymentKind, Receipt, Void
from tests import accuracy, factories
from tests.large_book import LargeBook
from tests.provenance.wood.invented_walls import Wall

COUNT = itertools.count(1)
SMALL, LARGE, ONE_RUN, TAGS = 300, 100_000, 200, 300

Deed = Callable[[], object]


@dataclass(frozen=True)
class Row:
    """One comparison: medians in seconds of processor time, and the highest ratio that will do."""

    what: str
    ours: float
    reference: float
    goal: float

    @property
    def ratio(self) -> float:
        return self.ours / self.reference

    @property
    def is_met(self) -> bool:
        return self.ratio <= self.goal

    def __str__(self) -> str:
        ours, reference = (f"{seconds * 1000:9.2f} ms" for seconds in (self.ours, self.reference))
        met = "yes" if self.is_met else "NO"
        return f"{self.what:54}{ours}{reference}{self.ratio:9.2f}{self.goal:7g}  {met}"


HEAD = f"{'what':54}{'ours':>12}{'reference':>12}{'ratio':>9}{'goal':>7}  met"


@dataclass
class Bench:
    """The books to measure in, and how often each thing is measured."""

    small: Path
    large: Path
    repeats: int

    def compare(self, what: str, ours: Deed, reference: Deed, goal: float) -> Row:
        """Measure two deeds turn by turn, after one turn that does not count."""
        times: list[tuple[float, float]] = [
            (seconds(ours), seconds(reference)) for _ in range(self.repeats + 1)
        ]
        first, second = zip(*times[1:], strict=True)
        return Row(what, median(first), median(second), goal)

    def compare_books(self, what: str, path: Callable[[LargeBook], str], goal: float) -> Row:
        """Measure one address in the large book and in the small one."""
        clients = {}
        for book in (self.large, self.small):
            with opened(book):
                client = Client()
                client.force_login(User.objects.get())
                clients[book] = (client, path(LargeBook(Piece.objects.count())))
        times: dict[Path, list[float]] = {self.large: [], self.small: []}
        for turn in range(self.repeats + 1):
            for book, (client, address) in clients.items():
                with opened(book):
                    client.get(address)  # the connection is new: its pages are read once before
                    taken = seconds(lambda c=client, a=address: fetch(c, a))  # type: ignore[misc]
                if turn:
                    times[book].append(taken)
        return Row(what, median(times[self.large]), median(times[self.small]), goal)


def seconds(deed: Deed) -> float:
    """Return the processor time that `deed` takes: it does not depend on who else is at work."""
    gc.collect()
    start = time.process_time()
    deed()
    return time.process_time() - start


def fetch(client: Client, address: str) -> None:
    """Fetch a page, and insist that there is one."""
    answer = client.get(address)
    if answer.status_code not in (200, 302):
        raise RuntimeError(f"{address} answers {answer.status_code}")


@contextmanager
def opened(book: Path) -> Iterator[None]:
    """Let the default connection lead to `book`."""
    connection.close()
    connection.settings_dict["NAME"] = book
    yield
    connection.close()


def write_book(path: Path, pieces: int) -> Path:
    """Make a book with so many pieces."""
    with opened(path):
        call_command("migrate", verbosity=0)
        factories.a_shop()
        factories.an_owner()
        LargeBook(pieces).fill()
    return path


def pages(bench: Bench) -> Iterator[Row]:
    """Pages of the large book against the same pages of the small one."""
    middle = lambda book: book.pieces // 2 // 75 * 75 + 8  # noqa: E731 -- sold, published
    addresses: list[tuple[str, Callable[[LargeBook], str], float]] = [
        ("bench page", lambda book: "/bench/", 8),
        ("drying shelf", lambda book: "/drying/", 8),
        ("list of pieces", lambda book: "/pieces/", 2),
        ("list of pieces, longest dry", lambda book: "/pieces/?stage=dry&sort=waiting", 4),
        ("search for “maple”", lambda book: "/pieces/?find=maple", 8),
        ("find a piece by its number", lambda book: f"/bench/find?q={book.code(middle(book))}", 2),
        ("page of a piece", lambda book: f"/pieces/{book.code(middle(book))}/", 2),
        ("public page of a piece", lambda book: f"/P/{book.code(middle(book))}", 2),
        ("form to make pieces", lambda book: "/pieces/make/", 4),
        ("form of a sale", lambda book: f"/sales/new/?piece={book.code(30)}", 2),
        ("list of receipts", lambda book: "/sales/", 2),
        ("page of a receipt", lambda book: f"/sales/{book.receipt_code(4)}/", 2),
        ("a month of 98 receipts", lambda book: "/month/2026-06/", 2),
        ("page of a buyer", lambda book: "/people/2/", 4),
    ]
    for what, address, goal in addresses:
        yield bench.compare_books(f"{what}: large book, small book", address, goal)


def makings(bench: Bench) -> Iterator[Row]:
    """Making pieces, and giving out numbers, against the bare rows."""
    with opened(bench.large):
        scribe, form = factories.a_scribe(), Form.objects.get(slug="bowl")
        section = Section.objects.select_related("tree").get(pk=1)
        sources = [making.Source(section)]

        def ours() -> None:
            making.make(scribe, form, Method.TWICE, sources, count=ONE_RUN)

        what = f"making {ONE_RUN} pieces: with checks, bare rows in bulk"
        yield bench.compare(what, ours, lambda: bare_rows(form, section), 8)
        numbering = "a number for one piece: given out, a bare row"
        yield bench.compare(numbering, number_given_out, bare_row, 4)


@transaction.atomic
def number_given_out() -> None:
    """Give out one number, as making does."""
    allocate("piece", factories.a_scribe())


@transaction.atomic
def bare_row() -> None:
    """Write the least row there is."""
    Journal.objects.create()


@transaction.atomic
def bare_rows(form: Form, section: Section) -> None:
    """Write the rows of a run of pieces, six each, without asking or checking anything."""
    row, at = Counter.objects.get(kind="piece", year=26), factories.NOW
    first, row.last = row.last + 1, row.last + ONE_RUN
    row.save(update_fields=["last"])
    codes = [Number("piece", 26, first + n).code for n in range(ONE_RUN)]
    journals = Journal.objects.bulk_create([Journal() for _ in codes])
    entries = JournalEntry.objects.bulk_create(
        [JournalEntry(journal=j, kind="begun", written_at=at, words="Blank cut.") for j in journals]
    )
    pieces = Piece.objects.bulk_create(
        [
            Piece(code=code, journal=journal, form=form, method=Method.TWICE, stage=Stage.BLANK,
                  created_at=at)
            for code, journal in zip(codes, journals, strict=True)
        ]
    )  # fmt: skip
    links = Custody.objects.bulk_create(
        [
            Custody(piece=piece, position=1, kind=Custody.Kind.SHOP, entry=entry)
            for piece, entry in zip(pieces, entries, strict=True)
        ]
    )
    for piece, link in zip(pieces, links, strict=True):
        piece.custody = link
    Piece.objects.bulk_update(pieces, ["custody"])
    Part.objects.bulk_create([Part(piece=piece, section=section) for piece in pieces])
    of_trees = Piece.trees.through
    of_trees.objects.bulk_create([of_trees(piece=p, tree=section.tree) for p in pieces])


def sales(bench: Bench) -> Iterator[Row]:
    """A sale and its void, with locks and checks, against the bare rows of both."""
    with opened(bench.large):
        scribe = factories.a_scribe()
        piece, other = factories.some_pieces(2, scribe)

        def ours() -> None:
            undoing.void(factories.a_receipt(piece, scribe=scribe), "Measured.", scribe)

        what = "a sale and its void: with checks, bare rows"
        yield bench.compare(what, ours, lambda: bare_sale(other), 8)


@transaction.atomic
def bare_sale(piece: Piece) -> None:
    """Write the rows of a sale and of its void, one by one, without asking or checking anything."""
    when: dict[str, Any] = {"written_at": factories.NOW}
    nothing = dict.fromkeys(("tax_minor", "share_minor"), 0)
    receipt = Receipt.objects.create(
        code=f"R99-{next(COUNT):03}", sold_on=factories.NOW.date(), channel="direct",
        currency="USD", prices_include_tax=False, rounding="receipt", tax_rate_pct=0,
        is_tax_theirs=False, share_pct=0, gross_minor=100, discount_minor=0, total_minor=100,
        due_minor=100, **nothing, **when,
    )  # fmt: skip
    link = bare_custody(piece, Custody.Kind.BUYER)
    line = Line.objects.create(
        receipt=receipt, position=1, piece=piece, custody=link, quantity=1, unit_minor=100,
        is_taxed=True, gross_minor=100, own_discount_minor=0, shared_discount_minor=0,
        paid_minor=100, **nothing,
    )  # fmt: skip
    holding = Holding.objects.create(piece=piece, line=line)
    kind = PaymentKind.objects.get(slug="cash")
    paid = {"receipt": receipt, "kind": kind, "on": receipt.sold_on, **when}
    Payment.objects.create(amount_minor=100, **paid)
    void = Void.objects.create(receipt=receipt, on=receipt.sold_on, **when)
    Payment.objects.create(amount_minor=-100, void=void, **paid)
    holding.delete()
    bare_custody(piece, Custody.Kind.SHOP)


def bare_custody(piece: Piece, kind: str) -> Custody:
    """Write a change of hands with its entry."""
    entry = JournalEntry.objects.create(
        journal_id=piece.journal_id, kind="custody", written_at=factories.NOW
    )
    place = 1_000_000 + next(COUNT)
    return Custody.objects.create(piece=piece, position=place, kind=kind, entry=entry)


def drawings(bench: Bench) -> Iterator[Row]:
    """Tags with codes against tags without; a list's ring marks drawn anew and remembered."""
    sheet = SHEETS["letter-30"]
    facts = [
        TagFacts(number.spoken, number.code, "Salad bowl", "bigleaf maple", "292 mm", "$165")
        for number in (Number("piece", 26, n + 1) for n in range(TAGS))
    ]
    address = "https://saltmarsh.example.org"
    what = f"{TAGS} booth tags: with codes, without"
    yield bench.compare(
        what,
        lambda: booth_tags(facts, sheet, public_url=address),
        lambda: booth_tags(facts, sheet),
        15,
    )

    def drawn_anew() -> None:
        ring_mark.cross_section.cache_clear()
        ring_mark._lines_svg.cache_clear()
        client.get(page)

    with opened(bench.large):
        client = Client()
        client.force_login(User.objects.get())
        page = "/pieces/?page=100"  # pieces of fifty trees
        what = "list of pieces: ring marks drawn anew, remembered"
        yield bench.compare(what, drawn_anew, lambda: client.get(page), 4)


def searches(bench: Bench) -> Iterator[Row]:
    """Finding a wood by name, a slip in it, against comparing with every name."""
    woods = (*species.all_species(), *species.all_genera())
    names = [name for wood in woods for name in (wood.common_name, wood.scientific_name)]
    typed = ("bigleaf mapel", "black walnut", "juglans nigar", "ash", "chery")

    def ours() -> None:
        species._find.cache_clear()
        for text in typed:
            species.find(text)

    def reference() -> None:
        for text in typed:
            difflib.get_close_matches(text, names)

    yield bench.compare("finding a wood: our index, every name compared", ours, reference, 1)


def forecasts(bench: Bench) -> Iterator[Row]:
    """A drying forecast with its range against scipy's bare fit of an exponential."""
    wall = Wall(28, 10**-10.5, 10**-8.1, 68, 9, 0.3, 0.5, 920, 1.0, 0.0005)
    seen = wall.weighed(np.random.default_rng(1), 120, 12)
    yield bench.compare(
        "a drying forecast: ours, a bare exponential by scipy",
        lambda: [accuracy.ours(wall, seen, []) for _ in range(3)],
        lambda: [accuracy.exponential(wall, seen, []) for _ in range(3)],
        60,
    )


def measure(folder: Path, *, small: int, large: int, repeats: int) -> Iterator[Row]:
    """Make the books in `folder` and return the rows, one after the other."""
    small_book = write_book(folder / "small.sqlite3", small)
    large_book = write_book(folder / "large.sqlite3", large)
    bench = Bench(small_book, large_book, repeats)
    for group in (pages, makings, sales, drawings, searches, forecasts):
        yield from group(bench)


def main() -> int:
    """Print the table; return 1 when a goal is not met."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--small", type=int, default=SMALL, help="pieces in the small book")
    parser.add_argument("--large", type=int, default=LARGE, help="pieces in the large book")
    parser.add_argument("--repeats", type=int, default=5, help="turns that count")
    asked = parser.parse_args()
    setup_test_environment()
    say(f"{asked.large} pieces in the large book, {asked.small} in the small one\n{HEAD}")
    rows = []
    for row in measure(
        Path(settings.DATA), small=asked.small, large=asked.large, repeats=asked.repeats
    ):
        say(str(row))
        rows.append(row)
    return 0 if all(row.is_met for row in rows) else 1


def say(words: str) -> None:
    """Print at once, for the table grows slowly."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
