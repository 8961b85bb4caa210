"""A month's page as facts for its paper."""

from provenance.maker.models import Shop
from shop.books import paper
from shop.books.page import Breakdown, Cell, Compared, Page

RECORD_NOTE = (
    "What a piece is made of, and from which tree, is read from today's record: a corrected source "
    "corrects these tables, the money never changes. A piece of two woods, or from two trees, is "
    "counted once, under both names together."
)
TAX_NOTE = "Tax is no part of the net: whoever collected it hands it on."


def month_paper(page: Page, shop: Shop) -> paper.MonthPaper:
    """Return what a month's paper says. No query."""
    month = page.month
    rows = [_figures(row) for row in (*page.reckoning, *page.first[1:])]
    return paper.MonthPaper(
        shop_name=shop.name,
        month=month.words,
        heads=("", month.words, month.before.words, month.year_before.words),
        figures=tuple(rows),
        columns=tuple(page.columns) if page.has_year else (),
        picture_title=page.picture_title,
        breakdowns=tuple(_breakdown(b) for b in page.breakdowns if b.rows),
        notes=(*page.notes, TAX_NOTE, *([RECORD_NOTE] if not page.is_empty else [])),
    )


def _figures(row: Compared) -> tuple[str, ...]:
    mark = "= " if row.is_sum else ""
    return (mark + row.label, row.now.words, row.before.words, row.year_before.words)


def _breakdown(parted: Breakdown) -> paper.Breakdown:
    return paper.Breakdown(
        title=parted.title,
        heads=("", *parted.heads),
        rows=tuple((row.label, *(_shown(c) for c in row.cells)) for row in parted.rows),
        total=("Total", *(_shown(cell) for cell in parted.total)),
    )


def _shown(cell: Cell) -> str:
    return cell.words if cell.url else "–"
