"""The kinds of print: what each is called, which sheets it goes on, whether it carries codes."""

from dataclasses import dataclass

from provenance.cards.a6_card import A6_SHEETS
from provenance.cards.price_list import counted
from provenance.cards.provenance_card import BUSINESS_CARD_SHEETS
from provenance.cards.qr import sized_symbol
from provenance.cards.rough_out_tag import ROUGH_OUT_SHEETS
from provenance.cards.sheets import PAPER_NAMES, SHEETS
from provenance.cards.tags import BOOTH_TAG_SHEETS, qr_fits

LIST_PAPERS = ("a4", "letter")
#: The side of the square on a card in which a code and its quiet zone must find room.
_CARD_CODE_MM = 22.0
#: A number of seven characters, the longest for years to come.
_LONGEST_CODE = "2600000"


@dataclass(frozen=True)
class Kind:
    """One kind of print. `first_sheets` is the sheet that stands ready, by the shop's paper."""

    slug: str
    one: str
    many: str
    about: str
    sheets: tuple[str, ...]
    first_sheets: tuple[tuple[str, str], ...]
    may_have_codes: bool
    usual_stage: str
    usual_custody: str = ""

    @classmethod
    def of(cls, slug: str) -> "Kind":
        """Return the kind of that name. Raises `KeyError`."""
        return _BY_SLUG[slug]

    @property
    def is_list(self) -> bool:
        """Whether it fills plain paper instead of a sheet of labels or cards."""
        return self.sheets == LIST_PAPERS

    def counted(self, count: int) -> str:
        """Return "1 booth tag", "12 booth tags", "Price list of 12 pieces"."""
        if self.is_list:
            return f"{self.one[:1].upper()}{self.one[1:]} of {counted(count)}"
        return f"{count} {self.one if count == 1 else self.many}"

    def first_sheet(self, paper: str) -> str:
        """Return the sheet that stands ready in a shop with that paper ("a4" or "letter")."""
        return dict(self.first_sheets)[paper]

    def codes_fit(self, sheet: str, public_url: str) -> bool:
        """Return whether a code to this address can be read on this sheet."""
        if not self.may_have_codes:
            return False
        if self.slug == BOOTH.slug:
            return qr_fits(SHEETS[sheet], public_url)
        return sized_symbol(public_url, _LONGEST_CODE, _CARD_CODE_MM) is not None

    def sheet_choices(self, paper: str) -> list[tuple[str, list[tuple[str, str]]]]:
        """Return the sheets to choose from by their paper, the shop's own paper first."""
        if self.is_list:
            return [("Plain paper", [(p, PAPER_NAMES[p]) for p in self.sheets])]
        papers = dict.fromkeys([paper, *(SHEETS[slug].paper for slug in self.sheets)])
        groups = [
            (
                PAPER_NAMES[name],
                [(slug, SHEETS[slug].description) for slug in self.sheets
                 if SHEETS[slug].paper == name],
            )
            for name in papers
        ]  # fmt: skip
        return [group for group in groups if group[1]]


BOOTH = Kind(
    slug="booth",
    one="booth tag",
    many="booth tags",
    about="For the market table: number, what it is, wood, size and price, and a code to its page.",
    sheets=BOOTH_TAG_SHEETS,
    first_sheets=(("a4", "a4-21"), ("letter", "letter-30")),
    may_have_codes=True,
    usual_stage="finished",
    usual_custody="held",
)
CARD = Kind(
    slug="card",
    one="provenance card",
    many="provenance cards",
    about="Goes with the piece: its tree, its making and its care, and a code to its page.",
    sheets=(*BUSINESS_CARD_SHEETS, *A6_SHEETS),
    first_sheets=(("a4", "a4-cards-10"), ("letter", "letter-cards-10")),
    may_have_codes=True,
    usual_stage="finished",
    usual_custody="held",
)
ROUGH_OUT = Kind(
    slug="rough-out",
    one="rough-out tag",
    many="rough-out tags",
    about="For the drying shelf: the number large, the sizes, and lines to pencil weighings on.",
    sheets=ROUGH_OUT_SHEETS,
    first_sheets=(("a4", "a4-21"), ("letter", "letter-30")),
    may_have_codes=False,
    usual_stage="drying",
)
PRICE_LIST = Kind(
    slug="price-list",
    one="price list",
    many="price lists",
    about="For the booth: every piece on one list with its price and a box to tick.",
    sheets=LIST_PAPERS,
    first_sheets=(("a4", "a4"), ("letter", "letter")),
    may_have_codes=False,
    usual_stage="finished",
    usual_custody="held",
)

KINDS = (BOOTH, CARD, ROUGH_OUT, PRICE_LIST)
_BY_SLUG = {kind.slug: kind for kind in KINDS}
