"""Receipts and what belongs to them: lines, payments, voids, refunds, deposits.

What happened (receipt, line, payment, void, refund) is written once and never changed. Beside it
stands the present: who may not be sold again (`Holding`), what is still owed (`Owing`), what is
held for somebody (`Account`). All amounts are whole minor units of the receipt's currency.
"""

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Prefetch, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from provenance.people.models import Person
from provenance.pieces.models import Custody, Piece
from provenance.record.seeking import holding, naming, sought
from shop.sales.codes import receipt_code
from shop.sales.kept import Extra as Extra  # what the owner keeps is read through here too
from shop.sales.kept import PaymentKind as PaymentKind
from shop.sales.kept import Rounding as Rounding
from shop.sales.kept import TaxRate as TaxRate
from shop.sales.kept import Terms as Terms


class Channel(models.TextChoices):
    """How a sale came about."""

    BOOTH = "booth", "booth"
    ONLINE = "online", "online"
    DIRECT = "direct", "direct"
    GALLERY = "gallery", "gallery"


class Account(models.Model):
    """Money held for somebody until hand-over: deposits come in, go out, are taken off a receipt.

    `held_minor` is what its payments come to; `deposits` alone changes it.
    """

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="accounts")
    words = models.CharField(max_length=200)
    opened_at = models.DateTimeField()
    #: That of the shop when it was opened: a deposit stays what it was paid in.
    currency = models.CharField(max_length=3)
    held_minor = models.PositiveBigIntegerField(default=0)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.words


class ReceiptQuerySet(models.QuerySet["Receipt"]):
    def for_lists(self) -> "ReceiptQuerySet":
        """Everything that a list row shows. One query, and one for all their lines."""
        lines = Prefetch("lines", Line.objects.with_what_came_back())
        return self.select_related("buyer", "gallery", "void", "owing").prefetch_related(
            lines, "lines__piece", "lines__extra"
        )

    def for_page(self) -> "ReceiptQuerySet":
        """Everything that a receipt's own page and its paper show, in a fixed number of queries."""
        return self.select_related("buyer", "gallery", "by", "void__by", "owing").prefetch_related(
            "lines__piece__custody__holder",
            "lines__holding",
            "payments__kind",
            "payments__by",
            "payments__correction",
            "refunds__by",
            "refunds__lines__line",
        )

    def search(self, text: str) -> "ReceiptQuerySet":
        """Receipts whose number, place, note, people or lines hold `text`; all for no text.

        By keys, without a join: they can be counted and cut into pages as they are.
        """
        text = sought(text)
        if not text:
            return self.all()
        named = Person.objects.behind(naming("name", text)).values("pk")
        people = Person.objects.filter(Q(pk__in=named) | Q(merged_into__in=named)).values("pk")
        lines = holding("words", text)
        piece = "".join(c for c in text if c.isalnum()).upper()
        if piece[:1].isdigit():
            lines |= Q(piece__in=Piece.objects.filter(code__contains=piece).values("pk"))
        return self.filter(
            holding("code", text)
            | Q(code=receipt_code(text))
            | holding("place", text)
            | holding("words", text)
            | Q(buyer__in=people)
            | Q(gallery__in=people)
            | Q(pk__in=Line.objects.filter(lines).values("receipt"))
        )

    def owed(self) -> "ReceiptQuerySet":
        """Receipts on which something is still owed."""
        return self.filter(pk__in=Owing.objects.values("receipt"))

    def voided(self) -> "ReceiptQuerySet":
        """Receipts that were voided."""
        return self.filter(pk__in=Void.objects.values("receipt"))

    def refunded(self) -> "ReceiptQuerySet":
        """Receipts of which some or all was given back, money or piece."""
        return self.filter(pk__in=Refund.objects.values("receipt"))

    def standing(self) -> "ReceiptQuerySet":
        """Receipts that were not voided."""
        return self.filter(void=None)


class Receipt(models.Model):
    """A sale as it was made: who, when, where, on what terms, and what it came to."""

    ledger = True

    code = models.CharField(max_length=12, unique=True)
    sold_on = models.DateField(db_index=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    channel = models.CharField(max_length=7, choices=Channel.choices)
    place = models.CharField(max_length=120, blank=True)
    gallery = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="receipts_passed_on"
    )
    buyer = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="receipts"
    )
    words = models.CharField(max_length=500, blank=True)
    currency = models.CharField(max_length=3)
    prices_include_tax = models.BooleanField()
    rounding = models.CharField(max_length=7, choices=Rounding.choices)
    tax_name = models.CharField(max_length=80, blank=True)
    tax_rate_pct = models.DecimalField(max_digits=7, decimal_places=4)
    is_tax_theirs = models.BooleanField()
    share_pct = models.DecimalField(max_digits=6, decimal_places=3)
    discount_words = models.CharField(max_length=120, blank=True)
    gross_minor = models.PositiveBigIntegerField()
    discount_minor = models.PositiveBigIntegerField()
    tax_minor = models.PositiveBigIntegerField()
    total_minor = models.PositiveBigIntegerField()
    share_minor = models.PositiveBigIntegerField()
    due_minor = models.PositiveBigIntegerField()

    objects = ReceiptQuerySet.as_manager()

    class Meta:
        ordering = ["-sold_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_receipt_adds_up",
                condition=Q(total_minor=F("gross_minor") - F("discount_minor") + F("tax_minor")),
            ),
            models.CheckConstraint(
                name="sales_receipt_due",
                condition=(
                    Q(is_tax_theirs=False, due_minor=F("total_minor") - F("share_minor"))
                    | Q(
                        is_tax_theirs=True,
                        due_minor=F("total_minor") - F("share_minor") - F("tax_minor"),
                    )
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.code

    @property
    def is_void(self) -> bool:
        """Whether it was voided. A query unless read with `for_lists`."""
        return hasattr(self, "void")

    @property
    def owed_minor(self) -> int:
        """What is still owed on it. A query unless read with `for_lists`."""
        return self.owing.amount_minor if hasattr(self, "owing") else 0

    @property
    def where(self) -> str:
        """The place and the gallery in words: "Quay Market", "Weir Gallery"; '' for neither."""
        names = dict.fromkeys([self.place, str(self.gallery or "")])
        return ", ".join(name for name in names if name)


class LineQuerySet(models.QuerySet["Line"]):
    def with_what_came_back(self) -> "LineQuerySet":
        """Lines with `back_minor`, what was given back on each, and `is_back`: its piece is."""
        given = RefundLine.objects.filter(line=OuterRef("pk")).order_by()
        amount = given.values("line").annotate(sum=Sum("amount_minor")).values("sum")
        returned = Exists(given.filter(is_returned=True))
        return self.annotate(back_minor=Coalesce(Subquery(amount), 0), is_back=returned)


class Line(models.Model):
    """One line of a receipt: gross − discounts + tax = paid, to the cent."""

    ledger = True
    #: Only on lines read `with_what_came_back`.
    back_minor: int
    is_back: bool

    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    piece = models.ForeignKey(
        Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="sold_lines"
    )
    extra = models.ForeignKey(
        Extra, on_delete=models.PROTECT, null=True, blank=True, related_name="lines"
    )
    #: The link that the sale added to the piece's chain; none where it had its owner already.
    custody = models.OneToOneField(
        Custody, on_delete=models.PROTECT, null=True, blank=True, related_name="sold_line"
    )
    words = models.CharField(max_length=200)
    quantity = models.PositiveSmallIntegerField()
    unit_minor = models.PositiveBigIntegerField()
    is_taxed = models.BooleanField()
    gross_minor = models.PositiveBigIntegerField()
    own_discount_minor = models.PositiveBigIntegerField()
    shared_discount_minor = models.PositiveBigIntegerField()
    tax_minor = models.PositiveBigIntegerField()
    paid_minor = models.PositiveBigIntegerField()
    share_minor = models.PositiveBigIntegerField()

    objects = LineQuerySet.as_manager()

    class Meta:
        ordering = ["receipt", "position"]
        constraints = [
            models.UniqueConstraint(fields=["receipt", "position"], name="sales_lines_in_order"),
            models.CheckConstraint(
                name="sales_line_adds_up",
                condition=Q(
                    paid_minor=F("gross_minor")
                    - F("own_discount_minor")
                    - F("shared_discount_minor")
                    + F("tax_minor")
                ),
            ),
            models.CheckConstraint(
                name="sales_line_piece_once",
                condition=Q(quantity__gte=1) & (Q(piece=None) | Q(quantity=1)),
            ),
        ]

    def __str__(self) -> str:
        return self.words


class Void(models.Model):
    """A receipt that should not have been: all of it is taken back."""

    ledger = True

    receipt = models.OneToOneField(Receipt, on_delete=models.PROTECT, related_name="void")
    reason = models.CharField(max_length=300)
    on = models.DateField(db_index=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    def __str__(self) -> str:
        return f"{self.receipt} void"


class Refund(models.Model):
    """Money given back on a receipt, with or without the pieces coming back."""

    ledger = True

    receipt = models.ForeignKey(Receipt, on_delete=models.PROTECT, related_name="refunds")
    reason = models.CharField(max_length=300)
    on = models.DateField(db_index=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.receipt} refund"

    @property
    def amount_minor(self) -> int:
        """What the buyer gets back. Uses prefetched lines."""
        return sum(line.amount_minor for line in self.lines.all())


class RefundLine(models.Model):
    """What is given back on one line: tax and share are parts of it, `due_minor` is the shop's."""

    ledger = True

    refund = models.ForeignKey(Refund, on_delete=models.PROTECT, related_name="lines")
    line = models.ForeignKey(Line, on_delete=models.PROTECT, related_name="refund_lines")
    amount_minor = models.PositiveBigIntegerField()
    tax_minor = models.PositiveBigIntegerField()
    share_minor = models.PositiveBigIntegerField()
    due_minor = models.PositiveBigIntegerField()
    is_returned = models.BooleanField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["line"], condition=Q(is_returned=True), name="sales_line_back_once"
            ),
            models.CheckConstraint(
                name="sales_refund_adds_up",
                condition=(
                    Q(due_minor=F("amount_minor") - F("share_minor"))
                    | Q(due_minor=F("amount_minor") - F("share_minor") - F("tax_minor"))
                ),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.line}, given back"


class Payment(models.Model):
    """Money that came in or (negative) went out, for a receipt or on an account.

    With both, and no kind, it is a deposit taken off a receipt: it moves from one to the other.
    """

    ledger = True

    receipt = models.ForeignKey(
        Receipt, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    account = models.ForeignKey(
        Account, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    kind = models.ForeignKey(
        PaymentKind, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    amount_minor = models.BigIntegerField()
    given_minor = models.PositiveBigIntegerField(null=True, blank=True)
    fee_minor = models.BigIntegerField(default=0)
    on = models.DateField(db_index=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    words = models.CharField(max_length=200, blank=True)
    void = models.ForeignKey(
        Void, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    refund = models.ForeignKey(
        Refund, on_delete=models.PROTECT, null=True, blank=True, related_name="payments"
    )
    #: The payment that this one takes back, because it was never made as it was written.
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="sales_payment_for_something",
                condition=(
                    Q(receipt__isnull=False, account=None, kind__isnull=False)
                    | Q(receipt=None, account__isnull=False, kind__isnull=False)
                    | Q(receipt__isnull=False, account__isnull=False, kind=None)
                ),
            ),
            models.CheckConstraint(name="sales_payment_of_something", condition=~Q(amount_minor=0)),
            models.CheckConstraint(
                name="sales_payment_goes_out_with_cause",
                condition=(
                    Q(amount_minor__gt=0)
                    | Q(receipt=None)
                    | Q(void__isnull=False)
                    | Q(refund__isnull=False)
                    | Q(corrects__isnull=False)
                ),
            ),
            models.CheckConstraint(
                name="sales_payment_cash_enough",
                condition=Q(given_minor=None) | Q(given_minor__gte=F("amount_minor")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind or 'deposit taken off'} {self.amount_minor}"

    @property
    def currency(self) -> str:
        """What it was paid in: its receipt's or its account's."""
        paid_for = self.receipt or self.account
        return paid_for.currency if paid_for else ""

    @property
    def is_taken_back(self) -> bool:
        """Whether it was put right by another. A query unless read with it."""
        return hasattr(self, "correction")

    @property
    def change_minor(self) -> int:
        """The change that was given; 0 for none."""
        return self.given_minor - self.amount_minor if self.given_minor else 0


class Holding(models.Model):
    """A piece that stands on a receipt: while this row is there, it can't be sold again."""

    piece = models.OneToOneField(Piece, on_delete=models.PROTECT, related_name="holding")
    line = models.OneToOneField(Line, on_delete=models.PROTECT, related_name="holding")

    def __str__(self) -> str:
        return f"{self.piece} on {self.line_id}"


class Owing(models.Model):
    """What is still owed on a receipt; no row where nothing is."""

    receipt = models.OneToOneField(Receipt, on_delete=models.PROTECT, related_name="owing")
    amount_minor = models.PositiveBigIntegerField()

    class Meta:
        verbose_name_plural = "owing"

    def __str__(self) -> str:
        return f"{self.receipt_id}: {self.amount_minor}"
