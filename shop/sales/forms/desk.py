"""The form of a sale: its lines, where and to whom, discount and tax, and how it is paid.

It is one page that grows: its buttons for more lines come back with what was typed, and one
last button records the sale. `Desk` holds the forms together; other rooms sell with it, too.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import QueryDict

from provenance.maker.models import Shop
from provenance.people.acquaintance import same_person
from provenance.people.models import Person
from provenance.pieces import promises
from provenance.pieces.models import Piece
from provenance.pieces.order import TooEarly
from provenance.record.errors import RecordError
from provenance.record.forms import use_units
from provenance.record.money import MoneyFormField, plain_percent
from provenance.record.scribe import Scribe
from shop.sales import offering
from shop.sales.checkout import MOST_LINES, CannotBeSold, Draft, Sold
from shop.sales.forms.parts import (
    BuyerForm,
    GalleryForm,
    LineForm,
    LineFormSet,
    PaymentFormSet,
    SaleForm,
)
from shop.sales.forms.sums import Sums
from shop.sales.models import Account, Channel, Extra, PaymentKind, TaxRate, Terms
from shop.sales.paying import TooLittleCash, WrongAmount
from shop.sales.reckoning import Off, OutOfBounds, TooMuchOff

#: Buttons that bring the page back with more on it.
ASKING = ("add_piece", "add_code", "add_extra", "reckon")
OTHER = "other"
LINES, PAID = "lines", "payments"


@dataclass(frozen=True)
class Start:
    """What a desk opens with. `channel` '' leaves it to where the pieces are, or to the last sale.

    `account` is where a deposit for this sale is held.
    """

    lines: Sequence[Sold] = ()
    buyer: Person | None = None
    account: Account | None = None
    channel: str = ""


class Desk:
    """The forms of one sale. `data` is what was sent, or None for a new one.

    `is_asking` says that the page is only to come back with another line or new sums; its forms
    are then unbound and show what was typed, without complaint.
    """

    def __init__(
        self,
        data: QueryDict | None,
        *,
        shop: Shop,
        scribe: Scribe,
        start: Start | None = None,
    ) -> None:
        self.shop, self.scribe = shop, scribe
        self.start = start or Start()
        self.terms = Terms.current()
        self.kinds = list(PaymentKind.objects.filter(is_retired=False))
        self.extras = list(Extra.objects.filter(is_retired=False))
        self.rates = list(TaxRate.objects.order_by("name", "-since"))
        self.offers: list[Piece] = []
        self.add_error = ""
        self.is_asking = data is not None and any(name in data for name in ASKING)
        self.errors: list[str] = []
        if data is not None and not self.is_asking:
            self._bind(data)
        else:
            self.shown = self._opening() if data is None else self._grown(data)
            self._open(self.shown)
            if data is None:
                self._mark_usual(self.shown["channel"])

    # What it is made of

    def _bind(self, data: Mapping[str, Any]) -> None:
        self.sale = SaleForm(data, scribe=self.scribe, rates=self.rates)
        self.buyer, self.gallery = BuyerForm(data), GalleryForm(data)
        self.lines = LineFormSet(data, prefix=LINES)
        self.payments = PaymentFormSet(data, prefix=PAID)
        self._furnish()

    def _open(self, values: Mapping[str, Any]) -> None:
        """Show the values without judging them."""
        self.sale = SaleForm(initial=dict(values), scribe=self.scribe, rates=self.rates)
        self.buyer, self.gallery = (
            BuyerForm(initial=dict(values)),
            GalleryForm(initial=dict(values)),
        )
        self.lines = LineFormSet(initial=_rows(values, LINES), prefix=LINES)
        self.payments = PaymentFormSet(initial=_rows(values, PAID), prefix=PAID)
        self._furnish()

    def _mark_usual(self, channel: str) -> None:
        """Mark what is usual for one channel: static/js/desk.js takes it out under another."""
        usual = [self.sale.fields["place"], self.payments.forms[0].fields["kind"]]
        for field in usual if channel else ():
            field.widget.attrs["data-usual"] = channel

    def _furnish(self) -> None:
        """Give the forms the shop's currency, its kinds of payment, and the rows of the book."""
        codes = [str(form["piece"].value() or "") for form in self.lines]
        pieces = {p.code: p for p in Piece.objects.for_lists().filter(code__in=_fit(codes))}
        extras = {extra.slug: extra for extra in Extra.objects.all()} if self.lines.forms else {}
        for form in self.lines:
            form.piece_row = pieces.get(str(form["piece"].value() or ""))
            form.extra_row = extras.get(str(form["extra"].value() or ""))
            use_units(form, self.shop)
        for nth, payment in enumerate(self.payments):
            kind = payment.fields["kind"]
            kind.offer(self.kinds)  # type: ignore[attr-defined]
            kind.required = nth == 0
            use_units(payment, self.shop)
        use_units(self.sale, self.shop)

    def _opening(self) -> dict[str, Any]:
        """Return the values of a new sale, as raw as a form would send them."""
        usual = offering.usual(
            [sold.piece for sold in self.start.lines if sold.piece],
            self.rates,
            self.scribe.today,
            channel=self.start.channel,
        )
        values: dict[str, Any] = {
            "channel": usual.channel,
            "place": usual.place,
            "share": plain_percent(usual.share_pct) if usual.share_pct else "",
            "is_tax_theirs": "on" if usual.is_tax_theirs else "",
            "tax": str(usual.rate.pk) if usual.rate else usual.no_rate,
            "prices": "included" if self.terms.prices_include_tax else "added",
        }
        for role, person in (("buyer", self.start.buyer), ("gallery", usual.gallery)):
            if person:
                values |= {f"{role}_name": person.name, f"{role}_choice": str(person.pk)}
        rows = [self._raw(sold) for sold in self.start.lines]
        values |= _spread(LINES, rows) | _spread(PAID, [{"kind": usual.kind_pk}, {"kind": ""}])
        return values

    def _grown(self, data: QueryDict) -> dict[str, Any]:
        """Return what was sent, without the lines taken away and with the line asked for."""
        values: dict[str, Any] = {name: data.get(name) for name in data}
        rows = [row for row in _rows(values, LINES) if not row.get("gone")]
        wanted = self._asked_for(data, {row.get("piece") for row in rows})
        if wanted and len(rows) < MOST_LINES:
            rows.append(self._raw(wanted))
        kept = {n: v for n, v in values.items() if not n.startswith(f"{LINES}-")}
        return {**kept, **_spread(LINES, rows)}

    def _raw(self, sold: Sold) -> dict[str, Any]:
        """Return a line as its form sends it; an unknown price is -1 and stays empty."""
        amount = MoneyFormField()
        amount.currency = self.shop.currency
        return {
            "piece": sold.piece.code if sold.piece else "",
            "extra": sold.extra.slug if sold.extra else "",
            "words": sold.words or str(sold.extra or ""),
            "quantity": str(sold.quantity),
            "price": "" if sold.unit_minor < 0 else amount.prepare_value(sold.unit_minor),
            "is_untaxed": "" if sold.is_taxed else "on",
        }

    def _asked_for(self, data: QueryDict, present: set[Any]) -> Sold | None:
        """Return the line that a button asked for; notes why there is none."""
        if slug := data.get("add_extra", ""):
            extra = next((extra for extra in self.extras if extra.slug == slug), None)
            if extra is None:
                return Sold(-1) if slug == OTHER else None
            price = -1 if extra.price_minor is None else extra.price_minor
            return Sold(price, extra=extra, is_taxed=extra.is_taxed)
        sought = data.get("add_code", "") or (data.get("add", "") if "reckon" not in data else "")
        found = offering.sought(str(sought)[:100])
        self.add_error, self.offers = found.sentence, found.pieces
        piece = found.piece
        if piece and piece.code in present:
            self.add_error = f"{piece.number} stands on it already."
            return None
        return (
            Sold(-1 if piece.price_minor is None else piece.price_minor, piece=piece)
            if piece
            else None
        )

    # What it says

    @property
    def token(self) -> UUID:
        """The token by which a sale sent twice is known."""
        token: UUID = self.sale.cleaned_data["token"]
        return token

    def is_valid(self) -> bool:
        """Whether all of it can be read, and there is a line at least."""
        forms_are_valid = [
            form.is_valid()
            for form in (self.sale, self.buyer, self.gallery, self.lines, self.payments)
        ]
        if self.sale.data.get("add", "").strip():
            self.add_error = "This is not on the receipt yet: press Add, or clear it."
            self.errors.append(
                "A piece is typed in but not added: press Add beside it, or clear it."
            )
        elif not self._live_lines:
            self.errors.append("Nothing is on the receipt yet: add a piece or another line.")
        for form in self._live_lines:
            code = form.data.get(form.add_prefix("piece"))
            if code and form.piece_row is None:
                form.add_error(None, "That piece is not in the book: take the line away.")
                return False
        return all(forms_are_valid) and not self.errors and self._is_discount_sound()

    @property
    def _live_lines(self) -> list[LineForm]:
        return [form for form in self.lines if not form.is_gone]

    def _is_discount_sound(self) -> bool:
        try:
            self._draft().reckoned()
        except OutOfBounds as error:
            self.errors.append(str(error))
        except TooMuchOff as error:
            self.sale.add_error("off", str(error))
        else:
            return True
        return False

    @property
    def is_buyer_open(self) -> bool:
        """Whether the fold of buyer and note has something to show."""
        sale, buyer = self.sale, self.buyer
        return bool(buyer.somebody_name.value() or sale["words"].value() or sale["words"].errors)

    @property
    def is_tax_open(self) -> bool:
        """Whether the fold of discount, tax and day has something to ask or to show."""
        fields = [self.sale[name] for name in ("off", "off_words", "tax", "prices", "sold_on")]
        is_asked = bool(self.rates) and not self.sale["tax"].value()
        return is_asked or any(f.errors for f in fields) or any(f.value() for f in fields[:2])

    @property
    def is_payment_open(self) -> bool:
        """Whether the fold of a payment in part, or of a second one, has something to show."""
        first, *others = self.payments
        fields = [first["amount"], *(form[n] for form in others for n in ("kind", "amount"))]
        return any(field.value() or field.errors for field in fields)

    @property
    def tax_words(self) -> str:
        """What tax the form holds now, in words for the fold that hides it."""
        rate = self.sale.rates.get(str(self.sale["tax"].value() or ""))
        if rate is None:
            return "no tax" if self.sale["tax"].value() else "choose the tax"
        included = self.sale["prices"].value() == "included"
        return f"{rate}, {'in the prices' if included else 'added'}"

    def _draft(self, buyer: Person | None = None, gallery: Person | None = None) -> Draft:
        """Return the sale as it can be read; while only its sums are asked, some may be missing."""
        typed = self.sale.cleaned_data
        paid = (form.paid() for form in self.payments if form.is_valid())
        is_theirs = self.is_through_others
        return Draft(
            lines=[form.sold() for form in self._live_lines],
            sold_on=typed.get("sold_on") or self.scribe.today,
            channel=typed.get("channel", ""),
            place=typed.get("place", ""),
            gallery=gallery,
            share_pct=(typed.get("share") or Decimal(0)) if is_theirs else Decimal(0),
            is_tax_theirs=is_theirs and typed.get("is_tax_theirs", False),
            buyer=buyer,
            off=typed.get("off") or Off(),
            off_words=typed.get("off_words", ""),
            tax=self.sale.rate,
            prices_include_tax=typed.get("prices") == "included",
            rounding=self.terms.rounding,
            payments=[payment for payment in paid if payment],
            account=self.start.account,
            words=typed.get("words", ""),
            reason=typed.get("reason", ""),
        )

    @property
    def is_through_others(self) -> bool:
        """Whether the channel is one where others sell: they may keep a part."""
        channel = self.sale["channel"].value()
        return channel in (Channel.GALLERY, Channel.ONLINE)

    def draft(self, scribe: Scribe) -> Draft:
        """Return the sale to be; enters those who are new in the book."""
        gallery = same_person(self.gallery.named(), scribe) if self.is_through_others else None
        return self._draft(same_person(self.buyer.named(), scribe), gallery)

    def refuse(self, error: RecordError) -> None:
        """Put a refusal's sentence where it belongs."""
        if isinstance(error, CannotBeSold):
            for form in self._live_lines:
                if form.piece_row == error.piece:
                    form.add_error(None, str(error))
                    return
        elif isinstance(error, promises.WouldBreak):
            self.sale.add_error("reason", str(error))
            return
        elif isinstance(error, TooEarly):
            self.sale.add_error("sold_on", str(error))
            return
        elif isinstance(error, WrongAmount):
            is_cash = isinstance(error, TooLittleCash)
            self.payments[0].add_error("given" if is_cash else "amount", str(error))
            return
        self.errors.append(str(error))

    @cached_property
    def sums(self) -> Sums | None:
        """What the sale comes to as it stands; None while it can't be reckoned."""
        desk = self
        if not self.sale.is_bound:
            desk = copy(self)
            shown = {name: value for name, value in self.shown.items() if value not in (None, "")}
            desk._bind(shown)
        desk.sale.is_valid()
        is_unclear = {"off", "share"} & set(desk.sale.errors) or not desk.lines.is_valid()
        if is_unclear or not desk._live_lines:
            return None
        try:
            draft = desk._draft()
            return Sums.of(draft, draft.reckoned())
        except (TooMuchOff, ValidationError):
            return None


def _spread(prefix: str, rows: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """Return rows as a form set's values."""
    spread: dict[str, Any] = {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": 0}
    for nth, row in enumerate(rows):
        spread |= {f"{prefix}-{nth}-{name}": value for name, value in row.items()}
    return spread


def _rows(values: Mapping[str, Any], prefix: str) -> list[dict[str, Any]]:
    """Return a form set's values as rows, in order; what is no row of it is passed over."""
    rows: dict[int, dict[str, Any]] = {}
    for name, value in values.items():
        found = re.fullmatch(rf"{prefix}-([0-9]{{1,3}})-(\w+)", name)
        if found:
            rows.setdefault(int(found[1]), {})[found[2]] = value
    return [rows[nth] for nth in sorted(rows)][:MOST_LINES]


def _fit(codes: Iterable[str]) -> list[str]:
    """Return those texts that may be codes: the database is asked for nothing else."""
    return [code for code in codes if code.isascii() and code.isalnum() and len(code) <= 16]
