"""The air of the stores: readings, and the moisture content that wood comes to in it."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.db import transaction

from provenance.drying.models import ShopClimate, on_the_shelf, store_key
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe
from provenance.wood.moisture import equilibrium_moisture_content

#: Readings of the last year make the mean that a thick wall follows.
YEAR = timedelta(days=365)
#: So many different months make a year's mean; fewer are the mean of what was read.
_MONTHS_OF_A_YEAR = 9


class NoSuchAir(RecordError):
    """A reading that no store has, or that was changed already."""


@dataclass(frozen=True)
class Target:
    """The moisture content in per cent that wood comes to in a store, and what it is read from.

    The mean over `months` different months, of `count` readings from `first_on` to `last_on`,
    each month counting once; `low_pct` and `high_pct` are the driest and the dampest month.
    """

    store: str
    moisture_pct: float
    low_pct: float
    high_pct: float
    newest: ShopClimate
    newest_pct: float
    first_on: date
    last_on: date
    count: int
    months: int

    @property
    def is_of_a_year(self) -> bool:
        """Whether the readings are spread over the year."""
        return self.months >= _MONTHS_OF_A_YEAR


@transaction.atomic
def read_air(
    store: str,
    on: date,
    temperature_c: Decimal,
    humidity_pct: Decimal,
    scribe: Scribe,
    remark: str = "",
    *,
    corrects: ShopClimate | None = None,
    is_taken_back: bool = False,
) -> ShopClimate:
    """Write down the air of a store on a day.

    Raises `NoSuchAir` for a day to come, a store without a name, air outside -40 to 60 °C or 0 to
    100 %, and for correcting what was corrected already.
    """
    store = " ".join(store.split())
    if not store:
        raise NoSuchAir("Name the store: the loft, the garage, the shelf by the stove.")
    if on > scribe.today:
        raise NoSuchAir("That date is still to come. Enter the day on which you read it.")
    if not (-40 <= temperature_c <= 60 and 0 <= humidity_pct <= 100):
        raise NoSuchAir("Enter between -40 and 60 °C, and 0 to 100 % humidity.")
    if corrects:  # two who correct it at once: the second waits, and is told
        ShopClimate.objects.select_for_update().get(pk=corrects.pk)
    if corrects and ShopClimate.objects.filter(corrects=corrects).exists():
        raise NoSuchAir("Nothing changed: that reading was changed already. Look at the newest.")
    return ShopClimate.objects.create(
        store=store[:120],
        store_key=store_key(store),
        measured_on=on,
        temperature_c=temperature_c,
        humidity_pct=humidity_pct,
        remark=remark.strip()[:200],
        written_at=scribe.at,
        by=scribe.user,
        corrects=corrects,
        is_taken_back=is_taken_back,
    )


def correct(
    reading: ShopClimate,
    scribe: Scribe,
    *,
    store: str,
    on: date,
    temperature_c: Decimal,
    humidity_pct: Decimal,
    remark: str = "",
) -> ShopClimate:
    """Put a reading right by a row that corrects it. Raises as `read_air`."""
    return read_air(store, on, temperature_c, humidity_pct, scribe, remark, corrects=reading)


def take_back(reading: ShopClimate, scribe: Scribe) -> ShopClimate:
    """Take a reading back by a row that says so. Raises as `read_air`."""
    return read_air(
        reading.store,
        reading.measured_on,
        reading.temperature_c,
        reading.humidity_pct,
        scribe,
        reading.remark,
        corrects=reading,
        is_taken_back=True,
    )


def stores() -> list[str]:
    """Return the stores by name: those read, and those where pieces dry. Two queries."""
    read = ShopClimate.objects.standing().values_list("store", flat=True)
    kept = on_the_shelf().exclude(stored="").order_by("stored").values_list("stored", flat=True)
    names: dict[str, str] = {}
    for name in (*read, *kept.distinct()):
        names.setdefault(store_key(name), name)
    return [names[key] for key in sorted(names)]


def moisture_of(reading: ShopClimate) -> float:
    """Return the moisture content in per cent at which wood rests in the air of a reading."""
    return equilibrium_moisture_content(float(reading.temperature_c), float(reading.humidity_pct))


def target_of(store: str, today: date) -> Target | None:
    """Return what wood comes to in a store by its readings of the last year, or by its newest.

    None where its air was never read. One query.
    """
    readings = list(ShopClimate.objects.standing().of_store(store).filter(measured_on__lte=today))
    return _target(store, readings, today)


def targets(today: date) -> dict[str, Target]:
    """Return the target of each store whose air was read, by `store_key`. One query."""
    by_store: dict[str, list[ShopClimate]] = {}
    for reading in ShopClimate.objects.standing().filter(measured_on__lte=today):
        by_store.setdefault(reading.store_key, []).append(reading)
    found = {key: _target(read[0].store, read, today) for key, read in by_store.items()}
    return {key: target for key, target in found.items() if target}


def _target(store: str, readings: list[ShopClimate], today: date) -> Target | None:
    """The mean of the months' means, the newest reading first in `readings`."""
    if not readings:
        return None
    recent = [each for each in readings if each.measured_on > today - YEAR] or readings[:1]
    months: dict[tuple[int, int], list[float]] = {}
    for each in recent:
        month = (each.measured_on.year, each.measured_on.month)
        months.setdefault(month, []).append(moisture_of(each))
    means = [sum(values) / len(values) for values in months.values()]
    return Target(
        store=store,
        moisture_pct=sum(means) / len(means),
        low_pct=min(means),
        high_pct=max(means),
        newest=readings[0],
        newest_pct=moisture_of(readings[0]),
        first_on=recent[-1].measured_on,
        last_on=recent[0].measured_on,
        count=len(recent),
        months=len(months),
    )
