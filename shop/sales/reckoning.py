"""What a sale comes to: discounts, tax and shares in whole minor units that always add up.

Pure arithmetic on integers and exact fractions; each rounding is `whole_minor`, half up on the
exact product. Whatever is divided among lines is divided to the cent, so that the lines' amounts
add up to the receipt's in every report.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import starmap

from provenance.record.errors import RecordError
from provenance.record.money import LARGEST_MINOR, whole_minor

BY_ITEM, BY_RECEIPT = "item", "receipt"
MOST_OF_ONE = 9_999


class TooMuchOff(RecordError):
    """A discount is larger than what it is taken off, or none at all."""


class OutOfBounds(TooMuchOff):
    """A price, number or share that no receipt can hold; shown wherever `TooMuchOff` is."""


@dataclass(frozen=True)
class Off:
    """A discount: an amount in minor units, or a percentage."""

    minor: int = 0
    pct: Decimal = Decimal(0)

    def of(self, base_minor: int) -> int:
        """Return the discount on so much. Raises `TooMuchOff` when it is more than that."""
        taken = self.minor or part_of(base_minor, self.pct)
        if taken < 0:
            raise TooMuchOff("A discount makes it cheaper: enter it without a minus.")
        if taken > base_minor:
            raise TooMuchOff("That discount is more than the price: take less off.")
        return taken


@dataclass(frozen=True)
class Item:
    """Something sold: so many at so much, with its own discount; untaxed where tax spares it."""

    unit_minor: int
    quantity: int = 1
    off: Off = Off()
    is_taxed: bool = True


@dataclass(frozen=True)
class Basis:
    """How the sale is reckoned. `share_pct` is what a gallery or site keeps of the price."""

    rate_pct: Decimal = Decimal(0)
    prices_include_tax: bool = False
    rounding: str = BY_RECEIPT
    share_pct: Decimal = Decimal(0)
    is_tax_theirs: bool = False


@dataclass(frozen=True)
class Reckoned:
    """One line's amounts: gross − own discount − shared discount + tax = paid.

    `gross_minor` is before discounts and without tax: where prices include tax, the tax that is
    contained in what was charged is taken out of it.
    """

    gross_minor: int
    own_discount_minor: int
    shared_discount_minor: int
    tax_minor: int
    paid_minor: int
    share_minor: int


@dataclass(frozen=True)
class Reckoning:
    """A whole sale: its lines in order, and their sums.

    `total_minor` is what the buyer pays; `due_minor` what of it comes to the shop: without the
    share, and without the tax where the gallery or site collects that itself.
    """

    lines: tuple[Reckoned, ...]
    gross_minor: int
    discount_minor: int
    tax_minor: int
    total_minor: int
    share_minor: int
    due_minor: int


def part_of(minor: int, pct: Decimal) -> int:
    """Return so many percent of an amount, half up on the exact product."""
    return whole_minor(minor * Fraction(pct) / 100)


def share_out(amount: int, weights: Sequence[int]) -> list[int]:
    """Return `amount` divided in proportion to `weights`, to the cent: the parts add up to it.

    What whole cents leave over goes to the largest remainders, the earlier first. No part is
    larger than its weight while the amount is not larger than all weights together. Raises
    ValueError where there is something to divide and nothing to divide it by.
    """
    whole = sum(weights)
    if whole == 0:
        if amount:
            raise ValueError("nothing to share by")
        return [0 for _ in weights]
    parts = [amount * weight // whole for weight in weights]
    left = amount - sum(parts)
    by_remainder = sorted(range(len(weights)), key=lambda n: (-(amount * weights[n] % whole), n))
    for n in by_remainder[:left]:
        parts[n] += 1
    return parts


def tax_on(charged_minor: int, rate_pct: Decimal, *, is_included: bool) -> int:
    """Return the tax on what is charged: added to it, or contained in it: paid × r/(1 + r)."""
    rate = Fraction(rate_pct) / 100
    return whole_minor(charged_minor * (rate / (1 + rate) if is_included else rate))


def tax_on_each(charged_minor: int, quantity: int, rate_pct: Decimal, *, is_included: bool) -> int:
    """Return the tax on so many equal things, rounded for each of them by itself.

    What is charged is first divided among them to the cent.
    """
    each, dearer = divmod(charged_minor, quantity)
    plain = tax_on(each, rate_pct, is_included=is_included)
    more = tax_on(each + 1, rate_pct, is_included=is_included) if dearer else 0
    return (quantity - dearer) * plain + dearer * more


def reckon(items: Sequence[Item], basis: Basis, off: Off = Off()) -> Reckoning:
    """Return what a sale of `items` comes to, `off` being taken off the whole receipt.

    The receipt's discount is shared over the lines in proportion to what they cost after their
    own. Raises `TooMuchOff` and `OutOfBounds`.
    """
    _check_bounds(items, basis)
    listed = [item.unit_minor * item.quantity for item in items]
    own = [item.off.of(price) for item, price in zip(items, listed, strict=True)]
    cost = [price - less for price, less in zip(listed, own, strict=True)]
    shared = share_out(off.of(sum(cost)), cost)
    charged = [price - less for price, less in zip(cost, shared, strict=True)]
    taxes = _taxes(items, charged, basis)
    contained = taxes if basis.prices_include_tax else [0 for _ in taxes]
    added = [tax - inside for tax, inside in zip(taxes, contained, strict=True)]
    before_tax = [price - tax for price, tax in zip(charged, contained, strict=True)]
    share = part_of(sum(before_tax), basis.share_pct)
    lines = tuple(
        starmap(
            Reckoned,
            zip(
                [price - tax for price, tax in zip(listed, contained, strict=True)],
                own,
                shared,
                taxes,
                [price + tax for price, tax in zip(charged, added, strict=True)],
                share_out(share, before_tax),
                strict=True,
            ),
        )
    )
    tax, total = sum(taxes), sum(line.paid_minor for line in lines)
    return Reckoning(
        lines=lines,
        gross_minor=sum(line.gross_minor for line in lines),
        discount_minor=sum(own) + sum(shared),
        tax_minor=tax,
        total_minor=total,
        share_minor=share,
        due_minor=total - share - (tax if basis.is_tax_theirs else 0),
    )


def _check_bounds(items: Sequence[Item], basis: Basis) -> None:
    """Raise `OutOfBounds` for what would not fit into the book's columns, or make no sense."""
    if any(not 1 <= item.quantity <= MOST_OF_ONE or item.unit_minor < 0 for item in items):
        raise OutOfBounds(
            f"A line is 1 to {MOST_OF_ONE:,} of one thing, at a price that is not below zero."
        )
    if sum(item.unit_minor * item.quantity for item in items) > LARGEST_MINOR:
        raise OutOfBounds("That is more than a receipt can hold: check the prices.")
    if not 0 <= basis.share_pct <= 100:
        raise OutOfBounds("What a gallery or site keeps is between 0 and 100 %.")


def _taxes(items: Sequence[Item], charged: Sequence[int], basis: Basis) -> list[int]:
    """Return each line's tax, rounded by item, or on the whole receipt and then shared."""
    is_included = basis.prices_include_tax
    if basis.rounding == BY_ITEM:
        return [
            tax_on_each(price, item.quantity, basis.rate_pct, is_included=is_included)
            if item.is_taxed
            else 0
            for item, price in zip(items, charged, strict=True)
        ]
    taxed = [p if item.is_taxed else 0 for item, p in zip(items, charged, strict=True)]
    return share_out(tax_on(sum(taxed), basis.rate_pct, is_included=is_included), taxed)


@dataclass(frozen=True)
class GivenBack:
    """What of an amount given back was tax, and what of the rest the gallery's share."""

    tax_minor: int
    share_minor: int


def given_back(
    amount_minor: int, *, paid_minor: int, tax_minor: int, share_minor: int, before_minor: int = 0
) -> GivenBack:
    """Split an amount given back on a line of which `before_minor` was given back already.

    Reckoned on all that was given back so far, so that cents never wander: when the whole of the
    line has been given back, its whole tax and share have. Neither part is ever negative, nor are
    both together more than the amount.
    """

    def upto(amount: int) -> tuple[int, int]:
        tax = whole_minor(Fraction(tax_minor * amount, paid_minor))
        rest = paid_minor - tax_minor
        share = whole_minor(Fraction(share_minor * (amount - tax), rest)) if rest else 0
        return tax, share

    if not 0 < amount_minor <= paid_minor - before_minor:
        raise ValueError(f"{amount_minor} of {paid_minor - before_minor} left")
    (tax, share), (earlier_tax, earlier_share) = (
        upto(before_minor + amount_minor),
        upto(before_minor),
    )
    return GivenBack(tax - earlier_tax, share - earlier_share)
