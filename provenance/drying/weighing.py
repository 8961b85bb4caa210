"""Weighing a piece: what is asked about first, writing it down, taking it back."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db import transaction

from provenance.drying import outlooks
from provenance.drying.models import AT_HAND, Outlook, Scale, Weighing
from provenance.maker.models import Shop
from provenance.pieces.models import Piece, Stage
from provenance.record import journal
from provenance.record.errors import RecordError
from provenance.record.models import JournalEntry
from provenance.record.partial_dates import PartialDate
from provenance.record.scribe import Scribe
from provenance.record.units import format_mass

#: Stages at which a piece is weighed: while it dries, and once it is dry.
WEIGHED = (Stage.DRYING, Stage.DRY)
LIGHTEST_G, HEAVIEST_G = Decimal("0.5"), Decimal(500_000)
#: A gain in mass of more than this part is asked about: a damp month gives a per cent or two.
_GAIN = Decimal("0.03")
#: A loss is asked about that is so many times as fast as the piece lost lately, and so large.
_TIMES_AS_FAST, _LARGE_LOSS = Decimal(2), Decimal("0.05")
#: Lately is the last time of so many days or more: what dries slows down, so the fast weeks of the
#: beginning excuse no loss later on, and two weighings in a row say little.
_LATELY_DAYS = 14
#: A first loss is asked about where it is more than this part of the mass a day.
_FIRST_LOSS_A_DAY = Decimal("0.03")


class NotWeighed(RecordError):
    """The piece is not one that is weighed now, or the mass is none."""


class TakenBackAlready(RecordError):
    """The weighing was taken back before."""


@transaction.atomic
def weigh(
    piece: Piece,
    mass_g: Decimal,
    scribe: Scribe,
    *,
    on: date,
    scale: Scale | None = None,
    words: str = "",
) -> Weighing:
    """Write down a weighing in grams, to a tenth, and renew the piece's forecast.

    Raises as `write_down`.
    """
    weighing = write_down(piece, mass_g, scribe, on=on, scale=scale, words=words)
    outlooks.renew(weighing.piece, scribe)
    return weighing


@transaction.atomic
def write_down(
    piece: Piece,
    mass_g: Decimal,
    scribe: Scribe,
    *,
    on: date,
    scale: Scale | None = None,
    words: str = "",
) -> Weighing:
    """Write down a weighing, one of many: the forecast waits for `outlooks.renew`.

    Raises `NotWeighed` where the piece doesn't dry in the shop or the mass is out of range,
    `RecordError` for a day still to come.
    """
    [piece] = Piece.objects.locked([piece])
    if piece.stage not in WEIGHED or piece.custody is None or piece.custody.kind not in AT_HAND:
        where = f", {piece.custody}" if piece.custody else ""
        raise NotWeighed(
            f"{piece.number} is {piece.get_stage_display()}{where}: only pieces that dry in the "
            "shop are weighed. Check the number."
        )
    mass = mass_g.quantize(Decimal("0.1"))
    if not LIGHTEST_G <= mass <= HEAVIEST_G:
        raise NotWeighed("Weigh it again: the book takes masses from 0.5 g to 500 kg.")
    said = f"Weighed: {_plain(mass)} g."
    entry = journal.write(
        piece.journal,
        JournalEntry.Kind.WEIGHED,
        scribe,
        happened=PartialDate.of(on),
        words=" ".join(filter(None, [said, words.strip()])),
    )
    return Weighing.objects.create(
        piece=piece, entry=entry, mass_g=mass, weighed_on=on, scale=scale
    )


@transaction.atomic
def take_back(weighing: Weighing, scribe: Scribe, words: str = "") -> JournalEntry:
    """Take a weighing back by an entry that corrects its own, and renew the forecast.

    Raises `TakenBackAlready` the second time.
    """
    [piece] = Piece.objects.locked([weighing.piece])
    if JournalEntry.objects.filter(corrects=weighing.entry_id).exists():
        raise TakenBackAlready("Nothing changed: that weighing was taken back before.")
    said = f"Taken back: weighed {_plain(weighing.mass_g)} g on {weighing.weighed_on.isoformat()}."
    entry = journal.write(
        piece.journal,
        JournalEntry.Kind.CORRECTION,
        scribe,
        happened=PartialDate.of(scribe.today),
        words=" ".join(filter(None, [said, words.strip()])),
        corrects=weighing.entry,
    )
    outlooks.renew(piece, scribe)
    return entry


@transaction.atomic
def work_out_again(piece: Piece, scribe: Scribe) -> Outlook | None:
    """Renew the forecast of a piece whose wall, day of roughing or siblings are known better."""
    [piece] = Piece.objects.locked([piece])
    return outlooks.renew(piece, scribe)


def questions(
    piece: Piece,
    mass_g: Decimal,
    on: date,
    *,
    shop: Shop,
    neighbours: Iterable[Piece] = (),
) -> list[str]:
    """Return a sentence for each thing about this weighing that can hardly be; [] if none.

    `neighbours` are pieces whose number may have been meant, such as those weighed just before.
    Three queries.
    """
    weighings = list(Weighing.objects.standing().filter(piece=piece))
    before = [each for each in weighings if each.weighed_on <= on]
    asked = [_before_roughing(piece, on), _twice(weighings, mass_g, on, shop)]
    if before:
        asked += [_against_last(before, mass_g, on, shop), _neighbours(before, mass_g, neighbours)]
    return [sentence for sentence in asked if sentence]


def _twice(weighings: list[Weighing], mass_g: Decimal, on: date, shop: Shop) -> str:
    """Whether the very weighing is in the book: the page was opened again and sent again."""
    mass = mass_g.quantize(Decimal("0.1"))
    if not any((each.weighed_on, each.mass_g) == (on, mass) for each in weighings):
        return ""
    return f"{_shown(mass_g, shop)} is written down for that day already. Was it weighed again?"


def _before_roughing(piece: Piece, on: date) -> str:
    roughed = outlooks.roughed_on(piece)
    if roughed is None or on >= roughed:
        return ""
    return (
        f"{piece.number} was roughed out on {PartialDate.of(roughed).spoken()}, after that day: a "
        "weighing from before it tells nothing of how the wall dries. Is the day right?"
    )


def _against_last(before: list[Weighing], mass_g: Decimal, on: date, shop: Shop) -> str:
    last = before[-1]
    change = (mass_g - last.mass_g) / last.mass_g
    now, then = _shown(mass_g, shop), _shown(last.mass_g, shop)
    since = PartialDate.of(last.weighed_on).spoken()
    if change > _GAIN:
        return (
            f"That is {_percent(change)} more than the {then} of {since}. Wood on the shelf hardly "
            f"gains so much: is it this piece, and {now}?"
        )
    days = max((on - last.weighed_on).days, 1)
    a_day = -change / days
    lately = _lately(before)
    limit = _FIRST_LOSS_A_DAY if lately is None else max(lately * _TIMES_AS_FAST, Decimal(0))
    if -change > _LARGE_LOSS and a_day > limit:
        return (
            f"That is {_percent(-change)} less than the {then} of {since}, much faster than it "
            f"lost before: is it this piece, and {now}? If so, look for checks."
        )
    return ""


def _lately(weighings: list[Weighing]) -> Decimal | None:
    """The part of its mass that it lost a day lately; None with one weighing."""
    *earlier, last = weighings
    if not earlier:
        return None
    apart = [one for one in earlier if (last.weighed_on - one.weighed_on).days >= _LATELY_DAYS]
    one = apart[-1] if apart else earlier[0]
    days = max((last.weighed_on - one.weighed_on).days, 1)
    return (one.mass_g - last.mass_g) / one.mass_g / days


def _neighbours(before: list[Weighing], mass_g: Decimal, neighbours: Iterable[Piece]) -> str:
    """Whether the mass is another piece's: nearly its last, and far from this one's own."""
    own = before[-1]
    away = abs(mass_g - own.mass_g) / own.mass_g
    if away <= _LARGE_LOSS:
        return ""
    others = [each.pk for each in neighbours if each.pk != own.piece_id]
    outlooks_of = Outlook.objects.filter(piece__in=others, last_mass_g__isnull=False)
    for outlook in outlooks_of.select_related("piece").order_by("piece"):
        last = outlook.last_mass_g
        if last and abs(mass_g - last) / last <= Decimal("0.01"):
            return f"That is what {outlook.piece.number} weighed last: is it the right number?"
    return ""


def _percent(part: Decimal) -> str:
    return f"{100 * part:.0f} %"


def _shown(mass_g: Decimal, shop: Shop) -> str:
    return format_mass(mass_g, shop.mass_unit)


def _plain(mass_g: Decimal) -> str:
    return f"{mass_g.normalize():f}"
