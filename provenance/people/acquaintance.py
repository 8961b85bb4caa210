"""Getting to know people: entering them, finding those already in the book, what they agreed to."""

from dataclasses import dataclass
from typing import Any

from django.db import transaction
from django.db.models import Q

from provenance.people.models import Person, same_name_or_mail
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe


@dataclass(frozen=True)
class Named:
    """Somebody as a form names them: by `pk`, or by name; `is_new` whatever the name."""

    pk: int | None = None
    name: str = ""
    phone: str = ""
    is_new: bool = False


def add_person(scribe: Scribe, **facts: Any) -> Person:
    """Enter somebody new. `facts` are fields of `Person`."""
    return Person.objects.create(created_at=scribe.at, **_with_consent_dates(facts, None, scribe))


@transaction.atomic
def amend_person(person: Person, values: dict[str, Any], scribe: Scribe) -> list[str]:
    """Write changed values and return the names of the fields that differ from the book's."""
    held = Person.objects.select_for_update().get(pk=person.pk)
    values = _with_consent_dates(values, held, scribe)
    changed = [name for name, value in values.items() if getattr(held, name) != value]
    for name in changed:
        setattr(held, name, values[name])
    if changed:
        held.save(update_fields=changed)
    return changed


@transaction.atomic
def same_person(named: Named, scribe: Scribe) -> Person | None:
    """Return the person that a form names, entering them when they are new; None for nobody.

    A name without a choice is the one person of that name in the book, unless the phone number
    typed beside it is another one than theirs. Of somebody entered twice it is the kept entry.
    """
    if named.pk is not None:
        person = _kept(named.pk)
        if person is None:
            raise RecordError("That person is not in the book: choose again.")
        return _with_phone(person, named.phone)
    if not named.name:
        return None
    known = None if named.is_new else _only_one(named)
    if known:
        return _with_phone(known, named.phone)
    return add_person(scribe, name=named.name, phone=named.phone)


def _kept(pk: int) -> Person | None:
    """Return the entry that stands for this person, under a lock: no merge comes in between.

    Not a lock on its key: a sale to the same person, which points to it, need not wait.
    """
    entries = Person.objects.select_for_update(no_key=True)
    entry = entries.filter(pk=pk).first()
    if entry and entry.merged_into_id:
        return entries.get(pk=entry.merged_into_id)
    return entry


def _with_phone(person: Person, phone: str) -> Person:
    """Write down a phone number that the book does not have of somebody yet."""
    if phone and not person.phone:
        person.phone = phone
        person.save(update_fields=["phone"])
    elif phone and digits(phone) != digits(person.phone) and phone not in person.notes:
        person.notes = f"{person.notes}\nAlso reached at {phone}.".strip()
        person.save(update_fields=["notes"])
    return person


def _only_one(named: Named) -> Person | None:
    namesakes = list(Person.objects.named(named.name)[:2])
    if len(namesakes) != 1:
        return None
    [known] = namesakes
    entries = Person.objects.filter(Q(pk=known.pk) | Q(merged_into=known)).exclude(phone="")
    theirs = {digits(phone) for phone in entries.values_list("phone", flat=True)}
    other_phone = named.phone and theirs and digits(named.phone) not in theirs
    return None if other_phone else _kept(known.pk)


def alike(name: str, mail: str, phone: str, *, besides: int | None = None) -> list[Person]:
    """Return people of the book with the same name, mail or phone, at most six. Two queries."""
    # With dashes, blanks or brackets a phone number is the same number: compared by its digits.
    dialled = digits(phone)
    phones = Person.objects.exclude(phone="").values_list("pk", "phone") if dialled else []
    same_phone = [pk for pk, kept in phones if digits(kept) == dialled]
    found = Person.objects.behind(same_name_or_mail(name, mail) | Q(pk__in=same_phone))
    return list(found.exclude(pk=besides or 0)[:6])


def digits(phone: str) -> str:
    """Return the digits of a phone number, by which two ways of writing it are compared."""
    return "".join(character for character in phone if character.isdigit())


def _with_consent_dates(
    facts: dict[str, Any], held: Person | None, scribe: Scribe
) -> dict[str, Any]:
    """Date each consent that is given, today unless a day is named; undate what is not."""
    dated = dict(facts)
    for consent in ("may_be_named", "may_be_written_to"):
        if consent not in dated:
            continue
        day = f"{consent}_on"
        given_before = held and getattr(held, consent) and getattr(held, day)
        on = dated.get(day) or given_before or scribe.today
        dated[day] = on if dated[consent] else None
    return dated
