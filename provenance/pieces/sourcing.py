"""What a piece is made of: its ties to the wood, and their correction when they were wrong."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from graphlib import TopologicalSorter

from django.db import transaction
from django.db.models import Q

from provenance.pieces.models import Part, Piece
from provenance.pieces.order import IN_ORDER, check_wood
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.trees.models import BoughtStock, Section, Tree
from provenance.trees.register import cut_into


class NoSource(RecordError):
    """A part without one clear source."""


class InCircle(RecordError):
    """A piece would be made from itself."""


@dataclass(frozen=True)
class Source:
    """One part to be: where the wood comes from (None when unknown) and its role."""

    origin: Section | BoughtStock | Piece | None
    role: str = Part.Role.WHOLE
    uses_up: bool = False


def tie(piece: Piece, source: Source) -> None:
    """Make the piece's part from the source, and let it count among the wood's pieces."""
    origin = source.origin
    if isinstance(origin, Section):
        piece.trees.add(origin.tree)
    elif isinstance(origin, BoughtStock):
        piece.stocks.add(origin)
    elif isinstance(origin, Piece):
        piece.trees.add(*origin.trees.all())
        piece.stocks.add(*origin.stocks.all())
    _part_of(piece, source).save()


def _part_of(piece: Piece, source: Source) -> Part:
    origin = source.origin
    return Part(
        piece=piece,
        role=source.role,
        section=origin if isinstance(origin, Section) else None,
        stock=origin if isinstance(origin, BoughtStock) else None,
        source_piece=origin if isinstance(origin, Piece) else None,
        is_unknown=origin is None,
    )


def mark_cut(sources: Iterable[Source], scribe: Scribe) -> None:
    """Note that sections were cut into, and which sections and stock are used up."""
    for source in sources:
        if isinstance(source.origin, Section):
            cut_into(source.origin, scribe, used_up=source.uses_up)
        elif isinstance(source.origin, BoughtStock) and source.uses_up:
            journal.amend(source.origin, {"used_up": True}, scribe)


def pieces_given(sources: Iterable[Source]) -> list[Piece]:
    """Return the pieces among the sources."""
    return [source.origin for source in sources if isinstance(source.origin, Piece)]


@transaction.atomic
def correct_sources(
    piece: Piece, sources: Sequence[Source], scribe: Scribe, *, words: str = ""
) -> JournalEntry | None:
    """Replace what the piece is made of; None when the book says the same already.

    Its trees and stock, and those of every piece made from it, are found anew. The entry holds
    the parts before and after in words. What a source `uses_up` is noted even if no part differs.
    Raises `NoSource` without any source, `InCircle` when one is the piece or made from it,
    `order.TooEarly` when the piece was worked before a tree of its came down.
    """
    if not sources:
        raise NoSource("Say where the wood comes from, or that it is not known.")
    givers = pieces_given(sources)
    # With the givers, so that two corrections at once can't close a circle between them.
    made = Piece.objects.filter(pk__in=made_from(piece))
    held = {row.pk: row for row in Piece.objects.locked([piece, *givers, *made])}
    line = made_from(piece)
    _refuse_circle(held[piece.pk], givers, line)
    before = list(piece.parts.select_related("section__tree", "stock", "source_piece"))
    after = [_part_of(held[piece.pk], source) for source in sources]
    known = {_wood(part) for part in before}
    fresh = [s for s, p in zip(sources, after, strict=True) if s.uses_up or _wood(p) not in known]
    mark_cut(fresh, scribe)
    if [(p.role, _wood(p)) for p in before] == [(p.role, _wood(p)) for p in after]:
        return None
    piece.parts.all().delete()
    Part.objects.bulk_create(after)
    _find_wood(piece, line)
    _check_days(held[piece.pk])
    return journal.write(
        held[piece.pk].journal,
        JournalEntry.Kind.CORRECTION,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=" ".join(filter(None, ["Where its wood comes from was corrected.", words.strip()])),
        changes={"parts": [[str(part) for part in before], [str(part) for part in after]]},
    )


def made_from(piece: Piece) -> dict[int, set[int]]:
    """Return the keys of all pieces made from this one, or from those, each with its givers' keys.

    One query for each time the wood was recut.
    """
    line: dict[int, set[int]] = {}
    newest = {piece.pk}
    while newest:
        rows = list(
            Part.objects.filter(source_piece__in=newest).values_list("piece", "source_piece")
        )
        newest = {made for made, _ in rows} - line.keys()
        for made, giver in rows:
            line.setdefault(made, set()).add(giver)
    return line


def _refuse_circle(piece: Piece, givers: list[Piece], line: dict[int, set[int]]) -> None:
    for giver in givers:
        if giver.pk == piece.pk:
            raise InCircle(f"{piece.number} can't be made from itself: name where its wood was.")
        if giver.pk in line:
            raise InCircle(
                f"{giver.number} was made from {piece.number}: its wood can't come from there. "
                f"Correct the wood of {giver.number} first if that is what is wrong."
            )


def _wood(part: Part) -> tuple[int | None, int | None, int | None]:
    """Return what two parts of the same wood have in common."""
    return part.section_id, part.stock_id, part.source_piece_id


def _check_days(piece: Piece) -> None:
    """Raise `TooEarly` when a step of the piece is dated before its wood was down."""
    steps = JournalEntry.objects.filter(journal=piece.journal_id, kind__in=IN_ORDER)
    days = steps.filter(correction=None).values_list("happened", flat=True)
    known = [day for day in days if day is not None]
    check_wood(piece, min(known, key=lambda day: day.latest, default=None))


def _find_wood(piece: Piece, line: dict[int, set[int]]) -> None:
    """Find the trees and stock of the piece anew, then of all made from it, givers first."""
    order = list(TopologicalSorter({piece.pk: set(), **line}).static_order())
    pieces = Piece.objects.in_bulk(order)
    for key in order:
        one = pieces[key]
        cut = Section.objects.filter(parts__piece=one).values("tree")
        bought = Part.objects.filter(piece=one, stock__isnull=False).values("stock")
        given = Part.objects.filter(piece=one, source_piece__isnull=False).values("source_piece")
        trees = Piece.trees.through.objects.filter(piece__in=given).values("tree")
        stocks = Piece.stocks.through.objects.filter(piece__in=given).values("boughtstock")
        one.trees.set(Tree.objects.filter(Q(pk__in=cut) | Q(pk__in=trees)))
        one.stocks.set(BoughtStock.objects.filter(Q(pk__in=bought) | Q(pk__in=stocks)))
