"""Where wood comes from: salvaged trees and their sections, and stock that was bought."""

from django.db import models
from django.db.models import Count, Q

from provenance.people.models import Person
from provenance.record.fields import PartialDateField
from provenance.record.models import Journal
from provenance.record.numbers import Number, codes_of
from provenance.record.seeking import holding, naming, sought
from provenance.trees.coordinates import format_coordinates
from provenance.trees.naming import best, wood_slug
from provenance.wood import species as reference
from provenance.wood.cautions import TRADE, Caution, cautions_for


class Certainty(models.TextChoices):
    SURE = "sure", "sure"
    LIKELY = "likely", "likely"
    GUESS = "guess", "a guess"


class OfSpecies(models.Model):
    """Wood of a kind: a row of the reference table, or the owner's own words."""

    species_slug = models.CharField(max_length=60, blank=True)
    species_words = models.CharField(max_length=120, blank=True)
    certainty = models.CharField(
        "how sure", max_length=6, choices=Certainty.choices, default=Certainty.LIKELY
    )

    class Meta:
        abstract = True

    @property
    def species(self) -> reference.Species | None:
        """The row of the reference table, if one was chosen."""
        return reference.get(self.species_slug) if self.species_slug else None

    @property
    def species_name(self) -> str:
        """The common name ("maple" where the kind is unknown), or the owner's words."""
        if self.species:
            return self.species.common_name.removesuffix(reference.KIND_UNKNOWN)
        return self.species_words

    @property
    def wood_slug(self) -> str:
        """How the address of its wood's page ends; '' where no wood is named."""
        return wood_slug(self.species_slug, self.species_words)

    @property
    def wood_name(self) -> str:
        """The name as a title has it: with its doubt where it is but a guess, "ash, perhaps"."""
        doubt = ", perhaps" if self.certainty == Certainty.GUESS and self.species_name else ""
        return self.species_name + doubt

    @property
    def species_phrase(self) -> str:
        """The name with how sure it is: "bigleaf maple", "probably ash, kind unknown"."""
        before = {Certainty.LIKELY: "probably ", Certainty.GUESS: "perhaps "}
        after = ", kind unknown" if self.species and self.species.is_genus else ""
        return before.get(Certainty(self.certainty), "") + self.species_name + after

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What is known against its dust and of limits on its trade; none is not "safe"."""
        species = self.species or best(self.species_words)
        return species.cautions if species else cautions_for(self.species_words)

    @property
    def trade_cautions(self) -> list[Caution]:
        """What is known of limits on its trade. The last word is the authority's."""
        return [caution for caution in self.cautions if caution.kind == TRADE]


def of_species(text: str, prefix: str = "") -> Q:
    """Return the condition that wood is of a species that `text` names."""
    slugs = [found.slug for found in reference.find(text)]
    return Q(**{f"{prefix}species_slug__in": slugs}) | holding(f"{prefix}species_words", text)


class WoodFigures(models.Model):
    """Figures that the owner typed for a wood whose own the table lacks, with where they are from.

    `wood` is a slug of the table, or the owner's words in lower case. What the table has is never
    replaced.
    """

    wood = models.CharField(max_length=120, unique=True)
    sg_green = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    sg_12 = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    shrink_radial_pct = models.DecimalField(max_digits=4, decimal_places=2, null=True, blank=True)
    shrink_tangential_pct = models.DecimalField(
        max_digits=4, decimal_places=2, null=True, blank=True
    )
    shrink_volumetric_pct = models.DecimalField(
        max_digits=4, decimal_places=2, null=True, blank=True
    )
    mc_green_heartwood_pct = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True
    )
    mc_green_sapwood_pct = models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True
    )
    source = models.CharField(max_length=200)
    journal = models.OneToOneField(Journal, on_delete=models.PROTECT, editable=False)

    class Meta:
        ordering = ["wood"]
        verbose_name_plural = "wood figures"

    def __str__(self) -> str:
        return self.wood


class Cause(models.Model):
    """Why a tree came down: an open list."""

    slug = models.SlugField(unique=True)
    name = models.CharField(max_length=80, unique=True)
    sentence = models.CharField(
        max_length=120, help_text="How the public page begins: “A storm brought it down”."
    )
    position = models.PositiveSmallIntegerField(default=100)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class TreeQuerySet(models.QuerySet["Tree"]):
    def counted(self) -> "TreeQuerySet":
        """Trees that were not entered by mistake."""
        return self.filter(is_mistake=False)

    def search(self, text: str) -> "TreeQuerySet":
        """Trees whose number, species, place, donor or story has `text`; all for an empty text."""
        text = sought(text)
        if not text:
            return self.all()
        return self.filter(
            of_species(text)
            | Q(code__icontains="".join(c for c in text if c.isalnum()) or text)
            | holding("public_place", text)
            | holding("private_address", text)
            | naming("donor__name", text)
            | holding("story", text)
        )

    def numbered(self, text: str) -> "Tree | None":
        """The tree with the number `text`; None for any other, and for what is no number."""
        codes = codes_of([text])
        return self.filter(code__in=codes).first() if codes else None

    def newest(self, most: int, besides: "Tree | None" = None) -> "TreeQuerySet":
        """The newest trees, and `besides`; may be narrowed further. One query before the other."""
        first = self.order_by("-pk").values_list("pk", flat=True)[most - 1 : most].first()
        return self.filter(Q(pk__gte=first or 0) | Q(pk=besides.pk if besides else None))

    def for_lists(self) -> "TreeQuerySet":
        """Everything that a list row shows, in one query."""
        return self.annotate(section_count=Count("sections")).order_by("-pk")


class Tree(OfSpecies):
    """A salvaged tree. Species and place are enough to begin; the rest can come later."""

    class Hardware(models.TextChoices):
        UNKNOWN = "", "not looked for yet"
        NONE = "none", "looked for, none found"
        SUSPECTED = "suspected", "suspected"
        FOUND = "found", "found"

    code = models.CharField(max_length=16, unique=True, editable=False)
    journal = models.OneToOneField(Journal, on_delete=models.PROTECT, editable=False)
    public_place = models.CharField(max_length=120)
    private_address = models.TextField(blank=True, max_length=500)
    latitude = models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)
    longitude = models.DecimalField(max_digits=9, decimal_places=6, null=True, blank=True)
    cause = models.ForeignKey(Cause, on_delete=models.PROTECT, null=True, blank=True)
    cause_words = models.CharField(max_length=200, blank=True)
    felled = PartialDateField(null=True, blank=True)
    collected = PartialDateField(null=True, blank=True)
    felled_by = models.CharField(max_length=120, blank=True)
    donor = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="trees_given"
    )
    permission = models.TextField(blank=True, max_length=2000)
    promised = models.TextField(blank=True, max_length=2000)
    trunk_diameter_mm = models.PositiveIntegerField(null=True, blank=True)
    ring_count = models.PositiveIntegerField(null=True, blank=True)
    hardware = models.CharField(
        max_length=10, choices=Hardware.choices, default=Hardware.UNKNOWN, blank=True
    )
    hardware_words = models.CharField(max_length=200, blank=True)
    movement_asked = models.CharField(max_length=300, blank=True)
    movement_asked_of = models.CharField(max_length=120, blank=True)
    movement_asked_on = models.DateField(null=True, blank=True)
    story = models.TextField(blank=True, max_length=5000)
    notes = models.TextField(blank=True, max_length=5000)
    is_mistake = models.BooleanField("entered by mistake", default=False)
    created_at = models.DateTimeField(editable=False)

    objects = TreeQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.number} {self.species_name}"

    @property
    def number(self) -> Number:
        """The tree's number."""
        return Number.from_code(self.code)

    @property
    def coordinates(self) -> str:
        """Where exactly it stood, as "44.0521, -123.0868"; '' when unknown. The owner's alone."""
        return format_coordinates(self.latitude, self.longitude)

    def missing(self) -> list[str]:
        """Return what is still to be found out, in the words of the form."""
        wanted = {
            "why it came down": self.cause_id,
            "the date it was felled": self.felled,
            "the date you collected it": self.collected,
            "who gave it": self.donor_id,
            "permission to take it": self.permission,
            "the trunk's diameter": self.trunk_diameter_mm,
            "the ring count": self.ring_count,
            "a look for nails and wire": self.hardware,
            "the check on moving the wood": self.movement_asked,
            "its story for the card": self.story,
        }
        return [words for words, value in wanted.items() if not value]


class Section(models.Model):
    """A length cut from one tree, lettered in it."""

    class Kind(models.TextChoices):
        TRUNK = "trunk", "trunk"
        CROTCH = "crotch", "crotch"
        LIMB = "limb", "limb"
        BURL = "burl", "burl"
        ROOT = "root", "root"

    class State(models.TextChoices):
        WHOLE = "whole", "whole"
        CUT_INTO = "cut-into", "cut into"
        USED_UP = "used-up", "used up"
        LOST = "lost", "lost"

    tree = models.ForeignKey(Tree, on_delete=models.PROTECT, related_name="sections")
    letter = models.CharField(max_length=3, editable=False)
    journal = models.OneToOneField(Journal, on_delete=models.PROTECT, editable=False)
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.TRUNK)
    small_end_mm = models.PositiveIntegerField(null=True, blank=True)
    large_end_mm = models.PositiveIntegerField(null=True, blank=True)
    length_mm = models.PositiveIntegerField(null=True, blank=True)
    position = models.CharField(max_length=120, blank=True)
    cut = PartialDateField(null=True, blank=True)
    end_sealed = PartialDateField(null=True, blank=True)
    stored = models.CharField(max_length=120, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WHOLE)
    notes = models.TextField(blank=True, max_length=2000)
    created_at = models.DateTimeField(editable=False)

    class Meta:
        ordering = ["tree", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["tree", "letter"], name="trees_section_letter")
        ]

    def __str__(self) -> str:
        return f"{self.tree.number} {self.letter}"


class BoughtStockQuerySet(models.QuerySet["BoughtStock"]):
    def search(self, text: str) -> "BoughtStockQuerySet":
        """Stock whose name, species or supplier has `text`; all for an empty text."""
        text = sought(text)
        if not text:
            return self.all()
        return self.filter(
            of_species(text)
            | holding("name", text)
            | naming("supplier__name", text)
            | holding("invoice", text)
        )


class BoughtStock(OfSpecies):
    """A blank or lot that was bought, with its papers where the wood is listed."""

    name = models.CharField(max_length=120)
    journal = models.OneToOneField(Journal, on_delete=models.PROTECT, editable=False)
    quantity = models.PositiveIntegerField(null=True, blank=True)
    supplier = models.ForeignKey(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="stock_supplied"
    )
    invoice = models.CharField(max_length=80, blank=True)
    bought = PartialDateField(null=True, blank=True)
    cost_minor = models.PositiveBigIntegerField(null=True, blank=True)
    origin_claim = models.CharField(max_length=200, blank=True)
    listed_scientific_name = models.CharField(max_length=120, blank=True)
    listed_country = models.CharField(max_length=80, blank=True)
    listed_permit = models.CharField(max_length=80, blank=True)
    used_up = models.BooleanField(default=False)
    notes = models.TextField(blank=True, max_length=2000)
    created_at = models.DateTimeField(editable=False)

    objects = BoughtStockQuerySet.as_manager()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What is known of its wood, also by the name on its papers."""
        on_papers = cautions_for(self.listed_scientific_name)
        return tuple(dict.fromkeys((*super().cautions, *on_papers)))

    def missing_papers(self) -> list[str]:
        """Return which papers of a wood with limits on its trade are not entered yet."""
        papers = {
            "the scientific name": self.listed_scientific_name,
            "the country of harvest": self.listed_country,
            "the permit number": self.listed_permit,
        }
        is_limited = bool(self.trade_cautions) or any(papers.values())
        return [words for words, value in papers.items() if not value] if is_limited else []
