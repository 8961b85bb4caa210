"""What an entry changed, in words."""

import pytest

from provenance.record.models import JournalEntry
from provenance.record.templatetags.journal_words import changed


@pytest.mark.parametrize(
    ("field", "values", "shown"),
    [
        ("ring_count", [None, 90], ("ring count", "", "90", True)),
        ("length_mm", [600, 580], ("length", "600 mm", "580 mm", True)),
        ("used_up", [False, True], ("used up", "no", "yes", True)),
        ("felled", [None, "2023-03~"], ("felled", "", "about March 2023", True)),
        ("felled", ["not a date", ""], ("felled", "not a date", "", True)),
        ("species_slug", ["", "white-ash"], ("species slug", "", "white ash", True)),
        ("donor", [1, 2], ("donor", "1", "2", False)),
        (
            "parts",
            [["whole: T26-001-4 A"], ["body: T26-001-4 B", "lid: unknown"]],
            ("parts", "whole: T26-001-4 A", "body: T26-001-4 B; lid: unknown", True),
        ),
        ("rim_to_pith_mm", [None, 0], ("rim to pith", "", "0 mm", True)),
        (
            "shrink_radial_pct",
            [None, "4.50"],
            ("shrinkage along the rays", "", "4.50 %", True),
        ),
        ("price_minor", [100, 200], ("price", "100", "200", False)),
    ],
)
def test_values_read_as_people_write_them(field: str, values: list, shown: tuple) -> None:
    [change] = changed(JournalEntry(changes={field: values}))
    assert (change.name, change.before, change.after, change.has_values) == shown
