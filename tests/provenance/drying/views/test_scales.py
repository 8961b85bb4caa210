"""The shop's scales."""

from decimal import Decimal

import pytest
from django.urls import reverse

from provenance.drying.models import Scale
from provenance.maker.models import Shop

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("unit", "typed", "step_g", "shown"),
    [
        ("g", "0.1", "0.10", "0.1 g"),
        ("g", "5", "5", "5 g"),
        ("kg", "5 g", "5", "5 g"),
        ("oz", "0.1", "2.83", "0.1 oz"),
        ("lb", "0.05 oz", "1.42", "0.05 oz"),
        ("lb", "0.5", "14.17", "0.5 oz"),
    ],
)
def test_a_step_is_typed_and_shown_in_the_shops_unit(owner_client, unit, typed, step_g, shown):
    Shop.objects.update(mass_unit=unit)
    owner_client.post(reverse("drying:add_scale"), {"name": "Kitchen", "step_g": typed})
    scale = Scale.objects.get()
    assert scale.step_g == Decimal(step_g)
    edit = reverse("drying:edit_scale", args=[scale.pk])
    assert f'value="{shown}"' in owner_client.get(edit).content.decode()
    owner_client.post(edit, {"name": "Kitchen scale", "step_g": shown})
    scale.refresh_from_db()
    assert (scale.name, scale.step_g) == ("Kitchen scale", Decimal(step_g))
    assert shown in owner_client.get(reverse("drying:scales")).content.decode()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": "Kitchen", "step_g": "1"}, "You have a scale of that name"),
        ({"name": "Other", "step_g": "0"}, "This must be between 0.01 g and 1000 g."),
        ({"name": "Other", "step_g": "fine"}, "read as a measure"),
    ],
)
def test_what_is_no_scale_is_said_and_stays_typed(owner_client, typed, said):
    Scale.objects.create(name="Kitchen", step_g=1)
    page = owner_client.post(reverse("drying:add_scale"), typed).content.decode()
    assert said in page
    assert f'value="{typed["step_g"]}"' in page
    assert Scale.objects.count() == 1
