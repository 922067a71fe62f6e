"""A position that is not counted, and a supply written before there was a bound for it."""

import pytest
from django.urls import reverse

from tests.sets.test_filaments import model_with
from tubes.rules.emission import EMITTERS, emission

pytestmark = pytest.mark.django_db


def test_a_tube_tried_where_no_branch_is_recorded(as_visitor):
    model = model_with(20.0, V1=("211", "A"), V2=("211", ""))
    position = model.positions.get(mark="V2")
    page = as_visitor.get(reverse("sets:model-filaments", args=[model.pk]), {"position": position.pk, "type": "838"})
    assert page.status_code == 200 and page.context["instead"] == {}
    assert "Nothing changes" in str(page.context["form"].errors["position"])


@pytest.mark.parametrize("emitter", list(EMITTERS.values()))
@pytest.mark.parametrize("kelvin", [0.0, -1.0])
def test_nothing_is_emitted_at_absolute_zero(emitter, kelvin):
    """The limit of Richardson's law for T towards 0."""
    assert emission(emitter, kelvin) == 0.0


def test_a_supply_kept_from_before_its_bound(as_visitor):
    model = model_with(1e-20, V1=("801A", "A"))
    assert as_visitor.get(reverse("sets:model-filaments", args=[model.pk])).status_code == 200
