"""How the demo's pieces get their lives: days in order, as far as the script says."""

import random
from itertools import pairwise

import pytest

from provenance.pieces import workflow
from provenance.pieces.models import Method
from shop.keeping.demo.lives import Step, steps
from shop.keeping.demo.script import Line, Run


def a_run(method: str = Method.TWICE, **more: object) -> Run:
    facts = {
        "wood": ["unknown"],
        "form": "bowl",
        "ago": 800,
        "method": method,
        "size": [200, 80, 8],
    }
    return Run(**{**facts, **more})  # type: ignore[arg-type]


def life(run: Run, line: Line | None = None, cure_days: int = 2) -> list[Step]:
    return steps(run, line or Line(), cure_days, random.Random(1))


@pytest.mark.parametrize("method", Method.values)
def test_a_whole_life_makes_every_onward_move_in_order(method: str) -> None:
    found = life(a_run(method))
    onward = [move.slug for move in workflow.METHODS[method] if move.is_onward]
    assert [step.slug for step in found] == onward
    assert all(one.ago >= other.ago for one, other in pairwise(found))


def test_the_script_sets_how_long_it_dries_and_waits() -> None:
    found = {step.slug: step.ago for step in life(a_run(), Line(dries=300, wait=20))}
    assert found["rough"] - found["call-dry"] == 300
    assert found["call-dry"] - found["true-up"] == 20


def test_it_is_not_called_finished_before_the_finish_has_cured() -> None:
    found = {step.slug: step.ago for step in life(a_run(), cure_days=30)}
    assert found["into-finish"] - found["finish"] > 30


@pytest.mark.parametrize(
    ("line", "last"),
    [
        (Line(stop="dry"), "call-dry"),
        (Line(stop="trued"), "true-up"),
        (Line(lost="cracked", at="rough"), "rough"),
    ],
)
def test_it_goes_no_further_than_the_script_lets_it(line: Line, last: str) -> None:
    assert life(a_run(), line)[-1].slug == last


@pytest.mark.parametrize("line", [Line(stop="blank"), Line(lost="rot", at="blank")])
def test_it_may_stay_a_blank(line: Line) -> None:
    assert life(a_run(), line) == []


def test_a_word_that_the_script_does_not_know_is_an_error() -> None:
    with pytest.raises(TypeError, match="sise"):
        a_run(piece=[{"sise": [1, 2]}]).lines()


def test_ordinary_pieces_stand_between_the_particular_ones() -> None:
    run = a_run(plain=3, piece=[{"title": "a"}, {"title": "b"}])
    assert [line.title for line in run.lines()] == ["", "a", "", "b", ""]
