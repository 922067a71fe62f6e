"""Where a thing is: in the set that holds it, else where its latest move by date led, whatever the order of entry.

Of several moves of one day the later entry counts; what a thing was entered with says where it is on that day (common
practice, no source).
"""

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.frontpage.queries import without_place
from inventory.holdings.actions import add_tubes, move, register, save_place
from inventory.holdings.models import Item, Movement, Place, Tube
from inventory.holdings.queries import with_whereabouts
from inventory.holdings.queries.labels import labels_of
from inventory.sets.actions import fit, seat, take_out, unseat
from inventory.sets.models import Fitting, PlugInUnit, Seating
from inventory.sets.queries import stock_of
from tests.archive.packs import same, there_and_back
from tests.factories import BayFactory, ChassisFactory, PositionFactory, UnitModelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(keeper, today, days_ago):
    """A drawer, a shelf, a set with one position and one bay, and short ways to enter, fit, seat and take out."""

    class Shop:
        def __init__(self):
            self.drawer, self.shelf = (save_place(Place(code=code), by=keeper) for code in ("W", "S"))
            self.position = PositionFactory(mark="V1")
            self.model = self.position.set_model
            self.bay = BayFactory(set_model=self.model, mark="left")
            self.chassis = ChassisFactory(model=self.model, serial="0458")
            self.unit_model = UnitModelFactory(fits=[self.model])

        def tube(self, since=0):
            tube = Tube(type=self.position.type, marked="VT-231", state="good")
            return add_tubes(tube, on=days_ago(since), place=self.drawer, by=keeper)[0]

        def unit(self, since=0):
            item = register(Item.UNIT, by=keeper, on=days_ago(since), place=self.drawer)
            return PlugInUnit.objects.create(item=item, model=self.unit_model, serial="77")

        def fit(self, tube, since, **how):
            row = Fitting(tube=tube, chassis=self.chassis, position=self.position, since=days_ago(since))
            return fit(row, today=today, by=keeper, **how)

        def out(self, fitting, until, place):
            return take_out(fitting, until=days_ago(until), place=place, today=today, by=keeper)

        def seat(self, unit, since):
            return seat(unit, self.chassis, self.bay, since=days_ago(since), today=today, by=keeper)

        def unseat(self, seating, until, place):
            return unseat(seating, until=days_ago(until), place=place, today=today, by=keeper)

    return Shop()


def place_of(thing):
    thing.item.refresh_from_db()
    return thing.item.place


def whereabouts(thing):
    return with_whereabouts(Item.objects.filter(pk=thing.pk)).get().whereabouts


def moves_of(thing):
    return [(row.from_path, row.to_path) for row in thing.item.movements.order_by("on", "id")]


def test_what_is_there_entered_first_and_then_its_past(shop):
    """The tube lay in W when it was entered, so there it is, though it came out of the set before."""
    tube, other = shop.tube(), shop.tube()
    shop.fit(tube, 20)
    assert place_of(tube) is None
    shop.fit(other, 18, replace=True, old_tube_to=shop.drawer)
    assert place_of(tube) == shop.drawer
    assert stock_of(["6SN7GT"]).places == (("W", 1, 0),)
    assert not without_place().filter(pk=tube.pk).exists()
    assert moves_of(tube) == [("", "in " + f"{shop.chassis} V1"), (f"in {shop.chassis} V1", "W"), ("", "W")]


def test_taken_out_elsewhere_before_the_day_of_entry(shop):
    """The first entry says that it is in W today: it went there from the shelf, on a day that nobody wrote down."""
    tube = shop.tube()
    shop.out(shop.fit(tube, 20), 18, shop.shelf)
    assert place_of(tube) == shop.drawer
    again = shop.tube()
    shop.out(shop.fit(again, 17), 0, shop.shelf)
    assert place_of(again) == shop.shelf  # of one day, and entered later


def test_a_unit_moved_today_and_seated_in_the_past(shop, keeper, today):
    unit = shop.unit(since=30)
    move([unit.item], shop.shelf, on=today, by=keeper)
    seating = shop.seat(unit, 9)
    assert place_of(unit) is None
    shop.unseat(seating, 8, shop.drawer)
    assert place_of(unit) == shop.shelf


def test_the_place_may_bear_another_name_since(shop, keeper):
    tube = shop.tube()
    fitting = shop.fit(tube, 20)
    shop.drawer.code = "Q"
    save_place(shop.drawer, by=keeper)
    other = save_place(Place(code="W"), by=keeper)
    shop.out(fitting, 18, other)
    assert place_of(tube) == shop.drawer != other


def test_while_it_is_in_the_set_no_drawer_is_named(shop):
    """A label printed then, or a stock-take begun then, names the set."""
    tube = shop.tube()
    fitting = shop.fit(tube, 20)
    assert whereabouts(tube) == f"in {shop.chassis} V1"
    (label,) = labels_of([tube.item], lambda item: "")
    assert label.place == f"in {shop.chassis} V1"
    shop.out(fitting, 18, shop.shelf)
    assert whereabouts(tube) == "W"


def test_the_page_says_where_it_is_when_that_is_not_where_it_went(shop, as_keeper, days_ago):
    tube = shop.tube()
    fitting = shop.fit(tube, 20)
    cells = {"until": days_ago(18), "place": shop.shelf.pk}
    answer = as_keeper.post(reverse("sets:tube-out", args=[fitting.pk]), cells, follow=True)
    assert f"A later move of {tube.tag} stands: it is in W." in answer.content.decode()


def test_an_archive_keeps_where_it_is(shop, tmp_path):
    """Entered today with its drawer, and in the set since days before that: also after a round trip, and once out."""
    tube, out = shop.tube(), shop.tube()
    shop.out(shop.fit(out, 30), 25, shop.shelf)
    shop.fit(tube, 20)
    told, moves = whereabouts(tube), moves_of(out)
    same(*there_and_back(tmp_path))
    tube, out = (Tube.objects.get(item__tag=one.tag) for one in (tube, out))
    assert whereabouts(tube) == told == f"in {shop.chassis} V1"
    assert (whereabouts(out), moves_of(out)) == ("W", moves)


def test_what_is_filed_after_a_round_trip_is_filed_as_before(shop, keeper, tmp_path):
    tube = shop.tube()
    shop.fit(tube, 20)
    same(*there_and_back(tmp_path))
    keeper.pk = type(keeper).objects.get(username=keeper.username).pk  # the account came back under another number
    fitting = Fitting.objects.get()
    shop.out(fitting, 18, Place.objects.get(code="S"))
    assert place_of(fitting.tube).code == "W"
    assert moves_of(fitting.tube)[-1] == ("", "W")


def test_an_archive_whose_moves_stand_by_date(shop):
    """As archives were written once: the numbers of the moves go by their dates; when they were entered is kept."""
    tube = shop.tube()
    fitting = shop.fit(tube, 20)
    first = tube.item.movements.earliest("entered_at", "pk")
    entered_at = first.entered_at
    first.pk = None
    first.save()
    Movement.objects.filter(pk=first.pk).update(entered_at=entered_at)
    tube.item.movements.earliest("entered_at", "pk").delete()
    assert whereabouts(tube) == f"in {shop.chassis} V1"
    shop.out(fitting, 18, shop.shelf)
    assert (whereabouts(tube), moves_of(tube)[-1]) == ("W", ("", "W"))


def test_a_place_renamed_since_is_no_whereabouts(shop, keeper, today, days_ago):
    """It lies nowhere since today; that it had been on the shelf last week was entered after that."""
    tube = shop.tube(since=20)
    move([tube.item], None, on=today, by=keeper)
    move([tube.item], shop.shelf, on=days_ago(7), by=keeper)
    assert (place_of(tube), whereabouts(tube)) == (None, "")
    shop.shelf.code = "Q"
    save_place(shop.shelf, by=keeper)
    assert whereabouts(tube) == ""


DAYS = 12
STEPS = st.lists(
    st.tuples(
        st.sampled_from(["in", "out", "move"]), st.integers(0, DAYS), st.sampled_from(["W", "S", None])
    ),
    max_size=8,
)  # fmt: skip


@pytest.mark.parametrize("kind", ["tube", "unit"])
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture], database=None)
@given(entered=st.integers(0, DAYS), steps=STEPS)
def test_any_order_of_entry(shop, kind, keeper, today, days_ago, entered, steps):
    """Against a list kept beside it: the set while it is in, else the latest day, and of one day the last entry."""
    with transaction.atomic():
        thing = getattr(shop, kind)(since=entered)
        places = {"W": shop.drawer, "S": shop.shelf, None: None}
        filed = [(-entered, 0, shop.drawer)]
        stays = Fitting.objects.filter(tube=thing.pk) if kind == "tube" else Seating.objects.filter(unit=thing.pk)
        for number, (step, ago, where) in enumerate(steps, 1):
            held = stays.filter(until__isnull=True).first()
            place = places[where]
            try:
                with transaction.atomic():
                    if step == "move":
                        move([thing.item], place, on=days_ago(ago), by=keeper)
                    elif step == "in":
                        (shop.fit if kind == "tube" else shop.seat)(thing, ago)
                    elif held:
                        (shop.out if kind == "tube" else shop.unseat)(held, ago, place)
                    else:
                        continue
            except ValidationError:
                continue
            filed.append((-ago, number, None if step == "in" else place))
            if stays.filter(until__isnull=True).exists():
                assert place_of(thing) is None and whereabouts(thing).startswith(f"in {shop.chassis}")
            else:
                assert place_of(thing) == max(filed, key=lambda row: row[:2])[2]
        transaction.set_rollback(True)
