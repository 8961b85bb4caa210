"""A shop with something of everything, and a word of its own in every private field.

The words are sought in whatever strangers can fetch. They are nonsense, so that none of them
stands there by chance.
"""

import io
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from PIL import Image

from provenance.drying import climate, rounds, weighing
from provenance.drying.models import Scale
from provenance.maker.models import Jaws, User
from provenance.people.models import Person
from provenance.pieces import custody, making, promises, publishing, workflow
from provenance.pieces.making import Past, Source
from provenance.pieces.models import (
    BoughtStock,
    Custody,
    Finish,
    Form,
    LossCause,
    Method,
    Part,
    Piece,
    PieceSet,
    Promise,
)
from provenance.record import journal
from provenance.record.album import add_photo
from provenance.record.models import Photo
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.trees import woods
from provenance.trees.models import Section, Tree
from shop.commissions import orders, wood
from shop.commissions.models import Commission
from shop.sales import undoing
from shop.sales.checkout import Sold
from shop.sales.models import Receipt, TaxRate, Terms
from shop.sales.paying import Paid
from shop.sales.reckoning import Off
from shop.sales.undoing import Wish
from tests import factories

#: Private fields on purpose left without a word: choices, keys and moments, not words.
COORDINATES = (Decimal("47.918273"), Decimal("-12.645381"))


@dataclass
class FullShop:
    """Everything that addresses need, and the words that no stranger may meet."""

    owner: User
    donor: Person
    buyer: Person
    tree: Tree
    section: Section
    stock: BoughtStock
    published: Piece
    unpublished: Piece
    lost: Piece
    promise: Promise
    photos: list[Photo]
    commission: Commission
    receipt: Receipt
    sentinels: list[str] = field(default_factory=list)


def a_telling_picture(word: str, colour: str) -> io.BytesIO:
    """A JPEG whose EXIF (artist and place) and comment carry `word`."""
    exif = Image.Exif()
    exif[0x013B] = word
    exif[0x8825] = {1: "N", 2: (47.0, 55.0, 5.8), 3: "W", 4: (12.0, 38.0, 43.4)}
    data = io.BytesIO()
    Image.new("RGB", (640, 480), colour).save(data, "JPEG", exif=exif, comment=word.encode())
    data.seek(0)
    return data


def a_commission(word: "Words", scribe: Scribe, person: Person, **facts: Any) -> Commission:
    """One that is ready, with a piece made for it, wood kept for it and a deposit held."""
    piece, section = facts.pop("piece"), facts.pop("section")
    commission = orders.ask(
        scribe, person, word("wished"), wood=word("wishedwood"), notes=word("wishnotes"), **facts
    )
    orders.agree(commission, 6543210, scribe, words=word("agreedwords"))
    wood.keep_wood(commission, scribe, sections=[section], pieces=[])
    wood.make_for_it(commission, [piece], scribe)
    paid = Paid(factories.a_kind("transfer"), 4321987, words=word("depositwords"))
    orders.take_deposit(commission, paid, scribe)
    orders.mark_ready(commission, scribe)
    commission.refresh_from_db()
    return commission


def a_sale(word: "Words", scribe: Scribe, sold: Piece, gone: Piece, buyer: Person) -> Receipt:
    """One receipt on which something is owed; beside it one that is void, one refunded in part."""
    Terms(tax_registration=word("registration"), receipt_words=word("receiptwords")).save()
    facts: dict[str, Any] = {
        "buyer": buyer,
        "gallery": Person.objects.create(name=word("galleryname"), created_at=scribe.at),
        "tax": TaxRate.objects.create(
            name=word("taxname"), rate_pct=Decimal("6.25"), since=date(2020, 1, 1)
        ),
        "off": Off(pct=Decimal(10)),
        "scribe": scribe,
    }

    def sell(*lines: Sold, **more: Any) -> Receipt:
        facts["place"], facts["words"] = word("place"), word("receiptnote")
        facts["off_words"] = word("discountwords")
        return factories.a_receipt(*lines, **facts, **more)

    void = sell(Sold(8765400, piece=gone), Sold(100, words=word("linewords")))
    undoing.void(void, word("voidreason"), scribe)
    refunded = sell(Sold(8765400, words=word("linewords")))
    undoing.refund(
        refunded, [Wish(refunded.lines.get(), 50)], word("refundreason"), scribe,
        kind=factories.a_kind("check"),
    )  # fmt: skip
    paid = Paid(factories.a_kind(), 12345, words=word("paidwords"))
    return sell(Sold(8765400, piece=sold), Sold(100, words=word("linewords")), payments=[paid])


class Words:
    """Makes sentinel words and remembers them."""

    def __init__(self) -> None:
        self.made: list[str] = []

    def __call__(self, name: str) -> str:
        word = f"zq{name}{len(self.made):02d}qz"
        self.made.append(word)
        return word


def a_person(word: Words, who: str) -> Person:
    return Person.objects.create(
        name=word(f"{who}name"),
        mail=f"{word(f'{who}mail')}@example.org",
        phone=word(f"{who}phone"),
        address=word(f"{who}address"),
        notes=word(f"{who}notes"),
        public_name=word(f"{who}publicname"),
        may_be_named=False,
        created_at=factories.NOW,
    )


def weigh(word: "Words", scribe: Scribe, pieces: list[Piece]) -> None:
    """Weigh each in a round, and read the air of their store."""
    scale = Scale.objects.create(name=word("scalename"), step_g=1)
    for piece in pieces:
        weighing.weigh(
            piece, Decimal(2345), scribe, on=scribe.today, scale=scale, words=word("weighedwords")
        )
    rounds.start("", scribe)
    air = (scribe.today, Decimal(18), Decimal(55), scribe, word("airremark"))
    climate.read_air(word("airstore"), *air)


def open_shop() -> FullShop:
    """Build it by the app's own functions."""
    word = Words()
    factories.a_shop(
        name="Saltmarsh Lane Turnery",
        public_url="https://saltmarsh.example.org",
        public_words="One lathe, one pair of hands.",
    )
    owner = factories.an_owner(username=word("username"), email=f"{word('ownermail')}@example.org")
    scribe = factories.a_scribe(owner)
    Jaws.objects.create(name=word("jawsname"), smallest_mm=50, largest_mm=65)
    own = {"mc_green_sapwood_pct": Decimal(90)}
    woods.write_figures("bigleaf-maple", own, word("figuresource"), scribe)
    donor, buyer = a_person(word, "donor"), a_person(word, "buyer")
    tree = factories.a_tree(
        scribe,
        story="It shaded the ferry landing.",
        cause_words="the March gale",
        collected=PartialDate("2023-04-02"),
        private_address=word("treeaddress"),
        latitude=COORDINATES[0],
        longitude=COORDINATES[1],
        felled_by=word("felledby"),
        donor=donor,
        permission=word("permission"),
        promised=word("treepromised"),
        hardware="found",
        hardware_words=word("hardware"),
        movement_asked=word("movementasked"),
        movement_asked_of=word("movementof"),
        notes=word("treenotes"),
    )
    section = factories.a_section(
        tree, scribe, position=word("position"), stored=word("sectionstored"),
        notes=word("sectionnotes"),
    )  # fmt: skip
    stock = factories.some_stock(
        scribe,
        name=word("stockname"),
        supplier=buyer,
        invoice=word("invoice"),
        cost_minor=98765,
        origin_claim=word("originclaim"),
        listed_scientific_name=word("listedname"),
        listed_country=word("listedcountry"),
        listed_permit=word("permit"),
        notes=word("stocknotes"),
    )
    pieces = making.make(
        scribe,
        Form.objects.get(slug="vase"),
        Method.TWICE,
        [Source(section, Part.Role.BODY), Source(stock, Part.Role.NECK)],
        count=3,
        words=word("madewords"),
        notes=word("piecenotes"),
        stored=word("piecestored"),
        price_minor=7654300,
        diameter_mm=180,
        height_mm=320,
        piece_set=PieceSet.objects.create(name=word("set")),
    )
    finish = Finish.objects.get(slug="oil-beeswax")
    for move in [m for m in workflow.METHODS[Method.TWICE] if m.is_onward]:
        workflow.move(
            pieces[:2], move.slug, scribe, finish=finish, lot=word("lot"),
            words=word(f"moved{move.slug.replace('-', '')}"), minutes=7531,
        )  # fmt: skip
        if move.slug == "rough":
            weigh(word, scribe, pieces[:2])
    published, unpublished, lost = pieces
    published.refresh_from_db()
    unpublished.refresh_from_db()
    journal.write(published.journal, "note", scribe, words=word("note"))
    journal.write(tree.journal, "note", scribe, words=word("treenote"))
    workflow.lose([lost], LossCause.objects.get(slug="cracked"), scribe, words=word("losswords"))
    custody.hand_over(
        [published], Custody.Kind.BUYER, scribe, holder=buyer,
        why=word("why"), reason=word("reason"),
    )  # fmt: skip
    old = making.enter_old(
        scribe,
        Form.objects.get(slug="bowl"),
        Method.SINGLE,
        Past("finished", {"turn-green": PartialDate("2009~"), "finish": None}),
        old_mark="No. 14",
    )
    promise = promises.make(
        scribe, word("promise"), tree=tree, to=donor, sections=[section], made_on=date(2026, 1, 2)
    )
    photos = [
        add_photo(thing.journal, a_telling_picture(word("exif"), colour), scribe, is_public=public)
        for thing, colour, public in (
            (published, "sienna", True), (tree, "tan", True), (published, "peru", False),
            (unpublished, "wheat", True), (section, "bisque", True),
        )
    ]  # fmt: skip
    for photo in photos[2:]:
        Photo.objects.filter(pk=photo.pk).update(caption=word("caption"))
    publishing.publish([published, old], scribe, words=word("publishwords"))
    commission = a_commission(word, scribe, donor, tree=tree, section=section, piece=unpublished)
    receipt = a_sale(word, scribe, published, old, buyer)
    return FullShop(
        owner, donor, buyer, tree, section, stock, published, unpublished, lost, promise, photos,
        commission, receipt,
        [*word.made, "47.918273", "12.645381", "98765", "987.65", "76543", "76,543", "7531",
         "65432", "65,432", "43219", "43,219", "87654", "87,654"],
    )  # fmt: skip
