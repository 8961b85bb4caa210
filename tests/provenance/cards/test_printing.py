"""Laying out and making: order, publishing only with codes, making again."""

from io import BytesIO

import pypdf
import pytest

from provenance.cards import printing
from provenance.cards.kinds import KINDS
from provenance.cards.layout import NoSuchCell
from provenance.cards.models import PrintRun
from provenance.cards.sheet_file import pdf_of
from provenance.maker.models import Shop
from provenance.pieces import publishing
from provenance.pieces.models import Piece
from provenance.record.models import JournalEntry
from tests.factories import a_piece, a_scribe, a_shop, some_pieces

URL = "https://saltmarsh.example.org"


@pytest.fixture
def shop(db: None) -> Shop:
    return a_shop(public_url=URL, paper="a4")


def printed_words(piece: Piece) -> list[str]:
    return [e.words for e in piece.journal.entries.filter(kind=JournalEntry.Kind.PRINTED)]


def published() -> list[str]:
    return sorted(Piece.objects.published().values_list("code", flat=True))


def text_of(run: PrintRun) -> str:
    reader = pypdf.PdfReader(BytesIO(pdf_of(run, Shop.current())))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


# -- laying out ----------------------------------------------------------------------------------


def test_pieces_keep_the_order_they_are_given_in_and_come_once(shop):
    one, two, three = some_pieces(3)
    run = printing.prepare("booth", [three, one, two, one], a_scribe())
    assert list(run.in_order()) == [three, one, two]


@pytest.mark.parametrize(("paper", "sheet"), [("a4", "a4-21"), ("letter", "letter-30")])
def test_the_sheet_is_the_usual_one_for_the_shops_paper(shop, paper, sheet):
    Shop.objects.update(paper=paper)
    assert printing.prepare("booth", some_pieces(), a_scribe()).sheet == sheet


def test_laying_out_publishes_and_journals_nothing(shop):
    [piece] = some_pieces()
    run = printing.prepare("booth", [piece], a_scribe(), first_cell=4)
    pdf_of(run, shop)
    assert (run.first_cell, run.is_issued) == (4, False)
    assert published() == printed_words(piece) == []


def test_nothing_chosen_is_refused(shop):
    with pytest.raises(printing.NothingChosen, match="tick at least one piece"):
        printing.prepare("booth", [], a_scribe())


def test_a_sheet_of_another_kind_or_none_is_refused(shop):
    with pytest.raises(printing.NoSuchSheet, match="provenance card does not go on"):
        printing.prepare("card", some_pieces(), a_scribe(), sheet="a4-65")


@pytest.mark.parametrize("first_cell", [-1, 21])
def test_a_place_off_the_sheet_is_refused(shop, first_cell):
    with pytest.raises(NoSuchCell, match="21 places"):
        printing.prepare("booth", some_pieces(), a_scribe(), first_cell=first_cell)


def test_a_run_takes_so_many_pieces_and_no_more(shop, monkeypatch):
    monkeypatch.setattr(printing, "MOST_PIECES", 3)
    run = printing.prepare("booth", some_pieces(3), a_scribe())
    with pytest.raises(printing.TooMany, match="up to 3 pieces"):
        printing.add(run, some_pieces(1))
    with pytest.raises(printing.TooMany):
        printing.prepare("booth", some_pieces(4), a_scribe())
    assert PrintRun.objects.get().in_order().count() == 3


def test_added_pieces_come_last_and_once(shop):
    one, two, three = some_pieces(3)
    run = printing.prepare("booth", [two], a_scribe())
    printing.add(run, [three, two, one])
    printing.add(run, [one])
    assert list(run.in_order()) == [two, three, one]


def test_a_piece_is_taken_out_and_taking_it_out_twice_does_no_harm(shop):
    one, two = some_pieces(2)
    run = printing.prepare("booth", [one, two], a_scribe())
    printing.remove(run, one)
    printing.remove(run, one)
    assert list(run.in_order()) == [two]
    with pytest.raises(printing.NothingChosen, match="last piece"):
        printing.remove(run, two)
    printing.add(run, [one])
    assert list(run.in_order()) == [two, one]


# -- making --------------------------------------------------------------------------------------


def test_with_codes_the_pieces_are_published_and_the_address_kept(shop):
    one, two = some_pieces(2)
    publishing.publish([one], a_scribe())
    run = printing.issue(
        printing.prepare("booth", [one, two], a_scribe()), a_scribe(), with_codes=True, announced=1
    )
    assert (run.is_issued, run.has_codes, run.public_url) == (True, True, URL)
    assert published() == sorted([one.code, two.code])
    assert printed_words(two) == [f"Booth tag made, its code leading to {URL}/P/{two.code}."]
    assert one.journal.entries.filter(kind=JournalEntry.Kind.PUBLIC).count() == 1


def test_without_codes_nothing_is_published(shop):
    [piece] = some_pieces()
    run = printing.prepare("card", [piece], a_scribe())
    run = printing.issue(run, a_scribe(), with_codes=False)
    assert (run.is_issued, run.has_codes) == (True, False)
    assert published() == []
    assert printed_words(piece) == ["Provenance card made, without a code."]
    assert "saltmarsh" not in text_of(run)


@pytest.mark.parametrize(
    ("kind", "words"),
    [("rough-out", "Rough-out tag made."), ("price-list", "Put on a price list.")],
)
def test_kinds_without_codes_never_publish(shop, kind, words):
    [piece] = some_pieces()
    run = printing.prepare(kind, [piece], a_scribe())
    with pytest.raises(printing.NoCodes, match="carries no code"):
        printing.issue(run, a_scribe(), with_codes=True)
    printing.issue(run, a_scribe(), with_codes=False)
    assert printed_words(piece) == [words]
    assert published() == []


@pytest.mark.parametrize(
    ("url", "why"), [("", "not set yet"), ("http://turnery.local:8000", "only be reached from")]
)
def test_without_an_address_that_strangers_reach_there_are_no_codes(shop, url, why):
    Shop.objects.update(public_url=url)
    run = printing.prepare("booth", some_pieces(), a_scribe())
    assert why in printing.why_no_codes(run, Shop.current())
    with pytest.raises(printing.NoCodes, match=why):
        printing.issue(run, a_scribe(), with_codes=True)
    assert published() == []


def test_labels_too_small_for_a_code_say_so(shop):
    run = printing.prepare("booth", some_pieces(), a_scribe(), sheet="letter-80")
    with pytest.raises(printing.NoCodes, match="labels are too small"):
        printing.issue(run, a_scribe(), with_codes=True)
    assert published() == []


def test_made_the_same_way_again_nothing_more_happens(shop):
    [piece] = some_pieces()
    run = printing.prepare("booth", [piece], a_scribe())
    for _ in range(2):
        printing.issue(run, a_scribe(), with_codes=True)
    assert len(printed_words(piece)) == 1


def test_more_is_never_published_than_was_announced(shop):
    one, two = some_pieces(2)
    publishing.publish([two], a_scribe())
    run = printing.prepare("booth", [one, two], a_scribe())
    publishing.withdraw([two], a_scribe())
    with pytest.raises(printing.NotAnnounced, match="publish 2 pieces"):
        printing.issue(run, a_scribe(), with_codes=True, announced=1)
    assert published() == []
    assert not PrintRun.objects.get().is_issued


def test_what_is_changed_has_to_be_made_again(shop):
    one, two = some_pieces(2)
    run = printing.prepare("booth", [one, two], a_scribe())
    changes = (
        lambda: printing.change(run, sheet="a4-21", first_cell=7),
        lambda: printing.remove(run, two),
        lambda: printing.add(run, [two]),
    )
    for alter in changes:
        printing.issue(run, a_scribe(), with_codes=True)
        changed = alter()
        assert (changed.is_issued, changed.public_url) == (False, "")
    printing.issue(run, a_scribe(), with_codes=False)
    assert len(printed_words(one)) == 4


def test_a_change_that_changes_nothing_leaves_the_sheet_made(shop):
    run = printing.prepare("booth", some_pieces(), a_scribe())
    printing.issue(run, a_scribe(), with_codes=True)
    assert printing.change(run, sheet="a4-21", first_cell=0).is_issued


# -- the file ------------------------------------------------------------------------------------


def test_a_reprint_leads_where_the_first_print_led(shop, printed):
    run = printing.prepare("booth", [a_piece("finished")], a_scribe())
    run = printing.issue(run, a_scribe(), with_codes=True)
    before = pdf_of(run, shop)
    Shop.objects.update(public_url="https://elsewhere.example.org")
    assert pdf_of(PrintRun.objects.get(), Shop.current()) == before
    code = run.in_order().get().code
    assert printed(before).codes(300) == [f"https://SALTMARSH.EXAMPLE.ORG/P/{code}"]


def test_a_withdrawn_piece_is_reprinted_without_a_code(shop, printed):
    one, two = some_pieces(2)
    run = printing.prepare("booth", [one, two], a_scribe())
    run = printing.issue(run, a_scribe(), with_codes=True)
    publishing.withdraw([one], a_scribe())
    codes = printed(pdf_of(run, shop)).codes(300)
    assert codes == [f"https://SALTMARSH.EXAMPLE.ORG/P/{two.code}"]


def test_a_trial_shows_edges_and_no_code(shop, printed):
    run = printing.prepare("booth", some_pieces(2), a_scribe())
    run = printing.issue(run, a_scribe(), with_codes=True)
    trial = printed(pdf_of(run, shop, is_trial=True))
    assert len(trial.outlines()) == 2
    assert trial.codes(300) == []


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_each_kind_prints_on_each_of_its_sheets(shop, kind):
    piece = a_piece("finished", price_minor=16500, diameter_mm=292)
    for sheet in kind.sheets:
        run = printing.prepare(kind.slug, [piece], a_scribe(), sheet=sheet)
        assert str(piece.number) in text_of(run)


def test_a_price_list_carries_the_line_under_its_title(shop):
    run = printing.prepare("price-list", some_pieces(), a_scribe(), heading="River market")
    assert "River market" in text_of(run)


@pytest.mark.parametrize("count", [1, 3, 30])
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_a_sheet_takes_a_fixed_number_of_queries(shop, kind, count, django_assert_num_queries):
    run = printing.prepare(kind.slug, some_pieces(count), a_scribe())
    with django_assert_num_queries(7):
        pdf_of(run, shop)


def test_three_hundred_tags_are_made_at_once(shop, printed):
    pieces = [*some_pieces(150), *some_pieces(150)]
    run = printing.prepare("booth", pieces, a_scribe(), first_cell=20)
    run = printing.issue(run, a_scribe(), with_codes=True)
    sheet = printed(pdf_of(run, shop))
    assert len(sheet.pages) == 16
    assert len(published()) == 300
    last = sheet.codes(300, page=15)
    assert len(last) == 320 - 15 * 21
    assert f"https://SALTMARSH.EXAMPLE.ORG/P/{pieces[-1].code}" in last
