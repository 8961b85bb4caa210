from datetime import date

import pytest
from django import forms
from django.core import serializers
from django.core.exceptions import ValidationError
from django.db import connection, models
from django.test.utils import isolate_apps

from provenance.record.fields import (
    CleanCharField,
    DayFormField,
    LengthFormField,
    MassFormField,
    PartialDateField,
    PartialDateFormField,
)
from provenance.record.partial_dates import PartialDate


class RoughOutForm(forms.Form):
    title = CleanCharField(required=False, max_length=5)
    words = CleanCharField(required=False, widget=forms.Textarea)
    roughed = PartialDateFormField(required=False)
    wall_mm = LengthFormField(required=False)
    mass_g = MassFormField(required=False)

    def __init__(self, *args, length_unit="mm", mass_unit="g", today=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["wall_mm"].unit = length_unit
        self.fields["mass_g"].unit = mass_unit
        self.fields["roughed"].today = self.fields["roughed"].not_after = today


def cleaned(name, typed, **kwargs):
    form = RoughOutForm({name: typed}, **kwargs)
    assert form.is_valid(), form.errors
    return form.cleaned_data[name]


def refusal(name, typed, **kwargs):
    form = RoughOutForm({name: typed}, **kwargs)
    assert not form.is_valid()
    return form.errors[name][0]


def test_words_are_cleaned_and_keep_their_lines_only_in_a_text_area():
    assert cleaned("title", " e\N{COMBINING ACUTE ACCENT}\x00l\ud800m ") == "élm"
    assert cleaned("title", "a\r\nb") == "a b"
    assert cleaned("words", "first\r\nsecond\x00") == "first\nsecond"
    assert cleaned("title", "") == ""


def test_words_are_measured_after_cleaning():
    assert cleaned("title", "12345\x00\x00") == "12345"
    assert refusal("title", "123456").startswith("Ensure this value has at most 5")


def test_a_date_field_reads_words_and_gives_none_for_nothing():
    assert cleaned("roughed", "about 1998") == PartialDate("1998~")
    assert cleaned("roughed", PartialDate("1998")) == PartialDate("1998")
    assert cleaned("roughed", "") is None
    assert cleaned("roughed", " \n") is None


def test_a_date_field_knows_the_day_that_the_form_tells_it():
    today = date(2026, 11, 25)
    assert cleaned("roughed", "yesterday", today=today) == PartialDate("2026-11-24")
    assert refusal("roughed", "26 November 2026", today=today) == (
        "26 November 2026 is still to come: check the date."
    )


def test_a_date_field_can_be_told_the_day_when_it_is_made():
    field = PartialDateFormField(today=date(2026, 11, 25), not_after=date(2026, 11, 25))
    assert field.clean("today") == PartialDate("2026-11-25")
    with pytest.raises(ValidationError, match="still to come"):
        field.clean("2027")


def test_a_required_date_must_be_typed():
    with pytest.raises(ValidationError) as refused:
        PartialDateFormField().clean("")
    assert [error.code for error in refused.value.error_list] == ["required"]


@pytest.mark.parametrize(
    ("kept", "shown"),
    [
        ("2023-03-12", "2023-03-12"),
        ("2023-03-12~", "about 12 March 2023"),
        ("2023-03", "March 2023"),
        ("1998~", "about 1998"),
    ],
)
def test_a_form_shows_a_date_so_that_it_reads_back(kept, shown):
    form = RoughOutForm(initial={"roughed": PartialDate(kept)})
    assert f'value="{shown}"' in str(form["roughed"])
    assert cleaned("roughed", shown) == PartialDate(kept)
    assert not RoughOutForm({"roughed": shown}, initial=form.initial).has_changed()


def test_measures_are_read_in_the_shops_unit_and_rounded_half_up():
    assert cleaned("wall_mm", "25") == 25
    assert cleaned("wall_mm", "1", length_unit="in") == 25
    assert cleaned("wall_mm", "2.25 cm") == 23
    assert cleaned("wall_mm", "1/2", length_unit="in") == 13
    assert cleaned("mass_g", "2 lb 3 oz") == 992
    assert cleaned("mass_g", "1", mass_unit="kg") == 1000
    assert cleaned("wall_mm", 25) == 25
    assert cleaned("wall_mm", " ") is None
    assert cleaned("mass_g", "") is None


def test_measures_out_of_range_are_refused_in_the_shops_unit():
    assert refusal("wall_mm", "0.4") == "This can't be less than 1 mm."
    assert refusal("wall_mm", "20000.5") == "This can't be more than 20000 mm."
    assert refusal("wall_mm", "70 ft", length_unit="in") == "This can't be more than 787 3/8 in."
    assert refusal("mass_g", "0") == "This can't be less than 1 g."
    assert refusal("mass_g", "5001", mass_unit="kg") == "This can't be more than 5000 kg."
    assert LengthFormField(min_mm=5, max_mm=10).clean("5") == 5
    with pytest.raises(ValidationError, match="more than 10 mm"):
        LengthFormField(min_mm=5, max_mm=10).clean("11")


def test_what_cannot_be_read_stays_as_typed_beside_its_sentence():
    form = RoughOutForm({"wall_mm": "thick", "roughed": "last winter"}, length_unit="in")
    assert form.errors["wall_mm"][0].startswith("“thick” can't be read as a measure: type one")
    assert form.errors["roughed"][0].startswith("“last winter” is not a date that can be read")
    assert 'value="thick"' in str(form["wall_mm"])
    assert 'value="last winter"' in str(form["roughed"])


@pytest.mark.parametrize("entry", ["\x00", "\ud800", "🌳", "1" * 10_000])
@pytest.mark.parametrize("name", ["roughed", "wall_mm", "mass_g"])
def test_odd_entries_get_a_sentence(name, entry):
    assert refusal(name, entry).endswith(".")


@pytest.mark.parametrize(
    ("units", "shown"),
    [
        (("mm", "g"), ("267 mm", "1235 g")),
        (("in", "lb"), ("10 1/2 in", "2 lb 11.56 oz")),
    ],
)
def test_a_form_shows_measures_in_the_shops_unit_and_unchanged(units, shown):
    kwargs = {"length_unit": units[0], "mass_unit": units[1]}
    initial = {"wall_mm": 267, "mass_g": 1235}
    form = RoughOutForm(initial=initial, **kwargs)
    assert f'value="{shown[0]}"' in str(form["wall_mm"])
    assert f'value="{shown[1]}"' in str(form["mass_g"])
    sent = {"wall_mm": shown[0], "mass_g": shown[1]}
    assert not RoughOutForm(sent, initial=initial, **kwargs).has_changed()


def test_these_fields_ask_the_browser_for_no_old_entries():
    form = RoughOutForm()
    assert all('autocomplete="off"' in str(form[n]) for n in ("roughed", "wall_mm", "mass_g"))


def test_a_date_column_can_be_written_into_a_migration():
    _, path, args, kwargs = PartialDateField(null=True, blank=True).deconstruct()
    assert (path, args) == ("provenance.record.fields.PartialDateField", [])
    assert kwargs == {"null": True, "blank": True}
    assert PartialDateField(**kwargs).max_length == 16
    assert PartialDateField(max_length=20).deconstruct()[3] == {"max_length": 20}


def test_a_date_column_takes_dates_days_and_stored_text():
    field = PartialDateField(null=True)
    assert field.to_python("2023-03") == PartialDate("2023-03")
    assert field.to_python(date(2023, 3, 12)) == PartialDate("2023-03-12")
    assert field.to_python(PartialDate("2023")) == PartialDate("2023")
    assert field.to_python("") is None
    with pytest.raises(ValidationError, match="not a date that can be read"):
        field.to_python("March 2023")
    assert field.clean("2023", None) == PartialDate("2023")
    assert field.get_prep_value(None) is None
    assert PartialDateField(blank=True).get_prep_value(None) == ""
    assert PartialDateField(blank=True).get_default() is None


def test_a_date_columns_form_field_takes_words_longer_than_what_is_kept():
    field = PartialDateField("date felled", null=True, blank=True, help_text="As far as known.")
    form_field = field.formfield()
    assert isinstance(form_field, PartialDateFormField)
    assert (form_field.label, form_field.required) == ("Date felled", False)
    assert form_field.help_text == "As far as known."
    assert form_field.clean("perhaps about 12 September 2023") == PartialDate("2023-09-12%")


@pytest.mark.django_db(transaction=True)
@isolate_apps()
def test_dates_are_kept_found_and_copied_out_as_edtf():
    class Felling(models.Model):
        felled = PartialDateField(null=True, blank=True)
        collected = PartialDateField(blank=True)

        class Meta:
            app_label = "record"

        def __str__(self) -> str:
            return str(self.felled)

    with connection.schema_editor() as editor:
        editor.create_model(Felling)
    try:
        known = Felling(felled=PartialDate("2023-03~"), collected=None)
        known.full_clean()
        known.save()
        Felling.objects.create()
        kept = Felling.objects.get(felled=PartialDate("2023-03~"))
        assert (kept.felled, kept.collected) == (PartialDate("2023-03~"), None)
        assert Felling.objects.filter(felled__startswith="2023").get() == kept
        assert Felling.objects.get(felled__isnull=True).felled is None
        assert Felling.objects.filter(collected="").count() == 2
        with connection.cursor() as cursor:
            cursor.execute("SELECT felled, collected FROM record_felling ORDER BY id")
            assert cursor.fetchall() == [("2023-03~", ""), (None, "")]
        copied = serializers.serialize("python", Felling.objects.order_by("id"))
        assert [row["fields"]["felled"] for row in copied] == ["2023-03~", None]
    finally:
        with connection.schema_editor() as editor:
            editor.delete_model(Felling)


@isolate_apps()
def test_a_date_column_of_a_model_form_shows_and_reads_words():
    class Felling(models.Model):
        felled = PartialDateField(null=True, blank=True)

        class Meta:
            app_label = "record"

        def __str__(self) -> str:
            return str(self.felled)

    form_class = forms.modelform_factory(Felling, fields=["felled"])
    felling = Felling(felled=PartialDate("1998~"))
    assert 'value="about 1998"' in str(form_class(instance=felling)["felled"])
    form = form_class({"felled": "May 1999"}, instance=felling)
    assert form.is_valid()
    assert form.save(commit=False).felled == PartialDate("1999-05")


def test_an_exact_day_is_read_one_way_only():
    field = DayFormField(not_after=date(2026, 6, 15))
    assert field.clean("2026-06-15") == date(2026, 6, 15)
    for typed, sentence in (
        ("3/4/2023", "like 2026-03-12"),
        ("12 March 2023", "like 2026-03-12"),
        ("2026-06-16", "still to come"),
        ("0001-01-01", "from 1000 to 9999"),
    ):
        with pytest.raises(ValidationError, match=sentence):
            field.clean(typed)
    assert DayFormField().clean("9999-12-31") == date(9999, 12, 31)
