"""What was found at the check of a weak part or line stays with it, whatever it is called by then. All is invented."""

import importlib

import pytest
from django.apps import apps

from inventory.holdings.models import PartLot
from inventory.restoration.actions import record_finding, reserve_parts, save_requirement, save_weak_part
from inventory.restoration.models import Finding, Plan, Requirement, WeakPart
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.restoration.rules.words import DONE, SETTLE_BEFORE_POWER, TO_DO
from tests.factories import ChassisFactory, ItemFactory, SetModelFactory
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


class Bench:
    """A plan to keep two sets of a model running, and what is found at their checks."""

    def __init__(self, keeper, today):
        self.today, self.by = today, keeper
        self.model = SetModelFactory(name="Marram RX", neutralizing="none", no_tubes=True)
        self.one, self.two = (ChassisFactory(model=self.model, serial=serial) for serial in ("0417", "0633"))
        self.plan = PlanFactory(sets=[self.one], aim=Plan.KEEP)

    def weak(self, words):
        return WeakPart.objects.create(set_model=self.model, mark="C12", words=words)

    def line(self, words="cord", kind="work", **more):
        return Requirement.objects.create(plan=self.plan, words=words, kind=kind, before_power=True, **more)

    def check(self, words, chassis=None):
        """The key of a check of the start sheet, by its words; of several the first."""
        rows = start_sheet(self.plan, chassis or self.one, self.today).rows
        return next(row.check.key for row in rows if row.check.words.casefold() == words.casefold())

    def found(self, step, well, chassis=None):
        row = Finding(plan=self.plan, chassis=chassis or self.one, step=step, all_well=well, on=self.today)
        return record_finding(row, today=self.today, by=self.by)

    def lines(self, need=""):
        return [line for line in cover_of(self.plan, self.today).lines if need in line.need and line.kind != "tube"]


@pytest.fixture
def bench(keeper, today):
    return Bench(keeper, today)


def stands(lines):
    return [line.status for line in lines]


def test_a_corrected_word_loses_nothing(bench, keeper, today):
    weak, line = bench.weak("flter"), bench.line("crd")
    bench.found(bench.check("C12 flter"), True)
    bench.found(bench.check("crd"), False)
    weak.words, line.words = "filter", "cord"
    save_weak_part(weak, by=keeper)
    save_requirement(line, today=today, by=keeper)
    assert stands(bench.lines("C12 filter")) == [DONE] and stands(bench.lines("cord")) == [SETTLE_BEFORE_POWER]
    assert len(bench.lines()) == 2
    bench.found("line cord", True)  # named in words, as a list may
    assert stands(bench.lines("cord")) == [DONE]
    assert Finding.objects.filter(requirement=line).count() == 2


def test_two_of_the_same_words_are_two(bench):
    bench.line()
    bench.found(bench.check("cord"), True)
    bench.line(kind="part", type=PartTypeFactory(), quantity=3)
    assert stands(bench.lines("cord")) == [DONE, "short"]
    bench.weak("filter")
    bench.found(bench.check("C12 filter"), True)
    bench.weak("filter")
    assert sorted(stands(bench.lines("C12 filter"))) == [DONE, TO_DO]


def test_a_line_of_all_sets_is_done_when_it_is_at_each(bench, keeper, today):
    bench.plan.sets.add(bench.two)
    of = PartTypeFactory()
    line = bench.line(kind="part", type=of, quantity=2)
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=of, least=9, most=9)
    reserve_parts(line, lot, 2, on=today, by=keeper)
    bench.found(bench.check("cord"), True, bench.one)
    (told,) = bench.lines("cord")
    assert told.status == "covered" and told.reserved
    assert told.reasons[0] == f"Found as it should be at {bench.one}; not yet at {bench.two}."
    failed = bench.found(bench.check("cord", bench.two), False, bench.two)
    (told,) = bench.lines("cord")
    assert (told.status, told.chassis, told.finding) == (SETTLE_BEFORE_POWER, bench.two, failed)
    bench.found(bench.check("cord"), False, bench.one)
    assert [line.chassis for line in bench.lines("cord")] == [bench.one, bench.two]
    for chassis in (bench.one, bench.two):
        bench.found(bench.check("cord", chassis), True, chassis)
    (told,) = bench.lines("cord")
    assert (told.status, told.kept) == (DONE, 0) and not line.reservations.exists()


def test_what_is_a_part_of_the_set_no_more_is_refused(bench, refused):
    other = WeakPart.objects.create(set_model=SetModelFactory(), words="filter")
    with refused("result", "is no part of"):
        bench.found(f"part no. {other.pk}", True)


def test_findings_of_the_time_before_are_given_their_rows(bench):
    weak, line = bench.weak("filter"), bench.line()
    rows = [
        Finding.objects.create(plan=bench.plan, chassis=bench.one, step=step, all_well=True, on=bench.today)
        for step in ("part C12 filter", "line cord", "part C99", "plates")
    ]
    importlib.import_module("inventory.restoration.migrations.0004_findings_of_rows").fill(apps, None)
    for row in rows:
        row.refresh_from_db()
    assert [(row.weak, row.requirement) for row in rows] == [(weak, None), (None, line), (None, None), (None, None)]
