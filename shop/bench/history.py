"""What went through somebody's hands: pieces with them now, pieces they passed on, who had one.

Pure questions. `keys` are those of all entries of one person (`Person.keys`).
"""

from collections import defaultdict
from collections.abc import Collection, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, F, Max, OuterRef, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces.care import care_lines
from provenance.pieces.models import Custody, Finish, FinishApplied, Piece, PieceQuerySet
from provenance.pieces.rows import Row, in_turn, row_of
from provenance.record.date_words import month_words
from provenance.record.models import JournalEntry
from provenance.record.numbers import NotANumber, Number
from provenance.record.partial_dates import PartialDate
from provenance.record.seeking import holding

#: How many entries of a piece's journal stand on a person's page: the rest is a tap away.
ENTRIES = 3
#: With fewer characters nearly every old mark would match.
SHORTEST_MARK = 2
#: How many pieces with a text in their old mark are looked at.
MOST = 200


@dataclass(frozen=True)
class Stay:
    """One piece's last stay with somebody. `since` and `until` are None where nobody knows.

    `theirs` is the last link that names them, `now` the one that holds today.
    """

    row: Row
    since: PartialDate | None
    until: PartialDate | None
    theirs: Custody
    now: Custody
    care: list[str]
    entries: list[JournalEntry]


@dataclass(frozen=True)
class Known:
    """A person in a list, and why they are found by a piece: they have it, or had it."""

    person: Person
    link: Custody | None = None
    has_it: bool = False

    @property
    def verb(self) -> str:
        return "has" if self.has_it else "had"

    @property
    def since(self) -> str:
        """Since when they have it, no finer than a month: "since March 2026"; '' if unknown."""
        happened = self.link.entry.happened if self.link and self.has_it else None
        return f"since {month_words(happened)}" if happened else ""


def happened_links() -> "QuerySet[Custody]":
    """The changes of hands that took place: none that was taken back, nor the taking back.

    In their order they are a piece's chain as it holds: what a correction brings back is the link
    before the one that it corrects.
    """
    # By its kind, not by what it corrects: that nearly empty column misleads the SQLite planner.
    taking_back = Q(entry__kind=JournalEntry.Kind.CORRECTION)
    return Custody.objects.filter(~taking_back, entry__correction=None)


def with_them(keys: Collection[int]) -> PieceQuerySet:
    """Pieces that somebody has now: theirs too while it is in the shop for repair."""
    return _ever_with(keys).filter(_theirs(keys))


def passed_on(keys: Collection[int]) -> PieceQuerySet:
    """Pieces that somebody had, and that are elsewhere now."""
    return _ever_with(keys).exclude(_theirs(keys))


def _ever_with(keys: Collection[int]) -> PieceQuerySet:
    # From the links, of which somebody has few, to the pieces: the other way round reads them all.
    links = happened_links().filter(holder__in=keys)
    latest_first = F("custody__since").desc(nulls_last=True)
    return Piece.objects.filter(pk__in=links.values("piece")).order_by(latest_first, "-pk")


def _theirs(keys: Collection[int]) -> Q:
    before = Custody.objects.filter(
        piece=OuterRef("pk"), position=OuterRef("custody__position") - 1, holder__in=keys
    )
    mended = Q(custody__kind=Custody.Kind.REPAIR, custody__holder=None)
    return Q(custody__holder__in=keys) | (mended & Q(Exists(before)))


def stays(pieces: Iterable[int], keys: Collection[int], shop: Shop, today: date) -> list[Stay]:
    """Return the stays of these pieces, by key, in their order. Six queries, however many."""
    found = in_turn(pieces)
    chains, care, journals = _chains(found), _care(found), _last_entries(found)
    told = []
    for piece in found:
        chain = chains[piece.pk]
        since, until = _last_stay(chain, keys)
        told.append(
            Stay(
                row=row_of(piece, shop, today),
                since=since,
                until=until,
                theirs=[link for link in chain if link.holder_id in keys][-1],
                now=chain[-1],
                care=care[piece.pk],
                entries=journals[piece.journal_id],
            )
        )
    return told


def _last_stay(
    chain: list[Custody], keys: Collection[int]
) -> tuple[PartialDate | None, PartialDate | None]:
    """Return since when and until when somebody last had the piece."""
    since = until = None
    was_theirs = False
    for link in chain:
        is_theirs = link.holder_id in keys
        if is_theirs and not was_theirs:
            since, until = link.entry.happened, None
        elif was_theirs and not is_theirs:
            until = link.entry.happened
        was_theirs = is_theirs
    return since, until


def _chains(pieces: list[Piece]) -> dict[int, list[Custody]]:
    links = happened_links().filter(piece__in=pieces).select_related("holder", "entry")
    by_piece: dict[int, list[Custody]] = defaultdict(list)
    for link in links.order_by("piece_id", "position"):
        by_piece[link.piece_id].append(link)
    return by_piece


def _care(pieces: list[Piece]) -> dict[int, list[str]]:
    finishes: dict[int, list[Finish]] = defaultdict(list)
    for applied in FinishApplied.objects.standing().filter(piece__in=pieces):
        finishes[applied.piece_id].append(applied.finish)
    return {piece.pk: care_lines(piece, finishes[piece.pk]) for piece in pieces}


def _last_entries(pieces: list[Piece]) -> dict[int, list[JournalEntry]]:
    """Return the newest entries of each journal by its key, the newest first."""
    numbered = JournalEntry.objects.annotate(
        place=Window(RowNumber(), partition_by=F("journal"), order_by=F("pk").desc())
    )
    journals = [piece.journal_id for piece in pieces]
    newest = numbered.filter(journal__in=journals, place__lte=ENTRIES)
    by_journal: dict[int, list[JournalEntry]] = defaultdict(list)
    for entry in newest.select_related("by", "correction").order_by("-pk"):
        by_journal[entry.journal_id].append(entry)
    return by_journal


def meant(text: str) -> list[int]:
    """Return the keys of the newest pieces with the number `text`, or with it in their old mark.

    One query. At most `MOST` of them: a text that more of them have says too little.
    """
    marked = holding("old_mark", text) if len(text) >= SHORTEST_MARK else Q(pk=None)
    with suppress(NotANumber):
        marked |= Q(code=Number.parse(text).code)
    return list(Piece.objects.filter(marked).order_by("-pk").values_list("pk", flat=True)[:MOST])


def who_had(pieces: Collection[int]) -> Q:
    """Return the condition that an entry of a person has or had one of the pieces."""
    links = happened_links().filter(piece__in=pieces, holder__isnull=False)
    return Q(pk__in=links.values("holder"))


def why_known(people: Collection[Person], pieces: Collection[int]) -> list[Known]:
    """Return each person with their newest link to one of the pieces. One query.

    The people must be read with `merged`.
    """
    stands_for = {
        entry.pk: person.pk for person in people for entry in (person, *person.merged.all())
    }
    links = happened_links().filter(piece__in=pieces, holder__in=stands_for)
    newest = links.order_by().values("holder").annotate(newest=Max("pk")).values("newest")
    read = Custody.objects.filter(pk__in=newest).select_related("piece__custody", "entry")
    whose = {stands_for[link.holder_id or 0]: link for link in read.order_by("pk")}
    return [_known(person, whose.get(person.pk), stands_for) for person in people]


def _known(person: Person, link: Custody | None, stands_for: dict[int, int]) -> Known:
    now = link.piece.custody if link else None
    if link is None or now is None:
        return Known(person)
    is_mended = now.kind == Custody.Kind.REPAIR and now.holder_id is None
    is_theirs = stands_for.get(now.holder_id or 0) == person.pk
    return Known(person, link, is_theirs or (is_mended and link.position == now.position - 1))
