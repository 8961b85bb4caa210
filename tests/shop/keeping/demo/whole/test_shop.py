"""The invented shop as a whole: large, varied, in order, and nobody real in it."""

import re
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.db.models import Q

from provenance.maker.models import Shop
from provenance.people.models import Person
from provenance.pieces.models import (
    Custody,
    Finish,
    FinishApplied,
    LossCause,
    Method,
    Part,
    Piece,
    Promise,
    Stage,
)
from provenance.public import pages
from provenance.record.models import JournalEntry, Photo
from provenance.record.numbers import Number
from provenance.trees.models import BoughtStock, Cause, Section, Tree
from provenance.wood import species
from shop.keeping.demo import lives, script

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # the demo always is on SQLite

AT = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)
TODAY = date(2026, 6, 15)

Kind = JournalEntry.Kind


def a_piece_called(title: str) -> Piece:
    return Piece.objects.get(title=title)


def texts() -> str:
    """Everything that the script says."""
    folder = Path(settings.BASE_DIR) / "fixtures" / "demo"
    return "\n".join(path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.toml")))


# How much there is


def test_it_fills_three_years() -> None:
    assert Tree.objects.count() >= 15
    assert Piece.objects.count() >= 280
    written = JournalEntry.objects.order_by("written_at").values_list("written_at", flat=True)
    first, last = written[0], written[len(written) - 1]
    assert (AT - first).days >= 3 * 365
    assert AT - last < timedelta(days=4)


def test_pieces_stand_at_every_stage_and_were_made_by_every_method() -> None:
    stages = set(Piece.objects.values_list("stage", flat=True))
    assert stages == set(Stage.values)
    made = set(Piece.objects.filter(stage=Stage.FINISHED).values_list("method", flat=True))
    assert made == set(Method.values)


def test_pieces_are_in_every_custody() -> None:
    assert set(Piece.objects.values_list("custody__kind", flat=True)) == set(Custody.Kind.values)


def test_a_booth_can_be_filled_from_the_shelf() -> None:
    ready = Piece.objects.for_sale().published().filter(custody__kind="shop")
    priced = ready.exclude(price_minor=None).exclude(diameter_mm=None)
    assert priced.count() >= 40
    assert all(piece.finishes.standing().exists() for piece in priced.exclude(old_mark="unsigned"))


def test_there_is_work_waiting_on_the_bench() -> None:
    assert Piece.objects.at_stage(Stage.DRY).count() >= 5
    assert Piece.objects.at_stage(Stage.DRYING).count() >= 25
    roughed = Piece.objects.at_stage(Stage.DRYING).filter(stage_since__gte=TODAY - timedelta(10))
    assert roughed.exists()
    old = Piece.objects.at_stage(Stage.DRYING).filter(stage_since__lte=TODAY - timedelta(580))
    assert old.exists()
    soon = FinishApplied.objects.standing().filter(
        piece__stage=Stage.IN_FINISH, usable_from__range=(TODAY, TODAY + timedelta(14))
    )
    assert soon.count() >= 3


def test_pieces_were_lost_to_nearly_every_cause() -> None:
    lost = JournalEntry.objects.filter(kind=Kind.LOST).values_list("move", flat=True)
    causes = LossCause.objects.exclude(slug="mistake").values_list("slug", flat=True)
    assert set(lost) == set(causes)


def test_there_are_pictures() -> None:
    assert 20 <= Photo.objects.public().count() <= 60
    assert Photo.objects.filter(journal__tree__isnull=False).exists()
    assert Photo.objects.filter(journal__piece__isnull=False).exists()


# The pieces that a visitor is shown


def test_a_hollow_vase_is_made_of_two_logs() -> None:
    vase = a_piece_called("Road and River")
    assert {part.role for part in vase.parts.all()} == {Part.Role.BODY, Part.Role.NECK}
    assert vase.trees.count() == 2


def test_the_usual_specialities_are_there() -> None:
    finished = Piece.objects.at_stage(Stage.FINISHED)
    assert finished.filter(form__slug="natural-edge-bowl", edge__slug="natural").exists()
    assert finished.filter(form__slug="stopper").exists()
    pens = finished.filter(form__slug="pen", stocks__species_slug="cocobolo")
    assert pens.exists()
    assert BoughtStock.objects.get(species_slug="cocobolo").missing_papers() == []
    assert any(stock.missing_papers() for stock in BoughtStock.objects.all())


def test_the_familys_bowl_went_home_and_their_other_promise_stands() -> None:
    bowl = a_piece_called("Edwin's Cherry")
    assert bowl.custody is not None
    assert (bowl.custody.kind, str(bowl.custody.holder)) == (Custody.Kind.GIVEN, "Ruth Marrin")
    [kept] = bowl.promises.all()
    assert kept.settled_on is not None
    [section] = Promise.objects.standing().get(tree=bowl.trees.get()).sections.all()
    assert section.state == Section.State.WHOLE
    assert not section.parts.exists()


def test_a_core_and_a_set_are_kept_as_such() -> None:
    core = Part.objects.get(source_piece__isnull=False)
    assert core.source_piece == a_piece_called("Staple")
    assert Piece.objects.exclude(piece_set=None).count() == 4


def test_pieces_from_before_the_book_keep_their_marks() -> None:
    old = Piece.objects.exclude(old_mark="")
    assert old.count() >= 10
    assert old.filter(parts__is_unknown=True).exists()
    begun = JournalEntry.objects.filter(journal__piece__in=old, kind=Kind.BEGUN)
    assert begun.filter(happened=None).exists()


def test_steps_were_taken_back() -> None:
    corrected = set(
        JournalEntry.objects.exclude(corrects=None).values_list("corrects__kind", flat=True)
    )
    assert {Kind.MOVED, Kind.CUSTODY} <= corrected


def test_trees_are_known_to_very_different_degrees() -> None:
    trees = list(Tree.objects.all())
    assert any(not tree.missing() for tree in trees)
    assert any(len(tree.missing()) >= 7 for tree in trees)
    assert any(tree.species and tree.species.is_genus for tree in trees)
    assert any(tree.species_words for tree in trees)
    known = {str(tree.felled)[-1] if tree.felled else "" for tree in trees}
    precisions = {tree.felled.precision for tree in trees if tree.felled}
    assert precisions == {"day", "month", "year", "decade"}
    assert {"", "?", "%"} <= known
    causes = {tree.cause.slug for tree in trees if tree.cause}
    assert causes == set(Cause.objects.values_list("slug", flat=True))


def test_some_ends_are_sealed_and_some_are_not() -> None:
    assert Section.objects.exclude(end_sealed=None).exists()
    open_ends = Section.objects.filter(end_sealed=None, created_at__gte=AT - timedelta(days=60))
    assert open_ends.exists()


# Order and plausibility


@pytest.mark.parametrize("kind", [Piece, Tree])
def test_numbers_run_with_the_days_and_without_a_gap(kind: type[Piece] | type[Tree]) -> None:
    rows: list[Any] = list(kind._default_manager.order_by("created_at", "pk"))
    numbers = [row.number for row in rows]
    zone = Shop.current().zone
    for row, number in zip(rows, numbers, strict=True):
        assert number.year == row.created_at.astimezone(zone).year % 100
    assert len({number.year for number in numbers}) == 4
    for year in {number.year for number in numbers}:
        of_year = [number.sequence for number in numbers if number.year == year]
        assert of_year == list(range(1, len(of_year) + 1))


def test_the_book_was_written_in_order_and_never_ahead_of_its_day() -> None:
    zone = Shop.current().zone
    entries = list(JournalEntry.objects.order_by("pk"))
    assert all(one.written_at <= other.written_at for one, other in pairwise(entries))
    assert entries[-1].written_at < AT
    for entry in entries:
        if entry.happened:
            assert entry.happened.earliest <= entry.written_at.astimezone(zone).date()


def test_every_journal_is_in_order() -> None:
    last: dict[int, date] = {}
    for entry in JournalEntry.objects.exclude(happened=None).order_by("pk"):
        assert entry.happened_from is not None
        assert entry.happened_from >= last.get(entry.journal_id, date.min), entry.words
        last[entry.journal_id] = entry.happened_from


def test_nothing_but_what_is_wanted_or_cures_lies_ahead() -> None:
    assert not Section.objects.filter(Q(cut__gt="2026-06-15") | Q(end_sealed__gt="2026-06-15"))
    assert not FinishApplied.objects.filter(last_coat__gt=TODAY)
    assert not Promise.objects.filter(Q(made_on__gt=TODAY) | Q(settled_on__gt=TODAY))
    assert not Custody.objects.filter(since__gt=TODAY)


def test_every_published_piece_has_a_story_to_tell() -> None:
    published = Piece.objects.published()
    assert published.count() >= 150
    with_words = published.exclude(public_words="")
    assert with_words.count() >= 120
    shop = Shop.current()
    for piece in published:
        page = pages.piece_page(Number.from_code(piece.code), shop, unpublished_too=False)
        assert page is not None
        assert page["events"], piece
        assert page["care"], piece


def test_public_words_are_one_to_three_sentences() -> None:
    for words in Piece.objects.exclude(public_words="").values_list("public_words", flat=True):
        assert words[-1] in ".!?", words
        assert 1 <= len(re.findall(r"[.!?](?:\s|$)", words)) <= 3, words


def test_every_finish_had_its_days_before_the_piece_was_called_finished() -> None:
    for applied in FinishApplied.objects.standing().filter(piece__stage=Stage.FINISHED):
        if applied.usable_from and applied.piece.stage_since:
            assert applied.usable_from <= applied.piece.stage_since


def test_sizes_suit_the_form() -> None:
    bounds = {
        "pen": (125, 150), "stopper": (85, 105), "bowl": (110, 400), "salad-bowl": (250, 400),
        "platter": (300, 450), "vase": (50, 200), "goblet": (60, 90), "lidded-box": (60, 110),
    }  # fmt: skip
    for piece in Piece.objects.exclude(diameter_mm=None).select_related("form"):
        low, high = bounds.get(piece.form.slug, (40, 400))
        assert low <= (piece.diameter_mm or 0) <= high, (piece, piece.form)


def test_a_piece_is_no_wider_than_the_wood_that_it_came_from() -> None:
    for part in Part.objects.exclude(section=None).select_related("section", "piece__form"):
        assert part.section is not None
        widest = part.piece.rough_diameter_mm or part.piece.diameter_mm or 0
        lengthwise = part.piece.form.is_long or part.piece.grain == Piece.Grain.END
        room = part.section.length_mm if lengthwise else part.section.large_end_mm
        assert widest <= (room or 2000), (part.piece, part.section, widest)


# Nobody and nothing real


def test_every_species_is_of_the_reference_table() -> None:
    for wood in [*Tree.objects.all(), *BoughtStock.objects.all()]:
        assert wood.species_name
        assert not wood.species_slug or species.get(wood.species_slug)


def test_all_mail_and_phones_are_of_the_invented_ranges() -> None:
    for person in Person.objects.all():
        assert not person.mail or person.mail.endswith("example.org")
        assert not person.phone or re.fullmatch(r"555-01\d\d", person.phone)
    assert set(re.findall(r"@[\w.-]+", texts())) <= set(
        re.findall(r"@[\w.-]*example\.org", texts())
    )
    assert "http" not in texts()


def test_only_those_who_agreed_may_be_named_in_public() -> None:
    named = Person.objects.filter(may_be_named=True)
    assert named.exists()
    assert not named.filter(may_be_named_on=None)
    assert Person.objects.filter(may_be_named=False).exists()


def test_what_a_name_on_the_list_of_buyers_says_stays_private() -> None:
    words = " ".join(Piece.objects.values_list("public_words", flat=True))
    words += " ".join(Tree.objects.values_list("story", flat=True))
    private = Person.objects.filter(may_be_named=False, is_organisation=False)
    for name in private.values_list("name", flat=True):
        assert name not in words


def test_the_script_is_read_to_the_last_word() -> None:
    titled = sum(
        bool(line.get("title"))
        for name in lives.SCRIPTS
        for run in script.read(name)["run"]
        for line in run.get("piece", [])
    )
    finished = Piece.objects.exclude(title="").filter(old_mark="")
    assert titled - finished.count() <= 3  # still in the making
    assert Finish.objects.filter(finishapplied__isnull=False).distinct().count() >= 8
