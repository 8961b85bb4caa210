"""The cast of the tests: made by the app's own functions, with no surprises."""

import io
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from PIL import Image

from provenance.maker.models import Shop, User
from provenance.people.models import Person
from provenance.pieces import making, workflow
from provenance.pieces.making import Source
from provenance.pieces.models import Finish, Form, LossCause, Method, Piece
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.trees import register
from provenance.trees.models import BoughtStock, Cause, Section, Tree
from shop.sales import checkout
from shop.sales.checkout import Draft, Sold
from shop.sales.models import PaymentKind, Receipt
from shop.sales.paying import Paid

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)


def a_shop(**facts: Any) -> Shop:
    """The shop, in millimetres, dollars and UTC."""
    shop = Shop(**{"name": "Saltmarsh Lane Turnery", "place": "Hollin Ferry", **facts})
    shop.save()
    return shop


def an_owner(**facts: Any) -> User:
    given = {"username": "owner", "password": "a long invented one", **facts}
    return User.objects.create_user(**given)


def a_scribe(user: User | None = None, at: datetime = NOW) -> Scribe:
    return Scribe(user=user, at=at, zone=ZoneInfo("UTC"))


def a_person(**facts: Any) -> Person:
    return Person.objects.create(**{"name": "Ada Quill", "created_at": NOW, **facts})


def a_tree(scribe: Scribe | None = None, **facts: Any) -> Tree:
    """A bigleaf maple of 90 rings that a storm brought down in March 2023."""
    given = {
        "species_slug": "bigleaf-maple",
        "certainty": "sure",
        "public_place": "Hollin Ferry",
        "ring_count": 90,
        "cause": Cause.objects.get(slug="storm"),
        "felled": PartialDate("2023-03"),
        **facts,
    }
    return register.register_tree(scribe or a_scribe(), **given)


def a_section(tree: Tree | None = None, scribe: Scribe | None = None, **facts: Any) -> Section:
    return register.add_section(tree or a_tree(scribe), scribe or a_scribe(), **facts)


def some_stock(scribe: Scribe | None = None, **facts: Any) -> BoughtStock:
    given = {"name": "Cocobolo pen blanks", "species_words": "cocobolo", "certainty": "sure"}
    return register.add_stock(scribe or a_scribe(), **{**given, **facts})


def some_pieces(count: int = 1, scribe: Scribe | None = None, **facts: Any) -> list[Piece]:
    """Blanks: salad bowls to be turned twice, from one section, unless said otherwise."""
    form = facts.pop("form", "salad-bowl")
    method = facts.pop("method", Method.TWICE)
    source = facts.pop("source", None) or a_section(scribe=scribe)
    return making.make(
        scribe or a_scribe(),
        Form.objects.get(slug=form),
        method,
        [Source(source)],
        count=count,
        **facts,
    )


def a_piece(stage: str = "blank", scribe: Scribe | None = None, **facts: Any) -> Piece:
    """One piece, brought to `stage` by its own moves."""
    scribe = scribe or a_scribe()
    [piece] = some_pieces(1, scribe, **facts)
    if stage == "lost":
        workflow.lose([piece], LossCause.objects.get(slug="cracked"), scribe)
    else:
        onward = [m for m in workflow.METHODS[piece.method] if m.is_onward]
        for move in onward[: workflow.stages_of(piece.method).index(stage)]:
            finish = Finish.objects.get(slug="oil-beeswax")
            workflow.move([piece], move.slug, scribe, finish=finish)
    piece.refresh_from_db()
    return piece


def a_picture(colour: str = "sienna", size: tuple[int, int] = (640, 480)) -> io.BytesIO:
    """A plain JPEG."""
    data = io.BytesIO()
    Image.new("RGB", size, colour).save(data, "JPEG")
    data.seek(0)
    data.name = "picture.jpg"
    return data


def a_kind(slug: str = "cash") -> PaymentKind:
    """A way of being paid: cash, card, transfer or check."""
    return PaymentKind.objects.get(slug=slug)


def a_sale(*sold: Piece | Sold, **facts: Any) -> Draft:
    """A sale to be: pieces at $100 each, or one blank; today, without tax, paid in cash."""
    lines = [Sold(10_000, piece=what) if isinstance(what, Piece) else what for what in sold]
    given = {"sold_on": NOW.date(), "payments": [Paid(a_kind())], **facts}
    return Draft(lines or [Sold(10_000, piece=some_pieces()[0])], **given)


def a_receipt(*sold: Piece | Sold, scribe: Scribe | None = None, **facts: Any) -> Receipt:
    """A sale that was made; see `a_sale`."""
    return checkout.sell(a_sale(*sold, **facts), scribe or a_scribe())
