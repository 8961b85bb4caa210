"""The desk of a hand-over: it opens with what was made, at the agreed price.

Where no piece was named it opens with a line in the words of the wish. The first piece added then
takes that line's place and price: otherwise the commission would be paid twice.
"""

from django.http import QueryDict

from provenance.maker.models import Shop
from provenance.record.scribe import Scribe
from shop.commissions import orders
from shop.commissions.entries import money
from shop.commissions.models import Commission
from shop.sales.forms.desk import Desk, Start
from shop.sales.models import Channel

#: What a desk is sent to add a piece.
ADDING = ("add_piece", "add_code")


def desk_of(commission: Commission, data: QueryDict | None, shop: Shop, scribe: Scribe) -> Desk:
    """Return the desk for what was sent, or a new one."""
    start = Start(
        orders.lines_of(commission), commission.person, commission.account, Channel.DIRECT
    )
    desk = Desk(data, shop=shop, scribe=scribe, start=start)
    if data is None or not any(name in data for name in ADDING) or desk.add_error or desk.offers:
        return desk
    taken = _in_its_place(desk)
    return Desk(taken, shop=shop, scribe=scribe, start=start) if taken else desk


def in_words(desk: Desk) -> int | None:
    """Return which line stands in the words of the wish for what was made; None where none does."""
    if any(sold.piece for sold in desk.start.lines):
        return None
    words = [sold.words for sold in desk.start.lines]
    for nth, line in enumerate(desk.lines):
        typed = {name: str(line[name].value() or "") for name in ("piece", "extra", "words")}
        if typed["words"] in words and not (typed["piece"] or typed["extra"]):
            return nth
    return None


def _in_its_place(desk: Desk) -> QueryDict | None:
    """Return what was sent with the piece just added in place of the words, at their price.

    None where another piece stands on it already, or the words stand for several things.
    """
    nth, pieces = in_words(desk), [line for line in desk.lines if line.piece_row]
    if nth is None or len(pieces) != 1 or str(desk.lines[nth]["quantity"].value() or 1) != "1":
        return None
    [added] = pieces
    code = added["piece"].value()
    data = QueryDict(mutable=True)
    data.update({name: value for name, value in desk.shown.items() if value is not None})
    for name in (*ADDING, "add"):
        data.pop(name, None)
    data["reckon"] = "1"
    data[desk.lines[nth].add_prefix("piece")] = code
    data[desk.lines[nth].add_prefix("words")] = ""
    data[added.add_prefix("gone")] = "on"
    return data


def other_price(desk: Desk, commission: Commission) -> int | None:
    """Return what the lines come to where that is not the agreed price; None where it is.

    As prices are typed: less discounts, without the tax that is added to them.
    """
    if desk.sums is None or commission.price_minor is None:
        return None
    lines = desk.sums.listed_minor - desk.sums.reckoning.discount_minor
    return None if lines == commission.price_minor else lines


def said_of(desk: Desk, commission: Commission) -> str:
    """Return a sentence where the lines come to another price than the agreed one, or ''."""
    other = other_price(desk, commission)
    if other is None or commission.price_minor is None:
        return ""
    return f" Its lines come to {money(other)}; agreed was {money(commission.price_minor)}."
