"""What the database holds to, and the list of what was printed."""

import pytest
from django.db import IntegrityError, transaction
from django.db.models import ProtectedError

from provenance.cards.kinds import KINDS
from provenance.cards.models import PrintedPiece, PrintRun
from provenance.cards.printing import prepare
from provenance.cards.sheets import SHEETS
from tests.factories import NOW, a_scribe, some_pieces

pytestmark = pytest.mark.django_db


@pytest.fixture
def run(shop):
    return prepare("booth", some_pieces(2), a_scribe())


def test_a_piece_is_in_a_run_once(run):
    piece = run.in_order().first()
    with pytest.raises(IntegrityError), transaction.atomic():
        PrintedPiece.objects.create(run=run, piece=piece, position=9)


def test_two_pieces_never_share_a_place(run):
    [other] = some_pieces(1)
    with pytest.raises(IntegrityError), transaction.atomic():
        PrintedPiece.objects.create(run=run, piece=other, position=0)


def test_there_is_no_address_for_codes_before_the_sheet_is_made(run):
    with pytest.raises(IntegrityError), transaction.atomic():
        PrintRun.objects.filter(pk=run.pk).update(public_url="https://saltmarsh.example.org")
    PrintRun.objects.filter(pk=run.pk).update(
        public_url="https://saltmarsh.example.org", issued_at=NOW
    )


def test_a_printed_piece_cannot_be_deleted(run):
    piece = run.in_order().first()
    with pytest.raises(ProtectedError):
        piece.delete()


def test_the_list_knows_count_and_first_piece_in_four_queries(shop, run, django_assert_num_queries):
    pieces = some_pieces(3)
    prepare("card", [pieces[2], pieces[0]], a_scribe())
    with django_assert_num_queries(4):
        newest, oldest = list(PrintRun.objects.for_lists())
        assert newest.first_printed[0].piece.what == "Salad bowl in bigleaf maple"
    assert (newest.piece_count, oldest.piece_count) == (2, 2)
    assert [one.piece for one in newest.first_printed] == [pieces[2]]
    assert newest.what.counted(2) == "2 provenance cards"


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_each_kind_has_a_usual_sheet_on_the_shops_paper(kind, paper):
    slug = kind.first_sheet(paper)
    assert slug in kind.sheets
    assert (SHEETS[slug].paper if slug in SHEETS else slug) == paper


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.slug)
def test_the_sheets_of_the_shops_paper_are_offered_first(kind):
    groups = kind.sheet_choices("letter")
    offered = [slug for _, group in groups for slug, _ in group]
    assert sorted(offered) == sorted(kind.sheets)
    if not kind.is_list:
        assert groups[0][0] == "Letter"


def test_codes_fit_where_a_phone_can_read_them():
    booth, card, rough_out, _ = KINDS
    url = "https://saltmarsh.example.org"
    assert booth.codes_fit("a4-21", url)
    assert not booth.codes_fit("letter-80", url)
    assert card.codes_fit("a4-cards-10", url)
    assert not rough_out.codes_fit("a4-21", url)
