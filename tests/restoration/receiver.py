"""An invented receiver with two 6SN7GT and a 6K7, its tubes and its plan, for tests of what covers its lines."""

from inventory.restoration.queries.cover import cover_of
from tests.factories import (
    ChassisFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.restoration.rows import PlanFactory
from tests.running.rows import TubeTestFactory


def a_receiver():
    """A receiver that wants two 6SN7GT and one 6K7, on 6.3 V."""
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver")
    for mark, kind in (("V1", "6SN7GT"), ("V2", "6SN7GT"), ("V3", "6K7")):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=6.3)
    return model


def its_plan(model):
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model)], priority=2)


def tube(kind="6SN7GT", state="good", **more):
    return TubeFactory(type=TubeTypeFactory(name=kind), state=state, **more)


def first_test(one, reading):
    """A test of a tube that was called untested, and what it is called after that."""
    TubeTestFactory(tube=one, reading=reading, minimum=1800.0)
    one.state = "good" if reading > 1800.0 else "weak"
    one.save()


def by_mark(plan, today):
    return {line.position: line for line in cover_of(plan, today).lines if line.position}
