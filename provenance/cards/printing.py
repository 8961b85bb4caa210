"""Printing: laying pieces out on a sheet, changing that, and making the sheet.

Making a sheet with codes opens the public pages that the codes lead to. Making one without
codes, and looking at a trial, opens nothing.
"""

from collections.abc import Iterable, Sequence

from django.db import transaction
from django.db.models import Max

from provenance.cards.kinds import PRICE_LIST, Kind
from provenance.cards.layout import NoSuchCell
from provenance.cards.models import PrintedPiece, PrintRun
from provenance.cards.price_list import counted
from provenance.cards.qr import usable_public_url, why_no_qr
from provenance.maker.models import Shop
from provenance.pieces import publishing
from provenance.pieces.models import Piece
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe

#: One sheet holds no more: ten or more pages of the smallest labels.
MOST_PIECES = 1000


class NothingChosen(RecordError):
    """No piece is chosen, or none would be left."""


class TooMany(RecordError):
    """More pieces than one run takes."""


class NoSuchSheet(RecordError):
    """What is printed does not go on this sheet."""


class NoCodes(RecordError):
    """The sheet cannot carry codes."""


class NotAnnounced(RecordError):
    """Making the sheet would publish other pieces than the page said."""


@transaction.atomic
def prepare(
    kind: str,
    pieces: Sequence[Piece],
    scribe: Scribe,
    *,
    sheet: str = "",
    first_cell: int = 0,
    heading: str = "",
) -> PrintRun:
    """Lay `pieces` out in their order, on the sheet usual for the shop's paper unless said.

    `kind` is the name of one of `kinds.KINDS`; `first_cell` counts from 0. Nothing is published.
    Raises `NothingChosen`, `TooMany`, `NoSuchSheet` or `NoSuchCell`.
    """
    what = Kind.of(kind)
    run = PrintRun(
        kind=kind,
        sheet=sheet or what.first_sheet(Shop.current().paper),
        first_cell=first_cell,
        heading=heading,
        created_at=scribe.at,
        by=scribe.user,
    )
    _check_layout(run)
    chosen = list({piece.pk: piece for piece in pieces}.values())
    if not chosen:
        raise NothingChosen("Nothing is chosen: tick at least one piece to print.")
    run.save()
    _append(run, chosen)
    return run


@transaction.atomic
def change(run: PrintRun, *, sheet: str, first_cell: int = 0, heading: str = "") -> PrintRun:
    """Lay the run out anew. A sheet that was made has to be made again when this alters it."""
    run = _locked(run)
    if (run.sheet, run.first_cell, run.heading) == (sheet, first_cell, heading):
        return run
    run.sheet, run.first_cell, run.heading = sheet, first_cell, heading
    _check_layout(run)
    return _reopened(run, "sheet", "first_cell", "heading")


@transaction.atomic
def add(run: PrintRun, pieces: Sequence[Piece]) -> PrintRun:
    """Add those of `pieces` that are not in the run yet, behind the others."""
    run = _locked(run)
    present = set(run.printed.values_list("piece", flat=True))
    new = [p for p in {piece.pk: piece for piece in pieces}.values() if p.pk not in present]
    if not new:
        return run
    _append(run, new)
    return _reopened(run)


@transaction.atomic
def remove(run: PrintRun, piece: Piece) -> PrintRun:
    """Take a piece out of the run; harmless when it is out already."""
    run = _locked(run)
    place = run.printed.filter(piece=piece)
    if not place.exists():
        return run
    if run.printed.count() == 1:
        raise NothingChosen("This is the last piece here: add another before you take it out.")
    place.delete()
    return _reopened(run)


@transaction.atomic
def issue(
    run: PrintRun, scribe: Scribe, *, with_codes: bool, announced: int | None = None
) -> PrintRun:
    """Make the sheet. With codes, the pieces' public pages open and the address is kept.

    Each piece's journal says that it was printed and where its code leads. Made the same way
    again, nothing more happens. `announced` is how many pieces the page said would be published:
    when it would be another number, `NotAnnounced` is raised. Raises `NoCodes` when the sheet
    cannot carry any.
    """
    run = _locked(run)
    address = _address_of_codes(run) if with_codes else ""
    pieces = list(run.in_order().select_related("journal"))
    closed = [piece for piece in pieces if not piece.is_published] if with_codes else []
    if run.is_issued and run.public_url == address and not closed:
        return run
    if with_codes and announced is not None and len(closed) != announced:
        raise NotAnnounced(
            f"Something changed since this page was opened: with codes it would now publish "
            f"{counted(len(closed))}. Nothing is made yet; look below and press again."
        )
    publishing.publish(closed, scribe, words="Public page opened, for its code was printed.")
    run.issued_at, run.public_url = scribe.at, address
    run.save(update_fields=["issued_at", "public_url"])
    for piece in pieces:
        _write(run, piece, scribe)
    return run


def why_no_codes(run: PrintRun, shop: Shop) -> str:
    """Return why the run's sheet goes without codes, in a sentence; '' when it can carry them.

    Kinds that never carry a code need no reason: ask `run.what.may_have_codes` first.
    """
    address = why_no_qr(shop.public_address)
    if address:
        return address
    if not run.what.codes_fit(run.sheet, shop.public_address):
        labels = "labels" if run.layout and run.layout.kind == "label" else "cards"
        return (
            f"No QR code is printed, because these {labels} are too small for one that every "
            "phone can read."
        )
    return ""


def _address_of_codes(run: PrintRun) -> str:
    shop = Shop.current()
    if not run.what.may_have_codes:
        raise NoCodes(f"A {run.what.one} carries no code.")
    reason = why_no_codes(run, shop)
    address = usable_public_url(shop.public_address)
    if reason or address is None:
        raise NoCodes(reason)
    return address


def _locked(run: PrintRun) -> PrintRun:
    return PrintRun.objects.select_for_update().get(pk=run.pk)


def _check_layout(run: PrintRun) -> None:
    if run.sheet not in run.what.sheets:
        raise NoSuchSheet(f"A {run.what.one} does not go on this sheet: choose one from the list.")
    cells = run.layout.per_page if run.layout else 1
    if not 0 <= run.first_cell < cells:
        raise NoSuchCell(f"This sheet has {cells} places: choose the first free one of them.")


def _append(run: PrintRun, pieces: Iterable[Piece]) -> None:
    last = run.printed.aggregate(last=Max("position"))["last"]
    start = 0 if last is None else last + 1
    places = [
        PrintedPiece(run=run, piece=piece, position=position)
        for position, piece in enumerate(pieces, start=start)
    ]
    if run.printed.count() + len(places) > MOST_PIECES:
        raise TooMany(
            f"One print takes up to {MOST_PIECES} pieces: narrow the choice and print the rest "
            "after it."
        )
    PrintedPiece.objects.bulk_create(places)


def _reopened(run: PrintRun, *changed: str) -> PrintRun:
    """Save what changed; what was made before no longer is this run's sheet."""
    run.issued_at, run.public_url = None, ""
    run.save(update_fields=[*changed, "issued_at", "public_url"])
    return run


def _write(run: PrintRun, piece: Piece, scribe: Scribe) -> None:
    """Note in the piece's journal that it was printed, and where its code leads."""
    if run.kind == PRICE_LIST.slug:
        words = "Put on a price list."
    elif run.has_codes:
        address = f"{run.public_url}/P/{piece.code}"
        words = f"{_raised(run.what.one)} made, its code leading to {address}."
    elif run.what.may_have_codes:
        words = f"{_raised(run.what.one)} made, without a code."
    else:
        words = f"{_raised(run.what.one)} made."
    journal.write(
        piece.journal,
        JournalEntry.Kind.PRINTED,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=words,
    )


def _raised(words: str) -> str:
    return words[:1].upper() + words[1:]
