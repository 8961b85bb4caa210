"""Months in addresses: `<month:month>`, "2026-11"."""

from django.urls import register_converter

from shop.books.months import Month


class MonthInAddress:
    """A month since 1900; no other text is an address of ours."""

    regex = r"[0-9]{4}-[0-9]{2}"

    def to_python(self, value: str) -> Month:
        return Month.parse(value)

    def to_url(self, value: Month | str) -> str:
        return str(value)


register_converter(MonthInAddress, "month")
