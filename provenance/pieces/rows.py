"""Pieces as rows of a list: the mark, the name, the one figure that matters now, what is next."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from provenance.maker.models import Shop
from provenance.pieces.models import Custody, Piece, Stage
from provenance.pieces.story import size_of
from provenance.pieces.workflow import Move, next_move
from provenance.record.date_words import month_words
from provenance.record.money import format_money
from provenance.trees.models import Tree

AT_HAND = (Custody.Kind.SHOP, Custody.Kind.REPAIR)


@dataclass(frozen=True)
class Row:
    """What a list shows of one piece. `figure` is '' when there is nothing to tell."""

    piece: Piece
    tree: Tree | None
    size: str
    figure: str
    figure_words: str
    where: str
    next_move: Move | None


def in_turn(keys: Iterable[int]) -> list[Piece]:
    """Return the pieces with these keys in the order of the keys, read for `rows_of`.

    A long list is sorted and cut by its keys first: the database then sorts no whole rows.
    """
    wanted = list(keys)
    found = Piece.objects.for_lists().in_bulk(wanted)
    return [found[key] for key in wanted]


def rows_of(pieces: Iterable[Piece], shop: Shop, today: date) -> list[Row]:
    """Return a row for each piece read with `for_lists`. No query."""
    return [row_of(piece, shop, today) for piece in pieces]


def row_of(piece: Piece, shop: Shop, today: date) -> Row:
    """Return the row of one piece."""
    figure, words = figure_of(piece, shop, today)
    kind = piece.custody.kind if piece.custody else ""
    is_at_hand = kind in AT_HAND or piece.stage == Stage.LOST
    return Row(
        piece=piece,
        tree=piece.first_tree,
        size=_rough_or_finished_size(piece, shop),
        figure=figure,
        figure_words=words,
        where="" if is_at_hand or not piece.custody else piece.custody.get_kind_display(),
        next_move=next_move(piece),
    )


def figure_of(piece: Piece, shop: Shop, today: date) -> tuple[str, str]:
    """Return the one figure that matters at the piece's stage, and the words beside it."""
    if piece.stage == Stage.FINISHED:
        if piece.price_minor is None:
            return (
                ("no price", "")
                if piece.custody and piece.custody.kind in Custody.HELD
                else ("", "")
            )
        return format_money(piece.price_minor, shop.currency), ""
    if piece.stage_when is None or piece.stage_since is None:
        return "", ""
    if piece.stage == Stage.LOST:
        return month_words(piece.stage_when), ""
    beside = "on the shelf" if piece.stage == Stage.DRYING else ""
    if piece.stage_when.precision in ("year", "decade"):
        return f"since {piece.stage_when.spoken()}", beside
    return time_between(piece.stage_since, today), beside


def time_between(start: date, end: date) -> str:
    """Return "today", "5 days", "7 weeks", "19 months" or "4 years"."""
    days = max((end - start).days, 0)
    if days == 0:
        return "today"
    if days < 14:
        return _counted(days, "day")
    if days < 60:
        return _counted(round(days / 7), "week")
    months = round(days / 30.44)
    return _counted(months, "month") if months < 36 else _counted(months // 12, "year")


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"


def _rough_or_finished_size(piece: Piece, shop: Shop) -> str:
    """The finished size, or the rough one while there is no other."""
    size = size_of(piece, shop.length_unit)
    if size or not (piece.rough_diameter_mm or piece.rough_height_mm):
        return size
    rough = Piece(diameter_mm=piece.rough_diameter_mm, height_mm=piece.rough_height_mm)
    return f"rough {size_of(rough, shop.length_unit)}"
