"""Searching minds no capitals, whatever the alphabet, on both databases."""

import sqlite3

import pytest

from provenance.people.models import Person
from shop.keeping.likeness import like, teach
from tests import factories


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "sought"),
    [
        ("Élodie Marais", "élodie"),
        ("Élodie Marais", "ÉLODIE"),
        ("ÅSA ÖHLIN", "åsa öhlin"),
        ("Жанна", "жАнна"),
        ("100 % ash", "100 %"),
        ("oak_burl", "OAK_"),
    ],
)
def test_people_are_found_in_any_case(name: str, sought: str) -> None:
    factories.a_person(name=name)
    factories.a_person(name="Somebody Else")
    assert [person.name for person in Person.objects.search(sought)] == [name]


@pytest.mark.django_db
@pytest.mark.parametrize("sought", ["%", "_", "\\"])
def test_signs_of_the_pattern_language_are_only_signs(sought: str) -> None:
    factories.a_person(name="Ada Quill", mail="ada@example.org")
    assert not Person.objects.search(sought)


@pytest.mark.sqlite
def test_like_is_sqls_like() -> None:
    connection = sqlite3.connect(":memory:")
    teach(connection)

    def asked(text: str | None, pattern: str | None, escape: str = "") -> object:
        clause = f" ESCAPE '{escape}'" if escape else ""
        return connection.execute(f"SELECT ? LIKE ?{clause}", (text, pattern)).fetchone()[0]

    assert asked("walnut", "w%t") == 1
    assert asked("walnut", "w_lnut") == 1
    assert asked("walnut", "alnut") == 0
    assert asked("two\nlines", "two%") == 1
    assert asked("50%", "50\\%", "\\") == 1
    assert asked("50x", "50\\%", "\\") == 0
    assert asked("a.c", "a.c") == 1
    assert asked("abc", "a.c") == 0
    assert asked(None, "x") is None
    assert asked("x", None) is None
    connection.close()


def test_a_pattern_that_ends_in_its_escape_matches_nothing_more() -> None:
    assert like("ash\\", "ash", "\\") is True
    assert like("ash\\", "ashy", "\\") is False
