"""Dates as sentences want them."""

from provenance.record.partial_dates import PartialDate


def month_words(when: PartialDate) -> str:
    """Return the date no finer than its month: "March 2023", "about 1998"."""
    mark = when.edtf[-1] if when.edtf[-1] in "~?%" else ""
    return PartialDate(when.edtf.removesuffix(mark)[:7] + mark).spoken()


def when_words(when: PartialDate) -> str:
    """Return the date with its preposition: "on 12 March 2023", "perhaps in about 1998"."""
    perhaps = "perhaps " if when.is_unsure else ""
    before = "on" if when.precision == "day" else "in"
    return f"{perhaps}{before} {when.spoken().removeprefix(perhaps)}"
