"""Weighings, the air of the stores, and what was measured and found on pieces as they dried."""

from datetime import date, timedelta

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce

from provenance.pieces.models import Custody, Piece, PieceQuerySet, Stage
from provenance.record.models import JournalEntry

#: Pieces that dry where the shop can weigh them.
AT_HAND = (Custody.Kind.SHOP, Custody.Kind.REPAIR)


class Scale(models.Model):
    """A scale of the shop's, with the smallest step that it shows."""

    name = models.CharField(max_length=80, unique=True)
    step_g = models.DecimalField(max_digits=7, decimal_places=2)
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["position", "name"]
        constraints = [
            models.CheckConstraint(condition=Q(step_g__gt=0), name="drying_scale_has_a_step")
        ]

    def __str__(self) -> str:
        return self.name


class WeighingQuerySet(models.QuerySet["Weighing"]):
    def standing(self) -> "WeighingQuerySet":
        """Weighings that were not taken back, the oldest first."""
        found = self.filter(entry__correction=None).select_related("scale")
        return found.order_by("weighed_on", "pk")


class Weighing(models.Model):
    """A piece on the scale, once. A wrong one is taken back by an entry that corrects its own."""

    ledger = True

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="weighings")
    entry = models.OneToOneField(JournalEntry, on_delete=models.PROTECT, related_name="weighing")
    mass_g = models.DecimalField(max_digits=9, decimal_places=1)
    weighed_on = models.DateField()
    scale = models.ForeignKey(Scale, on_delete=models.PROTECT, null=True, blank=True)

    objects = WeighingQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["piece", "weighed_on"])]
        constraints = [
            models.CheckConstraint(condition=Q(mass_g__gt=0), name="drying_weighing_has_a_mass")
        ]

    def __str__(self) -> str:
        return f"{self.mass_g} g on {self.weighed_on}"


class Outlook(models.Model):
    """The forecast of a piece, kept with it and renewed by a weighing, so that lists compute none.

    `wall_mm` and `roughed_on` are what it was worked out from.
    """

    class Pace(models.TextChoices):
        STEADY = "steady", "steady"
        STALLED = "stalled", "stalled"
        FAST = "fast", "suspiciously fast"

    piece = models.OneToOneField(Piece, on_delete=models.PROTECT, primary_key=True)
    earliest = models.DateField(null=True)
    likely = models.DateField(null=True)
    latest = models.DateField(null=True)
    final_mass_g = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    is_dry = models.BooleanField(default=False)
    basis = models.CharField(max_length=12, blank=True)
    pace = models.CharField(max_length=7, choices=Pace.choices, default=Pace.STEADY)
    weighing_count = models.PositiveSmallIntegerField(default=0)
    last_mass_g = models.DecimalField(max_digits=9, decimal_places=1, null=True)
    last_weighed_on = models.DateField(null=True)
    weigh_again_on = models.DateField(null=True)
    wall_mm = models.PositiveIntegerField(null=True)
    roughed_on = models.DateField(null=True)
    made_at = models.DateTimeField()

    class Meta:
        indexes = [
            models.Index(fields=["is_dry", "likely"]),
            models.Index(fields=["weigh_again_on"]),
        ]

    def __str__(self) -> str:
        return f"{self.piece}: {'dry' if self.is_dry else self.likely or 'no date yet'}"


#: So many days before its likely date a piece counts as nearly dry.
NEARLY_DAYS = 30
#: A piece on the shelf that was never weighed is asked about after so many days.
FIRST_WEIGHING_DAYS = 14


def on_the_shelf() -> PieceQuerySet:
    """Pieces that dry in the shop."""
    return Piece.objects.at_stage(Stage.DRYING).filter(custody__kind__in=AT_HAND)


#: The forecast is of this drying and of a wall that the piece has: the rough one, or the finished
#: one where it came back to the shelf after it was trued up.
_PRESENT = (
    Q(outlook__wall_mm=None)
    | Q(outlook__wall_mm=Coalesce("rough_wall_mm", "wall_mm"))
    | Q(outlook__wall_mm=Coalesce("wall_mm", "rough_wall_mm"))
)
_SINCE_IT_BEGAN = Q(stage_since=None) | Q(outlook__last_weighed_on__gte=F("stage_since"))


def dry_on_the_shelf() -> PieceQuerySet:
    """Pieces whose weighings say that they are dry and that nobody called dry yet.

    Those not sound, and those whose forecast is of another wall or an earlier drying, are no
    such pieces.
    """
    dry = on_the_shelf().filter(_PRESENT & _SINCE_IT_BEGAN, outlook__is_dry=True)
    return not_held(dry).order_by("outlook__likely", "pk")


def not_held(pieces: PieceQuerySet) -> PieceQuerySet:
    """Those of `pieces` that no check keeps off the lathe."""
    return pieces.annotate(judged=_judged()).exclude(judged__in=SoundnessCheck.NOT_SOUND)


def held(pieces: PieceQuerySet) -> PieceQuerySet:
    """Those of `pieces` that the newest check keeps off the lathe."""
    return pieces.annotate(judged=_judged()).filter(judged__in=SoundnessCheck.NOT_SOUND)


def _judged() -> Coalesce:
    """What the newest check says, or ''."""
    newest = SoundnessCheck.objects.standing().filter(piece=OuterRef("pk"))
    return Coalesce(Subquery(newest.values("then")[:1]), Value(""))


def nearly_dry(today: date) -> PieceQuerySet:
    """Pieces that by their weighings are likely dry within a month."""
    soon = Q(outlook__is_dry=False, outlook__likely__lte=today + timedelta(days=NEARLY_DAYS))
    by_weighings = Q(outlook__basis="weighings")
    return on_the_shelf().filter(soon & by_weighings).order_by("outlook__likely", "pk")


def overdue_for_weighing(today: date) -> PieceQuerySet:
    """Pieces whose next weighing is due, and those never weighed in their first weeks."""
    unseen = Q(outlook=None, stage_since__lte=today - timedelta(days=FIRST_WEIGHING_DAYS))
    due = Q(outlook__is_dry=False, outlook__weigh_again_on__lte=today)
    stale = Q(outlook__isnull=False) & ~(_PRESENT & _SINCE_IT_BEGAN)
    return on_the_shelf().filter(unseen | due | stale).order_by("stage_since", "pk")


def stalled() -> PieceQuerySet:
    """Pieces that have all but stopped above the mass that the forecast expects."""
    pace = Outlook.Pace.STALLED
    return on_the_shelf().filter(outlook__is_dry=False, outlook__pace=pace).order_by("pk")


def losing_fast() -> PieceQuerySet:
    """Pieces that lost suspiciously much since the weighing before: they may check."""
    pace = Outlook.Pace.FAST
    return on_the_shelf().filter(outlook__is_dry=False, outlook__pace=pace).order_by("pk")


class ShopClimateQuerySet(models.QuerySet["ShopClimate"]):
    def standing(self) -> "ShopClimateQuerySet":
        """Readings that were neither corrected nor taken back, the newest first."""
        found = self.filter(correction=None, is_taken_back=False)
        return found.order_by("-measured_on", "-pk")

    def of_store(self, store: str) -> "ShopClimateQuerySet":
        """Readings of one store, by its name as it was written, in any case."""
        return self.filter(store_key=store_key(store))


class ShopClimate(models.Model):
    """Temperature and humidity of a store on a day. A correction is a row of its own."""

    ledger = True

    store = models.CharField(max_length=120)
    store_key = models.CharField(max_length=120, editable=False)
    measured_on = models.DateField()
    temperature_c = models.DecimalField(max_digits=4, decimal_places=1)
    humidity_pct = models.DecimalField(max_digits=4, decimal_places=1)
    remark = models.CharField(max_length=200, blank=True)
    written_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    corrects = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="correction"
    )
    is_taken_back = models.BooleanField(default=False)

    objects = ShopClimateQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["store_key", "measured_on"])]
        constraints = [
            models.CheckConstraint(
                name="drying_air_is_air",
                condition=Q(temperature_c__range=(-40, 60), humidity_pct__range=(0, 100)),
            )
        ]

    def __str__(self) -> str:
        return f"{self.store}, {self.measured_on}: {self.temperature_c} °C, {self.humidity_pct} %"


def store_key(store: str) -> str:
    """The name of a store as stores are told apart: in any case, with single spaces."""
    return " ".join(store.split()).casefold()[:120]


class WeighRound(models.Model):
    """A sitting at the shelf: it holds the place where the weighing stopped."""

    store = models.CharField(max_length=120, blank=True)
    started_on = models.DateField()
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True)
    at_piece = models.ForeignKey(
        Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    scale = models.ForeignKey(Scale, on_delete=models.PROTECT, null=True, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"round of {self.started_on}{f', {self.store}' if self.store else ''}"

    def pieces(self) -> PieceQuerySet:
        """Every piece that the round is about, those of its store where it has one."""
        found = on_the_shelf()
        return found.filter(stored__iexact=self.store) if self.store else found

    def weighings(self) -> WeighingQuerySet:
        """The standing weighings of its days that were written down while it was open."""
        found = Weighing.objects.standing().filter(
            entry__written_at__gte=self.started_at, weighed_on__gte=self.started_on
        )
        return found.filter(entry__written_at__lte=self.ended_at) if self.ended_at else found

    def unweighed(self) -> PieceQuerySet:
        """The pieces that were not weighed since the round began, in number order."""
        weighed = self.weighings().filter(piece=OuterRef("pk"))
        return self.pieces().filter(~Exists(weighed)).order_by("pk")


class AxesQuerySet(models.QuerySet["Axes"]):
    def standing(self) -> "AxesQuerySet":
        """Measures that were not taken back, the newest first."""
        return self.filter(entry__correction=None).order_by("-measured_on", "-pk")


class Axes(models.Model):
    """The long and the short outside axis of a rim that has moved, as measured."""

    ledger = True

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="axes")
    entry = models.OneToOneField(JournalEntry, on_delete=models.PROTECT, related_name="axes")
    long_mm = models.PositiveIntegerField()
    short_mm = models.PositiveIntegerField()
    measured_on = models.DateField()

    objects = AxesQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="drying_axes_in_order",
                condition=Q(short_mm__gt=0, long_mm__gte=models.F("short_mm")),
            )
        ]

    def __str__(self) -> str:
        return f"{self.long_mm} × {self.short_mm} mm"


class SoundnessCheckQuerySet(models.QuerySet["SoundnessCheck"]):
    def standing(self) -> "SoundnessCheckQuerySet":
        """Checks that were not taken back, the newest first."""
        return self.filter(entry__correction=None).order_by("-checked_on", "-pk")


class SoundnessCheck(models.Model):
    """What was looked for before a piece went back on the lathe, and what was found.

    It is the owner's own judgement on a day. It never says that turning the piece is safe.
    """

    ledger = True

    class Answer(models.TextChoices):
        GOOD = "good", "good"
        DOUBTFUL = "doubtful", "doubtful"
        NOT_LOOKED = "not-looked", "not looked at"

    class Then(models.TextChoices):
        LATHE = "lathe", "sound: back on the lathe"
        HOLD = "hold", "not sound: hold it"
        REPAIR = "repair", "not sound: repair it first"
        LOSS = "loss", "not sound: it is lost"

    #: What keeps a piece off the lathe.
    NOT_SOUND = (Then.HOLD, Then.REPAIR, Then.LOSS)

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="soundness_checks")
    entry = models.OneToOneField(
        JournalEntry, on_delete=models.PROTECT, related_name="soundness_check"
    )
    checked_on = models.DateField()
    cracks = models.CharField(max_length=10, choices=Answer.choices)
    tap = models.CharField(max_length=10, choices=Answer.choices)
    tenon = models.CharField(max_length=10, choices=Answer.choices)
    soundness = models.CharField(max_length=10, choices=Answer.choices)
    then = models.CharField(max_length=6, choices=Then.choices)

    objects = SoundnessCheckQuerySet.as_manager()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="drying_sound_when_all_good",
                condition=~Q(then="lathe")
                | Q(cracks="good", tap="good", tenon="good", soundness="good"),
            )
        ]

    def __str__(self) -> str:
        return self.get_then_display()

    @property
    def is_sound(self) -> bool:
        return self.then == self.Then.LATHE
