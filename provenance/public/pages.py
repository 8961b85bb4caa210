"""What public pages may know: gathered here and nowhere else, so that it can be read at a glance.

Templates of the public side get these dictionaries, never a donor, holder, price or note.
"""

from typing import Any

from django.core.paginator import Paginator

from provenance.drying.oval import words_for_buyer
from provenance.maker.models import Shop
from provenance.pieces import story
from provenance.pieces.care import care_of
from provenance.pieces.models import Custody, Piece, Stage
from provenance.record.models import Photo
from provenance.record.numbers import Number
from provenance.trees.models import Tree
from provenance.trees.story import downfall, introduction, summary

#: How many of a tree's pieces one page names.
PER_PAGE = 100


def piece_page(number: Number, shop: Shop, *, unpublished_too: bool) -> dict[str, Any] | None:
    """Return what a piece's public page says; None when there is no such page."""
    pieces = Piece.objects.for_lists() if unpublished_too else Piece.objects.for_lists().published()
    piece = pieces.filter(code=number.code).first()
    if piece is None:
        return None
    trees = [_tree_words(tree) for tree in piece.trees.all()]
    photos = list(piece.journal.photos.public())
    return {
        "number": number,
        "code": number.code,
        "title": piece.what,
        "subtitle": story.subtitle(piece, shop),
        "words": piece.public_words,
        "is_published": piece.is_published,
        "is_for_sale": may_be_sold(piece),
        "trees": trees,
        "bought": [stock.species_name for stock in piece.stocks.all()],
        "events": story.timeline(piece, shop.length_unit),
        "facts": _facts(piece, shop),
        "care": care_of(piece),
        "first_photo": photos[0] if photos else None,
        "more_photos": [*photos[1:], *(photo for tree in trees for photo in tree["photos"])],
    }


def may_be_sold(piece: Piece) -> bool:
    """Return whether the shop still has the piece to hand over: the owner is offered to sell it."""
    is_held = piece.custody is not None and piece.custody.kind in Custody.HELD
    return is_held and piece.stage == Stage.FINISHED


def _facts(piece: Piece, shop: Shop) -> list[tuple[str, str]]:
    finishes = story.finish_names(piece)
    rows = (
        ("Size", story.size_in_both(piece, shop.length_unit)),
        ("Wood", _woods(piece)),
        ("Shape", words_for_buyer(piece, shop)),
        ("Grain", piece.get_grain_display().capitalize() if piece.grain else ""),
        ("Edge", piece.edge.name if piece.edge else ""),
        ("Decoration", piece.decoration),
        ("Finish", finishes[:1].upper() + finishes[1:]),
        ("Older mark", piece.old_mark),
    )
    return [(label, words) for label, words in rows if words]


def _woods(piece: Piece) -> str:
    sources = [*piece.trees.all(), *piece.stocks.all()]
    names = dict.fromkeys(source.species_phrase for source in sources if source.species_name)
    return " and ".join(names) or piece.wood_words


def _tree_words(tree: Tree) -> dict[str, Any]:
    return {
        "tree": tree,
        "code": tree.code,
        "number": tree.number,
        "name": tree.species_name,
        "introduction": introduction(tree),
        "downfall": downfall(tree),
        "summary": summary(tree),
        "story": tree.story,
        "photos": list(tree.journal.photos.public()),
    }


def tree_page(number: Number, *, unpublished_too: bool, page: str = "") -> dict[str, Any] | None:
    """Return what a tree's public page says; None unless a piece of it has a page.

    `page` says which of the pages that a great many pieces fill.
    """
    trees = Tree.objects.select_related("cause", "journal").filter(code=number.code)
    if not unpublished_too:
        # In the one query that finds it: a tree without a page takes as long as one that never was.
        trees = trees.filter(pieces__in=Piece.objects.published()).distinct()
    tree = trees.first()
    if tree is None:
        return None
    paginator = Paginator(tree.pieces.published().for_lists().order_by("pk"), PER_PAGE)
    shown = paginator.get_page(page)
    return {
        **_tree_words(tree),
        "page": shown,
        "pieces": shown.object_list,
        "piece_count": paginator.count,
        "is_published": bool(paginator.count),
    }


def is_on_public_page(photo: Photo) -> bool:
    """Return whether a stranger may fetch the photo: public, of a published piece or its tree."""
    if not photo.is_public or photo.hidden_at:
        return False
    published = Piece.objects.published()
    return (
        published.filter(journal=photo.journal_id).exists()
        or published.filter(trees__journal=photo.journal_id).exists()
    )
