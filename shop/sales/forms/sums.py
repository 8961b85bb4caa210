"""What a sale comes to while its form is being filled in."""

from dataclasses import dataclass

from shop.sales.checkout import Draft
from shop.sales.models import TaxRate
from shop.sales.reckoning import Reckoning


@dataclass(frozen=True)
class Sums:
    """What a sale comes to, for the page: see `Reckoning`. `left_minor` is what stays owed."""

    reckoning: Reckoning
    tax: TaxRate | None
    is_tax_included: bool
    is_tax_theirs: bool
    deposit_minor: int
    to_pay_minor: int
    left_minor: int
    change_minor: int

    @property
    def listed_minor(self) -> int:
        """What the prices come to before discounts, as they were typed."""
        added = 0 if self.is_tax_included else self.reckoning.tax_minor
        return self.reckoning.total_minor + self.reckoning.discount_minor - added

    @property
    def kept_minor(self) -> int:
        """What a gallery or site keeps, with the tax where they collect it."""
        return self.reckoning.total_minor - self.reckoning.due_minor

    @classmethod
    def of(cls, draft: Draft, reckoning: Reckoning) -> "Sums":
        """Return the sums of a draft, payments as far as they can be read."""
        held = draft.account.held_minor if draft.account else 0
        deposit = min(held, reckoning.due_minor)
        left = to_pay = reckoning.due_minor - deposit
        change = 0
        for paid in draft.payments:
            amount = left if paid.amount_minor is None else min(paid.amount_minor, left)
            if paid.kind.is_cash and paid.given_minor and paid.given_minor > amount:
                change += paid.given_minor - amount
            left -= amount
        return cls(
            reckoning=reckoning,
            tax=draft.tax,
            is_tax_included=draft.prices_include_tax,
            is_tax_theirs=draft.is_tax_theirs,
            deposit_minor=deposit,
            to_pay_minor=to_pay,
            left_minor=left,
            change_minor=change,
        )
