"""A large book, written straight into the tables: a benchmark has no time for 100,000 makings.

The rows are such as the app's own functions write: a journal each, entries in order, the present
stage and custody beside them. A fifth of the pieces is in the shop, the rest found its way. What
grows out of proportion in a real book does so here: one gallery holds much, one tree gave much.
"""

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import islice
from typing import Any

from django.apps import apps
from django.core.management.color import no_style
from django.db import connection, models, transaction

from provenance.drying.models import Outlook
from provenance.people.models import Person
from provenance.pieces.models import (
    Custody,
    Finish,
    FinishApplied,
    Form,
    Method,
    Part,
    Piece,
    Promise,
    Stage,
)
from provenance.record.models import Counter, Journal, JournalEntry
from provenance.record.numbers import Number
from provenance.record.partial_dates import PartialDate
from provenance.trees.models import BoughtStock, Section, Tree
from shop.sales.models import Channel, Holding, Line, Owing, Payment, PaymentKind, Receipt

FIRST_DAY = date(2024, 1, 1)
AT = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)
LAST_SALE, SALES_A_DAY = date(2026, 6, 14), 7
CHANNELS = tuple(Channel)
WOODS = ("bigleaf-maple", "white-ash", "black-walnut", "red-alder", "black-cherry", "silver-maple")
SECTIONS_PER_TREE = 3
ENTRIES_PER_PIECE = 4
IN_SHOP = (
    Stage.BLANK, Stage.DRYING, Stage.DRYING, Stage.DRY, Stage.TRUED, Stage.IN_FINISH,
    Stage.FINISHED, Stage.FINISHED,
)  # fmt: skip
KINDS = JournalEntry.Kind


class LargeBook:
    """Fills an empty book with `pieces` pieces and what belongs to them; keys count from 1."""

    def __init__(self, pieces: int) -> None:
        self.pieces = pieces
        self.trees = max(4, pieces // 20)
        self.sections = self.trees * SECTIONS_PER_TREE
        self.people = max(5, pieces // 30)
        self.stocks = max(2, pieces // 300)
        self.promises = max(2, pieces // 250)
        self.forms = list(Form.objects.values_list("pk", flat=True))
        self.cash = PaymentKind.objects.get(slug="cash").pk
        self.finish = Finish.objects.get(slug="oil-beeswax")

    def fill(self) -> None:
        """Write everything in one transaction. The book must be empty."""
        if connection.vendor == "sqlite":
            with connection.cursor() as cursor:
                cursor.execute("PRAGMA cache_size = -400000")  # KiB: keep all of it in memory
        with transaction.atomic():
            self._fill()

    def _fill(self) -> None:
        first_piece = self.trees + self.sections + self.stocks
        write(Journal(pk=n + 1) for n in range(first_piece + self.pieces))
        write(self._person(n) for n in range(self.people))
        write(self._tree(n) for n in range(self.trees))
        write(self._section(n) for n in range(self.sections))
        write(self._stock(n) for n in range(self.stocks))
        write(self._piece(n, first_piece) for n in range(self.pieces))
        write(e for n in range(self.pieces) for e in self._entries(n, first_piece))
        write(c for n in range(self.pieces) for c in self._custodies(n))
        write(self._part(n) for n in range(self.pieces))
        of_trees, finished = Piece.trees.through, range(self.pieces)
        write(of_trees(piece_id=n + 1, tree_id=self._tree_of(n) + 1) for n in range(self.pieces))
        write(self._finish(n) for n in finished if self._stage(n) in FINISH_ON)
        drying = [n for n in range(self.pieces) if self._stage(n) == Stage.DRYING and n % 3]
        write(self._outlook(n) for n in drying)
        write(self._promise(n) for n in range(self.promises))
        write(self._receipt(nth, n) for nth, n in enumerate(self._sold()))
        write(self._line(nth, n) for nth, n in enumerate(self._sold()))
        write(self._payment(nth, n) for nth, n in enumerate(self._sold()) if nth % 100)
        write(Holding(piece_id=n + 1, line_id=nth + 1) for nth, n in enumerate(self._sold()))
        owed = [(nth, n) for nth, n in enumerate(self._sold()) if nth % 100 == 0]
        write(Owing(receipt_id=nth + 1, amount_minor=self._price(n)) for nth, n in owed)
        self._set_counters()

    def _outlook(self, n: int) -> Outlook:
        """A kept forecast: one in five dry, the rest spread over half a year from the last day."""
        likely = AT.date() + timedelta(days=n % 180 - 30)
        return Outlook(
            piece_id=n + 1, earliest=likely, likely=likely, latest=likely, final_mass_g=1050,
            is_dry=n % 5 == 0 and n % 25 == 0, basis="weighings", weighing_count=5,
            pace=(*["steady"] * 18, "stalled", "fast")[n % 20], last_mass_g=1300,
            last_weighed_on=AT.date() - timedelta(days=n % 60), wall_mm=28, made_at=AT,
            weigh_again_on=AT.date() + timedelta(days=n % 40 - 20), roughed_on=self._day(n),
        )  # fmt: skip

    def code(self, n: int) -> str:
        """Return the code of the piece with this place in the book, from 0."""
        return Number("piece", 26, n + 1).code

    def tree_code(self, n: int) -> str:
        """Return the code of the tree with this place in the book, from 0."""
        return Number("tree", 26, n + 1).code

    def _is_in_shop(self, n: int) -> bool:
        return n % 5 == 0

    def _stage(self, n: int) -> str:
        if self._is_in_shop(n):
            return IN_SHOP[n // 5 % len(IN_SHOP)]
        return Stage.LOST if n % 25 == 1 else Stage.FINISHED

    def _tree_of(self, n: int) -> int:
        return 0 if n % 50 == 7 else n * 7 % self.trees

    def _day(self, n: int) -> date:
        return FIRST_DAY + timedelta(days=n * 880 // self.pieces)

    def _person(self, n: int) -> Person:
        return Person(
            pk=n + 1, name=f"Ada Quill {n}", mail=f"quill{n}@example.org",
            phone=f"555-01{n % 100:02}", created_at=AT,
        )  # fmt: skip

    def _tree(self, n: int) -> Tree:
        return Tree(
            pk=n + 1, code=self.tree_code(n), journal_id=n + 1, species_slug=WOODS[n % len(WOODS)],
            public_place=f"Hollin Ferry, plot {n}", ring_count=20 + n % 200,
            felled=PartialDate("2023-03"), donor_id=1 if n % 10 == 0 else n % self.people + 1,
            story="It stood by the ferry landing until the gale.", created_at=AT,
            promised="A bowl for the daughter." if n % 20 == 0 else "",
        )  # fmt: skip

    def _section(self, n: int) -> Section:
        used_up = n % 10 != 0
        return Section(
            pk=n + 1, tree_id=n // SECTIONS_PER_TREE + 1, letter="ABC"[n % SECTIONS_PER_TREE],
            journal_id=self.trees + n + 1, created_at=AT,
            state=Section.State.USED_UP if used_up else Section.State.CUT_INTO,
        )  # fmt: skip

    def _stock(self, n: int) -> BoughtStock:
        return BoughtStock(
            pk=n + 1, name=f"Pen blanks, lot {n}", species_words="cocobolo", created_at=AT,
            journal_id=self.trees + self.sections + n + 1, supplier_id=n % self.people + 1,
        )  # fmt: skip

    def _piece(self, n: int, first: int) -> Piece:
        stage, day = self._stage(n), self._day(n)
        is_for_sale = stage == Stage.FINISHED and n % 3 != 0
        return Piece(
            pk=n + 1, code=self.code(n), journal_id=first + n + 1, stage=stage,
            form_id=self.forms[n % len(self.forms)], method=Method.TWICE,
            custody_id=2 * n + (1 if self._is_in_shop(n) else 2),
            title=f"Landing bowl {n}" if n % 4 == 0 else "", diameter_mm=200 + n % 90,
            price_minor=5_000 + n % 20_000 if is_for_sale else None,
            published_at=AT if is_for_sale else None, stage_when=PartialDate.of(day),
            stage_since=day, created_at=AT,
        )  # fmt: skip

    def _entries(self, n: int, first: int) -> Iterator[JournalEntry]:
        day = self._day(n)
        last = (KINDS.NOTE, "") if self._is_in_shop(n) else (KINDS.CUSTODY, "")
        steps = ((KINDS.BEGUN, ""), (KINDS.MOVED, "rough"), (KINDS.MOVED, "call-dry"), last)
        for place, (kind, move) in enumerate(steps):
            yield JournalEntry(
                pk=n * ENTRIES_PER_PIECE + place + 1, journal_id=first + n + 1, kind=kind,
                move=move, happened=PartialDate.of(day), happened_from=day, written_at=AT,
                words="As it was done.",
            )  # fmt: skip

    def _custodies(self, n: int) -> Iterator[Custody]:
        first = n * ENTRIES_PER_PIECE + 1
        yield Custody(
            pk=2 * n + 1, piece_id=n + 1, position=1, kind=Custody.Kind.SHOP, entry_id=first,
            since=self._day(n),
        )  # fmt: skip
        if self._is_in_shop(n):
            return
        kind = Custody.Kind.BUYER
        holder: int | None = n % self.people + 1
        if self._stage(n) == Stage.LOST:
            kind, holder = Custody.Kind.SCRAPPED, None
        elif n % 25 == 3:
            kind, holder = Custody.Kind.GALLERY, 1
        yield Custody(
            pk=2 * n + 2, piece_id=n + 1, position=2, kind=kind, holder_id=holder,
            entry_id=first + ENTRIES_PER_PIECE - 1, since=self._day(n),
        )  # fmt: skip

    def _part(self, n: int) -> Part:
        return Part(piece_id=n + 1, section_id=self._tree_of(n) * SECTIONS_PER_TREE + 1)

    def _finish(self, n: int) -> FinishApplied:
        return FinishApplied(
            piece_id=n + 1, entry_id=n * ENTRIES_PER_PIECE + 3, finish=self.finish,
            last_coat=self._day(n), usable_from=self._day(n) + timedelta(days=30),
        )  # fmt: skip

    def _promise(self, n: int) -> Promise:
        return Promise(
            words="A bowl for the daughter.", to_id=n % self.people + 1, tree_id=n % self.trees + 1,
            created_at=AT, settled_on=None if n % 2 else date(2026, 5, 1),
        )  # fmt: skip

    def _sold(self) -> Iterator[int]:
        """The places of the pieces that have a receipt, in order."""
        return (n for n in range(self.pieces) if self._is_with_buyer(n))

    def _is_with_buyer(self, n: int) -> bool:
        return not self._is_in_shop(n) and self._stage(n) != Stage.LOST and n % 25 != 3

    def _price(self, n: int) -> int:
        return 5_000 + n % 20_000

    def _sold_on(self, nth: int) -> date:
        """As many sales in a month of a large book as of a small one: the large is older."""
        return LAST_SALE - timedelta(days=nth // SALES_A_DAY)

    def receipt_code(self, nth: int) -> str:
        """Return the code of the receipt with this place in the book, from 0."""
        return f"R26-{nth + 1:03}"

    def _receipt(self, nth: int, n: int) -> Receipt:
        price = self._price(n)
        return Receipt(
            pk=nth + 1, code=self.receipt_code(nth), sold_on=self._sold_on(nth), written_at=AT,
            channel=CHANNELS[nth % 4], place="Quay Market", currency="USD",
            buyer_id=n % self.people + 1 if nth % 4 == 0 else None, prices_include_tax=False,
            rounding="receipt", tax_rate_pct=0, is_tax_theirs=False, share_pct=0,
            gross_minor=price, discount_minor=0, tax_minor=0, total_minor=price, share_minor=0,
            due_minor=price,
        )  # fmt: skip

    def _line(self, nth: int, n: int) -> Line:
        price = self._price(n)
        return Line(
            pk=nth + 1, receipt_id=nth + 1, position=1, piece_id=n + 1, custody_id=2 * n + 2,
            words=f"Landing bowl {n}", quantity=1, unit_minor=price, is_taxed=True,
            gross_minor=price, own_discount_minor=0, shared_discount_minor=0, tax_minor=0,
            paid_minor=price, share_minor=0,
        )  # fmt: skip

    def _payment(self, nth: int, n: int) -> Payment:
        return Payment(
            receipt_id=nth + 1, kind_id=self.cash, amount_minor=self._price(n),
            on=self._sold_on(nth), written_at=AT,
        )  # fmt: skip

    def _set_counters(self) -> None:
        """Let new rows and new numbers follow those written here."""
        Counter.objects.create(kind="piece", year=26, last=self.pieces)
        Counter.objects.create(kind="tree", year=26, last=self.trees)
        Counter.objects.create(kind="receipt", year=26, last=Receipt.objects.count())
        with connection.cursor() as cursor:
            for statement in connection.ops.sequence_reset_sql(no_style(), apps.get_models()):
                cursor.execute(statement)


FINISH_ON = (Stage.IN_FINISH, Stage.FINISHED)


def write(rows: Iterable[Any], batch: int = 5_000) -> None:
    """Write rows of one model in batches, holding one batch in memory."""
    remaining = iter(rows)
    while several := list(islice(remaining, batch)):
        model: type[models.Model] = type(several[0])
        model._default_manager.bulk_create(several)
