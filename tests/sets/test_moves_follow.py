"""Corrected dates of a stay take along the moves that were filed with it, as if the days had been right at first.

Each move starts where the one before it led (common practice, no source).
"""

from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from inventory.holdings.actions import add_tubes, let_go, move, register, save_place
from inventory.holdings.models import Item, Movement, Place, Tube
from inventory.holdings.queries import with_whereabouts
from inventory.sets.actions import MOVES_STAND, correct_stay, fit, seat, take_out, unseat
from inventory.sets.models import Fitting, PlugInUnit
from tests.factories import BayFactory, ChassisFactory, FittingFactory, PositionFactory, UnitModelFactory
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(keeper, today, days_ago):
    """Two places, a set with a position and a bay, and short ways to fit, take out and correct by days in the past."""

    class Shop:
        def __init__(self):
            self.drawer, self.shelf = (save_place(Place(code=code), by=keeper) for code in ("W", "S"))
            self.position = PositionFactory(mark="V1")
            self.bay = BayFactory(set_model=self.position.set_model, mark="left")
            self.chassis = ChassisFactory(model=self.position.set_model, serial="0458")

        def tube(self, since):
            tube = Tube(type=self.position.type, marked="VT-231", state="good")
            return add_tubes(tube, on=days_ago(since), place=self.drawer, by=keeper)[0]

        def unit(self, since):
            item = register(Item.UNIT, by=keeper, on=days_ago(since), place=self.drawer)
            model = UnitModelFactory(fits=[self.chassis.model])
            return PlugInUnit.objects.create(item=item, model=model, serial="77")

        def into(self, thing, since):
            if isinstance(thing, PlugInUnit):
                return seat(thing, self.chassis, self.bay, since=days_ago(since), today=today, by=keeper)
            row = Fitting(tube=thing, chassis=self.chassis, position=self.position, since=days_ago(since))
            return fit(row, today=today, by=keeper)

        def out(self, stay, until, place):
            how = {"until": days_ago(until), "place": place, "today": today, "by": keeper}
            return (take_out if isinstance(stay, Fitting) else unseat)(stay, **how)

        def move(self, thing, on, place):
            move([thing.item], place, on=days_ago(on), by=keeper)

        def correct(self, stay, **days):
            row = type(stay).objects.get(pk=stay.pk)
            for name, ago in days.items():
                setattr(row, name, days_ago(ago))
            return correct_stay(row, today=today, by=keeper, reason="by the log")

        def moves(self, thing):
            return [(row.on, row.from_path, row.to_path) for row in thing.item.movements.order_by("on", "id")]

    return Shop()


def whereabouts(thing):
    item = with_whereabouts(Item.objects.filter(pk=thing.pk)).get()
    return item.place_id, item.whereabouts


@pytest.mark.parametrize("kind", ["tube", "unit"])
def test_moves_are_of_the_corrected_days(shop, kind, days_ago):
    thing = getattr(shop, kind)(40)
    stay = shop.out(shop.into(thing, 20), 10, shop.shelf)
    into = f"in {shop.chassis} V1" if kind == "tube" else f"in {shop.chassis}, bay left"
    assert shop.correct(stay, since=25) == "The move into the set follows."
    assert shop.correct(stay, until=8) == "The move out of it follows."
    assert shop.correct(stay, since=24, until=9) == "The move into the set follows and the move out of it follows."
    assert shop.moves(thing) == [(days_ago(40), "", "W"), (days_ago(24), "W", into), (days_ago(9), into, "S")]
    assert shop.correct(stay, until=9) == ""  # no day was changed


def test_where_it_is_follows_too(shop, keeper):
    """It was on the shelf after the set; it came out later than was written, so it is where it was laid then."""
    tube = shop.tube(40)
    stay = shop.out(shop.into(tube, 20), 10, shop.drawer)
    shop.move(tube, 8, shop.shelf)
    assert whereabouts(tube) == (shop.shelf.pk, "S")
    where = f"{tube.tag} is in W now: its latest move led there."
    assert shop.correct(stay, until=6) == f"The move out of it follows. {where}"
    assert whereabouts(tube) == (shop.drawer.pk, "W")
    latest = tube.item.history.latest()
    assert (latest.history_user, latest.history_change_reason) == (keeper, "by the log")
    shop.correct(stay, until=9)
    assert whereabouts(tube) == (shop.shelf.pk, "S")


def test_what_is_in_the_set_stays_there_and_what_is_gone_is_nowhere(shop, keeper, today, days_ago):
    tube = shop.tube(40)
    stay = shop.into(tube, 20)
    shop.correct(stay, since=30)
    assert shop.moves(tube)[-1][0] == days_ago(30) and whereabouts(tube)[1] == f"in {shop.chassis} V1"
    shop.out(stay, 10, shop.shelf)
    let_go(tube.item, "sold", on=days_ago(5), by=keeper)
    shop.correct(stay, until=6)
    assert Item.objects.get(pk=tube.pk).place is None
    assert shop.moves(tube)[-2:] == [
        (days_ago(6), f"in {shop.chassis} V1", "S"), (days_ago(5), "S", "left the collection"),
    ]  # fmt: skip


DAYS = st.integers(1, 20)


@pytest.mark.parametrize("kind", ["tube", "unit"])
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], database=None)
@given(entered=DAYS, wrong=st.tuples(DAYS, DAYS), right=st.tuples(DAYS, DAYS), between=st.none() | DAYS, last=DAYS)
def test_as_if_the_days_had_been_right_at_first(shop, kind, entered, wrong, right, between, last):
    """Against a thing that was entered with the right days: the same moves, and it is in the same place.

    A move on record of a day on which it was in the set, by what is entered then, contradicts that and is left out.
    """
    assume(between is None or not any(min(days) <= between < max(days) for days in (wrong, right)))
    with transaction.atomic():
        told = []
        for days in (wrong, right):
            since, until = max(days), min(days)
            thing = getattr(shop, kind)(entered)
            if between is not None:
                shop.move(thing, between, shop.shelf)
            stay = shop.out(shop.into(thing, since), until, None)
            shop.move(thing, last, shop.shelf)
            if days == wrong:
                shop.correct(stay, since=max(right), until=min(right))
            told.append((shop.moves(thing), whereabouts(thing)))
            Fitting.objects.all().delete(), stay.__class__.objects.all().delete()
        assert told[0] == told[1]
        transaction.set_rollback(True)


def test_what_cannot_be_told_stands_and_is_said(shop, keeper, days_ago, as_keeper):
    """A stay that was filled in afterwards filed no move; a move of another moment is that of another act."""
    filled_in = FittingFactory(chassis=shop.chassis, position=shop.position, since=days_ago(30), until=days_ago(25))
    assert shop.correct(filled_in, since=29) == MOVES_STAND
    tube = shop.tube(40)
    stay = shop.out(shop.into(tube, 20), 10, shop.shelf)
    into = tube.item.movements.get(to_path=f"in {shop.chassis} V1")
    Movement.objects.filter(pk=into.pk).update(entered_at=into.entered_at + timedelta(minutes=5))
    assert (
        shop.correct(stay, since=19, until=9) == "The move into the set stands as it is and the move out of it follows."
    )
    assert [on for on, *_ in shop.moves(tube)] == [days_ago(40), days_ago(20), days_ago(9)]
    address = reverse("sets:fitting-correct", args=[stay.pk])
    form = as_keeper.get(address).context["form"]
    cells = {name: form[name].value() or "" for name in form.fields} | {"since": days_ago(18), "reason": "by the log"}
    page = page_text(as_keeper.post(address, cells, follow=True))
    assert f"stays in its history. {MOVES_STAND}" in page
    assert Fitting.objects.get(pk=stay.pk).since == days_ago(18)
