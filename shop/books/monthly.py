"""What happened in a month: every line's sales, voids, refunds and fees, as entries.

Days are plain dates of the shop. What a line's piece is made of and from is read from today's
record: a corrected source corrects the breakdown, the money never changes. Receipts in another
currency than the shop's are left out, and counted.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from django.db.models import Prefetch, Sum

from provenance.pieces.models import Piece
from provenance.record.money import plain_percent
from provenance.trees.models import BoughtStock, Tree
from shop.books.figures import FEE, REFUND, SALE, VOID, Entry, Figures, Name
from shop.sales.models import Account, Channel, Line, Payment, Receipt, RefundLine, Void
from shop.sales.reckoning import share_out

#: The fee on a deposit whose receipt is not written yet counts under this, whatever is asked.
DEPOSITS = Name("deposits", "deposits, not sold yet", is_rest=True)
NOT_A_PIECE = Name("not-a-piece", "not a piece", is_rest=True)
NOT_KNOWN = Name("not-known", "not known", is_rest=True)
STOCK = "bought stock"

Span = tuple[date, date]


@dataclass(frozen=True)
class Happened:
    """The entries of a span of days in order, and the other money they lack: how many receipts,
    and the keys of the accounts whose deposits' fees are not here.
    """

    entries: list[Entry]
    receipts_left_out: int
    accounts_left_out: set[int]


def entries(first: date, last: date, currency: str) -> Happened:
    """Return what happened from `first` to `last` in that currency. Eight queries at most."""
    asked = _Asked((first, last))
    lines = _lines_of(asked.receipts)
    found = [
        entry for group in lines.values() if group[0].receipt.currency == currency
        for entry in asked.entries_of(group)
    ]  # fmt: skip
    found += asked.fees_of_deposits(lines, currency)
    in_order = sorted(found, key=lambda e: (e.day, e.receipt, e.position, ORDER.index(e.what)))
    receipts = sum(group[0].receipt.currency != currency for group in lines.values())
    return Happened(in_order, receipts, asked.accounts_in_other_money(currency))


ORDER = (SALE, VOID, REFUND, FEE)


@dataclass(frozen=True)
class _Deposit:
    """A deposit for which a fee was taken."""

    account: Account
    on: date
    fee_minor: int


@dataclass
class _Asked:
    """What the ledgers hold of a span of days, by receipt or line."""

    span: Span
    sold: set[int] = field(init=False)
    voided: dict[int, date] = field(init=False)
    back: dict[int, list[RefundLine]] = field(init=False)
    fees: dict[int, list[Payment]] = field(init=False)
    deposits: list["_Deposit"] = field(init=False)
    #: By account: the receipts that its deposits were taken off, and how much of them.
    taken: dict[int, dict[int, int]] = field(init=False)

    def __post_init__(self) -> None:
        self.sold = set(
            Receipt.objects.filter(sold_on__range=self.span).values_list("pk", flat=True)
        )
        self.voided = dict(Void.objects.filter(on__range=self.span).values_list("receipt_id", "on"))
        backs = RefundLine.objects.filter(refund__on__range=self.span).select_related("refund")
        self.back = _grouped(backs, "line_id")
        fees = Payment.objects.filter(on__range=self.span).exclude(fee_minor=0)
        paid = list(fees.select_related("account__person").order_by("pk"))
        self.fees = _grouped((p for p in paid if p.receipt_id), "receipt_id")
        self.deposits = [
            _Deposit(p.account, p.on, p.fee_minor) for p in paid if p.account and not p.receipt_id
        ]
        self.taken = _taken_off(deposit.account.pk for deposit in self.deposits)

    @property
    def receipts(self) -> set[int]:
        """The keys of all receipts that something happened to."""
        refunded = {line.refund.receipt_id for group in self.back.values() for line in group}
        taken = {key for receipts in self.taken.values() for key in receipts}
        return {*self.sold, *self.voided, *refunded, *self.fees, *taken}

    def entries_of(self, lines: Sequence[Line]) -> Iterator[Entry]:
        """Yield what happened to the lines of one receipt."""
        receipt = lines[0].receipt
        if receipt.pk in self.sold:
            yield from (_entry(line, receipt.sold_on, SALE, sold(line)) for line in lines)
        if receipt.pk in self.voided:
            day = self.voided[receipt.pk]
            yield from (_entry(line, day, VOID, -sold(line)) for line in lines)
        for line in lines:
            for back in self.back.get(line.pk, []):
                yield _entry(
                    line, back.refund.on, REFUND, given_back(back, receipt),
                )  # fmt: skip
        for payment in self.fees.get(receipt.pk, []):
            yield from _fees(lines, payment.on, payment.fee_minor)

    def fees_of_deposits(self, lines: dict[int, list[Line]], currency: str) -> Iterator[Entry]:
        """Yield the fees on deposits: on the lines that were paid with them, or by themselves."""
        for deposit in self.deposits:
            if deposit.account.currency != currency:
                continue
            taken = self.taken.get(deposit.account.pk, {})
            if not taken:
                yield _fee_by_itself(deposit)
                continue
            fees = shared(deposit.fee_minor, list(taken.values()))
            for receipt, fee in zip(taken, fees, strict=True):
                yield from _fees(lines[receipt], deposit.on, fee)

    def accounts_in_other_money(self, currency: str) -> set[int]:
        """Return the accounts in another currency whose deposits' fees are on no receipt yet."""
        accounts = {deposit.account for deposit in self.deposits}
        return {a.pk for a in accounts if a.currency != currency and a.pk not in self.taken}


def _grouped(rows: Iterable[Any], key: str) -> dict[int, list[Any]]:
    groups: dict[int, list[Any]] = {}
    for row in rows:
        groups.setdefault(getattr(row, key), []).append(row)
    return groups


def _taken_off(accounts: Iterable[int]) -> dict[int, dict[int, int]]:
    """Return what of the accounts' deposits stands on which receipts today. One query."""
    found: dict[int, dict[int, int]] = {}
    rows = (
        Payment.objects.filter(account__in=set(accounts), receipt__isnull=False)
        .order_by("account", "receipt")
        .values_list("account", "receipt")
        .annotate(taken=Sum("amount_minor"))
    )
    for account, receipt, taken in rows:
        if taken > 0:
            found.setdefault(account, {})[receipt] = int(taken)
    return found


def _lines_of(receipts: Iterable[int]) -> dict[int, list[Line]]:
    """Return the receipts' lines with all that entries say of them. Three queries."""
    woods = ("species_slug", "species_words", "certainty")
    lines = (
        Line.objects.filter(receipt__in=set(receipts))
        .select_related("receipt__gallery", "piece__form", "extra")
        .prefetch_related(
            Prefetch("piece__trees", Tree.objects.only("code", *woods).order_by("pk")),
            Prefetch("piece__stocks", BoughtStock.objects.only(*woods).order_by("pk")),
        )
        .order_by("receipt", "position")
    )
    return _grouped(lines, "receipt_id")


# -- amounts -------------------------------------------------------------------------------------


def sold(line: Line) -> Figures:
    """Return what a line brought when it was sold."""
    return Figures(
        gross=line.gross_minor,
        discount=line.own_discount_minor + line.shared_discount_minor,
        share=line.share_minor,
        **_tax(line.tax_minor, line.receipt),
    )


def given_back(back: RefundLine, receipt: Receipt) -> Figures:
    """Return what a line of a refund takes away: its tax and share go back with it."""
    return Figures(
        refund=back.amount_minor - back.tax_minor,
        share=-back.share_minor,
        **_tax(-back.tax_minor, receipt),
    )


def _tax(minor: int, receipt: Receipt) -> dict[str, int]:
    return {"tax_theirs" if receipt.is_tax_theirs else "tax": minor}


def shared(fee: int, weights: Sequence[int]) -> list[int]:
    """Return a fee divided in proportion to `weights`, evenly where all of them are nothing.

    A fee given back is divided just as the fee was, so that the two undo each other.
    """
    if fee < 0:
        return [-part for part in shared(-fee, weights)]
    return share_out(fee, weights if any(weights) else [1 for _ in weights])


def _fees(lines: Sequence[Line], day: date, fee: int) -> Iterator[Entry]:
    for line, part in zip(lines, shared(fee, [line.paid_minor for line in lines]), strict=True):
        if part:
            yield _entry(line, day, FEE, Figures(fee=part))


# -- words ---------------------------------------------------------------------------------------


def _entry(line: Line, day: date, what: str, figures: Figures) -> Entry:
    receipt, piece = line.receipt, line.piece
    return Entry(
        day=day,
        what=what,
        receipt=receipt.code,
        position=line.position,
        words=line.words,
        piece=str(piece or ""),
        place=receipt.where,
        channel=Name(receipt.channel, Channel(receipt.channel).label),
        form=_form_of(line),
        species=species_of(piece) if piece else NOT_A_PIECE,
        tree=tree_of(piece) if piece else NOT_A_PIECE,
        figures=figures,
        tax_rate=rate_of(line),
    )


def rate_of(line: Line) -> str:
    """Return the tax on a line, "Sales tax 6.25 %"; '' where it was not taxed."""
    receipt = line.receipt
    if not line.is_taxed or not receipt.tax_name:
        return ""
    return f"{receipt.tax_name} {plain_percent(receipt.tax_rate_pct)} %"


def _fee_by_itself(deposit: _Deposit) -> Entry:
    account = deposit.account
    return Entry(
        day=deposit.on,
        what=FEE,
        receipt="",
        position=0,
        words=account.words,
        piece="",
        place="",
        channel=DEPOSITS,
        form=DEPOSITS,
        species=DEPOSITS,
        tree=DEPOSITS,
        figures=Figures(fee=deposit.fee_minor),
        giver=str(account.person),
    )


def _form_of(line: Line) -> Name:
    if line.piece:
        return Name(f"form-{line.piece.form_id}", line.piece.form.name)
    if line.extra:
        return Name(f"extra-{line.extra_id}", line.extra.name)
    return Name("something-else", "something else", is_rest=True)


def species_of(piece: Piece) -> Name:
    """Return the piece's wood as the record words it; two woods together are one name.

    Uses the prefetched sources.
    """
    sources: list[Tree | BoughtStock] = [*piece.trees.all(), *piece.stocks.all()]
    names = sorted({s.wood_name for s in sources if s.wood_name} or {piece.wood_words} - {""})
    if not names:
        return NOT_KNOWN
    label = names[0] if len(names) == 1 else f"mixed: {listed(names)}"
    return Name(f"of-{label}", label)


def tree_of(piece: Piece) -> Name:
    """Return the tree that the piece is from, or several together. Uses the prefetched sources."""
    trees = list(piece.trees.all())
    has_stock = bool(piece.stocks.all())
    if not trees:
        return Name("stock", STOCK, is_rest=True) if has_stock else NOT_KNOWN
    key = "+".join([*(tree.code for tree in trees), *(["stock"] if has_stock else [])])
    if len(trees) == 1 and not has_stock:
        return Name(key, str(trees[0]))
    names = [*(str(tree.number) for tree in trees), *([STOCK] if has_stock else [])]
    return Name(key, f"mixed: {listed(names)}")


def listed(names: Sequence[str]) -> str:
    """ "ash and walnut", "ash, cherry and walnut" """
    *others, last = names
    return f"{', '.join(others)} and {last}" if others else last
