"""The demo's till: the shop's terms, and receipts for what goes over the counter."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from provenance.people.models import Person
from provenance.record.scribe import Scribe
from shop.keeping.demo.book import Book
from shop.keeping.demo.counter import Basket
from shop.sales import checkout, paying
from shop.sales.checkout import Draft
from shop.sales.models import (
    Channel,
    Extra,
    PaymentKind,
    Receipt,
    TaxRate,
    Terms,
)
from shop.sales.paying import Paid

TAX = "Wrenshire sales tax"
GALLERYS_PCT = Decimal(40)
SITES_PCT = Decimal(9)
FRIDAY = 4


def open_till(book: Book) -> None:
    """Write the shop's terms, its rates of tax, and what cards cost. All figures are invented."""
    Terms.objects.create(
        tax_registration="Wrenshire permit 0417-T",
        receipt_words="Thank you. Keep the number: it tells the tree. Bowls like to be used.",
    )
    new_year = date(book.calendar.today.year, 1, 1)
    earlier = {"since": date(2015, 1, 1), "until": new_year - timedelta(days=1)}
    TaxRate.objects.create(name=TAX, rate_pct=Decimal(6), **earlier)
    TaxRate.objects.create(name=TAX, rate_pct=Decimal("6.25"), since=new_year)
    cards = PaymentKind.objects.filter(slug="card")
    cards.update(fee_pct=Decimal("2.4"), fee_fixed_minor=12)
    Extra.objects.filter(slug="wax").update(price_minor=14_00)
    Extra.objects.filter(slug="shipping").update(is_taxed=False)
    Extra.objects.filter(slug="lesson").update(price_minor=110_00, is_taxed=False)
    book.kinds = {kind.slug: kind for kind in PaymentKind.objects.all()}
    book.extras = {extra.slug: extra for extra in Extra.objects.all()}


@dataclass(frozen=True)
class Way:
    """How a sale comes about: the channel, where, and through whose hands."""

    channel: str
    place: str = ""
    house: Person | None = None

    @property
    def facts(self) -> dict[str, Any]:
        """As fields of a draft. Galleries and the site keep a part and see to the tax."""
        if self.house is None:
            return {"channel": self.channel, "place": self.place}
        share = GALLERYS_PCT if self.channel == Channel.GALLERY else SITES_PCT
        return {
            "channel": self.channel,
            "gallery": self.house,
            "share_pct": share,
            "is_tax_theirs": True,
        }


AT_THE_DOOR = Way(Channel.DIRECT, "At the workshop")


def draft_of(
    book: Book, basket: Basket, scribe: Scribe, way: Way, *, pays: str = "", **facts: Any
) -> Draft:
    """Return a sale of that day as it goes into the till; `pays` '' leaves it owed."""
    draft = Draft(
        basket.lines,
        scribe.today,
        off=basket.off,
        off_words=basket.off_words,
        tax=TaxRate.objects.on(scribe.today).get(name=TAX),
        **way.facts,
        **facts,
    )
    return replace(draft, payments=[_payment(book, draft, pays)]) if pays else draft


def ring_up(
    book: Book, basket: Basket, scribe: Scribe, way: Way, *, pays: str = "", **facts: Any
) -> Receipt:
    """Write the receipt of a sale; `pays` is the way it is paid at once, '' leaves it owed."""
    return checkout.sell(draft_of(book, basket, scribe, way, pays=pays, **facts), scribe)


def _payment(book: Book, draft: Draft, pays: str) -> Paid:
    given = None
    if pays == "cash":
        due = draft.reckoned().due_minor
        notes = book.chance.choice((5_00, 20_00, 20_00))
        given = -(-due // notes) * notes
    return Paid(book.kinds[pays], given_minor=given)


def sell_through(book: Book, basket: Basket, scribe: Scribe, way: Way, **facts: Any) -> Receipt:
    """Write the receipt of what a gallery or the site sold; they pay for it later."""
    receipt = ring_up(book, basket, scribe, way, **facts)
    if way.channel == Channel.GALLERY:
        day = book.calendar.end_of_month(scribe.today)
        words = f"{scribe.today:%B}'s sales"
    else:
        day = scribe.today + timedelta(days=(FRIDAY - scribe.today.weekday()) % 7 or 7)
        words = "Paid out on Friday"
    later(book, receipt, day, "transfer", words)
    return receipt


def later(book: Book, receipt: Receipt, day: date, kind: str, words: str = "") -> None:
    """Plan for what is owed on a receipt to be paid on that day, unless that is still to come."""

    def pay(scribe: Scribe) -> None:
        paying.pay(receipt, Paid(book.kinds[kind], words=words), scribe)

    book.calendar.plan_on(day, pay, hour=16)
