"""A row that was read, and changed elsewhere since: an action looks at what stands there now."""

import pytest

from inventory.holdings.actions import lend, part_with
from inventory.holdings.models import Item, Tube
from inventory.running.actions import make_set
from inventory.running.models import MatchedSet
from inventory.sets.actions import correct_stay, fit, seat, take_out, unseat
from inventory.sets.models import Chassis, Fitting, PlugInUnit, Seating
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    TubeFactory,
    TubeTypeFactory,
    UnitModelFactory,
)
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def how(today, keeper):
    return {"today": today, "by": keeper}


def read(model, row):
    """A row with its thing, as a page reads it."""
    return model.objects.select_related("item").get(pk=row.pk)


def lent(item, how):
    lend(Item.objects.get(pk=item.pk), "R. Oddsworth", on=how["today"], **how)


def gone(item, how):
    part_with(Item.objects.get(pk=item.pk), "sold", on=how["today"], **how)


AWAY = pytest.mark.parametrize(
    ("goes", "words"), [(lent, "is lent to R. Oddsworth"), (gone, "left the collection")], ids=["lent", "gone"]
)


@AWAY
@pytest.mark.parametrize("which", ["tube", "chassis"])
def test_what_is_away_by_now_is_not_fitted(how, refused, goes, words, which):
    position = PositionFactory(type=None)
    tube, chassis = read(Tube, TubeFactory()), read(Chassis, ChassisFactory(model=position.set_model))
    goes({"tube": tube, "chassis": chassis}[which].item, how)
    with refused("since", words):
        fit(Fitting(tube=tube, chassis=chassis, position=position, since=how["today"]), **how)
    assert not Fitting.objects.exists()


@AWAY
@pytest.mark.parametrize("which", ["unit", "chassis"])
def test_what_is_away_by_now_is_not_seated(how, refused, goes, words, which):
    bay = BayFactory()
    chassis = read(Chassis, ChassisFactory(model=bay.set_model))
    unit = read(PlugInUnit, PlugInUnitFactory(model=UnitModelFactory(fits=[bay.set_model])))
    goes({"unit": unit, "chassis": chassis}[which].item, how)
    with refused("since", words):
        seat(unit, chassis, bay, since=how["today"], **how)
    assert not Seating.objects.exists()


def test_what_is_back_by_now_is_fitted(how):
    """The other way round: what was read as lent, and is back, is here."""
    position = PositionFactory(type=None)
    tube = TubeFactory(lent_to="R. Oddsworth")
    chassis = ChassisFactory(model=position.set_model)
    stale = read(Tube, tube)
    Item.objects.filter(pk=tube.pk).update(lent_to="")
    assert fit(Fitting(tube=stale, chassis=chassis, position=position, since=how["today"]), **how).pk
    assert stale.item.lent_to == ""


def test_a_type_that_was_changed_is_looked_at_again(how, refused):
    wanted = TubeTypeFactory()
    position = PositionFactory(type=wanted)
    tube = read(Tube, TubeFactory(type=wanted))
    assert tube.type == wanted
    Tube.objects.filter(pk=tube.pk).update(type=TubeTypeFactory(name="6SL7GT"))
    with refused("other_type"):
        row = Fitting(tube=tube, chassis=ChassisFactory(model=position.set_model), position=position)
        row.since = how["today"]
        fit(row, **how)


@pytest.mark.parametrize(("make", "end"), [(FittingFactory, take_out), (SeatingFactory, unseat)], ids=["tube", "unit"])
def test_what_came_out_meanwhile_is_not_taken_out_again(how, days_ago, refused, make, end):
    row = make(since=days_ago(9))
    stale = type(row).objects.get(pk=row.pk)
    end(row, until=days_ago(5), **how)
    with refused("until", f"This ended on {days_ago(5)} already"):
        end(stale, until=days_ago(1), **how)
    assert type(row).objects.get().until == days_ago(5)


@pytest.mark.parametrize(("make", "end"), [(FittingFactory, take_out), (SeatingFactory, unseat)], ids=["tube", "unit"])
def test_taking_out_keeps_what_was_corrected_meanwhile(how, days_ago, make, end):
    row = make(since=days_ago(9))
    stale = type(row).objects.get(pk=row.pk)
    row.since, row.note = days_ago(20), "as in the log"
    correct_stay(row, **how)
    end(stale, until=days_ago(1), **how)
    now = type(row).objects.get()
    assert (now.since, now.note, now.until) == (days_ago(20), "as in the log", days_ago(1))


def test_a_correction_of_what_came_out_meanwhile_is_refused(how, days_ago, refused):
    row = FittingFactory(since=days_ago(9))
    stale = Fitting.objects.get(pk=row.pk)
    take_out(row, until=days_ago(5), **how)
    stale.since = days_ago(8)
    with refused("until", "a correction only mends dates"):
        correct_stay(stale, **how)


def test_tubes_that_left_meanwhile_are_not_matched(how, refused):
    kind, instrument = TubeTypeFactory(), InstrumentFactory()
    tests = [TubeTestFactory(tube__type=kind, instrument=instrument, reading=2000) for _ in range(2)]
    assert tests[0].tube.item.gone_on is None
    gone(tests[0].tube.item, how)
    row = MatchedSet(instrument=instrument, made_on=how["today"], tolerance_pct=5)
    with refused("tests", "left the collection"):
        make_set(row, tests, **how)
