"""What taking a receipt back would do, said before it is done. Nothing here writes."""

from dataclasses import dataclass

from provenance.pieces.models import Piece
from provenance.record.money import format_money
from shop.sales import undoing
from shop.sales.facts import seller_of
from shop.sales.models import Line, Payment, Receipt
from shop.sales.reckoning import given_back


@dataclass(frozen=True)
class Left:
    """What of a line is not given back, the tax and share in it, whether its piece is still out."""

    line: Line
    amount_minor: int
    tax_minor: int
    share_minor: int
    is_out: bool

    @property
    def is_anything(self) -> bool:
        return self.is_out or self.amount_minor > 0


def left_of(receipt: Receipt) -> list[Left]:
    """Return what is left on each line, in order. Three queries."""
    lines = receipt.lines.select_related("piece").prefetch_related("refund_lines")
    return [_left(line) for line in lines.order_by("position")]


def _left(line: Line) -> Left:
    given = list(line.refund_lines.all())
    amount = line.paid_minor - sum(row.amount_minor for row in given)
    is_back = any(row.is_returned for row in given)
    tax = share = 0
    if amount:
        parts = given_back(
            amount,
            paid_minor=line.paid_minor,
            tax_minor=line.tax_minor,
            share_minor=line.share_minor,
            before_minor=line.paid_minor - amount,
        )
        tax, share = parts.tax_minor, parts.share_minor
    return Left(line, amount, tax, share, bool(line.piece_id) and not is_back)


def refund_of_all(receipt: Receipt, left: list[Left]) -> list[str]:
    """Return in sentences what giving back all that is left would do to the money.

    A query unless the receipt was read with what is owed on it.
    """
    amount, tax, share = (
        sum(getattr(one, name) for one in left)
        for name in ("amount_minor", "tax_minor", "share_minor")
    )
    if not amount:
        return []
    theirs = share + (tax if receipt.is_tax_theirs else 0)
    of_it = f", {_money(tax, receipt)} of it tax" if tax else ""
    told = [f"{_money(amount, receipt)} is given back{of_it}."]
    if theirs:
        parts = ["their share"] if share else []
        parts += ["the tax that they collected"] if theirs > share else []
        told.append(
            f"{_money(theirs, receipt)} of that is for {seller_of(receipt)} to give back: "
            f"{' and '.join(parts)}."
        )
    return told + _out_of_the_shop(receipt, amount - theirs)


def _out_of_the_shop(receipt: Receipt, due_minor: int) -> list[str]:
    """What is owed shrinks first; only what was paid beyond it is paid back."""
    unpaid = min(receipt.owed_minor, due_minor)
    told = [f"{_money(unpaid, receipt)} was not paid yet, and is owed no longer."] if unpaid else []
    if due_minor == unpaid:
        return [*told, "The shop pays nothing back."]
    return [*told, f"The shop pays back {_money(due_minor - unpaid, receipt)}."]


def _money(minor: int, receipt: Receipt) -> str:
    return format_money(minor, receipt.currency)


@dataclass(frozen=True)
class GoesBack:
    """A piece of a receipt, and in words where a void leaves it."""

    piece: Piece
    words: str


def pieces_back(receipt: Receipt) -> list[GoesBack]:
    """Return where each piece of the receipt would be after a void. Two queries a piece."""
    lines = receipt.lines.exclude(piece=None).select_related("custody", "piece__custody__holder")
    return [GoesBack(line.piece, _whither(line, line.piece)) for line in lines if line.piece]


def _whither(line: Line, piece: Piece) -> str:
    stays = f"stays {piece.custody}"
    if piece.custody is None or piece.custody.kind not in undoing.GONE:
        return stays
    before = undoing.hands_before(line, piece)
    return f"is {before} again" if before else stays


def money_back(receipt: Receipt) -> list[str]:
    """Return a sentence for each payment that a void reverses. One query."""
    stands = receipt.payments.filter(corrects=None, correction=None)
    payments = stands.select_related("kind", "account__person")
    return [_way_back(payment, receipt) for payment in payments]


def _way_back(payment: Payment, receipt: Receipt) -> str:
    amount = format_money(abs(payment.amount_minor), receipt.currency)
    if payment.account:
        return f"The deposit of {amount} is held for {payment.account.person} again."
    return f"{amount} goes back as it came: {payment.kind}."


def why_not_void(receipt: Receipt) -> str:
    """Return why the receipt can't be voided; '' when it can. Two queries."""
    if receipt.is_void:
        return f"Receipt {receipt} is void already."
    if receipt.refunds.exists():
        return f"Some of receipt {receipt} was refunded: refund the rest of it instead."
    return ""


def why_not_refund(receipt: Receipt, left: list[Left]) -> str:
    """Return why nothing can be refunded; '' when something can. One query."""
    if receipt.is_void:
        return f"Receipt {receipt} is void: all of it was taken back."
    if not any(one.is_anything for one in left):
        return f"All of receipt {receipt} was given back."
    return ""
