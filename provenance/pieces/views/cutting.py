"""The cut plan of a section: what it gives, what it weighs, and the blanks made of it."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_POST, require_safe

from provenance.maker.models import Shop
from provenance.pieces import cut_words, cutting
from provenance.pieces.forms.cutting import BlanksForm, CutPlanForm, start_values
from provenance.record import operations
from provenance.record.errors import RecordError
from provenance.record.scribe import Scribe, scribe_of
from provenance.trees.models import Section
from provenance.trees.woods import wood_of

TICK = "blank"


@require_safe
def cut_plan(request: HttpRequest, code: str, letter: str) -> HttpResponse:
    """Show how a section is best cut, and what each blank weighs."""
    section = _section(code, letter)
    shop = Shop.current()
    plan_form = _plan_form(request, section, shop)
    return render(request, "pieces/cut_plan.html", _page(section, plan_form, shop))


@require_POST
def cut_blanks(request: HttpRequest, code: str, letter: str) -> HttpResponse:
    """Make the ticked blanks of the plan that the address describes."""
    section = _section(code, letter)
    shop, scribe = Shop.current(), scribe_of(request)
    plan_form = _plan_form(request, section, shop)
    if not (plan_form.is_bound and plan_form.is_valid()):
        return render(request, "pieces/cut_plan.html", _page(section, plan_form, shop))
    form = _blanks_form(section, plan_form, request.POST)
    keys = request.POST.getlist(TICK)
    if form.is_valid():
        try:
            codes = _make(section, plan_form, form.wish(keys, shop.length_unit), form, scribe)
        except RecordError as error:
            form.add_error(None, str(error))
        else:
            return redirect(f"{reverse('pieces:made')}?codes={','.join(codes)}")
    context = _page(section, plan_form, shop, form, keys)
    return render(request, "pieces/cut_plan.html", context)


def _make(
    section: Section, plan: CutPlanForm, wish: cutting.Wish, form: BlanksForm, scribe: Scribe
) -> list[str]:
    def work() -> list[str]:
        made = cutting.make_blanks(section, plan.asked(), wish, scribe)
        return [piece.code for piece in made]

    return operations.once(form.cleaned_data["token"], scribe, work)


def _section(code: str, letter: str) -> Section:
    sections = Section.objects.select_related("tree", "journal")
    return get_object_or_404(sections, tree__code=code, letter=letter)


def _plan_form(request: HttpRequest, section: Section, shop: Shop) -> CutPlanForm:
    """The form as its address says; without a word there, as the section's own sizes say.

    A section without sizes is asked for them first, and nothing is judged yet.
    """
    start = start_values(section, shop)
    if request.GET:
        return CutPlanForm({**start, **request.GET.dict()}, shop=shop)
    if "small_end_mm" in start and "length_mm" in start:
        return CutPlanForm(start, shop=shop)
    return CutPlanForm(initial=start, shop=shop)


def _blanks_form(section: Section, plan: CutPlanForm, data: Any = None) -> BlanksForm:
    sizes = (section.small_end_mm, section.large_end_mm, section.length_mm)
    return BlanksForm(data, cut=plan.cleaned_data["cut"], has_sizes=None not in sizes)


def _page(
    section: Section,
    plan_form: CutPlanForm,
    shop: Shop,
    form: BlanksForm | None = None,
    ticked: list[str] | None = None,
) -> dict[str, Any]:
    """What the page shows: the form alone, or with the plan."""
    context: dict[str, Any] = {
        "room": "trees",
        "section": section,
        "given": section.parts.count(),
        "tree": section.tree,
        "plan_form": plan_form,
        "has_wood": section.state in (Section.State.WHOLE, Section.State.CUT_INTO),
    }
    if not plan_form.is_bound or not plan_form.is_valid():
        return context
    asked = plan_form.asked()
    try:
        plan = cutting.plan_of(asked)
    except RecordError as error:
        plan_form.add_error(None, str(error))
        return context
    wood = wood_of(section.tree)
    green, missing = cutting.green_of(wood)
    rows = cut_words.rows(plan, green, shop)
    query = QueryDict(mutable=True)
    query.update({n: plan_form[n].value() or "" for n in plan_form.fields if n != "is_cored"})
    if asked.is_cored:
        query["is_cored"] = "on"
    drawn = cut_words.picture(asked, plan, shop)
    return {
        **context,
        "plan": plan,
        "asked": asked,
        "wood": wood,
        "missing": missing,
        "sources": cutting.sources_of(wood) if wood and green else [],
        "rows": rows,
        "ticked": [row.key for row in rows] if ticked is None else ticked,
        "rest": cut_words.rest_words(plan, shop),
        "log_mass": cut_words.mass_words(green.log_kg(asked), shop.mass_unit) if green else "",
        "water_mass": cut_words.water_words(asked, shop),
        "form": form or _blanks_form(section, plan_form),
        "query": query.urlencode(),
        # Our own drawing; its words are escaped where it is drawn.
        "picture": mark_safe(drawn),  # noqa: S308
    }
