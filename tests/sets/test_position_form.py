"""Positions of a set model, typed in one after another, and which of them want tubes matched to one another."""

import pytest
from django.urls import reverse

from inventory.sets.models import Position
from tests.factories import PositionFactory, SetModelFactory
from tests.pages import page_text, seen_at

pytestmark = pytest.mark.django_db


def test_one_after_another(as_keeper):
    model = SetModelFactory(neutralizing="none")
    address = reverse("sets:position-add", args=[model.pk])
    sent = {"mark": "V11", "role": "power amplifier", "matched": "A"}
    answer = as_keeper.post(address, sent | {"another": "yes"})
    assert (answer.status_code, answer.url) == (302, address)
    answer = as_keeper.post(address, sent | {"mark": "V12"})
    assert (answer.status_code, answer.url) == (302, model.get_absolute_url())
    rows = Position.objects.order_by("id").values_list("mark", "role", "matched")
    assert list(rows) == [("V11", "power amplifier", "A"), ("V12", "power amplifier", "A")]
    assert "matched, A" in page_text(as_keeper.get(model.get_absolute_url()))


def test_the_letter_is_changed_and_taken_away(as_keeper):
    row = PositionFactory(mark="V11", matched="A", type=None)
    address = reverse("sets:position-change", args=[row.pk])
    assert 'value="A"' in page_text(as_keeper.get(address))
    for letter in ("B", ""):
        sent = {"mark": "V11", "matched": letter, "reason": "by the handbook"} | seen_at(as_keeper, address)
        assert as_keeper.post(address, sent).status_code == 302
        row.refresh_from_db()
        assert row.matched == letter
