"""Entering people, finding those already in the book, what they agreed to."""

from datetime import UTC, date, datetime

import pytest

from provenance.people.acquaintance import (
    Named,
    add_person,
    alike,
    amend_person,
    same_person,
)
from provenance.people.models import Person
from provenance.record.errors import RecordError
from tests.factories import a_person, a_scribe

pytestmark = pytest.mark.django_db


def test_consent_is_dated_today_unless_a_day_is_named() -> None:
    person = add_person(a_scribe(), name="Ada Quill", may_be_named=True, may_be_written_to=False)
    assert person.may_be_named_on == date(2026, 6, 15)
    assert person.may_be_written_to_on is None
    said = add_person(a_scribe(), name="Bo", may_be_named=True, may_be_named_on=date(2025, 1, 2))
    assert said.may_be_named_on == date(2025, 1, 2)


def test_consent_keeps_its_day_and_loses_it_when_taken_back() -> None:
    person = a_person(may_be_named=True, may_be_named_on=date(2025, 1, 2))
    later = a_scribe(at=datetime(2026, 7, 1, tzinfo=UTC))
    amend_person(person, {"may_be_named": True, "may_be_named_on": None}, later)
    person.refresh_from_db()
    assert person.may_be_named_on == date(2025, 1, 2)
    amend_person(person, {"may_be_named": False, "may_be_named_on": date(2025, 1, 2)}, later)
    person.refresh_from_db()
    assert not person.may_be_named
    assert str(person.may_be_named_on) == "None"
    assert person.name_in_public == ""


def test_amending_writes_only_what_differs() -> None:
    person = a_person(phone="555-0101")
    Person.objects.filter(pk=person.pk).update(notes="Written elsewhere")
    changed = amend_person(person, {"name": person.name, "phone": "555-0102"}, a_scribe())
    assert changed == ["phone"]
    person.refresh_from_db()
    assert (person.phone, person.notes) == ("555-0102", "Written elsewhere")


def test_nobody_named_is_nobody() -> None:
    assert same_person(Named(phone="555-0101"), a_scribe()) is None


def test_a_name_alone_is_the_one_person_of_that_name() -> None:
    elodie = a_person(name="Élodie Marchbank", phone="")
    assert same_person(Named(name="élodie marchbank", phone="555-0109"), a_scribe()) == elodie
    elodie.refresh_from_db()
    assert elodie.phone == "555-0109"


def test_another_phone_or_two_namesakes_make_somebody_new() -> None:
    first = a_person(name="Ada Quill", phone="555-0101")
    assert same_person(Named(name="Ada Quill", phone="(555) 0101"), a_scribe()) == first
    second = same_person(Named(name="Ada Quill", phone="555-0102"), a_scribe())
    third = same_person(Named(name="Ada Quill"), a_scribe())
    assert len({first, second, third}) == 3


def test_another_phone_of_somebody_chosen_is_noted_once() -> None:
    ada = a_person(phone="555-0101")
    for _ in range(2):
        same_person(Named(pk=ada.pk, name="Ada", phone="555-0102"), a_scribe())
    ada.refresh_from_db()
    assert (ada.phone, ada.notes) == ("555-0101", "Also reached at 555-0102.")


def test_somebody_not_in_the_book_is_refused() -> None:
    with pytest.raises(RecordError, match="choose again"):
        same_person(Named(pk=999), a_scribe())


def test_people_are_alike_by_name_mail_or_phone() -> None:
    name = a_person(name="Élodie Marchbank")
    mail = a_person(name="B", mail="Elodie@example.org")
    phone = a_person(name="C", phone="555-0134")
    a_person(name="Élodie Marchbanks", mail="else@example.org", phone="555-01345")
    found = alike("ÉLODIE MARCHBANK", "elodie@example.org", "(555) 0134")
    assert set(found) == {name, mail, phone}
    assert alike("Élodie Marchbank", "", "", besides=name.pk) == []
