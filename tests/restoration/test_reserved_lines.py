"""What is reserved for a line and does not serve it any more, or not by whose word it may go. All is invented."""

import html
import re

import pytest

from inventory.holdings.actions.parts import change_parts
from inventory.holdings.models import PartLot
from inventory.restoration.actions import (
    record_finding,
    release,
    release_line,
    reserve_parts,
    reserve_tube,
    save_requirement,
)
from inventory.restoration.models import Finding, Requirement, Reservation
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.rules.words import AFTER_TEST, COVERED, DONE, SHORT
from inventory.sets.actions import fit
from inventory.sets.models import Fitting
from tests.factories import (
    ChassisFactory,
    ItemFactory,
    PlaceFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text, seen_at
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


class Bench:
    """A set with two positions for a 6SN7GT, in a plan that wants two capacitors of a lot of nine."""

    def __init__(self, keeper, today):
        self.how, self.today = {"on": today, "by": keeper}, today
        self.tube_type = TubeTypeFactory(name="6SN7GT")
        model = SetModelFactory(name="Marram RX", neutralizing="none")
        self.first, self.second = (
            PositionFactory(set_model=model, mark=mark, type=self.tube_type, heater_v=6.3) for mark in ("V1", "V2")
        )
        self.chassis = ChassisFactory(model=model)
        self.plan = PlanFactory(sets=[self.chassis])
        self.of = PartTypeFactory(value=10_000.0, volts=600.0)
        self.odd = PartTypeFactory(kind="resistor", value=270_000.0, volts=None, watts=1.0)
        self.line = Requirement.objects.create(
            plan=self.plan, chassis=self.chassis, words="filter", type=self.of, quantity=2, before_power=True
        )

    def lot(self, **more):
        item = ItemFactory(kind="parts", place=PlaceFactory())
        cells = {"item": item, "name": "capacitor", "type": self.of, "least": 9, "most": 9} | more
        return PartLot.objects.create(**cells)

    def told(self, position=""):
        lines = cover_of(self.plan, self.today).lines
        return next(one for one in lines if (one.position == position if position else one.requirement == self.line))

    def change(self, **cells):
        for name, value in cells.items():
            setattr(self.line, name, value)
        save_requirement(self.line, today=self.today, by=self.how["by"])

    def fit(self, tube, position):
        row = Fitting(tube=tube, chassis=self.chassis, position=position, since=self.today)
        fit(row, today=self.today, by=self.how["by"])


@pytest.fixture
def bench(keeper, today):
    return Bench(keeper, today)


def kept():
    return list(Reservation.objects.order_by("pk").values_list("quantity", flat=True))


def test_a_line_that_asks_for_another_part_gives_back_what_it_had(bench):
    reserve_parts(bench.line, bench.lot(), 2, **bench.how)
    bench.change(quantity=1)
    assert kept() == [1] and bench.told().status == COVERED
    bench.change(type=bench.odd)
    assert kept() == [] and bench.told().status == SHORT


def test_a_lot_that_became_another_part_covers_no_line(bench, keeper):
    lot = bench.lot()
    reserve_parts(bench.line, lot, 2, **bench.how)
    lot.type = bench.odd
    change_parts(lot, by=keeper)
    told = bench.told()
    assert told.status == SHORT and told.kept == 2 and not told.reserved
    assert f"2 of {lot.tag} are reserved for it and may not serve" in told.reasons[0] and "resistor" in told.reasons[0]


def test_only_what_serves_a_line_and_no_more_than_it_asks_for_is_reserved(bench, refused):
    with refused("tag", "may not serve for filter: a resistor, no capacitor."):
        reserve_parts(bench.line, bench.lot(type=bench.odd), 1, **bench.how)
    lot = bench.lot()
    reserve_parts(bench.line, lot, 1, **bench.how)
    with refused("number", "filter asks for 2, and 1 are reserved for it already; 2 are too many."):
        reserve_parts(bench.line, lot, 2, **bench.how)


def test_a_lot_covers_after_counting_only_where_it_may_hold_so_many(bench):
    bench.change(quantity=100)
    lot = bench.lot(least=2, most=3, to_count=True)
    assert bench.told().status == SHORT
    assert f"Counting {lot.tag} does not close that: 1 more at most." in bench.told().reasons
    bench.change(quantity=3)
    assert bench.told().status == AFTER_TEST
    bench.change(quantity=100)
    lot.most = None  # nobody can say how many they are
    lot.save()
    assert bench.told().status == AFTER_TEST


def test_how_many_of_a_lot_are_reserved_is_said(bench):
    lot = bench.lot()
    reserve_parts(bench.line, lot, 1, **bench.how)
    assert bench.told().by.startswith(f"2 of {lot.tag}")
    assert bench.told().reasons[-1].endswith("1 of them reserved for it.")


def test_the_tube_reserved_for_a_position_into_which_another_one_went_is_free(bench):
    mine, other = (TubeFactory(type=bench.tube_type) for _ in range(2))
    reserve_tube(bench.plan, bench.chassis, bench.first, mine, **bench.how)
    bench.fit(other, bench.first)
    assert kept() == [] and bench.told("V2").thing == mine.item
    gone = Reservation.history.filter(history_type="-").get()
    assert gone.history_change_reason == "another one went in"


def test_what_is_reserved_for_a_position_that_is_filled_is_told_and_can_be_released(bench, as_keeper):
    mine, other = (TubeFactory(type=bench.tube_type) for _ in range(2))
    bench.fit(other, bench.first)
    row = reserve_tube(bench.plan, bench.chassis, bench.first, mine, **bench.how)
    told = bench.told("V1")
    assert told.reserved and f"{mine.tag} is reserved for it all the same" in told.reasons[-1]
    page = as_keeper.get(bench.plan.get_absolute_url())
    assert f"/reservations/{row.pk}/release/" in page.text
    as_keeper.post(f"/reservations/{row.pk}/release/")
    assert kept() == []


def test_released_twice_is_released_once(bench):
    row = reserve_parts(bench.line, bench.lot(), 2, **bench.how)
    again = Reservation.objects.get()
    assert release(row, by=None) and not release(again, by=None)
    assert Reservation.history.filter(history_type="-").count() == 1
    assert release_line(bench.line, by=None) == 0


def test_a_helper_takes_nothing_that_a_keeper_reserved(bench, as_helper, as_keeper):
    lot = bench.lot(least=2, most=2)
    row = reserve_parts(bench.line, lot, 2, **bench.how)
    assert as_helper.post(f"/reservations/{row.pk}/release/").status_code == 403
    other = PlanFactory(sets=[ChassisFactory(model=bench.chassis.model)])
    address = f"{other.get_absolute_url()}work/"
    sent = {
        "chassis": other.sets.get().pk, "words": "taken", "on": bench.today, "put_in": lot.tag, "used": "2",
        "claimed": "on",
    }  # fmt: skip
    assert as_helper.post(address, sent).status_code == 422
    lot.refresh_from_db()
    assert (kept(), lot.least) == ([2], 2)
    assert as_keeper.post(address, sent | seen_at(as_keeper, address)).status_code == 302
    assert kept() == []


def test_what_a_helper_found_well_leaves_what_is_reserved_and_the_plan_says_so(bench, as_helper, as_keeper):
    reserve_parts(bench.line, bench.lot(), 2, **bench.how)
    address = f"{bench.plan.get_absolute_url()}start/{bench.chassis.tag}/found/"
    blanks = [blank for several in as_helper.get(address).context["form"].parts.values() for blank in several]
    (name,) = (blank.judged.name for blank in blanks if blank.row.check.words == "Filter")
    as_helper.post(address, {"on": bench.today, name: "True"})
    assert Finding.objects.get().all_well and kept() == [2]
    told = bench.told()
    assert (told.status, told.kept) == (DONE, 2)
    assert "2 pieces stay reserved for it until they are released." in told.reasons
    assert "Release 2" in page_text(as_keeper.get(bench.plan.get_absolute_url()))


def test_work_on_a_line_starts_with_what_is_reserved_for_it(bench, as_keeper):
    lot = bench.lot()
    reserve_parts(bench.line, lot, 2, **bench.how)
    page = as_keeper.get(bench.plan.get_absolute_url()).text
    (address,) = re.findall(r'href="(/restorations/\d+/work/\?[^"]*requirement=[^"]*)"', page)
    form = as_keeper.get(html.unescape(address)).context["form"]
    assert [form[name].value() for name in ("put_in", "used", "settles")] == [lot.tag, "2", "on"]


def test_striking_what_was_found_says_that_nothing_is_reserved_again(bench, as_keeper, keeper):
    row = Finding(plan=bench.plan, chassis=bench.chassis, step="line filter", all_well=True, on=bench.today)
    record_finding(row, today=bench.today, by=keeper)
    assert "stays free: reserve it again" in page_text(as_keeper.get(f"/findings/{row.pk}/strike/"))
