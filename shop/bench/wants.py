"""What wants doing: the bench's lists, each a question put to the record."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, OuterRef, Q, Subquery
from django.urls import reverse

from provenance.drying import models as shelf
from provenance.drying.models import Outlook
from provenance.maker.models import Shop
from provenance.pieces.models import (
    Custody,
    FinishApplied,
    Method,
    Piece,
    PieceQuerySet,
    Promise,
    Stage,
)
from provenance.pieces.promises import said_at_pick_up
from provenance.pieces.rows import Row, in_turn, rows_of, time_between
from provenance.record.money import format_money
from provenance.record.partial_dates import PartialDate
from provenance.trees.models import Section, Tree
from shop.commissions.models import Commission, CommissionQuerySet
from shop.sales.models import Receipt
from shop.sales.rows import rows_of as receipt_rows

SHOWN = 4


@dataclass(frozen=True)
class Want:
    """One list of the bench: its first rows, how many there are, and where all of them are."""

    title: str
    why: str
    rows: Sequence[Any]
    total: int
    all_url: str
    kind: str = "piece"
    #: The day to which the rows' spans and deadlines count, where they have any.
    today: date | None = None


@dataclass(frozen=True)
class Viewer:
    """Who looks, and on what day: the shop's units and the date that spans count to."""

    shop: Shop
    today: date


def _pieces(viewer: Viewer, title: str, why: str, pieces: PieceQuerySet, query: str) -> Want:
    found = list(pieces[:SHOWN])
    total = pieces.count() if len(found) == SHOWN else len(found)
    rows = rows_of(found, viewer.shop, viewer.today)
    return Want(title, why, rows, total, f"{reverse('pieces:pieces')}?{query}")


def _in_shop() -> PieceQuerySet:
    kinds = (Custody.Kind.SHOP, Custody.Kind.REPAIR)
    return Piece.objects.for_lists().filter(custody__kind__in=kinds)


def ready_to_go_on(viewer: Viewer) -> Want:
    """Dry pieces, the longest dry first."""
    dry = _in_shop().at_stage(Stage.DRY)
    pieces = shelf.not_held(dry).order_by("stage_since", "pk")
    why = "The wood has stopped moving."
    return _pieces(viewer, "Dry, to true up or finish", why, pieces, "stage=dry")


def in_finish(viewer: Viewer) -> Want:
    """Pieces in finish, those that may be used first on top; each says from when."""
    coats = FinishApplied.objects.standing().filter(piece=OuterRef("pk"), usable_from__isnull=False)
    # Not joined and grouped: a subquery is left out where the pieces are only counted.
    latest = Subquery(coats.order_by("-usable_from").values("usable_from")[:1])
    in_turn = F("usable_from").asc(nulls_first=True)
    pieces = _in_shop().at_stage(Stage.IN_FINISH).annotate(usable_from=latest)
    pieces = pieces.order_by(in_turn, "pk")
    want = _pieces(viewer, "In finish", "Coats on, or curing.", pieces, "stage=in-finish")
    return replace(want, rows=[_with_cure(row, viewer.today) for row in want.rows])


def _with_cure(row: Row, today: date) -> Row:
    usable_from: date | None = getattr(row.piece, "usable_from", None)
    if usable_from is None:
        return row
    if usable_from <= today:
        return replace(row, figure="cured", figure_words="")
    return replace(row, figure=PartialDate.of(usable_from).spoken(), figure_words="cured by then")


def trued_or_turned(viewer: Viewer) -> Want:
    """Turned and not yet in finish."""
    pieces = _in_shop().at_stage(Stage.TRUED, Stage.TURNED).order_by("stage_since", "pk")
    why = "Sanded wood picks up dirt."
    query = "stage=trued&stage=turned"
    return _pieces(viewer, "Turned, waiting for finish", why, pieces, query)


def green_blanks(viewer: Viewer) -> Want:
    """Blanks that were cut to be turned green, the oldest first."""
    pieces = (
        _in_shop()
        .at_stage(Stage.BLANK)
        .filter(method__in=[Method.TWICE, Method.SINGLE])
        .order_by("stage_since", "pk")
    )
    why = "Round blanks check within days: turn them or seal them."
    return _pieces(viewer, "Green blanks", why, pieces, "stage=blank")


def _on_the_shelf(viewer: Viewer, title: str, why: str, found: PieceQuerySet, part: str) -> Want:
    """A list of drying pieces, each with what its kept forecast says; all are on the drying page.

    The pieces are read by their keys, so that what sorts and joins is short rows.
    """
    keys = list(found.values_list("pk", flat=True)[:SHOWN])
    pieces = in_turn(keys)
    outlooks = Outlook.objects.in_bulk(keys)
    total = found.count() if len(keys) == SHOWN else len(keys)
    rows = [
        _with_outlook(row, outlooks.get(row.piece.pk), viewer.today)
        for row in rows_of(pieces, viewer.shop, viewer.today)
    ]
    return Want(title, why, rows, total, f"{reverse('drying:ready')}#{part}")


def _with_outlook(row: Row, outlook: Outlook | None, today: date) -> Row:
    """The row with the likely day, or with when it was weighed last.

    Only what is dry by its weighings is offered its next move.
    """
    if outlook and outlook.is_dry:
        return replace(row, figure="dry", figure_words="by its weighings")
    row = replace(row, next_move=None)
    if outlook is None or outlook.last_weighed_on is None:
        return replace(row, figure_words="not weighed yet")
    if outlook.likely and outlook.weigh_again_on and outlook.weigh_again_on > today:
        day = PartialDate.of(outlook.likely).spoken()
        words = "likely dry" if outlook.likely > today else "was the likely day"
        return replace(row, figure=day, figure_words=words)
    since = time_between(outlook.last_weighed_on, today)
    return replace(row, figure=since, figure_words="since it was weighed")


def held_back(viewer: Viewer) -> Want:
    """Pieces that a check for soundness keeps off the lathe."""
    found = _in_shop().at_stage(Stage.DRYING, Stage.DRY, Stage.TRUED)
    pieces = shelf.held(found).order_by("stage_since", "pk")
    why = "Not sound when they were looked over: mend them, look again, or count them as lost."
    want = _pieces(viewer, "Held back from the lathe", why, pieces, "stage=dry")
    return replace(want, rows=[replace(row, next_move=None) for row in want.rows])


def dry_on_the_shelf(viewer: Viewer) -> Want:
    """Pieces that are dry by their weighings and still stand as drying."""
    why = "Their weighings say so: call them dry, and true them up."
    found = shelf.dry_on_the_shelf()
    return _on_the_shelf(viewer, "Dry on the shelf", why, found, "dry")


def losing_fast(viewer: Viewer) -> Want:
    """Pieces that lost suspiciously much since the weighing before."""
    why = "They may check: look at them, and slow their air."
    return _on_the_shelf(viewer, "Losing suspiciously fast", why, shelf.losing_fast(), "fast")


def nearly_dry(viewer: Viewer) -> Want:
    """Pieces that are likely dry within the month."""
    why = "Likely dry within a month."
    found = shelf.nearly_dry(viewer.today)
    return _on_the_shelf(viewer, "Nearly dry", why, found, "nearly")


def overdue_for_weighing(viewer: Viewer) -> Want:
    """Pieces that wait to be weighed, the longest on the shelf first."""
    why = "Three weighings make a forecast; each one after that makes it narrower."
    found = shelf.overdue_for_weighing(viewer.today)
    return _on_the_shelf(viewer, "To be weighed", why, found, "overdue")


def stalled(viewer: Viewer) -> Want:
    """Pieces that all but stopped above what was expected."""
    why = "They stopped early: damp air, wax, or a stack that lets none through."
    return _on_the_shelf(viewer, "Stalled", why, shelf.stalled(), "stalled")


def not_yet_for_sale(viewer: Viewer) -> Want:
    """Finished pieces in the shop without a price or a public page."""
    pieces = (
        _in_shop()
        .at_stage(Stage.FINISHED)
        .filter(Q(price_minor=None) | Q(published_at=None))
        .order_by("stage_since", "pk")
    )
    why = "A price or the public page is missing."
    return _pieces(viewer, "Finished, not yet for sale", why, pieces, "stage=finished")


def _commissions(viewer: Viewer, title: str, why: str, found: CommissionQuerySet) -> Want:
    rows = list(found.for_lists()[:SHOWN])
    total = found.count() if len(rows) == SHOWN else len(rows)
    url = reverse("commissions:commissions")
    return Want(title, why, rows, total, url, "commission", viewer.today)


def commissions_due(viewer: Viewer) -> Want:
    """Commissions still to be made, those wanted soonest first, and what is held for all."""
    held = Commission.objects.held_minor(viewer.shop.currency)
    words = f"Deposits held: {format_money(held, viewer.shop.currency)}, owed until hand-over."
    why = words if held else "What you are asked to make, the soonest wanted first."
    return _commissions(viewer, "Commissions due", why, Commission.objects.due())


def ready_to_hand_over(viewer: Viewer) -> Want:
    """Commissions that wait for whoever asked."""
    why = "Made, and waiting for whoever asked."
    return _commissions(viewer, "Ready to hand over", why, Commission.objects.ready())


def owed_to_the_shop() -> Want:
    """Receipts on which something is still owed, the oldest first."""
    receipts = Receipt.objects.owed().order_by("sold_on", "pk")
    rows = receipt_rows(receipts.for_lists()[:SHOWN])
    total = receipts.count() if len(rows) == SHOWN else len(rows)
    url = f"{reverse('sales:receipts')}?state=owed"
    return Want("Owed to the shop", "Sold, and not paid in full yet.", rows, total, url, "owed")


def promises() -> Want:
    """Standing promises, those wanted soonest first; a commission's own stands with it."""
    standing = Promise.objects.standing().filter(commission=None).select_related("to", "tree")
    rows = list(standing.order_by("wanted_by", "pk")[:SHOWN])
    return Want(
        "Promised", "Word for word, so that none is forgotten.", rows, standing.count(),
        reverse("pieces:promises"), "promise",
    )  # fmt: skip


def unpinned_promises() -> Want:
    """Trees that were taken with a promise that no wood is kept for yet."""
    trees = said_at_pick_up()
    rows = list(trees[:SHOWN])
    why = "Words were given at pick-up: keep a section or a piece for them."
    return Want(
        "Promises without wood", why, rows, trees.count(), reverse("trees:trees"), "promised"
    )


def unsealed_sections(viewer: Viewer) -> Want:
    """Whole sections of the last two years whose ends are not sealed."""
    since = viewer.today - timedelta(days=730)
    sections = (
        Section.objects.select_related("tree")
        .filter(end_sealed=None, state__in=[Section.State.WHOLE, Section.State.CUT_INTO])
        .filter(created_at__date__gte=since)
        .order_by("-pk")
    )
    rows = list(sections[:SHOWN])
    why = "Ends check within days: seal them, or note that they are."
    return Want(
        "Sections with open ends", why, rows, sections.count(), reverse("trees:trees"), "section"
    )


def trees_to_ask_about() -> Want:
    """The newest trees about which something is still to be found out."""
    recent = [tree for tree in Tree.objects.counted().order_by("-pk")[:40] if tree.missing()]
    why = "Ask while people still remember."
    return Want(
        "Trees with something missing",
        why,
        recent[:SHOWN],
        len(recent),
        reverse("trees:trees"),
        "tree",
    )


def along_the_line() -> list[tuple[Stage, int]]:
    """Return how many pieces of the shop stand at each stage, in order of making. One query."""
    counts = dict(
        Piece.objects.filter(custody__kind__in=(*Custody.HELD, Custody.Kind.REPAIR))
        .exclude(stage=Stage.LOST)
        .values_list("stage")
        .annotate(n=Count("pk"))
    )
    order = (
        Stage.BLANK, Stage.DRYING, Stage.DRY, Stage.TURNED, Stage.TRUED, Stage.IN_FINISH,
        Stage.FINISHED,
    )  # fmt: skip
    return [(stage, counts.get(stage, 0)) for stage in order]


def at_the_lathe(viewer: Viewer) -> list[Want]:
    """The lists of the bench's wide column."""
    lists = (
        losing_fast, held_back, dry_on_the_shelf, ready_to_go_on, in_finish, trued_or_turned,
        green_blanks, nearly_dry, overdue_for_weighing, stalled,
    )  # fmt: skip
    return [want for want in (ask(viewer) for ask in lists) if want.total]


def at_the_desk(viewer: Viewer) -> list[Want]:
    """The lists of the bench's narrow column."""
    lists = (
        ready_to_hand_over(viewer), commissions_due(viewer), owed_to_the_shop(),
        promises(), unpinned_promises(), not_yet_for_sale(viewer), unsealed_sections(viewer),
        trees_to_ask_about(),
    )  # fmt: skip
    return [want for want in lists if want.total]
