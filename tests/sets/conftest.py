"""A set to fit tubes and seat units in, for tests of stays."""

import pytest

from inventory.sets.actions import fit, seat, take_out
from inventory.sets.models import Fitting
from tests.factories import BayFactory, ChassisFactory, PlaceFactory, PositionFactory, UnitModelFactory


@pytest.fixture
def bench(keeper, today, days_ago):
    """A chassis with one position and one bay, and short ways to fit and seat."""

    class Bench:
        def __init__(self):
            self.position = PositionFactory(mark="V101")
            self.model = self.position.set_model
            self.bay = BayFactory(set_model=self.model, mark="left")
            self.chassis = ChassisFactory(model=self.model, serial="0458")
            self.unit_model = UnitModelFactory(fits=[self.model])
            self.drawer = PlaceFactory(code="D1")

        def fit(self, tube, since, **more):
            how = {name: more.pop(name) for name in ("replace", "old_tube_to", "other_type") if name in more}
            said = {"tube": tube, "chassis": self.chassis, "position": self.position, "since": days_ago(since)} | more
            return fit(Fitting(**said), today=today, by=keeper, **how)

        def out(self, fitting, until, **more):
            return take_out(fitting, until=days_ago(until), today=today, by=keeper, **more)

        def seat(self, unit, since, **more):
            at = {"chassis": self.chassis, "bay": self.bay} | more
            return seat(unit, since=days_ago(since), today=today, by=keeper, **at)

    return Bench()
