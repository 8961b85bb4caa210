"""The forms of a cut plan: how the section is sawn, and which of its blanks are made."""

from typing import Any

from django import forms

from provenance.maker.models import Shop
from provenance.pieces.cutting import Asked, Wish
from provenance.pieces.models import Form, Method
from provenance.record.fields import LengthFormField
from provenance.record.forms import TokenForm, use_units
from provenance.record.units import format_length
from provenance.trees.models import Section
from provenance.wood.yields import Cut

CUTS = [
    (Cut.TO_PITH, "bowls, rim towards the pith"),
    (Cut.TO_BARK, "bowls, rim towards the bark"),
    (Cut.NATURAL, "natural-edge bowls"),
    (Cut.END_GRAIN, "end-grain rounds beside the pith"),
]
SHAPES = [
    ("rounded", "rounded, foot 4/10 of the rim"),
    ("full", "full, foot 4/10 of the rim"),
    ("straight", "straight flanks, foot 4/10 of the rim"),
    ("cylinder", "a whole cylinder: any shape fits"),
]
#: Common practice, to begin with: nobody measured them here.
USUAL = {"pith_slab_mm": 12, "kerf_mm": 10, "end_loss_mm": 25, "pith_offset_mm": 0}
USUAL_LEAST_MM, USUAL_LEAST_END_GRAIN_MM = 150, 50
USUAL_FORMS = {Cut.NATURAL: "natural-edge-bowl", Cut.END_GRAIN: "vase"}


def _length(label: str, most: int, *, least: int = 0, hint: str = "", required: bool = True) -> Any:
    return LengthFormField(
        label=label, min_mm=least, max_mm=most, required=required, help_text=hint
    )


class CutPlanForm(forms.Form):
    """How a section is sawn. Ends and length come from the section, the rest as usual."""

    small_end_mm = _length("Small end", 5_000, least=20)
    large_end_mm = _length("Large end", 5_000, least=20, required=False)
    length_mm = _length("Length", 20_000, least=50)
    cut = forms.ChoiceField(choices=CUTS, initial=Cut.TO_PITH, label="What you cut")
    height_mm = _length(
        "Height of the round", 2_000, least=10, required=False,
        hint="Empty: four tenths of its diameter (common practice). End grain: its length. "
        "A natural edge is as high as the half round, whatever stands here.",
    )  # fmt: skip
    pith_offset_mm = _length("Pith off the middle by", 2_500)
    pith_slab_mm = _length("Pith to the cut face", 500, hint="Of each half: half the slab.")
    kerf_mm = _length("Saw cut", 50)
    end_loss_mm = _length("Loss at each end", 1_000)
    shape = forms.ChoiceField(choices=SHAPES, initial="rounded", label="Outline of the bowl")
    least_mm = _length("Smallest worth cutting", 2_000, least=20, required=False)
    lengths = forms.IntegerField(
        label="Lengths",
        required=False,
        min_value=1,
        max_value=100,
        help_text="Empty: the largest first.",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )
    is_cored = forms.BooleanField(required=False, label="Show what coring would give")

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        use_units(self, shop)
        least, least_end = (
            format_length(mm, shop.length_unit) for mm in (USUAL_LEAST_MM, USUAL_LEAST_END_GRAIN_MM)
        )
        self.fields["least_mm"].help_text = f"Across. Empty: {least}; {least_end} for end grain."

    def clean(self) -> dict[str, Any]:
        """Say beside its field what can't be sawn."""
        cleaned = super().clean() or self.cleaned_data
        if any(name in self.errors for name in ("small_end_mm", "length_mm", "large_end_mm")):
            return cleaned
        small, large = cleaned["small_end_mm"], cleaned.get("large_end_mm")
        cleaned["large_end_mm"] = large or small
        if large and large < small:
            self.add_error("small_end_mm", "The small end is larger than the large end: swap them.")
        if 2 * cleaned.get("pith_offset_mm", 0) >= small:
            self.add_error("pith_offset_mm", "That is outside the bark: check the small end too.")
        if 2 * cleaned.get("end_loss_mm", 0) >= cleaned["length_mm"]:
            self.add_error("end_loss_mm", "That takes the whole length: check the length too.")
        if 2 * cleaned.get("pith_slab_mm", 500) < cleaned.get("kerf_mm", 0):
            self.add_error("pith_slab_mm", "Half a saw cut is more than that: leave at least half.")
        is_end_grain = cleaned.get("cut") == Cut.END_GRAIN
        usual = USUAL_LEAST_END_GRAIN_MM if is_end_grain else USUAL_LEAST_MM
        cleaned["least_mm"] = cleaned.get("least_mm") or usual
        if is_end_grain and cleaned.get("height_mm", 0) is None:
            self.add_error("height_mm", "Say how long the end-grain rounds are to be.")
        return cleaned

    def asked(self) -> Asked:
        """Return what was typed."""
        return Asked(**self.cleaned_data)

    @property
    def is_fold_open(self) -> bool:
        """Whether something in the fold of the form is wrong."""
        names = ("shape", "least_mm", "lengths")
        return any(self[name].errors for name in names)


def start_values(section: Section, shop: Shop) -> dict[str, str]:
    """Return what the form begins with, as it would be typed: the section's sizes, usual cuts."""
    form = CutPlanForm(shop=shop)
    sizes = {n: getattr(section, n) for n in ("small_end_mm", "large_end_mm", "length_mm")}
    # One end alone is taken for both: a limb is noted by one diameter as a rule.
    sizes["small_end_mm"] = sizes["small_end_mm"] or sizes["large_end_mm"]
    lengths = {**sizes, **USUAL}
    typed = {
        n: str(form.fields[n].prepare_value(mm)) for n, mm in lengths.items() if mm is not None
    }
    return {**typed, "cut": Cut.TO_PITH, "shape": "rounded"}


class BlanksForm(TokenForm):
    """Which of the planned blanks are made, and as what."""

    form = forms.ModelChoiceField(Form.objects.all(), label="Form of work", empty_label=None)
    method = forms.ChoiceField(
        choices=[(Method.TWICE, "twice-turned"), (Method.SINGLE, "single-turn")],
        widget=forms.RadioSelect,
        initial=Method.TWICE,
        label="Method",
    )
    uses_up = forms.BooleanField(required=False, label="That uses the section up")
    keeps_sizes = forms.BooleanField(
        required=False, initial=True, label="Write ends and length into the section"
    )

    def __init__(self, *args: Any, cut: str, has_sizes: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        slug = USUAL_FORMS.get(Cut(cut), "bowl")
        self.fields["form"].initial = Form.objects.filter(slug=slug).first()
        if has_sizes:
            del self.fields["keeps_sizes"]

    def wish(self, keys: list[str], unit: str) -> Wish:
        """Return what is to be made of the rounds with these keys."""
        typed = self.cleaned_data
        return Wish(
            keys=keys,
            form=typed["form"],
            method=typed["method"],
            unit=unit,
            uses_up=typed["uses_up"],
            keeps_sizes=typed.get("keeps_sizes", False),
        )
