"""Dates as sentences want them."""

from provenance.record.partial_dates import PartialDate


def month_words(when: PartialDate) -> str:
    """Return the date no finer than its month: "March 2023", "about 1998"."""
    mark = when.edtf[-1] if when.edtf[-1] in "~?%" else ""
    bare = when.edtf.removesuffix(mark) if mark else when.edtf
    return PartialDate(bare[:7] + mark).spoken()


def when_words(when: PartialDate) -> str:
    """Return the date with its preposition: "on 12 March 2023", "in about 1998"."""
    return f"{'on' if when.precision == 'day' else 'in'} {when.spoken()}"
