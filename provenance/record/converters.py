"""Numbers in addresses: `<piece:code>` and `<tree:code>`, without dashes."""

from django.urls import register_converter


class PieceCode:
    """A piece's number as addresses carry it: 260428."""

    regex = r"[0-9]{5,14}[0-9X]"

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


class TreeCode(PieceCode):
    """A tree's number as addresses carry it: T260145."""

    regex = r"T[0-9]{5,14}[0-9X]"


register_converter(PieceCode, "piece")
register_converter(TreeCode, "tree")
