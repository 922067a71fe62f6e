"""How many spares by the keeper's own record: a rate, or lives that wear out; the buying order, and the want list.

The method is that of ``rules/test_demand.py``, with its sources; here it is asked which one is taken, and why.
"""

import json
import math
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.restoration.actions import reserve_all, reserve_tube
from inventory.restoration.models import Plan
from inventory.restoration.queries.answer import readiness
from inventory.restoration.queries.experience import Experience, demand_of, prior_of
from inventory.restoration.queries.spares import spares_of_type
from inventory.restoration.rules.demand import NEGATIVE_BINOMIAL, RENEWAL, from_record
from inventory.restoration.rules.spares import Question
from tests.counting import cost
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.holdings.rows import LoanFactory
from tests.pages import page_text
from tests.restoration.rows import PlanFactory
from tests.running.rows import EarlierHours, RunFactory, TubeTestFactory
from tubes.queries import knowledge
from tubes.queries.judging import court

pytestmark = pytest.mark.django_db


@pytest.fixture
def judges(db):
    for name in ("6SN7GT", "5U4G", "807"):
        TubeTypeFactory(name=name)
    return court(knowledge())


WORN = (170.0, 180.0, 190.0, 195.0, 205.0, 210.0, 220.0, 230.0)


def lived(kind, days_ago, hours, state, before=0.0):
    """A tube that ran so long here, known from ``before`` hours on, and is out again."""
    tube = TubeFactory(type=kind, state=state)
    EarlierHours.objects.create(tube=tube, standing="known", hours=before)
    row = FittingFactory(tube=tube, since=days_ago(90), until=days_ago(80))
    RunFactory(chassis=row.chassis, on=days_ago(85), hours=hours)
    return tube


@pytest.fixture
def kind():
    return TubeTypeFactory(name="6SN7GT")


@pytest.fixture
def plan(kind, days_ago):
    """A receiver with three 6SN7GT in it: two of known hours, one of which nobody knows them."""
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver")
    chassis = ChassisFactory(model=model, serial="0417")
    for number, hours in enumerate((10.0, 190.0, None)):
        tube = TubeFactory(type=kind)
        if hours is not None:
            EarlierHours.objects.create(tube=tube, standing="known", hours=hours)
        position = PositionFactory(set_model=model, mark=f"V{number}", type=kind, heater_v=6.3)
        FittingFactory(tube=tube, chassis=chassis, position=position, since=days_ago(60))
    return PlanFactory(name="Marram in the shed", aim=Plan.KEEP, sets=[chassis], hours=200)


def asked(*arguments):
    out = StringIO()
    call_command(*arguments, "--json", stdout=out, stderr=StringIO())
    return json.loads(out.getvalue())


def worn(kind, days_ago):
    """Eight that all failed near 200 h: they wear out, whoever fits it."""
    for hours in WORN:
        lived(kind, days_ago, hours, "dud")


def test_clear_wear_out_is_renewed_and_told(plan, kind, today, days_ago):
    worn(kind, days_ago)
    (found,) = readiness(plan.name, today).assured.types
    assert found.demand.kind == RENEWAL
    assert "They wear out: 8 failures here" in found.why and "clearly above 1" in found.why
    assert "The hours of 1 of the 3 in use are not known" in found.why
    assert "Weibull" in found.demand.source
    # 200 h ahead at a life of about 200 h: each fails once, the one of 190 h perhaps twice
    assert 2.5 < found.demand.expected < 4
    assert found.wanted <= from_record(8, 1600, 3, 200).spares_for(0.95)


@pytest.mark.parametrize(("end", "told"), [("weak", "8 gone weak"), ("reject", "8 rejected by the last test")])
def test_what_went_weak_or_is_rejected_has_failed(plan, kind, today, days_ago, end, told):
    """A position asks for another tube then, so lives end there as with duds, and as many spares are wanted."""
    for hours in WORN:
        tube = lived(kind, days_ago, hours, "weak" if end == "weak" else "good")
        if end == "reject":
            TubeTestFactory(tube=tube, reading=500.0, minimum=1800.0)
    (found,) = readiness(plan.name, today).assured.types
    assert (found.experience.failures, found.demand.kind) == (8, RENEWAL)
    assert "They wear out: 8 failures here" in found.why and 2.5 < found.demand.expected < 4
    assert found.experience.failed == told
    assert asked("spares", "--type", "6SN7GT", "--hours", "200")["failed"] == told


def test_the_hours_of_those_in_use_count(plan, kind, today, days_ago):
    """The one at 190 h fails within 40 h more likely than not, the one at 10 h does not."""
    worn(kind, days_ago)
    (soon,) = readiness(plan.name, today, hours=40).assured.types
    assert 0.6 < soon.demand.expected < 1.6


def test_no_clear_wear_out_stays_a_rate(plan, kind, today, days_ago):
    for hours in (5, 40, 90, 300, 700, 20):
        lived(kind, days_ago, float(hours), "dud")
    (found,) = readiness(plan.name, today).assured.types
    assert found.demand.kind == NEGATIVE_BINOMIAL
    assert "is not clearly above 1" in found.why and "Jeffreys" in found.demand.method
    assert found.demand.expected == pytest.approx(6.5 * 3 * 200 / 1155)


def test_few_failures_say_nothing_of_wear(plan, kind, today, days_ago):
    lived(kind, days_ago, 800.0, "dud")
    (found,) = readiness(plan.name, today).assured.types
    assert "1 failure here; from 5 on it is looked at" in found.why
    assert (
        found.demand.expected == pytest.approx(1.5 * 600 / 800) and "800 unit-hours say little of a rate" in found.why
    )
    held = prior_of("6SN7GT", court(knowledge()))
    beside = 1.5 * 600 / (held.hours + 800)  # Gamma(0.5, 0.5 / rate) and one failure in 800 h
    assert f"By the published rate and this record together {beside:.2g} would be expected" in found.why


def test_next_to_no_record_takes_a_published_rate(plan, today):
    (found,) = readiness(plan.name, today).assured.types
    assert "MIL-HDBK-217E" in found.demand.method and "published rate" in found.why


def test_all_of_them_wear_out_too_fast_to_draw(plan, kind, today, days_ago):
    worn(kind, days_ago)
    (found,) = readiness(plan.name, today, hours=900_000).assured.types
    assert found.demand.kind == NEGATIVE_BINOMIAL and "use a constant rate" in found.why


def test_figures_of_a_plan_that_give_no_answer_are_told_on_its_page(as_visitor, plan, kind, today, days_ago):
    for hours in (0.1, 0.2, 0.3, 0.4):
        lived(kind, days_ago, hours, "dud")
    plan.hours = 1e6
    plan.save()
    found = readiness(plan.name, today).assured
    assert found.types == () and found.assurance == 0 and "look at it again" in found.text
    assert "cannot be said" in page_text(as_visitor.get(plan.get_absolute_url()))
    assert "cannot be said" in page_text(as_visitor.get(f"{plan.get_absolute_url()}spares/", {"hours": "1e6"}))
    with pytest.raises(CommandError, match="look at it again"):
        asked("readiness", plan.name, "--hours", "1000000")


def test_some_of_them_are_enough(plan, kind, today):
    TubeFactory(type=kind)
    every, two = (readiness(plan.name, today, 20_000, some=some).assured for some in ({}, {"6sn7gt": 2}))
    assert two.assurance > every.assurance and two.types[0].wanted <= every.types[0].wanted
    assert "Counted so that 2 of 3 6SN7GT are enough." in two.text
    assert "not counted among the spares" in every.text
    told = asked("readiness", plan.name, "--hours", "20000", "--enough", "6SN7GT:2")
    assert told["assurance"] == pytest.approx(two.assurance) and told["spares"][0]["needed"] == 2
    for wrong in ("6SN7GT", "6SN7GT:4", "6K7:1", ":2"):
        with pytest.raises(CommandError, match=r"such as|in use"):
            asked("readiness", plan.name, "--enough", wrong)


def test_what_other_plans_get_is_no_spare(plan, kind, today):
    TubeFactory(type=kind)
    assert readiness(plan.name, today).assured.types[0].spares == 1
    other = SetModelFactory(neutralizing="none")
    PositionFactory(set_model=other, mark="V1", type=kind, heater_v=6.3)
    PlanFactory(sets=[ChassisFactory(model=other)], priority=1)
    assert readiness(plan.name, today).assured.types[0].spares == 0


def test_what_is_reserved_for_a_position_that_is_filled_is_a_spare_of_its_plan(plan, kind, today, keeper):
    spare, chassis = TubeFactory(type=kind), plan.sets.get()
    reserve_tube(plan, chassis, chassis.model.positions.first(), spare, on=today, by=keeper)
    assert readiness(plan.name, today).assured.types[0].spares == 1
    spare.state = "weak"
    spare.save()
    assert readiness(plan.name, today).assured.types[0].spares == 0


def test_a_reject_and_one_that_goes_into_a_set_are_no_spares(plan, kind, today):
    TubeTestFactory(tube=TubeFactory(type=kind), shorts="found")
    assert readiness(plan.name, today).assured.types[0].spares == 0
    TubeFactory(type=kind)
    assert readiness(plan.name, today).assured.types[0].spares == 1
    PositionFactory(set_model=plan.sets.get().model, mark="V9", type=kind, heater_v=6.3)  # it goes in there
    found = readiness(plan.name, today).assured.types[0]
    assert (found.in_use, found.spares, found.gaps) == (4, 0, 0)


def test_spares_that_other_plans_count_too_are_told(plan, kind, today):
    """Each is told to have them, though a tube can replace but one."""
    TubeFactory(type=kind)
    assert "set aside for no plan" not in readiness(plan.name, today).assured.text
    other = ChassisFactory(model=plan.sets.get().model)
    for position in other.model.positions.all():
        FittingFactory(tube=TubeFactory(type=kind), chassis=other, position=position)
    pier = PlanFactory(name="Marram for the pier", aim=Plan.KEEP, sets=[other])
    for one, beside in ((plan, pier), (pier, plan)):
        found = readiness(one.name, today).assured
        assert found.types[0].spares == 1
        assert f"Spares are set aside for no plan: of these some are counted for {beside} too." in found.text


def test_what_is_here_on_loan_is_no_spare(plan, kind, today):
    LoanFactory(tube=TubeFactory(type=kind), way="in", who="Ebb Street radio club")
    TubeFactory(type=kind)
    assert readiness(plan.name, today).assured.types[0].spares == 1
    assert spares_of_type("6SN7GT", today, Question(hours=200)).enough.stock == 1


def test_the_record_is_fetched_once_whatever_the_types(plan, today):
    few = cost(lambda: readiness(plan.name, today))
    for number in range(6):
        kind = TubeTypeFactory(name=f"ZY{number}")
        position = PositionFactory(set_model=plan.sets.get().model, mark=f"V1{number}", type=kind)
        FittingFactory(tube=TubeFactory(type=kind), chassis=plan.sets.get(), position=position)
    assert cost(lambda: readiness(plan.name, today)) == few


# --- of a type, and by command ---------------------------------------------------------------------------------------


def test_spares_of_a_type_by_its_own_record(plan, kind, today, days_ago):
    worn(kind, days_ago)
    TubeFactory(type=kind)
    found = spares_of_type("6SN7GT", today, Question(hours=200))
    assert (found.enough.in_use, found.enough.stock, found.enough.demand.kind) == (3, 1, RENEWAL)
    (planned,) = readiness(plan.name, today).assured.types
    assert found.enough.wanted == planned.wanted
    told = asked("spares", "--type", "6SN7GT", "--hours", "200")
    assert told["spares_needed"] == planned.wanted and "They wear out" in told["why"]
    more = asked("spares", "--type", "6SN7GT", "--hours", "200", "--in-use", "5", "--stock", "0")
    assert (more["in_use"], more["stock"]) == (5, 0) and more["expected"] > told["expected"]


def test_a_prior_of_ones_own(plan, today):
    told = asked("spares", "--type", "6SN7GT", "--hours", "500", "--prior-shape", "2", "--prior-hours", "10000")
    assert told["expected"] == pytest.approx(2 * 1500 / 10_000) and "as chosen" in told["method"]


def test_k_of_n_and_lives_by_command():
    told = asked("spares", "--in-use", "3", "--needed", "2", "--rate", "0.0001053605156578263", "--hours", "1000")
    assert told["assurance_with_stock"] == pytest.approx(3 * 0.9**2 * 0.1 + 0.9**3)  # two of three of 0.9 each
    assert told["needed"] == 2 and "2 of the 3 in use are enough" in told["text"]
    worn_out = asked(
        "spares", "--in-use", "2", "--eta", "1000", "--beta", "4", "--age", "950", "--age", "unknown", "--hours", "300"
    )
    new = asked("spares", "--in-use", "2", "--eta", "1000", "--beta", "4", "--hours", "300")
    assert worn_out["expected"] > 5 * new["expected"] and "Weibull" in worn_out["method"]


@pytest.mark.parametrize(
    ("given", "word"),
    [
        (("--eta", "1000", "--hours", "5"), "--beta is missing"),
        (("--rate", "1e-5", "--beta", "2", "--hours", "5"), "--beta goes with eta"),
        (("--eta", "9", "--beta", "2", "--age", "old", "--hours", "5"), "--age 'old'"),
        (("--eta", "9", "--beta", "2", "--age", "1", "--age", "2", "--hours", "5"), "--ages 2 given"),
        (("--mean-demand", "3", "--needed", "2"), "--needed 2: expected from 0 to 1"),
        (("--mean-demand", "3", "--stock", "1000000000"), "--stock 1000000000: expected from 0 to 100,000"),
        (("--mean-demand", "3", "--in-use", "1000000000"), "--in-use 1000000000: expected from 0 to 100,000"),
        (("--type", "6SN7GT", "--hours", "5", "--in-use", "1000000000"), "--in-use 1000000000: expected"),
        (("--mean-demand", "3", "--prior-shape", "2"), "--prior-shape goes with failures"),
        (("--type", "6SN7GT", "--rate", "2", "--hours", "5"), "--rate does not go with a type"),
        (("--type", "6SN7GT"), "--hours is missing"),
        (("--type", "no such tube", "--hours", "5"), "no such tube"),
    ],
)
def test_what_cannot_be_asked(kind, given, word):
    with pytest.raises(CommandError, match=word) as refused:
        asked("spares", *given)
    assert refused.value.returncode == 2


@given(
    st.integers(0, 4), st.integers(0, 4), st.floats(1, 5000), st.floats(0, 5000),
    st.sampled_from(["6SN7GT", "5U4G", "807"]),
)  # fmt: skip
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_good_hours_never_raise_what_is_expected_and_failures_do(judges, failures, more, hours, ahead, name):
    """Whatever the record; an hour more lowers it by no more than its share: no jump anywhere."""

    def expected(failed, ran):
        return demand_of(name, [None] * 4, 500.0, Experience(failed, ran), judges)[0].expected

    now, later = expected(failures, hours), expected(failures, hours + ahead)
    assert later <= now * (1 + 1e-12)
    assert expected(failures + more, hours) >= now
    assert expected(failures, hours + 1) >= now * hours / (hours + 1) * (1 - 1e-9)


def test_a_record_of_nothing_is_the_published_rate(judges):
    """MIL-HDBK-217E as summarized, a receiving tube on the ground: 2.5 per million hours (L4.9)."""
    found, _ = demand_of("6SN7GT", [None] * 4, 500.0, Experience(0, 0.0), judges)
    assert found.expected == pytest.approx(2.5e-6 * 2000)
    assert found.at_most(0) > 0.99
    long, _ = demand_of("6SN7GT", [None] * 4, 500.0, Experience(0, 5000.0), judges)
    assert long.expected == pytest.approx(0.5 * 2000 / (200_000 + 5000)) and long.expected < found.expected
    assert long.at_most(0) > found.at_most(0)


# --- pages -----------------------------------------------------------------------------------------------------------


def test_the_page_of_spares_says_what_the_command_says(as_visitor, kind):
    text = page_text(as_visitor.get("/spares/", {"failures": "3", "unit_hours": "4500", "hours": "3000", "stock": "2"}))
    assert "6 spares to hold; the 2 there are enough with a chance of 61.2 %." in text
    none = page_text(as_visitor.get("/spares/", {"failures": "3", "unit_hours": "4500", "hours": "3000"}))
    assert "6 spares to hold; with none it is enough with a chance of" in none
    assert "not counted among the spares" in text
    refused = page_text(as_visitor.get("/spares/", {"failures": "3", "hours": "3000"}))
    assert "Is missing: in how many unit-hours did they fail?" in refused
    assert "give one of" in page_text(as_visitor.get("/spares/", {"hours": "3000"}))
    assert "expected hours" in page_text(as_visitor.get("/spares/", {"eta": "9", "beta": "1", "ages": "x"}))
    of_type = page_text(as_visitor.get("/spares/", {"type": "6SN7GT", "hours": "500", "in_use": "4"}))
    assert "of 6SN7GT" in of_type and "published rate" in of_type


def test_the_plan_page_and_its_page_of_spares(as_visitor, plan, kind, days_ago):
    worn(kind, days_ago)
    assert "Why so, other hours" in page_text(as_visitor.get(plan.get_absolute_url()))
    text = page_text(as_visitor.get(f"{plan.get_absolute_url()}spares/", {"hours": "100", "enough": "6SN7GT:2"}))
    assert "They wear out: 8 failures here" in text and "2 of 3 6SN7GT are enough" in text
    assert "is not in use here" in page_text(as_visitor.get(f"{plan.get_absolute_url()}spares/", {"enough": "6K7:1"}))
    chassis = plan.sets.get()
    assert "They wear out" in page_text(as_visitor.get(f"/sets/{chassis.tag}/readiness/spares/"))


@pytest.mark.parametrize(
    ("name", "kind", "rate"),
    [
        ("6V6GT", "receiving", 2.5), ("6F6", "receiving", 2.5), ("6L6GC", "receiving", 2.5), ("2A3", "receiving", 2.5),
        ("6SN7GT", "receiving", 2.5), ("6AK5", "receiving", 2.5), ("5U4G", "rectifier", 5),
        ("6146", "transmitting", 37.5), ("807", "transmitting", 37.5), ("211", "transmitting", 37.5),
        ("845", "transmitting", 37.5),
    ],
)  # fmt: skip
def test_output_tubes_of_receivers_are_no_transmitting_tubes(name, kind, rate):
    """5, 10 and 75 per million hours, half of it on the ground: MIL-HDBK-217E as summarized. Which manual lists a tube,
    that of receiving or of transmitting tubes (RCA): from memory.
    """
    TubeTypeFactory(name=name)
    told = prior_of(name, court(knowledge()))
    assert told.source.startswith(f"{kind} tubes") and f"{rate:g} per million hours" in told.source
    assert told.shape / told.hours == pytest.approx(rate / 1e6)
    assert ("an output tube" in told.source) == (name in {"6V6GT", "6F6", "6L6GC", "2A3"})


def test_what_plans_have_reserved_is_no_spare_of_the_type(plan, kind, today, keeper, as_visitor):
    model = SetModelFactory(neutralizing="none")
    PositionFactory(set_model=model, mark="V1", type=kind, heater_v=6.3)
    other = PlanFactory(sets=[ChassisFactory(model=model)])
    TubeFactory(type=kind), TubeFactory(type=kind)
    assert spares_of_type("6SN7GT", today, Question(hours=500.0)).enough.stock == 2
    assert len(reserve_all(other, on=today, by=keeper)) == 1
    found = spares_of_type("6SN7GT", today, Question(hours=500.0))
    assert (found.enough.stock, found.reserved, found.as_dict()["reserved"]) == (1, 1, 1)
    assert "1 more good on the shelf, reserved for plans, are not counted" in found.as_dict()["text"]
    assert "reserved for plans" in page_text(as_visitor.get("/spares/?type=6SN7GT&hours=500"))
    assert spares_of_type("6SN7GT", today, Question(hours=500.0), stock=7).enough.stock == 7


def test_all_types_together_are_told_where_each_by_itself_is_sure_enough(plan, today):
    """A product of chances each above the asked one may lie below it: the fewest spares that mend that are named."""
    model = plan.sets.get().model
    for number, name in enumerate(("6K7", "6SQ7", "6V6GT")):
        PositionFactory(set_model=model, mark=f"W{number}", type=TubeTypeFactory(name=name), heater_v=6.3)
    found = readiness(plan.name, today, hours=20_000.0, assurance=0.98)
    kit = found.assured
    assert kit.assurance < 0.98
    more = {one.type: kit.together.get(one.type, 0) for one in kit.types}
    assert math.prod(one.enough.assurance(one.spares + more[one.type]) for one in kit.types) >= 0.98
    for name, number in kit.together.items():  # one fewer of any is not enough
        fewer = more | {name: number - 1}
        assert math.prod(one.enough.assurance(one.spares + fewer[one.type]) for one in kit.types) < 0.98
    assert "All types together are below the 98 % that were asked" in kit.text
    assert found.as_dict()["more_together"] == kit.together


def test_what_is_on_no_recorded_type_says_nothing_of_spares(today):
    """No position is recorded with a type: nothing is sure, and it is said; with one, the other is told as left out."""
    model = SetModelFactory(neutralizing="none")
    PositionFactory(set_model=model, mark="V1", type=None)
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    kit = readiness(plan.name, today).assured
    assert (kit.percent, kit.assurance) == ("?", 0.0) and "is not recorded" in kit.text
    PositionFactory(set_model=model, mark="V2", type=TubeTypeFactory(name="6K7"), heater_v=6.3)
    text = readiness(plan.name, today).assured.text
    assert "counted as if every position were filled; 1 is not, 1 of no recorded type is left out" in text


def test_a_spare_serves_one_number_alone_under_which_its_type_is_wanted(today):
    """12AU7 and ECC82 are the same tube (U.S. and European registrations): one row, and its spare once."""
    model = SetModelFactory(neutralizing="none")
    for mark, name in (("V1", "12AU7"), ("V2", "ECC82"), ("V3", "6K7")):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=name), heater_v=6.3)
    assert judges_say_same("12AU7", "ECC82")
    plan = PlanFactory(sets=[ChassisFactory(model=model)])
    for name in ("12AU7", "ECC82", "12AU7", "6K7"):
        TubeFactory(type=TubeTypeFactory(name=name))
    types = readiness(plan.name, today, hours=20_000).assured.types
    assert [(one.called, one.in_use, one.spares) for one in types] == [("12AU7 = ECC82", 2, 1), ("6K7", 1, 0)]
    some = readiness(plan.name, today, hours=20_000, some={"ECC82": 0}).assured.types[0]
    assert (some.in_use, some.needed) == (2, 1)


def judges_say_same(one, other):
    return other in court(knowledge()).known.kin.same_as(one)


def test_a_ruggedized_form_is_a_spare_of_its_type(plan, kind, today):
    """6SN7WGT covers a 6SN7GT position as the very type, so it is a spare of it, on the plan and by the type."""
    TubeFactory(type=TubeTypeFactory(name="6SN7WGT"))
    (found,) = readiness(plan.name, today).assured.types
    assert found.spares == 1
    assert spares_of_type("6SN7GT", today, Question(hours=500.0)).enough.stock == 1
