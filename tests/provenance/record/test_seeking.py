"""Looking for words, capitals or not, on either database."""

import pytest

from provenance.people.models import Person
from provenance.record.seeking import LONGEST, exactly, holding, naming, sought
from tests.factories import a_person

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("text", ["élodie", "ÉLODIE", "(the", ".", "+", "  É", "mill)"])
def test_words_are_found_in_any_case_and_as_they_are(text: str) -> None:
    person = a_person(name="Élodie (the old mill) + Co.")
    a_person(name="Ada Quill")
    assert list(Person.objects.filter(holding("name", sought(text)))) == [person]


@pytest.mark.parametrize("text", ["old ÉLODIE mill", "odie é", "È", "élodie mil_"])
def test_letters_beside_foreign_ones_count_too(text: str) -> None:
    a_person(name="Élodie (the old mill)")
    assert not Person.objects.filter(holding("name", sought(text))).exists()


@pytest.mark.parametrize("text", [".*", "[A-Z]", "^A", "A|E", "\\w", "%"])
def test_no_character_is_a_wild_card(text: str) -> None:
    a_person(name="Ada Quill")
    assert not Person.objects.filter(holding("name", sought(text))).exists()


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("zoe", ["mill", "ford"]),
        ("ZOE QUILL", ["mill", "ford"]),
        ("zoë", ["mill"]),
        ("Zoe QUÍLL", ["ford"]),
        ("ŠIŠKOVA", ["ford"]),
        ("siskova (the", ["ford"]),
        ("oe king", []),
    ],
)
def test_a_name_is_found_without_the_accents_that_are_not_typed(text, places) -> None:
    a_person(name="Zoë Quill (the mill)")
    a_person(name="Zoé Quíll-Šišková (the ford)")
    for plain in ("Zoltan Quill", "Zo Equill", "Ute Siskin"):
        a_person(name=plain)
    found = Person.objects.filter(naming("name", text)).order_by("pk")
    assert [person.name[-5:-1] for person in found] == places


@pytest.mark.parametrize("text", [".*", "[a-z]", "Z.e", "z]e", "^Zo", "\\w", "zoé"])
def test_in_a_name_no_character_is_a_wild_card_and_a_typed_accent_counts(text: str) -> None:
    a_person(name="Zoë Quill")
    assert not Person.objects.filter(naming("name", sought(text))).exists()


def test_exactly_means_the_whole_name() -> None:
    a_person(name="Ada Quill")
    assert Person.objects.filter(exactly("name", "ada quill")).exists()
    assert not Person.objects.filter(exactly("name", "ada")).exists()
    assert not Person.objects.filter(exactly("name", "")).exists()


def test_what_is_sought_is_made_fit_for_a_query() -> None:
    assert sought(" E\u0301lo\x00die \n") == "Élodie"
    assert len(sought("x" * 10_000)) == LONGEST
