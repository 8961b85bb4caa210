"""Pieces, the parts they are made of, their custody, and the promises hung on them."""

from collections.abc import Iterable

from django.db import models
from django.db.models import Q

from provenance.people.models import Person
from provenance.record.fields import PartialDateField
from provenance.record.models import Journal, JournalEntry
from provenance.record.numbers import NotANumber, Number
from provenance.record.seeking import holding, sought
from provenance.trees.models import BoughtStock, Section, Tree, of_species


class Stage(models.TextChoices):
    """Where a piece stands in its making. `workflow` holds the moves between them."""

    BLANK = "blank", "blank"
    TURNED = "turned", "turned"
    DRYING = "drying", "drying"
    DRY = "dry", "dry"
    TRUED = "trued", "trued up"
    IN_FINISH = "in-finish", "in finish"
    FINISHED = "finished", "finished"
    LOST = "lost", "lost"


class Method(models.TextChoices):
    TWICE = "twice", "twice-turned: roughed thick, dried, trued up"
    SINGLE = "single", "single-turn: thin and green, warps as it dries"
    STRAIGHT = "straight", "straight to finish, from dry stock"


class OpenList(models.Model):
    """A list that the owner may add to, seeded with the trade's usual entries."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80, unique=True)
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        abstract = True
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class Use(models.TextChoices):
    """What a piece is for: it decides the care text."""

    FOOD = "food", "food"
    DISPLAY = "display", "display and dry things"
    WATER = "water", "fresh flowers, with a liner"
    HAND = "hand", "the hand: pens, tools, stoppers"


class Form(OpenList):
    """A form of work: bowl, vase, pen."""

    use = models.CharField(max_length=8, choices=Use.choices, default=Use.DISPLAY)
    is_long = models.BooleanField(
        "measured by its length", default=False, help_text="Pens and stoppers: length × thickness."
    )


class Edge(OpenList):
    """An edge treatment: plain, natural edge, beaded."""


class LossCause(OpenList):
    """How a piece is lost: cracked, torn out, bug-eaten."""


class Finish(OpenList):
    """A finish product, with what its label and its care ask for."""

    class Kind(models.TextChoices):
        OIL = "oil", "oil"
        WAX = "wax", "wax"
        OIL_WAX = "oil-wax", "oil and wax"
        FILM = "film", "film (lacquer, varnish, shellac)"
        FRICTION = "friction", "friction polish"
        NONE = "none", "none"

    kind = models.CharField(max_length=8, choices=Kind.choices)
    cure_days = models.PositiveSmallIntegerField(default=0)
    allergen = models.CharField(max_length=80, blank=True)
    care_words = models.TextField(blank=True, max_length=500)
    source = models.CharField(max_length=200, blank=True)


class PieceSet(models.Model):
    """Pieces that belong together."""

    name = models.CharField(max_length=120, unique=True)

    def __str__(self) -> str:
        return self.name


class PieceQuerySet(models.QuerySet["Piece"]):
    def for_lists(self) -> "PieceQuerySet":
        """Everything that a list row shows, in a fixed number of queries."""
        in_order = models.Prefetch("trees", Tree.objects.order_by("pk"))
        return self.select_related("form", "edge", "custody").prefetch_related(in_order, "stocks")

    def locked(self, pieces: "Iterable[Piece]") -> "list[Piece]":
        """The same pieces read again under a lock, in number order. Two queries.

        Locked first and read then: in one query PostgreSQL would lock the newest row of a piece
        and join it to the custody of the row before.
        """
        keys = [piece.pk for piece in pieces]
        held = self.filter(pk__in=keys).order_by("pk").select_for_update().values_list("pk")
        rows = self.filter(pk__in=[pk for (pk,) in held]).order_by("pk")
        return list(rows.select_related("custody__holder", "form", "journal"))

    def at_stage(self, *stages: str) -> "PieceQuerySet":
        return self.filter(stage__in=stages)

    def in_custody(self, kind: str) -> "PieceQuerySet":
        """Pieces that are now in custody of this kind."""
        return self.filter(custody__kind=kind)

    def published(self) -> "PieceQuerySet":
        """Pieces that have a public page."""
        return self.exclude(published_at=None)

    def for_sale(self) -> "PieceQuerySet":
        """Finished pieces that the shop can still hand over."""
        return self.filter(stage=Stage.FINISHED, custody__kind__in=Custody.HELD)

    def priced(self, least: int | None, most: int | None) -> "PieceQuerySet":
        """Pieces with a price between the two amounts in minor units; None sets no bound."""
        found = self if least is None else self.filter(price_minor__gte=least)
        return found if most is None else found.filter(price_minor__lte=most)

    def search(self, text: str) -> "PieceQuerySet":
        """Pieces whose number, old mark, title, form or wood has `text`; all for an empty text."""
        text = sought(text)
        if not text:
            return self.all()
        try:
            number = Number.parse(text)
        except NotANumber:
            return self._search_words(text)
        if number.kind == "tree":
            return self.filter(trees__code=number.code)
        return self.filter(Q(code=number.code) | holding("old_mark", text))

    def _search_words(self, text: str) -> "PieceQuerySet":
        code = "".join(c for c in text if c.isalnum())
        trees = Tree.objects.filter(of_species(text)).values("pk")
        stocks = BoughtStock.objects.filter(of_species(text)).values("pk")
        of_trees = self.model.trees.through.objects.filter(tree__in=trees)
        of_stocks = self.model.stocks.through.objects.filter(boughtstock__in=stocks)
        by_number = Q(code__icontains=code) if code[:1].isdigit() else Q()
        return self.filter(
            by_number
            | holding("old_mark", text)
            | holding("title", text)
            | Q(piece_set__in=PieceSet.objects.filter(holding("name", text)).values("pk"))
            | Q(form__in=Form.objects.filter(holding("name", text)).values("pk"))
            | Q(pk__in=of_trees.values("piece"))
            | Q(pk__in=of_stocks.values("piece"))
        )


class Piece(models.Model):
    """A turned thing, from blank to owner. Its number is for ever."""

    class Grain(models.TextChoices):
        UNKNOWN = "", "not noted"
        SIDE = "side", "side grain"
        END = "end", "end grain"

    class Mount(models.TextChoices):
        UNKNOWN = "", "not noted"
        TENON = "tenon", "tenon"
        RECESS = "recess", "recess"
        NONE = "none", "none"

    code = models.CharField(max_length=16, unique=True, editable=False)
    journal = models.OneToOneField(Journal, on_delete=models.PROTECT, editable=False)
    old_mark = models.CharField(max_length=80, blank=True)
    wood_words = models.CharField(max_length=120, blank=True)
    title = models.CharField(max_length=120, blank=True)
    public_words = models.TextField(blank=True, max_length=5000)
    form = models.ForeignKey(Form, on_delete=models.PROTECT)
    method = models.CharField(max_length=8, choices=Method.choices)
    stage = models.CharField(max_length=9, choices=Stage.choices, editable=False)
    edge = models.ForeignKey(Edge, on_delete=models.PROTECT, null=True, blank=True)
    grain = models.CharField(max_length=4, choices=Grain.choices, default=Grain.UNKNOWN, blank=True)
    use = models.CharField(max_length=8, choices=Use.choices, default=Use.DISPLAY)
    rough_diameter_mm = models.PositiveIntegerField(null=True, blank=True)
    rough_height_mm = models.PositiveIntegerField(null=True, blank=True)
    rough_wall_mm = models.PositiveIntegerField(null=True, blank=True)
    diameter_mm = models.PositiveIntegerField(null=True, blank=True)
    height_mm = models.PositiveIntegerField(null=True, blank=True)
    wall_mm = models.PositiveIntegerField(null=True, blank=True)
    mount = models.CharField(max_length=6, choices=Mount.choices, default=Mount.UNKNOWN, blank=True)
    mount_diameter_mm = models.PositiveIntegerField(null=True, blank=True)
    #: How far the rim lies from the plane of the pith: it decides how the rim moves.
    rim_to_pith_mm = models.PositiveIntegerField(null=True, blank=True)
    decoration = models.CharField(max_length=200, blank=True)
    care_words = models.TextField(blank=True, max_length=1000)
    price_minor = models.PositiveBigIntegerField(null=True, blank=True)
    stored = models.CharField(max_length=120, blank=True)
    notes = models.TextField(blank=True, max_length=5000)
    piece_set = models.ForeignKey(
        PieceSet, on_delete=models.PROTECT, null=True, blank=True, related_name="pieces"
    )
    published_at = models.DateTimeField(null=True, blank=True, editable=False)
    #: The day as far as it is known, for people; `stage_since` is its first day, for sorting.
    stage_when = PartialDateField(null=True, blank=True, editable=False)
    stage_since = models.DateField(null=True, blank=True, editable=False)
    custody = models.ForeignKey(
        "Custody", on_delete=models.PROTECT, null=True, editable=False, related_name="+"
    )
    trees = models.ManyToManyField(Tree, related_name="pieces", editable=False)
    stocks = models.ManyToManyField(BoughtStock, related_name="pieces", editable=False)
    created_at = models.DateTimeField(editable=False)

    objects = PieceQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(fields=["stage", "stage_since"]),
            models.Index(fields=["stage", "custody"]),
        ]

    def __str__(self) -> str:
        return str(self.number)

    @property
    def number(self) -> Number:
        """The piece's number, as it is burned into the foot."""
        return Number.from_code(self.code)

    @property
    def is_published(self) -> bool:
        return self.published_at is not None

    @property
    def first_tree(self) -> Tree | None:
        """The tree whose ring mark stands for the piece. Uses the prefetched trees."""
        return min(self.trees.all(), key=lambda tree: tree.pk, default=None)

    @property
    def wood(self) -> str:
        """The woods by name, "ash and cocobolo", or the owner's words; '' when unknown.

        Uses the prefetched sources.
        """
        sources: list[Tree | BoughtStock] = [*self.trees.all(), *self.stocks.all()]
        names = dict.fromkeys(s.wood_name for s in sources if s.wood_name)
        return " and ".join(names) or self.wood_words

    @property
    def what(self) -> str:
        """The title, or form and wood: "Salad bowl in bigleaf maple"."""
        if self.title:
            return self.title
        name = self.form.name[0].upper() + self.form.name[1:]
        wood = self.wood
        return f"{name} in {wood}" if wood else name


class Part(models.Model):
    """Ties a piece to one of its sources, with the role that the wood plays in it."""

    class Role(models.TextChoices):
        WHOLE = "whole", "whole"
        BODY = "body", "body"
        NECK = "neck", "neck"
        LID = "lid", "lid"
        RING = "ring", "ring"
        INLAY = "inlay", "inlay"

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="parts")
    role = models.CharField(max_length=5, choices=Role.choices, default=Role.WHOLE)
    section = models.ForeignKey(
        Section, on_delete=models.PROTECT, null=True, blank=True, related_name="parts"
    )
    stock = models.ForeignKey(
        BoughtStock, on_delete=models.PROTECT, null=True, blank=True, related_name="parts"
    )
    source_piece = models.ForeignKey(
        Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="parts_given"
    )
    is_unknown = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                name="pieces_part_one_source",
                condition=(
                    Q(section__isnull=False, stock=None, source_piece=None, is_unknown=False)
                    | Q(section=None, stock__isnull=False, source_piece=None, is_unknown=False)
                    | Q(section=None, stock=None, source_piece__isnull=False, is_unknown=False)
                    | Q(section=None, stock=None, source_piece=None, is_unknown=True)
                ),
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_role_display()}: {self.source or 'unknown'}"

    @property
    def source(self) -> Section | BoughtStock | Piece | None:
        """The section, stock or piece that the wood came from; None when unknown."""
        return self.section or self.stock or self.source_piece


class Custody(models.Model):
    """One link of the chain of who has a piece. Appended, never changed."""

    ledger = True

    class Kind(models.TextChoices):
        SHOP = "shop", "in the shop"
        MARKET = "market", "at a market"
        GALLERY = "gallery", "at a gallery"
        LENT = "lent", "lent"
        REPAIR = "repair", "in for repair"
        BUYER = "buyer", "with its owner"
        GIVEN = "given", "given away"
        LOST = "lost", "gone missing"
        SCRAPPED = "scrapped", "scrapped"

    #: Kinds in which the piece is still the shop's to hand over.
    HELD = (Kind.SHOP, Kind.MARKET, Kind.GALLERY, Kind.LENT)

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="custodies")
    position = models.PositiveIntegerField()
    kind = models.CharField(max_length=8, choices=Kind.choices)
    holder = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="custodies"
    )
    entry = models.OneToOneField(JournalEntry, on_delete=models.PROTECT, related_name="custody")
    since = models.DateField(null=True, blank=True)
    why = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["piece", "position"]
        constraints = [
            models.UniqueConstraint(fields=["piece", "position"], name="pieces_custody_in_order")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}{f', {self.holder}' if self.holder else ''}"


class FinishAppliedQuerySet(models.QuerySet["FinishApplied"]):
    def standing(self) -> "FinishAppliedQuerySet":
        """Finishes whose entry was not corrected away."""
        return self.filter(entry__correction=None).select_related("finish")


class FinishApplied(models.Model):
    """A finish on a piece: product, lot, coats, and the day from which it may be used."""

    ledger = True

    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="finishes")
    entry = models.ForeignKey(JournalEntry, on_delete=models.PROTECT, related_name="finishes")
    finish = models.ForeignKey(Finish, on_delete=models.PROTECT)
    lot = models.CharField(max_length=80, blank=True)
    coats = models.PositiveSmallIntegerField(null=True, blank=True)
    last_coat = models.DateField(null=True, blank=True)
    usable_from = models.DateField(null=True, blank=True)

    objects = FinishAppliedQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.finish.name


class PromiseQuerySet(models.QuerySet["Promise"]):
    def standing(self) -> "PromiseQuerySet":
        """Promises neither kept nor released."""
        return self.filter(settled_on=None)


class Promise(models.Model):
    """What was promised, word for word, and the wood that is kept for it."""

    to = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="promises"
    )
    words = models.TextField(max_length=2000)
    tree = models.ForeignKey(
        Tree, on_delete=models.PROTECT, null=True, blank=True, related_name="promises"
    )
    sections = models.ManyToManyField(Section, blank=True, related_name="promises")
    pieces = models.ManyToManyField(Piece, blank=True, related_name="promises")
    made_on = models.DateField(null=True, blank=True)
    wanted_by = models.DateField(null=True, blank=True)
    settled_on = models.DateField(null=True, blank=True)
    settled_how = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField(editable=False)

    objects = PromiseQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.words[:60]
