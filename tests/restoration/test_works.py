"""What work takes out of part lots, and what becomes of what is reserved of them. All is invented."""

import pytest

from inventory.holdings.models import PartLot
from inventory.restoration.actions import record_work, reserve_parts, save_plan, strike_requirement, strike_work
from inventory.restoration.models import Finding, Plan, Requirement, Reservation, WeakPart, Work
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.rules.words import DONE, TO_DO
from tests.factories import (
    ChassisFactory,
    FittingFactory,
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
    """A plan and another one, each with a line that wants capacitors of the one lot of four."""

    def __init__(self, keeper, today):
        self.how, self.today = {"on": today, "by": keeper}, today
        self.model = SetModelFactory(name="Marram RX", neutralizing="none")
        self.of = PartTypeFactory(value=10_000.0, volts=600.0)
        item = ItemFactory(kind="parts", place=PlaceFactory())
        self.lot = PartLot.objects.create(item=item, name="capacitor", type=self.of, least=4, most=6)
        self.plan, self.other = (PlanFactory(sets=[ChassisFactory(model=self.model)]) for _ in range(2))
        self.mine, self.theirs = (
            Requirement.objects.create(plan=plan, words="filter", type=self.of, quantity=3)
            for plan in (self.plan, self.other)
        )

    def work(self, used, line=None, put_in=None, **more):
        row = Work(
            plan=self.plan, chassis=self.plan.sets.get(), words="filter renewed", on=self.today,
            put_in=put_in or self.lot.item, used=used, requirement=line,
        )  # fmt: skip
        return record_work(row, today=self.today, by=self.how["by"], **more)

    def correct(self, row, **cells):
        for name, value in cells.items():
            setattr(row, name, value)
        return record_work(row, today=self.today, by=self.how["by"], reason="misread")

    def keep(self, line, number):
        return reserve_parts(line, self.lot, number, **self.how)

    @property
    def held(self):
        self.lot.refresh_from_db()
        return self.lot.least, self.lot.most

    def line(self, row, plan=None):
        return next(one for one in cover_of(plan or self.plan, self.today).lines if one.requirement == row)


@pytest.fixture
def bench(keeper, today):
    return Bench(keeper, today)


def kept(line):
    return list(line.reservations.values_list("quantity", flat=True))


def test_what_is_reserved_for_others_is_not_used_in_silence(bench, refused):
    bench.keep(bench.theirs, 2)
    with refused("used", f"2 of {bench.lot.tag} are free for it (2 of it reserved for {bench.other}, filter)"):
        bench.work(4)
    assert bench.held == (4, 6) and not Work.objects.exists()
    bench.work(3, claimed=True)
    assert bench.held == (1, 3)
    assert kept(bench.theirs) == [1]  # of two that were reserved one was taken on purpose
    told = Reservation.history.first().history_change_reason
    assert told == f"1 used on purpose for {bench.plan}"


def test_what_was_used_is_no_longer_reserved_and_the_rest_is(bench, refused):
    bench.keep(bench.mine, 3)
    with refused("used", "Name the line"):
        bench.work(2)  # for no line: one alone is free
    bench.work(1, bench.mine)
    assert (bench.held, kept(bench.mine)) == ((3, 5), [2])
    bench.work(2, bench.mine)
    assert (bench.held, kept(bench.mine)) == ((1, 3), [])


def test_a_correction_books_the_difference_and_a_strike_gives_back(bench, keeper, refused):
    row = bench.work(4)
    assert bench.held == (0, 2)
    bench.correct(row, used=1)
    assert bench.held == (3, 5)
    bench.correct(row, words="filter renewed again")
    assert bench.held == (3, 5)
    bench.correct(row, used=3)
    assert bench.held == (1, 3)
    with refused("used", "holds is 1"):
        bench.correct(row, used=5)
    row.refresh_from_db()
    bench.correct(row, used=None)
    assert bench.held == (4, 6)
    bench.correct(row, used=2)
    strike_work(row, "of another set", by=keeper)
    assert bench.held == (4, 6)
    assert bench.lot.history.first().history_change_reason.startswith("2 given back, struck out: filter renewed")
    with refused("why", "struck out already"):
        strike_work(row, "again", by=keeper)
    assert bench.held == (4, 6)


def test_a_correction_that_names_another_lot_books_both(bench):
    row = bench.work(2)
    other = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", least=9, most=9)
    bench.correct(row, put_in=other.item, used=5)
    other.refresh_from_db()
    assert (bench.held, other.least) == ((4, 6), 4)


@pytest.mark.parametrize("away", ["gone_on", "lent_to", "missed_on"])
def test_nothing_is_used_of_a_lot_that_is_not_here(bench, refused, away):
    setattr(bench.lot.item, away, "R. Oddsworth" if away == "lent_to" else bench.today)
    bench.lot.item.save()
    with refused("put_in", bench.lot.tag):
        bench.work(1)
    assert bench.held == (4, 6)


def test_parts_of_a_line_that_is_done_or_struck_are_free_again(bench, keeper, as_keeper):
    bench.keep(bench.theirs, 3)
    assert bench.line(bench.mine).status == "reserved elsewhere"
    strike_requirement(bench.theirs, "not wanted", by=keeper)
    assert kept(bench.theirs) == [] and bench.line(bench.mine).status == "covered"
    bench.keep(bench.mine, 3)
    address = f"/requirements/{bench.mine.pk}/"
    sent = {"kind": "part", "words": "filter", "type": bench.of.pk, "quantity": "3", "done_on": bench.today}
    as_keeper.post(address, sent | seen_at(as_keeper, address))
    bench.mine.refresh_from_db()
    assert bench.mine.done_on == bench.today and not Reservation.objects.exists()


def test_a_line_settled_by_a_work_keeps_nothing_back(bench):
    bench.keep(bench.mine, 3)
    bench.work(1, bench.mine, settles=True)
    assert (bench.held, kept(bench.mine)) == ((3, 5), [])
    assert bench.line(bench.mine).status == DONE


def test_a_line_found_as_it_should_be_asks_for_no_parts(bench, as_keeper):
    weak = WeakPart.objects.create(set_model=bench.model, mark="C12", words="filter", type=bench.of, quantity=4)
    bench.theirs.delete()
    chassis = bench.other.sets.get()
    line = Requirement.objects.create(
        plan=bench.other, chassis=chassis, words="C12", type=bench.of, weak=weak, quantity=4
    )
    bench.keep(line, 4)
    assert bench.line(bench.mine).status == "reserved elsewhere"
    address = f"{bench.other.get_absolute_url()}start/{chassis.tag}/found/"
    form = as_keeper.get(address).context["form"]
    (name,) = (
        blank.judged.name for blanks in form.parts.values() for blank in blanks if "C12" in blank.row.check.words
    )
    as_keeper.post(address, {"on": bench.today, name: "True"})
    assert Finding.objects.get().all_well and kept(line) == []
    assert bench.line(line, bench.other).status == DONE
    assert bench.line(bench.mine).by.startswith(f"3 of {bench.lot.tag}")


def test_what_an_earlier_plan_found_well_is_told_and_asks_for_nothing(bench, days_ago):
    weak = WeakPart.objects.create(set_model=bench.model, mark="C12", words="filter", type=bench.of, quantity=4)
    chassis, before = bench.plan.sets.get(), PlanFactory(name="First work", sets=[], state=Plan.FINISHED)
    check = {"plan": before, "chassis": chassis, "step": f"part {weak}", "weak": weak}
    Finding.objects.create(**check, on=days_ago(9), all_well=True, result="changed")

    def line():
        return next(one for one in cover_of(bench.plan, bench.today).lines if one.need.startswith("C12 filter"))

    assert (line().status, line().reasons[0]) == (
        DONE, f"Found on {days_ago(9)} in First work: changed, as it should be.",
    )  # fmt: skip
    bench.other.delete()  # its set has that part too, and asks for four
    assert bench.line(bench.mine).status == "covered"
    Finding.objects.create(**check, on=days_ago(2), all_well=False, result="leaks again")
    assert line().status != DONE


def test_what_is_reserved_for_a_line_that_asks_no_more_is_told(bench):
    """Rows of the time before they were released with their line."""
    Reservation.objects.create(
        plan=bench.other, item=bench.lot.item, requirement=bench.theirs, quantity=4, on=bench.today
    )
    bench.theirs.done_on = bench.today
    bench.theirs.save()
    line = bench.line(bench.mine)
    assert line.status == "reserved elsewhere"
    assert line.reasons[-1] == f"3 of 3 missing: they go elsewhere (4 to {bench.other}, filter, reserved)."


def test_nothing_is_reserved_for_a_line_that_is_done(bench, refused):
    bench.mine.done_on = bench.today
    bench.mine.save()
    with refused("tag", "is done or struck out"):
        bench.keep(bench.mine, 1)


def test_a_set_that_leaves_a_plan_takes_nothing_reserved_along(bench, keeper, today):
    from inventory.restoration.actions import reserve_tube

    position = PositionFactory(set_model=bench.model, mark="V1", type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
    tube = TubeFactory(type=position.type)
    stays, leaves = ChassisFactory(model=bench.model), bench.plan.sets.get()
    plan = bench.plan
    plan.aim = Plan.KEEP
    save_plan(plan, [stays, leaves], today=today, by=keeper)
    reserve_tube(plan, leaves, position, tube, **bench.how)
    of_set = Requirement.objects.create(plan=plan, chassis=leaves, words="its cord", type=bench.of)
    bench.keep(of_set, 1)
    bench.keep(bench.mine, 1)
    save_plan(plan, [stays], today=today, by=keeper)
    assert [row.requirement for row in Reservation.objects.all()] == [bench.mine]
    assert of_set not in [line.requirement for line in cover_of(plan, today).lines]
    again = PlanFactory(sets=[leaves], priority=1)
    (line,) = (one for one in cover_of(again, today).lines if one.position == "V1")
    assert (line.thing, line.reserved) == (tube.item, False)


def test_a_tube_reserved_for_another_plan_covers_no_position_of_this_one(bench, today):
    """A row of the time before it was released with its set."""
    position = PositionFactory(set_model=bench.model, mark="V1", type=TubeTypeFactory(name="6SN7GT"), heater_v=6.3)
    chassis, item = bench.plan.sets.get(), TubeFactory(type=position.type).item
    Reservation.objects.create(plan=bench.other, item=item, chassis=chassis, position=position, on=today)
    (line,) = (one for one in cover_of(bench.plan, today).lines if one.position == "V1")
    assert (line.status, line.reserved) == ("reserved elsewhere", False)


def test_a_known_weak_part_is_settled_by_its_work(bench, as_keeper, as_helper, today):
    weak = WeakPart.objects.create(set_model=bench.model, mark="C3", words="coupling", quantity=2)
    chassis = bench.plan.sets.get()
    (line,) = (one for one in cover_of(bench.plan, today).lines if one.weak == weak)
    assert line.status == TO_DO
    link = f"{bench.plan.get_absolute_url()}work/?chassis={chassis.pk}&amp;weak_part={weak.pk}"
    text = page_text(as_keeper.get(bench.plan.get_absolute_url()))
    assert f'href="{link}"' in text and "Its check on the start sheet" in text
    form = as_helper.get(link.replace("&amp;", "&")).context["form"]
    assert str(form["weak_part"].value()) == str(weak.pk) and "settles" not in form.fields
    address = f"{bench.plan.get_absolute_url()}work/"
    assert as_keeper.get(address).context["form"]["chassis"].value() == chassis.pk  # the only set of the plan
    sent = {
        "chassis": chassis.pk, "words": "both renewed", "on": today, "weak_part": weak.pk, "settles": "on",
        "put_in": bench.lot.tag, "used": "2",
    }  # fmt: skip
    refused = as_keeper.post(address, sent | {"requirement": bench.mine.pk} | seen_at(as_keeper, address))
    assert refused.status_code == 422 and "not both" in page_text(refused)
    told = page_text(as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True))
    assert f"both renewed: recorded. {bench.lot.tag} holds 2 to 4 now." in told
    row = Requirement.objects.get(weak=weak)
    assert (row.plan, row.chassis, row.done_on, row.quantity) == (bench.plan, chassis, today, 2)
    assert Work.objects.get().requirement == row
    assert bench.line(row).status == DONE
    assert not [one for one in cover_of(bench.plan, today).lines if one.weak == weak]


def test_parts_that_were_put_in_for_a_line_are_asked_for_no_more(bench, refused):
    bench.keep(bench.mine, 3)
    row = bench.work(3, bench.mine)
    line = bench.line(bench.mine)
    assert (line.status, line.by, line.kept, bench.held) == ("covered", "3 put in", 0, (1, 3))
    assert "3 of 3 are put in by the work recorded: say that the line is done." in line.reasons
    with refused("number", "asks for 3, 3 are put in; 1 are too many"):
        bench.keep(bench.mine, 1)
    bench.correct(row, used=1)
    line = bench.line(bench.mine)
    assert line.status == "covered" and f"2 of {bench.lot.tag}" in line.by
    assert "1 of 3 are put in by the work recorded: 2 to go." in line.reasons
    strike_work(row, "of another set", by=bench.how["by"])
    assert "3 of" in bench.line(bench.mine).by


def test_what_is_put_in_from_another_lot_frees_what_was_reserved(bench):
    bench.keep(bench.mine, 3)
    other = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=bench.of, least=2, most=2)
    bench.work(2, bench.mine, put_in=other.item)
    assert kept(bench.mine) == [1] and bench.line(bench.mine).status == "covered"
    assert bench.line(bench.theirs, bench.other).by.startswith(f"3 of {bench.lot.tag}")


def test_what_may_not_serve_a_line_does_not_count_for_it(bench):
    fuses = PartLot.objects.create(
        item=ItemFactory(kind="parts"), name="fuse", type=PartTypeFactory(kind="resistor", value=5.0), least=9, most=9
    )
    bench.work(3, bench.mine, put_in=fuses.item)
    assert bench.line(bench.mine).by.startswith(f"3 of {bench.lot.tag}")


def test_a_weak_part_of_another_model_is_refused(bench, refused):
    weak = WeakPart.objects.create(set_model=SetModelFactory(), words="relay")
    with refused("weak_part", "is a part of"):
        bench.work(None, weak=weak)


def test_the_strike_page_says_what_it_gives_back(bench, as_keeper):
    row = bench.work(2, bench.mine, settles=True)
    address = f"/works/{row.pk}/strike/"
    text = page_text(as_keeper.get(address))
    assert f"The 2 of {bench.lot.tag} that it took are given back" in text and "stays done" in text
    as_keeper.post(address, {"why": "of another set"} | seen_at(as_keeper, address))
    assert bench.held == (4, 6)


def test_the_form_asks_before_what_is_reserved_is_used(bench, as_keeper):
    address = f"{bench.plan.get_absolute_url()}work/"
    assert "claimed" not in as_keeper.get(address).context["form"].fields
    bench.keep(bench.theirs, 3)
    sent = {
        "chassis": bench.plan.sets.get().pk, "words": "renewed", "on": bench.today, "put_in": bench.lot.tag, "used": "2"
    }  # fmt: skip
    refused = as_keeper.post(address, sent | seen_at(as_keeper, address))
    assert refused.status_code == 422 and "tick that they were taken on purpose" in page_text(refused)
    assert as_keeper.post(address, sent | {"claimed": "on"} | seen_at(as_keeper, address)).status_code == 302
    assert (bench.held, kept(bench.theirs)) == ((2, 4), [2])


def test_a_lot_that_bears_no_kind_of_part_is_named_beside_the_short_line(bench, as_keeper):
    bench.lot.delete()
    item = ItemFactory(kind="parts", place=PlaceFactory())
    lot = PartLot.objects.create(item=item, name="Capacitors", value="0.01 mfd 600 V", least=9, most=9)
    PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", value="0.1 mfd", least=5, most=5)
    line = bench.line(bench.mine)
    assert line.status == "short"
    assert line.reasons[-1] == (
        f"Not counted, since no kind of part is given: {lot.tag} Capacitors 0.01 mfd 600 V (9). Give it by Change on "
        "the page of the lot."
    )
    address = f"/parts/{lot.tag}/change/"
    sent = {"name": lot.name, "value": lot.value, "least": "9", "most": "9", "duds": "0", "type": bench.of.pk}
    as_keeper.post(address, sent | seen_at(as_keeper, address))
    assert bench.line(bench.mine).by.startswith(f"3 of {lot.tag}")
    assert str(bench.of) in page_text(as_keeper.get(lot.get_absolute_url()))


@pytest.mark.parametrize("where", ["gone", "lent", "in another set", "gone later", "in this set", "taken out"])
def test_what_was_not_here_was_not_put_in(bench, days_ago, where, refused):
    tube = TubeFactory(lent_to="R. Oddsworth" * (where == "lent"))
    tube.item.gone_on = {"gone": days_ago(3), "gone later": bench.today}.get(where)
    tube.item.save()
    if "set" in where or where == "taken out":
        chassis = bench.plan.sets.get() if where == "in this set" else ChassisFactory(model=bench.model)
        position = PositionFactory(set_model=bench.model, type=tube.type)
        until = days_ago(1) if where == "taken out" else None
        FittingFactory(tube=tube, chassis=chassis, position=position, since=days_ago(9), until=until)
    told = {
        "gone": "left the collection",
        "lent": "is lent to R. Oddsworth",
        "in another set": "take it out there first",
    }
    if where not in told:
        assert bench.work(None, put_in=tube.item).pk
        return
    with refused("put_in", told[where]):
        bench.work(None, put_in=tube.item)
