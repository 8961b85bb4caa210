"""From the finished piece to its owner: selling, taking back, a buyer, the month, commissions."""

import re

import pytest

from tests.browser import steps
from tests.browser.conftest import Enter
from tests.browser.visitor import Visitor
from tests.shop.keeping.running_shop import RunningShop

pytestmark = [pytest.mark.browser, pytest.mark.processes, pytest.mark.sqlite]


@pytest.fixture
def bowl(turner: Visitor) -> str:
    """The number of a finished bowl at $80."""
    return steps.enter_old(turner, "Bowl for selling", price="80")


def fill_sale(turner: Visitor, channel: str = "direct") -> None:
    """Choose where, no tax, and cash."""
    turner.tick("channel", channel)
    if turner.main.locator("[name=tax]").input_value() == "":
        turner.unfold("Discount, tax, day")
        turner.main.locator("[name=tax]").select_option("none")
    kind = turner.main.locator(".desk-payment label", has_text="Cash").first
    kind.locator("input").check()
    steps.settled(turner)  # the sum is asked for: leaving the page meanwhile would break that off


def sell(turner: Visitor, number: str, **typed: str) -> str:
    """Sell a piece for cash; return the receipt's number."""
    turner.open(f"/sales/new/?piece={steps.bare(number)}")
    fill_sale(turner)
    if "buyer_name" in typed:
        turner.unfold("Who bought it")
    turner.type(**typed)
    steps.settled(turner)
    turner.button("Record the sale")
    return receipt_shown(turner)


def receipt_shown(turner: Visitor) -> str:
    found = re.search(r"/sales/(R\d\d-\d{3,})/$", turner.path)
    assert found, turner.path
    return found.group(1)


def where_is(turner: Visitor, number: str) -> str:
    turner.open(f"/pieces/{steps.bare(number)}/")
    return turner.main.locator(".line .name", has_text="Now ").first.inner_text()


def test_a_sale_of_two_pieces_and_wax_is_two_taps_from_the_bench(turner: Visitor) -> None:
    first, second = (steps.enter_old(turner, f"Twin {n} {turner.is_phone}", "40") for n in (1, 2))
    turner.open("/bench/")
    turner.taps = 0
    turner.link("Record a sale")
    assert turner.taps == 1
    for number in (first, second):
        turner.type(add=number)
        steps.settled(turner)
        turner.press(turner.main.get_by_role("button", name="Add", exact=True).first)
        turner.main.locator(".desk-line", has_text=number).wait_for()
    turner.press(turner.main.get_by_role("button", name="Tin of wax"))
    turner.main.locator(".desk-line").nth(2).wait_for()
    turner.type(**{"lines-2-price": "9.50", "lines-2-quantity": "2"})
    fill_sale(turner, "booth")
    turner.type(place="Quay Market", **{"payments-0-given": "120"})
    turner.main.locator("[name=place]").blur()
    turner.main.locator(".sums", has_text="Change").wait_for()
    assert "$99" in turner.main.locator(".sums").inner_text()
    assert "$21" in turner.main.locator(".sums").inner_text()
    turner.look()
    turner.look_narrow()
    turner.button("Record the sale")
    assert turner.says(f"Receipt {receipt_shown(turner)} is written.")
    for number in (first, second):
        assert "with its owner" in where_is(turner, number)


def test_the_code_on_the_foot_leads_to_the_sale(turner: Visitor, bowl: str) -> None:
    turner.open(f"/P/{steps.bare(bowl)}")
    turner.follow(turner.page.get_by_role("link", name="Sell it"))
    assert turner.main.locator(".desk-line").inner_text().count(bowl) == 1
    fill_sale(turner)
    turner.button("Record the sale")
    assert turner.says(bowl)


@pytest.mark.parametrize("has_script", [True, False], ids=["script", "no script"])
def test_a_double_click_makes_one_receipt(
    enter: Enter, book: RunningShop, has_script: bool
) -> None:
    hasty = enter(book, is_owner=True, java_script_enabled=has_script)
    number = steps.enter_old(hasty, "Bowl for haste", price="30")
    hasty.open(f"/sales/new/?piece={steps.bare(number)}")
    fill_sale(hasty)
    button = hasty.main.get_by_role("button", name="Record the sale")
    button.dblclick(no_wait_after=True)
    hasty.page.wait_for_url(re.compile(r"/sales/R"))
    hasty.page.wait_for_load_state("load")
    hasty.open(f"/sales/?find={number}")
    assert hasty.main.locator(".rows > .row").count() == 1


def test_without_script_lines_are_added_and_the_sum_is_asked(
    enter: Enter, book: RunningShop
) -> None:
    plain = enter(book, is_owner=True, java_script_enabled=False)
    number = steps.enter_old(plain, "Bowl without script", price="30")
    plain.open("/sales/new/")
    plain.type(add=number)
    plain.button("Add")
    plain.button("Shipping")
    plain.type(**{"lines-1-price": "7"})
    fill_sale(plain)
    plain.button("Reckon it up")
    assert "$37" in plain.main.locator(".sums").inner_text()
    plain.button("Record the sale")
    assert receipt_shown(plain)


def test_two_windows_sell_one_bowl_once(
    turner: Visitor, enter: Enter, book: RunningShop, bowl: str
) -> None:
    other = enter(book, is_owner=True)
    for window in (turner, other):
        window.open(f"/sales/new/?piece={steps.bare(bowl)}")
        fill_sale(window)
    turner.button("Record the sale")
    receipt = receipt_shown(turner)
    other.button("Record the sale")
    assert other.says(f"{bowl} is sold already, on receipt {receipt}")


def test_back_after_a_sale_sells_nothing_twice(turner: Visitor, bowl: str) -> None:
    receipt = sell(turner, bowl)
    turner.page.go_back(wait_until="load")
    if turner.main.get_by_role("button", name="Record the sale").count():
        fill_sale(turner)
        turner.button("Record the sale")
    turner.open(f"/sales/?find={bowl}")
    assert turner.main.locator(".rows > .row").all_inner_texts()[0].startswith(receipt)
    assert turner.main.locator(".rows > .row").count() == 1


def test_what_is_usual_at_the_booth_is_not_carried_to_another_channel(
    turner: Visitor, bowl: str
) -> None:
    turner.open(f"/sales/new/?piece={steps.bare(bowl)}")
    fill_sale(turner, "booth")
    turner.type(place="Quay Market")
    turner.button("Record the sale")
    turner.open("/sales/new/")
    place = turner.main.locator("[name=place]")
    assert place.input_value() == "Quay Market"
    turner.tick("channel", "online")
    assert place.input_value() == ""
    assert turner.main.locator("[name=payments-0-kind]:checked").count() == 0
    turner.tick("channel", "booth")
    assert place.input_value() == "Quay Market"
    assert turner.main.locator("[name=payments-0-kind]:checked").count() == 1
    steps.settled(turner)


def test_a_void_and_a_refund_bring_the_bowl_back(turner: Visitor, bowl: str) -> None:
    sell(turner, bowl)
    turner.link("Void")
    turner.type(reason="Wrong bowl")
    turner.button("Void it")
    assert turner.says("Wrong bowl")
    turner.look_in_the_dark()
    assert "in the shop" in where_is(turner, bowl)
    sell(turner, bowl)
    turner.link("Refund")
    returned = turner.main.get_by_label("comes back").first
    returned.check()
    turner.type(reason="A crack in the rim")
    turner.main.locator("label", has_text="Cash").first.click()
    turner.button("Write the refund")
    assert turner.says("A crack in the rim")
    assert "in the shop" in where_is(turner, bowl)


def test_a_buyers_history_is_two_taps_from_the_bench(turner: Visitor, bowl: str) -> None:
    name = f"Mabel {'Phone' if turner.is_phone else 'Desk'}"
    receipt = sell(turner, bowl, buyer_name=name)
    turner.open("/bench/")
    turner.taps = 0
    turner.room("People")
    turner.type(find=bowl)
    if turner.has_script:
        turner.main.locator(".rows .row", has_text=name).wait_for()
        steps.settled(turner)
    turner.follow(turner.main.locator(".rows .row a", has_text=name).first)
    assert turner.taps == 2
    assert turner.says(bowl)
    assert turner.says(receipt)


def test_the_month_is_one_tap_from_the_bench_and_its_figures_open(
    turner: Visitor, bowl: str
) -> None:
    receipt = sell(turner, bowl)
    turner.open("/bench/")
    turner.taps = 0
    turner.link("The month")
    assert turner.taps == 1
    turner.look_narrow()
    turner.look_in_the_dark()
    turner.follow(turner.main.locator("a[href*='figure=gross']").first)
    assert turner.says(receipt)
    with turner.page.expect_download() as paper:
        turner.page.go_back(wait_until="load")
        turner.press(turner.main.get_by_role("link", name=re.compile("CSV")).first)
    assert paper.value.suggested_filename.endswith(".csv")


def test_a_commission_from_the_wish_to_the_receipt(turner: Visitor, bowl: str) -> None:
    name = f"Ottilie {'Phone' if turner.is_phone else 'Desk'}"
    turner.open("/bench/")
    turner.taps = 0
    turner.link("Take a commission")
    assert turner.taps == 1
    turner.type(wished="A bowl for bread", price="100")
    turner.main.locator("[name$=_name]").first.fill(name)
    steps.settled(turner)
    turner.main.locator("form button.button-main").scroll_into_view_if_needed()
    turner.follow(turner.main.locator("form button.button-main"))
    page = turner.path
    turner.open(f"{page}deposit/")
    turner.type(amount="40")
    turner.main.locator("label", has_text="Cash").first.click()
    turner.follow(turner.main.locator("form button.button-main"))
    assert turner.says("$40")
    turner.open(f"{page}pieces/")
    turner.main.locator("[name=numbers]").fill(bowl)
    turner.follow(turner.main.locator("form button.button-main"))
    turner.open(f"{page}hand-over/")
    fill_sale(turner)
    turner.look()
    turner.follow(turner.main.locator("form button.button-main"))
    assert turner.says("Deposit taken off")
    assert "with its owner" in where_is(turner, bowl)
    turner.open(page)
    assert turner.says("Handed over")
