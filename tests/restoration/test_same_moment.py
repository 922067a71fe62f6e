"""Two people at once: what one reserves the other is told of, and nothing is reserved while it leaves."""

from decimal import Decimal

import pytest
from django.db import connection

from inventory.holdings.actions import lend
from inventory.holdings.models import Item, PartLot, Tube, Want
from inventory.restoration.actions import record_work, release, reserve_all, reserve_parts, reserve_tube, save_plan
from inventory.restoration.actions.wanting import put_on_list
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart, Work
from inventory.restoration.queries.buying import Bought
from inventory.sets.actions import fit
from inventory.sets.models import Chassis, Fitting
from tests.factories import (
    ChassisFactory,
    ItemFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.restoration.rows import PartTypeFactory, PlanFactory
from tests.same_moment import at_once

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(connection.vendor != "postgresql", reason="needs PostgreSQL: SQLite lets one change in"),
]


class House:
    """Two plans that want one tube and four parts of a lot of five."""

    def __init__(self, keeper, today):
        self.how, self.today = {"on": today, "by": keeper}, today
        kind = TubeTypeFactory(name="6SN7GT")
        self.model = SetModelFactory(neutralizing="none")
        self.position = PositionFactory(set_model=self.model, mark="V1", type=kind, heater_v=6.3)
        self.tube = TubeFactory(type=kind).pk
        self.plans = [PlanFactory(sets=[ChassisFactory(model=self.model)]).pk for _ in range(2)]
        of = PartTypeFactory()
        item = ItemFactory(kind="parts")
        self.lot = PartLot.objects.create(item=item, name="capacitor", type=of, least=5, most=5).pk
        self.lines = [
            Requirement.objects.create(plan_id=key, words="filter", type=of, quantity=4).pk for key in self.plans
        ]

    def tubes(self, number):
        plan, tube = Plan.objects.get(pk=self.plans[number]), Tube.objects.select_related("item").get(pk=self.tube)
        chassis = plan.sets.select_related("item", "model").get()
        return lambda: reserve_tube(plan, chassis, self.position, tube, **self.how)

    def parts(self, number):
        line = Requirement.objects.select_related("plan").get(pk=self.lines[number])
        lot = PartLot.objects.select_related("item").get(pk=self.lot)
        return lambda: reserve_parts(line, lot, 4, **self.how)

    def use(self, number):
        plan, item = Plan.objects.get(pk=self.plans[number]), Item.objects.get(pk=self.lot)
        row = Work(plan=plan, chassis=plan.sets.get(), words="renewed", on=self.today, put_in=item, used=4)
        return lambda: record_work(row, today=self.today, by=self.how["by"])

    def all(self, number):
        plan = Plan.objects.get(pk=self.plans[number])
        return lambda: reserve_all(plan, **self.how)

    def fit(self):
        tube = Tube.objects.select_related("item", "type").get(pk=self.tube)
        chassis = Chassis.objects.select_related("item", "model").get(plans=self.plans[1])
        row = Fitting(tube=tube, chassis=chassis, position=self.position, since=self.today)
        return lambda: fit(row, today=self.today, by=self.how["by"])

    def lend(self, why=""):
        item = Item.objects.get(pk=self.tube)
        return lambda: lend(item, "R. Oddsworth", why=why, **self.how)


@pytest.fixture
def house(keeper, today):
    return House(keeper, today)


PAIRS = {
    "one tube, two plans": (lambda h: h.tubes(0), lambda h: h.tubes(1), "reserved for "),
    "five parts, four for each": (lambda h: h.parts(0), lambda h: h.parts(1), "1 of "),
    "five parts, four used, four reserved": (lambda h: h.use(0), lambda h: h.parts(1), "1 of "),
    "five parts, four reserved, four used": (lambda h: h.parts(0), lambda h: h.use(1), "1 of "),
    "five parts, four used twice": (lambda h: h.use(0), lambda h: h.use(1), "holds is 1"),
    "fitted, then reserved": (lambda h: h.fit(), lambda h: h.tubes(0), " is in "),
    "lent, then reserved": (lambda h: h.lend("for one evening"), lambda h: h.tubes(0), "is lent to R. Oddsworth"),
    "reserved, then lent": (lambda h: h.tubes(0), lambda h: h.lend(), "reserved for "),
}


def test_the_first_is_made_and_the_second_is_told(keeper, today):
    for pair, (first, second, words) in PAIRS.items():
        house = House(keeper, today)
        made, refused = at_once(first(house), second(house))
        assert made is None and refused is not None and words in refused, (pair, made, refused)


def test_a_set_gets_into_one_open_plan(keeper, today):
    chassis = ChassisFactory()

    def made(name):
        fresh = Chassis.objects.select_related("item", "model").get(pk=chassis.pk)
        return lambda: save_plan(Plan(name=name), [fresh], today=today, by=keeper)

    first, second = at_once(made("One"), made("Two"))
    assert first is None and second is not None and "is in the open plan One already" in second
    assert chassis.plans.count() == 1


def test_the_same_plan_is_reserved_once(house):
    assert at_once(house.all(0), house.all(0)) == (None, None)
    assert Reservation.objects.count() == 2  # the tube, and four of the lot


def test_two_plans_of_one_name(keeper, today):
    """The later is told, and no plan of that name is made twice."""
    model = SetModelFactory(neutralizing="none")

    def made():
        chassis = ChassisFactory(model=model)
        return lambda: save_plan(Plan(name="Autumn work"), [chassis], today=today, by=keeper)

    first, second = at_once(made(), made())
    assert first is None and "There is a plan Autumn work already" in second
    assert Plan.objects.filter(name="Autumn work").count() == 1


def test_what_was_released_does_not_come_back_with_what_is_reserved_at_the_same_moment(house):
    line = Requirement.objects.select_related("plan").get(pk=house.lines[0])
    lot = PartLot.objects.select_related("item").get(pk=house.lot)
    row = reserve_parts(line, lot, 2, **house.how)
    at_once(lambda: release(row, by=None), lambda: reserve_parts(line, lot, 1, **house.how))
    assert list(Reservation.objects.values_list("quantity", flat=True)) == [1]


def test_released_twice_at_once_its_history_says_so_once(house):
    house.tubes(0)()
    first, second = Reservation.objects.get(), Reservation.objects.get()
    assert at_once(lambda: release(first, by=None), lambda: release(second, by=None)) == (None, None)
    assert Reservation.history.filter(history_type="-").count() == 1


def test_a_weak_part_becomes_a_line_once(house):
    weak = WeakPart.objects.create(set_model=house.model, words="filter")
    plan = Plan.objects.get(pk=house.plans[0])

    def work():
        row = Work(plan=plan, chassis=plan.sets.get(), words="renewed", on=house.today)
        return lambda: record_work(row, today=house.today, by=None, weak=weak)

    assert at_once(work(), work()) == (None, None)
    assert (Work.objects.count(), Requirement.objects.filter(weak=weak).count()) == (2, 1)


def test_two_buying_orders_make_no_double(today):
    for name in ("6SN7GT", "6V6GT"):
        TubeTypeFactory(name=name)

    def order(*names):
        bought = [Bought(name, 2, Decimal("9.00")) for name in names]
        return lambda: put_on_list(bought, "EUR", purpose="winter", today=today, by=None)

    assert at_once(order("6SN7GT", "6V6GT"), order("6V6GT", "6SN7GT")) == (None, None)
    assert sorted(Want.objects.values_list("thing", "quantity")) == [("6SN7GT", 2), ("6V6GT", 2)]
