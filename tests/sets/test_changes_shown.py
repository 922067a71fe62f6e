"""Who changed what of set models and of the models of plug-in units."""

import pytest
from django.urls import reverse

from inventory.sets.actions import save_position, save_set_model, save_unit_model
from inventory.sets.models import SetModel, UnitModel
from tests.factories import PositionFactory

pytestmark = pytest.mark.django_db


def test_who_changed_a_set_model_is_on_its_page(as_keeper, keeper):
    model = save_set_model(SetModel(name="Field receiver, large"), by=keeper)
    model.name = "Field receiver, small"
    save_set_model(model, by=keeper, reason="read on its plate")
    text = as_keeper.get(reverse("sets:model", args=[model.pk])).content.decode()
    told = text[text.index("Who changed what") :]
    assert "read on its plate" in told and "<s>Field receiver, large</s>" in told and keeper.get_username() in told


def test_who_changed_a_position_or_a_unit_model_is_beside_its_form(as_keeper, keeper):
    position = PositionFactory()
    save_position(position, by=keeper, reason="read on the chassis")
    text = as_keeper.get(reverse("sets:position-change", args=[position.pk])).content.decode()
    assert "read on the chassis" in text[text.index("Who changed what") :]
    model = save_unit_model(UnitModel(name="Coil drawer A"), [], by=keeper)
    model.name = "Coil drawer B"
    save_unit_model(model, [], by=keeper, reason="its plate says so")
    text = as_keeper.get(reverse("sets:unit-model-change", args=[model.pk])).content.decode()
    assert "its plate says so" in text[text.index("Who changed what") :]
