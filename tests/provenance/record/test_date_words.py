import pytest

from provenance.record.date_words import month_words, when_words
from provenance.record.partial_dates import PartialDate


@pytest.mark.parametrize(
    ("edtf", "words"),
    [
        ("2023-03-12", "March 2023"),
        ("2023-03", "March 2023"),
        ("2023", "2023"),
        ("1998~", "about 1998"),
        ("2023-03-12?", "perhaps March 2023"),
        ("202X", "the 2020s"),
    ],
)
def test_a_month_is_fine_enough_for_strangers(edtf, words):
    assert month_words(PartialDate(edtf)) == words


@pytest.mark.parametrize(
    ("edtf", "words"),
    [
        ("2023-03-12", "on 12 March 2023"),
        ("2023-03", "in March 2023"),
        ("1998~", "in about 1998"),
        ("2024-05?", "perhaps in May 2024"),
        ("1998%", "perhaps in about 1998"),
        ("202X", "in the 2020s"),
    ],
)
def test_a_sentence_has_its_preposition(edtf, words):
    assert when_words(PartialDate(edtf)) == words
