"""A tube that its state on record speaks against goes into a set on purpose only (common practice, no source)."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.sets.actions import fit
from inventory.sets.models import Fitting
from tests.factories import ChassisFactory, PositionFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.running.rows import TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def place():
    position = PositionFactory(mark="V9", type=TubeTypeFactory(name="6SJ7"), neutralized=False)
    return position, ChassisFactory(model=position.set_model)


@pytest.mark.parametrize("state", ["weak", "dud"])
def test_weak_and_dud_are_asked_about(place, keeper, today, days_ago, state):
    position, chassis = place
    tube = TubeFactory(type=position.type, state=state)

    def put(**more):
        row = Fitting(chassis=chassis, position=position, tube=tube, since=more.pop("since", today), **more)
        return row

    with pytest.raises(ValidationError, match=f"its state on record is {state}") as refusal:
        fit(put(), today=today, by=keeper)
    assert list(refusal.value.message_dict) == ["in_doubt"]
    assert fit(put(since=days_ago(9), until=days_ago(4)), today=today, by=keeper).pk  # what was is told, not asked
    row = fit(put(), today=today, by=keeper, in_doubt=True)
    assert row.history.first().history_change_reason == f"fitted on purpose, its state on record is {state}"


@pytest.mark.parametrize("state", ["good", "untested"])
def test_good_and_untested_are_not(place, keeper, today, state):
    position, chassis = place
    tube = TubeFactory(type=position.type, state=state)
    assert fit(Fitting(chassis=chassis, position=position, tube=tube, since=today), today=today, by=keeper).pk


def test_the_state_that_stands_now_is_what_counts(place, keeper, today):
    position, chassis = place
    tube = TubeFactory(type=position.type, state="good")
    type(tube).objects.update(state="dud")  # by somebody else, since this was read
    with pytest.raises(ValidationError, match="its state on record is dud"):
        fit(Fitting(chassis=chassis, position=position, tube=tube, since=today), today=today, by=keeper)


def test_the_page_says_so_and_asks(place, as_keeper, today):
    position, chassis = place
    tube = TubeFactory(type=position.type, state="dud")
    address = reverse("sets:tube-fit", args=[chassis.tag, position.pk])
    text = page_text(as_keeper.get(address, {"tube": tube.tag}))
    assert "its state on record is dud" in text and 'name="in_doubt"' in text
    sent = {"tube": tube.tag, "since": today} | seen_at(as_keeper, address)
    answer = as_keeper.post(address, sent)
    assert answer.status_code == 422 and 'name="in_doubt"' in page_text(answer) and not Fitting.objects.exists()
    assert as_keeper.post(address, sent | {"in_doubt": "on"}).status_code == 302
    assert Fitting.objects.get().tube == tube


def test_a_reject_called_good_and_one_called_dud(place, as_keeper):
    position, chassis = place
    good, dud = (TubeFactory(type=position.type, state=state) for state in ("good", "dud"))
    for tube in (good, dud):
        TubeTestFactory(tube=tube, reading=900, minimum=1800)
    address = reverse("sets:tube-fit", args=[chassis.tag, position.pk])
    text = page_text(as_keeper.get(address, {"tube": good.tag}))
    assert "last test reject" in text and "whatever its state on record (good)" in text
    text = page_text(as_keeper.get(address, {"tube": dud.tag}))
    assert "last test reject" in text and "its state on record is dud. A shorted" in text
