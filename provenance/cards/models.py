"""What was laid out for printing: which pieces in which order, on which sheet, with which codes."""

from django.conf import settings
from django.db import models
from django.db.models import Count, Prefetch, Q

from provenance.cards.kinds import KINDS, Kind
from provenance.cards.sheets import PAPER_NAMES, SHEETS, Sheet
from provenance.pieces.models import Piece, PieceQuerySet


class PrintRunQuerySet(models.QuerySet["PrintRun"]):
    def for_lists(self) -> "PrintRunQuerySet":
        """Newest first, with the count of pieces and the first of them, in four queries."""
        lowest = PrintedPiece.objects.filter(run=models.OuterRef("run")).order_by("position")
        first = PrintedPiece.objects.filter(pk=models.Subquery(lowest.values("pk")[:1]))
        first = first.select_related("piece__form")
        first = first.prefetch_related("piece__trees", "piece__stocks")
        counted = self.annotate(piece_count=Count("printed")).order_by("-pk")
        return counted.prefetch_related(Prefetch("printed", first, to_attr="first_printed"))


class PrintRun(models.Model):
    """Pieces laid out on a sheet. Once made, it can be printed again just as it was.

    While `issued_at` is empty the sheet is a trial without codes. `public_url` is the address
    that the codes of the sheet lead to: it is kept as it was when the sheet was made.
    """

    kind = models.CharField(max_length=12, choices=[(kind.slug, kind.many) for kind in KINDS])
    sheet = models.CharField(max_length=20)
    first_cell = models.PositiveSmallIntegerField(default=0)
    heading = models.CharField(max_length=120, blank=True)
    pieces = models.ManyToManyField(Piece, through="PrintedPiece", related_name="print_runs")
    created_at = models.DateTimeField(editable=False)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    issued_at = models.DateTimeField(null=True, blank=True, editable=False)
    public_url = models.CharField(max_length=200, blank=True, editable=False)

    objects = PrintRunQuerySet.as_manager()

    #: Set by `for_lists` alone.
    piece_count: int

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                name="cards_codes_only_when_issued",
                condition=Q(public_url="") | Q(issued_at__isnull=False),
            )
        ]

    def __str__(self) -> str:
        return f"{self.what.many} {self.pk}"

    @property
    def what(self) -> Kind:
        """What is printed: its words, its sheets, whether it carries codes."""
        return Kind.of(self.kind)

    @property
    def layout(self) -> Sheet | None:
        """The sheet; None for a list, which fills plain paper."""
        return SHEETS.get(self.sheet)

    @property
    def sheet_words(self) -> str:
        """What it goes on: "30 labels to a Letter sheet, 66.7 × 25.4 mm", "A4"."""
        return self.layout.description if self.layout else PAPER_NAMES[self.sheet]

    @property
    def is_issued(self) -> bool:
        return self.issued_at is not None

    @property
    def has_codes(self) -> bool:
        """Whether the sheet was made with codes."""
        return bool(self.public_url)

    def in_order(self) -> PieceQuerySet:
        """Return the pieces in the order in which they are printed."""
        return Piece.objects.filter(printed__run=self).order_by("printed__position")


class PrintedPiece(models.Model):
    """A piece's place in a run."""

    run = models.ForeignKey(PrintRun, on_delete=models.CASCADE, related_name="printed")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="printed")
    position = models.PositiveIntegerField()

    class Meta:
        ordering = ["run", "position"]
        constraints = [
            models.UniqueConstraint(fields=["run", "position"], name="cards_one_place"),
            models.UniqueConstraint(fields=["run", "piece"], name="cards_piece_once"),
        ]

    def __str__(self) -> str:
        return f"{self.position}: {self.piece}"
