"""What every set of a model should have with it: named, renamed with its history. Models are invented."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.pairing.actions import save_companion_kind
from tests.factories import CompanionFactory, CompanionKindFactory, SetModelFactory
from tests.house.test_corrections import shown
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind(keeper):
    row = CompanionKindFactory.build(set_model=SetModelFactory(name="Field receiver, large"), name="calibraton book")
    return save_companion_kind(row, by=keeper)


def address(kind):
    return reverse("pairing:companion-kind-change", args=[kind.pk])


def test_a_kind_is_renamed_and_its_history_stands_beside_the_form(kind, as_keeper):
    CompanionFactory(kind=kind)
    model = reverse("sets:model", args=[kind.set_model_id])
    assert f'<a href="{address(kind)}">calibraton book</a>' in page_text(as_keeper.get(model))
    sent = shown(as_keeper.get(address(kind))) | {"name": "calibration book", "reason": "read again"}
    assert as_keeper.post(address(kind), sent).url == model
    kind.refresh_from_db()
    assert (kind.name, kind.companions.count()) == ("calibration book", 1)
    text = page_text(as_keeper.get(address(kind)))
    changed = text[text.index("Who changed what") :]
    assert "<s>calibraton book</s>" in changed and "read again" in changed and "a-keeper" in changed


def test_two_kinds_of_one_name_are_refused(kind, as_keeper):
    CompanionKindFactory(set_model=kind.set_model, name="coil set")
    answer = as_keeper.post(address(kind), shown(as_keeper.get(address(kind))) | {"name": "coil set"})
    assert answer.status_code == 422 and "already exists" in answer.content.decode()


def test_a_kind_stays_with_its_model(kind, keeper, as_keeper):
    """Companions of it belong to sets of that model by their serials: of another model it is another thing."""
    other = SetModelFactory()
    sent = shown(as_keeper.get(address(kind))) | {"name": "log book", "set_model": other.pk}
    assert as_keeper.post(address(kind), sent).status_code == 302
    kind.refresh_from_db()
    assert (kind.name, kind.set_model.name) == ("log book", "Field receiver, large")
    kind.set_model = other
    with pytest.raises(ValidationError, match="add one for the other model instead"):
        save_companion_kind(kind, by=keeper)


def test_who_may_not_change_is_not_led_there(kind, as_helper, as_visitor):
    for client in (as_helper, as_visitor):
        assert address(kind) not in client.get(reverse("sets:model", args=[kind.set_model_id])).content.decode()
        assert client.get(address(kind)).status_code == 403
