"""Tags for a booth, and cards: chosen, laid out on a begun sheet, made, found again."""

import io
import re

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.browser import steps
from tests.browser.visitor import Visitor

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]

ADDRESS = "https://bowls.example.org"


def set_address(turner: Visitor, address: str) -> None:
    turner.open("/shop/")
    turner.type(public_url=address)
    turner.button("Save the profile")


@pytest.fixture
def public_address(turner: Visitor):
    """The shop has the address at which strangers find it; afterwards it has none again."""
    set_address(turner, ADDRESS)
    yield ADDRESS
    set_address(turner, "")


def the_sheet(turner: Visitor) -> bytes:
    """Return the file behind the page's link to the sheet."""
    link = turner.main.get_by_role("link", name="Open the sheet").first
    answer = turner.context.request.get(turner.origin + str(link.get_attribute("href")))
    assert answer.headers["content-type"] == "application/pdf"
    content = answer.body()
    assert content.startswith(b"%PDF")
    return content


def words_on(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def codes_on(pdf: bytes) -> list[str]:
    pages = pypdfium2.PdfDocument(pdf)
    pictures = [page.render(scale=300 / 72).to_pil() for page in pages]
    return [code.text for picture in pictures for code in zxingcpp.read_barcodes(picture)]


def test_booth_tags_go_on_a_begun_sheet_and_are_found_again(turner: Visitor) -> None:
    title = f"Ferry bowl {turner.is_phone}"
    numbers = [steps.enter_old(turner, title, price) for price in ("45", "60", "75.50")]
    other = steps.enter_old(turner, "Not this one", "80")
    turner.open("/bench/")
    turner.taps = 0
    turner.link("Print tags or cards")
    find = turner.main.locator(".filter [name=find]")
    find.press_sequentially(title)
    turner.page.wait_for_url("**find=Ferry**")
    steps.settled(turner)
    turner.look()
    assert steps.numbers_in(turner.main.locator("#choices")) == numbers[::-1]
    turner.main.get_by_label("All shown here").check()
    turner.button(re.compile("Go on with those ticked"))
    assert turner.taps == 2

    turner.main.locator("[name=sheet]").select_option("a4-21")
    cells = turner.main.locator(".cell")
    expect(cells).to_have_count(21)
    turner.press(cells.nth(19))
    expect(turner.main.get_by_text("2 sheets")).to_be_visible()
    turner.look()
    turner.open(turner.path)
    assert turner.main.locator("[name=sheet]").input_value() == "a4-21"
    assert turner.main.locator("[name=first_cell]:checked").input_value() == "19"

    turner.button("Make the sheet without codes")
    pdf = the_sheet(turner)
    assert len(PdfReader(io.BytesIO(pdf)).pages) == 2
    words = words_on(pdf)
    assert set(steps.numbers_in_text(words)) == set(numbers)
    assert other not in words
    assert "75.50" in words
    assert codes_on(pdf) == []

    turner.room("Print")
    turner.follow(turner.main.locator(".rows .row-main a").first)
    assert the_sheet(turner) == pdf


def test_without_an_address_it_prints_clean_and_says_why(turner: Visitor) -> None:
    number = steps.enter_old(turner, "A quiet bowl", "30")
    turner.open("/pieces/")
    steps.tick(turner, number)
    turner.button("Print tags")
    assert steps.numbers_in(turner.main.locator(".rows").first) == [number]
    turner.button(re.compile("Go on with those ticked"))
    assert turner.main.get_by_role("link", name="Set it in the shop’s profile").is_visible()
    turner.button("Make the sheet without codes")
    assert steps.numbers_in_text(words_on(the_sheet(turner)))[0] == number
    turner.open(f"/pieces/{steps.bare(number)}/")
    assert turner.says("Only you can see it.")


@pytest.mark.usefixtures("public_address")
def test_a_card_with_a_code_publishes_its_piece_after_saying_so(
    turner: Visitor, stranger: Visitor
) -> None:
    number = steps.enter_old(turner, "The landing bowl", "120")
    turner.link("Provenance card")
    turner.button(re.compile("Go on with those ticked"))
    assert turner.says("publishes 1 piece")
    page = f"/P/{steps.bare(number)}"
    with stranger.expecting(404):
        stranger.open(page)
    turner.button("Make the sheet with codes")
    pdf = the_sheet(turner)
    assert number in words_on(pdf)
    [code] = codes_on(pdf)
    assert code == f"https://BOWLS.EXAMPLE.ORG{page}"
    stranger.open(page)
    assert stranger.heading == "The landing bowl"
