"""Receipt numbers in addresses: `<receipt:code>`."""

from django.urls import register_converter


class ReceiptCode:
    """A receipt's number: R26-001."""

    regex = r"R[0-9]{2}-[0-9]{3,7}"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(ReceiptCode, "receipt")
