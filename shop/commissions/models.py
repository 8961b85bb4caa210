"""Commissions: what somebody wishes made for them, and what happened with it, entry by entry.

The money is an account of the sales room, the wood a promise of the pieces room; a commission
points to both. Its state is the present; whether its receipt still stands is asked, never told.
"""

from datetime import date

from django.conf import settings
from django.db import models
from django.db.models import F, Q, Sum

from provenance.people.models import Person
from provenance.pieces.models import Form, Piece, Promise
from provenance.record.seeking import holding, sought
from provenance.trees.models import Tree
from shop.sales.models import Account, Receipt


class State(models.TextChoices):
    """How far a commission has come. `orders.MOVES` holds the moves between them."""

    ASKED = "asked", "asked"
    AGREED = "agreed", "agreed"
    MAKING = "making", "being made"
    READY = "ready", "ready"
    HANDED_OVER = "handed-over", "handed over"
    CALLED_OFF = "called-off", "called off"


#: Those that the shop still owes something for.
STANDING = (State.ASKED, State.AGREED, State.MAKING, State.READY)
ENDED = (State.HANDED_OVER, State.CALLED_OFF)


class CommissionQuerySet(models.QuerySet["Commission"]):
    def now(self, *states: str) -> "CommissionQuerySet":
        """Commissions in these states today: handed over is ready again once its receipt is void.

        Says the same as `Commission.now`.
        """
        is_taken_back = Q(state=State.HANDED_OVER, receipt__void__isnull=False)
        held = Q(state__in=[state for state in states if state != State.HANDED_OVER])
        if State.READY in states:
            held |= is_taken_back
        if State.HANDED_OVER in states:
            held |= Q(state=State.HANDED_OVER, receipt__void=None)
        return self.filter(held)

    def standing(self) -> "CommissionQuerySet":
        """Commissions neither handed over nor called off."""
        return self.now(*STANDING)

    def ended(self) -> "CommissionQuerySet":
        """Commissions handed over or called off."""
        return self.now(*ENDED)

    def due(self) -> "CommissionQuerySet":
        """Commissions still to be made, those wanted soonest first: whatever is overdue leads."""
        return self.now(State.ASKED, State.AGREED, State.MAKING).soonest()

    def ready(self) -> "CommissionQuerySet":
        """Commissions that wait to be handed over, those wanted soonest first."""
        return self.now(State.READY).soonest()

    def soonest(self) -> "CommissionQuerySet":
        """In the order in which they are wanted; those without a day last, the oldest first."""
        return self.order_by(F("wanted_by").asc(nulls_last=True), "pk")

    def of(self, person: Person) -> "CommissionQuerySet":
        """Commissions of one person, under whichever of their entries. One query more."""
        return self.filter(person__in=person.keys())

    def for_lists(self) -> "CommissionQuerySet":
        """Everything that a list row shows, in one query."""
        return self.select_related("person", "form", "tree", "account", "receipt__void")

    def search(self, text: str) -> "CommissionQuerySet":
        """Commissions with `text` in a name, in what is wished, its form, wood or notes."""
        text = sought(text)
        if not text:
            return self.all()
        return self.filter(
            Q(person__in=Person.objects.search(text).values("pk"))
            | holding("wished", text)
            | holding("wood", text)
            | holding("notes", text)
            | holding("form__name", text)
            | holding("receipt__code", text)
        )

    def held_minor(self, currency: str) -> int:
        """What is held of deposits in that currency for all of them together. One query."""
        held = self.filter(account__currency=currency).aggregate(sum=Sum("account__held_minor"))
        return int(held["sum"] or 0)


class Commission(models.Model):
    """Something to be made for somebody: their words, what was agreed, how far it has come."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="commissions")
    wished = models.TextField(max_length=2000)
    form = models.ForeignKey(
        Form, on_delete=models.PROTECT, null=True, blank=True, related_name="commissions"
    )
    #: Its diameter, or its length where the form is measured by that.
    least_mm = models.PositiveIntegerField(null=True, blank=True)
    most_mm = models.PositiveIntegerField(null=True, blank=True)
    wood = models.CharField(max_length=120, blank=True)
    tree = models.ForeignKey(
        Tree, on_delete=models.PROTECT, null=True, blank=True, related_name="commissions"
    )
    price_minor = models.PositiveBigIntegerField(null=True, blank=True)
    wanted_by = models.DateField(null=True, blank=True)
    asked_on = models.DateField()
    notes = models.TextField(blank=True, max_length=5000)
    state = models.CharField(
        max_length=11, choices=State.choices, default=State.ASKED, db_index=True, editable=False
    )
    account = models.OneToOneField(
        Account, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="commission",
    )  # fmt: skip
    promise = models.OneToOneField(
        Promise, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="commission",
    )  # fmt: skip
    pieces = models.ManyToManyField(Piece, blank=True, editable=False, related_name="commissions")
    receipt = models.ForeignKey(
        Receipt, on_delete=models.PROTECT, null=True, blank=True, editable=False,
        related_name="commissions",
    )  # fmt: skip
    created_at = models.DateTimeField(editable=False)

    objects = CommissionQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                name="commissions_handed_over_with_receipt",
                condition=~Q(state="handed-over") | Q(receipt__isnull=False),
            ),
            models.CheckConstraint(
                name="commissions_price_agreed",
                condition=Q(state__in=["asked", "called-off"]) | Q(price_minor__isnull=False),
            ),
            models.CheckConstraint(
                name="commissions_least_and_most",
                condition=Q(least_mm=None) | Q(most_mm=None) | Q(least_mm__lte=F("most_mm")),
            ),
        ]

    def __str__(self) -> str:
        return self.wished[:60]

    @property
    def is_taken_back(self) -> bool:
        """Whether its receipt was voided after the hand-over. A query unless for a list."""
        return bool(self.state == State.HANDED_OVER and self.receipt and self.receipt.is_void)

    @property
    def now(self) -> State:
        """Its state today: ready again once the receipt of its hand-over is void."""
        return State.READY if self.is_taken_back else State(self.state)

    @property
    def is_standing(self) -> bool:
        """Whether it is neither handed over nor called off."""
        return self.now in STANDING

    @property
    def held_minor(self) -> int:
        """What is held of deposits for it. Uses the account read with it."""
        return self.account.held_minor if self.account else 0

    @property
    def open_minor(self) -> int | None:
        """What of the agreed price no deposit covers; None while no price is agreed."""
        return None if self.price_minor is None else max(self.price_minor - self.held_minor, 0)

    @property
    def is_long(self) -> bool:
        """Whether its size is a length, as of pens; otherwise it is a diameter."""
        return bool(self.form and self.form.is_long)

    @property
    def wood_wished(self) -> str:
        """The wood it should be of: the owner's words, or what the tree is."""
        return self.wood or (self.tree.species_name if self.tree else "")

    def is_overdue(self, today: date) -> bool:
        """Whether it is still to be made and the day on which it was wanted has passed."""
        is_made = self.now not in (State.ASKED, State.AGREED, State.MAKING)
        return bool(self.wanted_by and self.wanted_by < today and not is_made)


class Event(models.Model):
    """Something that happened with a commission, and the state it was in from then on."""

    ledger = True

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="events")
    state = models.CharField(max_length=11, choices=State.choices)
    on = models.DateField()
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    words = models.TextField(blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.get_state_display()}: {self.words[:60]}"
