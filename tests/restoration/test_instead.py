"""What does the work of what a plan is short of stands beside its line, and covers nothing. All names are invented."""

import pytest

from inventory.restoration.models import Requirement, WeakPart
from inventory.restoration.queries.cover import cover_of
from inventory.restoration.queries.start_sheet import start_sheet
from inventory.sets.models import StandIn, StandInFitted
from tests.commands import answer_of
from tests.counting import cost
from tests.factories import FittingFactory, PositionFactory, TubeFactory
from tests.holdings.parts import lot_of
from tests.pages import page_text
from tests.restoration.rows import PartTypeFactory
from tests.restoration.sheets import address_of, planned_receiver
from tests.sets.rows import StandInFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def line_of(plan, today, words):
    (line,) = (line for line in cover_of(plan, today).lines if words in line.need)
    return line


def test_a_rectifier_that_is_missing(plan, model, today):
    position = PositionFactory(set_model=model, mark="V90", type=TubeType.objects.get(name="866A"))
    line = line_of(plan, today, "V90")
    assert line.status == "short"
    assert {(one.key, one.verdict) for one in line.instead} == {("mercury-xenon", ""), ("mercury-silicon", "")}
    for verdict in (StandIn.SERVES, StandIn.FAILS):
        StandInFactory(
            set_model=model, position=position, part="", instead="silicon stack", general="mercury-silicon",
            verdict=verdict,
        )  # fmt: skip
    first, second, general = line_of(plan, today, "V90").instead
    assert (first.verdict, second.verdict, general.key) == ("serves", "does not serve", "mercury-xenon")
    assert first.differs and second.differs and "High voltage" in first.caution
    assert not cover_of(plan, today).count.can_start


def test_a_part_that_is_missing_by_its_circuit_mark_and_by_its_kind(plan, model, today, as_visitor):
    kind = PartTypeFactory(construction="paper", value=100_000, volts=400)
    WeakPart.objects.create(set_model=model, mark="C12", words="coupling", type=kind)
    StandInFactory(set_model=model, part="C12", instead="two in series", source="leaf 4")
    StandInFactory(set_model=model, part="C13", instead="nothing of this")
    line = line_of(plan, today, "coupling")
    assert line.instead[0].words == "two in series"
    assert [one.key for one in line.instead] == ["", "paper-film"]
    page = page_text(as_visitor.get(plan.get_absolute_url()))
    assert "two in series: it serves in this model" in page and "nobody has said whether it serves" in page
    assert "/parts/find/?part=capacitor" in page and "A replacement from stock" in page
    lot_of(3, construction="paper", value=100_000.0, volts=400.0)
    covered = line_of(plan, today, "coupling")
    assert (covered.status, covered.instead, covered.sought) == ("covered", (), "")


def test_a_part_in_words_alone(plan, today, as_visitor):
    Requirement.objects.create(plan=plan, words="carbon microphone")
    Requirement.objects.create(plan=plan, words="something to hold it")
    line = line_of(plan, today, "carbon")
    assert (line.status, [one.key for one in line.instead]) == (
        "not known to be here", ["carbon-microphone-amplified"],
    )  # fmt: skip
    assert line_of(plan, today, "hold it").instead == ()
    assert "/parts/find/?part=carbon%20microphone" in page_text(as_visitor.get(plan.get_absolute_url()))
    answer, _ = answer_of("readiness", plan.name)
    told = next(one for one in answer["lines"] if one["need"] == "carbon microphone")
    assert told["stand_ins"][0]["general"] == "carbon-microphone-amplified"


def test_twice_the_lines_take_no_more_questions(plan, model, today):
    def some():
        for number in range(4):
            WeakPart.objects.create(set_model=model, words=f"filter {number}", type=PartTypeFactory())
            StandInFactory(set_model=model)
            PositionFactory(set_model=model, type=TubeType.objects.get(name="866A"))

    some()
    before = cost(lambda: cover_of(plan, today))
    some()
    assert cost(lambda: cover_of(plan, today)) == before


def test_what_sits_in_place_of_a_tube_is_told_in_plan_and_sheet(today, as_visitor):
    """A socket with a plug in it is not empty, and no tube goes in beside it (common practice, no source)."""
    plan = planned_receiver()
    chassis = plan.sets.get()
    position = chassis.model.positions.get(mark="V2")
    word = StandInFactory(
        set_model=chassis.model, position=position, part="", instead="plug Y", caution="the plates rise at once"
    )
    stay = StandInFitted.objects.create(stand_in=word, chassis=chassis, since=today)
    told = " ".join(line_of(plan, today, "V2").reasons)
    assert f"plug Y (a stand-in) sits in it since {today}: it serves here" in told
    assert "caution: the plates rise at once" in line_of(plan, today, "V2").entails
    assert "Nothing is in it." in " ".join(line_of(plan, today, "V1").reasons)
    held = {one.row.position.mark: one.held for one in start_sheet(plan, chassis, today).sockets}
    assert held["V2"] == f"plug Y (a stand-in), since {today}" and held["V1"] == "empty"
    assert "plug Y (a stand-in)" in page_text(as_visitor.get(address_of(plan)))
    FittingFactory(tube=TubeFactory(type=position.type, state="good"), chassis=chassis, position=position)
    assert "plug Y (a stand-in) sits there too" in " ".join(line_of(plan, today, "V2").reasons)
    held = {one.row.position.mark: one.held for one in start_sheet(plan, chassis, today).sockets}
    assert "one of them cannot be there, look" in held["V2"]
    stay.until = today
    stay.save()
    assert "plug Y" not in " ".join(line_of(plan, today, "V2").reasons)
