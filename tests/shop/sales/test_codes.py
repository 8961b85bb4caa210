"""Receipt numbers as people type them."""

import pytest

from shop.sales.codes import receipt_code


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("R26-001", "R26-001"),
        ("r26001", "R26-001"),
        (" R 26 – 1 ", "R26-001"),
        ("r26-OO1", "R26-001"),
        ("R26-l2", "R26-012"),
        ("R26-1000", "R26-1000"),
        ("R26-0001000", "R26-1000"),
    ],
)
def test_a_receipts_number_is_read_however_it_is_typed(text, code):
    assert receipt_code(text) == code


@pytest.mark.parametrize(
    "text", ["", "R", "R26", "26-001", "roll", "R26-", "R26-00x", "T26-014-5", "R" + "9" * 30]
)
def test_other_words_are_no_receipts_number(text):
    assert receipt_code(text) == ""
