"""Earlier stays of tubes in positions and of units in bays, filled in afterwards: with the day they came out.

What may not be is common practice, no source: a thing is in one place at a time, and a place holds one thing.
"""

from datetime import time

import pytest
from django.urls import reverse

from inventory.holdings.models import Item
from inventory.sets.models import Fitting, Seating
from inventory.sets.queries import bays_of
from tests.factories import (
    BayFactory,
    PlugInUnitFactory,
    PositionFactory,
    TubeFactory,
)
from tests.pages import page_text

pytestmark = pytest.mark.django_db


def test_an_earlier_stay_of_a_unit_is_filled_in(bench, refused, days_ago):
    unit, other = (PlugInUnitFactory(model=bench.unit_model, place=bench.drawer) for _ in range(2))
    bench.seat(unit, 10)
    row = bench.seat(other, 30, until=days_ago(20))
    assert (row.since, row.until) == (days_ago(30), days_ago(20))
    other.item.refresh_from_db()
    assert other.item.place == bench.drawer and not other.item.movements.exists()
    assert bays_of(bench.chassis)[0].seating.unit == unit
    for since, until, field, words in (
        (15, 9, "until", f'{unit.tag} was in {bench.chassis}, bay left since {days_ago(10)}. Correct its "from" first'),
        (25, 12, "since", f"{other.tag} was in {bench.chassis}, bay left from {days_ago(30)} to {days_ago(20)}."),
        (15, 16, "until", "is before"),
        (15, -1, "until", "has not come yet"),
    ):
        with refused(field, words):
            bench.seat(PlugInUnitFactory(model=bench.unit_model), since, until=days_ago(until))
    with refused("until", f"{unit.tag} was in {bench.chassis}, bay left since"):
        bench.seat(unit, 15, until=days_ago(9), bay=BayFactory(set_model=bench.model))
    bench.seat(other, 12, until=days_ago(10))


@pytest.mark.parametrize("cells", [{"lent_to": "Ebb Street radio club", "lent_on": 8}, {"gone_on": 8}])
def test_an_earlier_stay_of_a_thing_that_is_away_now(bench, refused, days_ago, cells):
    """What is lent or gone by now was here before that; a stay may not reach into that time."""
    tube = TubeFactory()
    unit = PlugInUnitFactory(model=bench.unit_model)
    said = {name: days_ago(value) if isinstance(value, int) else value for name, value in cells.items()}
    Item.objects.filter(pk__in=[tube.pk, unit.pk]).update(**said)
    tube.item.refresh_from_db(), unit.item.refresh_from_db()
    assert bench.fit(tube, 30, until=days_ago(8)).pk and bench.seat(unit, 30, until=days_ago(8)).pk
    for change in (bench.fit, bench.seat):
        for until in (days_ago(7), None):
            with refused("since"):
                change(tube if change == bench.fit else unit, 8, until=until)


def test_a_time_of_coming_out_needs_its_day(bench, refused):
    with refused("until", "Give the day with 09:30"):
        bench.fit(TubeFactory(), 5, until_at=time(9, 30))


def test_earlier_stays_are_filled_in_on_the_pages(bench, as_keeper, days_ago):
    now, past = TubeFactory(type=bench.position.type), TubeFactory(type=bench.position.type, place=bench.drawer)
    bench.fit(now, 10)
    sent = {"tube": past.tag, "since": days_ago(30), "until": days_ago(5), "replace": "on"}
    address = reverse("sets:tube-fit", args=[bench.chassis.tag, bench.position.pk])
    answer = as_keeper.post(address, sent)
    assert answer.status_code == 422 and f"{now.tag} was in" in str(answer.context["form"].errors["until"])
    answer = as_keeper.post(address, sent | {"until": days_ago(20), "until_at": "14:30"}, follow=True)
    assert "filled in. Its moves stand as they are on record." in page_text(answer)
    assert [(f.tube, f.until) for f in Fitting.objects.order_by("since")] == [(past, days_ago(20)), (now, None)]
    assert Fitting.objects.earliest("since").until_at == time(14, 30)
    unit = PlugInUnitFactory(model=bench.unit_model)
    address = reverse("sets:seat", args=[bench.chassis.tag, bench.bay.pk])
    sent = {"unit": unit.pk, "since": days_ago(30), "until": days_ago(31)}
    assert "until" in as_keeper.post(address, sent).context["form"].errors
    assert "filled in" in page_text(as_keeper.post(address, sent | {"until": days_ago(20)}, follow=True))
    assert Seating.objects.get().until == days_ago(20)


def test_the_pages_lead_from_a_unit_to_the_correction_of_its_stays(bench, as_keeper, as_helper, days_ago):
    unit = PlugInUnitFactory(model=bench.unit_model)
    past, now = bench.seat(unit, 30, until=days_ago(20)), bench.seat(unit, 10)
    ways = [reverse("sets:seating-correct", args=[row.pk]) for row in (past, now)]
    page = as_keeper.get(unit.get_absolute_url())
    assert all(f'href="{way}"' in page.content.decode() for way in ways)
    assert f"bay left: {days_ago(30)} to {days_ago(20)}" in page_text(page)
    out = reverse("sets:seat-out", args=[now.pk])
    page = as_helper.get(unit.get_absolute_url()).content.decode()
    assert out in page and not any(way in page for way in ways)


def test_a_unit_that_left_is_filled_in_too(bench, as_keeper, days_ago):
    unit = PlugInUnitFactory(model=bench.unit_model)
    Item.objects.filter(pk=unit.pk).update(gone_on=days_ago(8))
    address = reverse("sets:seat", args=[bench.chassis.tag, bench.bay.pk])
    assert f"({unit.tag}), left on {days_ago(8)}" in page_text(as_keeper.get(address))
    sent = {"unit": unit.pk, "since": days_ago(30), "seen": "nothing"}
    assert "left the collection" in str(as_keeper.post(address, sent).context["form"].errors["since"])
    as_keeper.post(address, sent | {"until": days_ago(20)})
    assert Seating.objects.get().unit == unit


def test_a_time_that_was_only_filled_in_is_none_of_a_stay_that_is_over(bench, as_keeper, today):
    """It began before the moment of writing, so a tube that is fitted next has the position to itself."""
    tube = TubeFactory(type=bench.position.type)
    address = reverse("sets:tube-fit", args=[bench.chassis.tag, bench.position.pk])
    form = as_keeper.get(address).context["form"]
    shown = {name: form[name].value() or "" for name in ("filled_in", "since", "since_at", "seen")}
    assert shown["since_at"] and shown["since"] == today
    shown |= {"since_at": shown["filled_in"][11:], "tube": tube.tag}
    assert as_keeper.post(address, shown | {"until": today}).status_code == 302
    assert Fitting.objects.get().since_at is None
    Fitting.objects.all().delete()
    assert as_keeper.post(address, shown).status_code == 302
    assert f"{Fitting.objects.get().since_at:%H:%M}" == shown["since_at"]


@pytest.mark.parametrize(
    ("begins", "words"),
    [(30, 'Give a "to" that is no later than that'), (15, 'give a "from" that is no earlier')],
)
def test_a_stay_that_is_over_need_not_be_ended_again(bench, refused, days_ago, begins, words):
    tube, other = TubeFactory(), TubeFactory()
    bench.fit(tube, 20, until=days_ago(10))
    with refused("tube", words):
        bench.fit(tube, begins, position=PositionFactory(set_model=bench.model))
    with refused("since", words):
        bench.fit(other, begins)
