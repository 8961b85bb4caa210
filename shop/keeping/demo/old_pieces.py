"""The demo's pieces from before the book: numbered late, their old marks kept."""

from typing import Any

from provenance.pieces import making
from provenance.pieces.models import Edge, Finish, Form, LossCause
from provenance.pieces.publishing import publish
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from shop.keeping.demo import script
from shop.keeping.demo.book import Book


def plan(book: Book) -> None:
    """Plan for each old piece to be entered on its day."""
    for table in script.read("old_pieces")["piece"]:
        _plan_old_piece(book, **table)


def _plan_old_piece(
    book: Book,
    *,
    ago: int,
    form: str,
    method: str,
    stage: str,
    edge: str = "",
    wood: str = "unknown",
    begun: str = "",
    dates: dict[str, str] | None = None,
    finish: str = "",
    lost: str = "",
    hands: str = "shop",
    holder: str = "",
    since: str = "",
    public: bool = False,
    for_sale: bool = False,
    **facts: Any,
) -> None:
    def enter(scribe: Scribe) -> None:
        past = making.Past(
            stage,
            dates={slug: book.calendar.when(words) for slug, words in (dates or {}).items()},
            finish=Finish.objects.get(slug=finish) if finish else None,
            loss_cause=LossCause.objects.get(slug=lost) if lost else None,
            custody=hands,
            holder=book.people[holder] if holder else None,
            since=_when(book, since),
        )
        facts["edge"] = Edge.objects.get(slug=edge) if edge else None
        shape = Form.objects.get(slug=form)
        sources = [book.source(wood)]
        piece = making.enter_old(
            scribe, shape, method, past, sources=sources, begun=_when(book, begun), **facts
        )
        if public:
            publish([piece], scribe)
        if for_sale:
            book.shelf.append(piece)

    book.calendar.plan(ago, enter)


def _when(book: Book, words: str) -> PartialDate | None:
    return book.calendar.when(words) if words else None
