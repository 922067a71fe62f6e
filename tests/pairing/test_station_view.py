"""The station view narrowed, cut into sheets and told in words; states are those of the whole station."""

import pytest

from inventory.pairing.queries import StationFilter, station_view
from tests.counting import asked
from tests.factories import ChassisFactory, EveryState, NeutralizationFactory, PlugInUnitFactory, UnitModelFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(db):
    return EveryState()


def seen(view):
    return {(c.serial, u.serial): state for u, _, line in view.rows for c, state in line if state}


def test_which_can_work_a_frequency(house, today):
    """1500 to 3000 kc and 3000 to 6000 kc: 3.6 Mc is the high drawer's, 3000 kc both drawers'."""
    whole = station_view(today)
    assert {unit.serial for unit in whole.narrowed(StationFilter(frequency_kc=3600.0)).units} == {"77"}
    assert {unit.serial for unit in whole.narrowed(StationFilter(frequency_kc=3000.0)).units} == {"0458", "77"}
    assert whole.narrowed(StationFilter(frequency_kc=9000.0)).units == ()


def test_a_unit_without_a_range_is_named_when_a_frequency_is_asked_for(house, today):
    blank = PlugInUnitFactory(model=UnitModelFactory(fits=[house.model], low_kc=None, high_kc=None))
    view = station_view(today).narrowed(StationFilter(frequency_kc=3600.0))
    assert [end.tag for end in view.no_range] == [blank.tag]
    assert station_view(today).narrowed(StationFilter(states=("due",))).no_range == ()


def test_states_stay_those_of_the_whole_when_narrowed(house, today):
    """The high drawer is to be reset for 0458 because it was set for 01432, also when 01432 is not shown."""
    view = station_view(today).narrowed(StationFilter(chassis="0458"))
    assert seen(view) == {("0458", "0458"): "presumed", ("0458", "77"): "reset and verify"}
    due = station_view(today).narrowed(StationFilter(states=("due",)))
    assert seen(due) == {("01432", "0458"): "due"}
    assert [end.serial for end in due.chassis] == ["01432"]


def test_chassis_by_chassis_what_is_due_first(house, today):
    (one,) = station_view(today).narrowed(StationFilter(chassis="01432")).lists
    assert one.counts == (("due", 1), ("good", 1))
    assert [state for _, _, state in one.pairs] == ["due", "good"]
    assert [unit.serial for unit, _, _ in one.due] == ["0458"] and [u.serial for u, _, _ in one.others] == ["77"]


def test_the_page_narrows_and_keeps_the_question_over_its_sheets(as_visitor):
    drawer = UnitModelFactory()
    for _ in range(14):
        chassis = ChassisFactory()
        drawer.fits.add(chassis.model)
    PlugInUnitFactory(model=drawer)
    first = as_visitor.get("/pairings/station/", {"state": "due", "frequency": "2 Mc"})
    assert len(first.context["view"].chassis) == 12 and len(first.context["whole"].chassis) == 14
    assert "state=due&amp;frequency=2+Mc&amp;page=2" in first.content.decode()
    second = as_visitor.get("/pairings/station/", {"state": "due", "page": "2"})
    assert len(second.context["view"].chassis) == 2
    assert len(as_visitor.get("/pairings/station/", {"page": "99"}).context["view"].chassis) == 2


@pytest.mark.parametrize(
    "query",
    [{"frequency": "3.6"}, {"state": "matched"}, {"on": "tomorrow"}, {"frequency": "nan Mc"}],
)
def test_a_question_that_makes_no_sense_is_refused(as_visitor, house, query):
    page = as_visitor.get("/pairings/station/", query)
    assert page.status_code == 422 and page.context["form"].errors


def test_an_empty_station_says_so(as_visitor):
    page = as_visitor.get("/pairings/station/").content.decode()
    assert "No chassis with a plug-in unit is here yet." in page and "No chassis here takes such" not in page


def test_the_page_asks_no_more_for_more(as_visitor, house):
    def more(count):
        for _ in range(count):
            chassis = ChassisFactory()
            NeutralizationFactory(chassis=chassis, unit=PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model])))
        return asked(as_visitor, "/pairings/station/")

    assert more(10) == more(10)
