"""A month as a file for a spreadsheet or an accountant: one row an entry, no row of sums.

So each column adds up to the page's figure. RFC 4180, UTF-8 with the mark that spreadsheets look
for; texts stand in quotation marks, amounts bare. Who bought is not in it: private names stay out
of files that are handed on.
"""

import re
from collections.abc import Sequence

from shop.books.amounts import plain
from shop.books.figures import Entry

HEAD = (
    "date", "entry", "receipt", "line", "piece", "form", "species", "tree", "channel", "place",
    "gross", "discounts", "refunds", "tax", "tax by others", "tax rate", "shares", "fees", "net",
)  # fmt: skip

#: The amounts before and behind the words of the tax.
FIGURES = ("gross", "discount", "refund", "tax", "tax_theirs")
LATER_FIGURES = ("share", "fee", "net")

#: A spreadsheet takes a cell for a formula when it begins with one of these, and some read their
#: full-width forms as the plain ones. Sources: OWASP, "CSV Injection"
#: (owasp.org/www-community/attacks/CSV_Injection): = + - @, tab, carriage return, and that a
#: separator or quote in a text may begin another cell; OWASP ASVS 5.0, 1.2.10: NUL as well, and
#: the single quote before them.
_BEGINS_FORMULA = re.compile(r"""(^|[,;|"'\t\r\n])(?=\s*[=+\-@\t\r\0＝＋－＠])""")


def csv_file(entries: Sequence[Entry], currency: str) -> bytes:
    """Return the file. Amounts are plain decimals of the currency, with a point."""
    rows = [",".join(map(_quoted, HEAD)), *(_row(entry, currency) for entry in entries)]
    return "".join(f"{row}\r\n" for row in rows).encode("utf-8-sig")


def _row(entry: Entry, currency: str) -> str:
    texts = (
        entry.what, entry.receipt, entry.words, entry.piece, entry.form.label,
        entry.species.label, entry.tree.label, entry.channel.label, entry.place,
    )  # fmt: skip
    return ",".join(
        [
            entry.day.isoformat(),
            *(_quoted(defused(text)) for text in texts),
            *_amounts(entry, FIGURES, currency),
            _quoted(defused(entry.tax_rate)),
            *_amounts(entry, LATER_FIGURES, currency),
        ]
    )


def _amounts(entry: Entry, names: Sequence[str], currency: str) -> list[str]:
    return [plain(getattr(entry.figures, name), currency) for name in names]


def _quoted(text: str) -> str:
    doubled = text.replace('"', '""')
    return f'"{doubled}"'


def defused(text: str) -> str:
    """Return a text in which no spreadsheet finds the beginning of a formula."""
    return _BEGINS_FORMULA.sub(r"\1'", text)
