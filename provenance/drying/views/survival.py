"""How much of what was roughed out came through."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from provenance.drying import survival as fates
from provenance.drying.survival import Survival, Tally
from provenance.maker.models import Shop

#: More rows than this say less: those of which fewest are decided are summed up.
ROWS = 25


@dataclass(frozen=True)
class Part:
    """One table of the page. `rest` counts the rows that it leaves out."""

    title: str
    of_trees: bool
    rows: list[Tally]
    rest: int


@dataclass(frozen=True)
class Beginning:
    """One half of the page: those that began in one way."""

    title: str
    through: str
    total: Tally
    parts: list[Part]


@require_safe
def survival(request: HttpRequest) -> HttpResponse:
    """Show how much came through, by wood, tree, season and wall."""
    figures = fates.figures(Shop.current().length_unit)
    halves = [
        _beginning("Roughed out, to be turned twice", "trued up", figures.roughed),
        _beginning("Turned green in one go", "dry and whole", figures.turned_green),
    ]
    page = {
        "room": "pieces",
        "halves": [half for half in halves if half.total.roughed],
        "from_before": figures.from_before,
        "fewest": fates.FEWEST,
    }
    return render(request, "drying/survival.html", page)


def _beginning(title: str, through: str, of: Survival) -> Beginning:
    parts = [
        _part("By wood", of.by_wood),
        _part("By tree", of.by_tree, of_trees=True),
        _part("By season of the first turning", of.by_season),
        _part("By wall", of.by_wall),
    ]
    return Beginning(title, through, of.total, parts)


def _part(title: str, rows: list[Tally], *, of_trees: bool = False) -> Part:
    return Part(title, of_trees, rows[:ROWS], max(0, len(rows) - ROWS))
