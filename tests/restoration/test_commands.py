"""Commands of restorations: one document, exact keys, 2 and one line for what cannot be answered.

L5.7 and L5.8 stand with their sources in ``rules/test_demand.py``.
"""

import json
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.holdings.models import Want
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


def run(*arguments):
    out = StringIO()
    call_command(*arguments, stdout=out, stderr=StringIO())
    return out.getvalue()


def asked(*arguments):
    return json.loads(run(*arguments, "--json"))


def test_l5_8_by_command():
    told = asked(
        "spares", "--in-use", "1", "--failures", "3", "--unit-hours", "4500", "--hours", "3000", "--stock", "2"
    )
    assert list(told)[:5] == ["expected", "distribution", "assurance_with_stock", "spares_needed", "method"]
    assert told["spares_needed"] == 6
    assert told["assurance_with_stock"] == pytest.approx(0.612365142836, abs=1e-9)
    assert sum(told["distribution"][:7]) == pytest.approx(0.96190918963, abs=1e-9)
    assert told["expected"] == pytest.approx(3.5 * 3000 / 4500)


def test_l5_7_and_l5_4_by_command():
    told = asked("spares", "--failures", "0", "--unit-hours", "100000", "--hours", "150000")
    assert told["spares_needed"] == 3
    assert asked("spares", "--mean-demand", "3", "--assurance", "0.9")["spares_needed"] == 5
    told = asked("spares", "--in-use", "10", "--rate", "0.001", "--hours", "50")
    assert told["distribution"][0] == pytest.approx(0.606530659713, abs=1e-9)


def test_in_use_times_hours_is_what_lies_ahead():
    four = asked("spares", "--in-use", "4", "--failures", "3", "--unit-hours", "4500", "--hours", "750")
    one = asked("spares", "--in-use", "1", "--failures", "3", "--unit-hours", "4500", "--hours", "3000")
    assert four["distribution"] == pytest.approx(one["distribution"])


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ((), "give one of"),
        (("--rate", "1", "--mean-demand", "3"), "give one of"),
        (("--failures", "3", "--hours", "5"), "--unit-hours is missing"),
        (("--rate", "1e-5"), "--hours is missing"),
        (("--rate", "-1", "--hours", "5"), "rate"),
        (("--mean-demand", "nan"), "mean demand"),
        (("--mean-demand", "3", "--assurance", "1"), "assurance"),
        (("--mean-demand", "3", "--stock", "-1"), "--stock"),
        (("--mean-demand", "3", "--in-use", "-1"), "--in-use"),
        (("--mean-demand", "3", "--in-use", "0"), "--in-use 0: of none in use 3 cannot fail"),
        (("--mean-demand", "3", "--unit-hours", "9"), "--unit-hours"),
    ],
)
def test_spares_refuses_in_a_line(given, word):
    with pytest.raises(CommandError, match=word) as refused:
        run("spares", *given)
    assert refused.value.returncode == 2
    assert "\n" not in str(refused.value)


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram RX", neutralizing="none", caution="About 300 V inside.")
    for mark, kind in (("V1", "6SN7GT"), ("V2", "6K7")):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=6.3)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def test_readiness(plan):
    one = TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    told = asked("readiness", "marram in the shed", "--hours", "500", "--assurance", "0.95")
    assert {"restoration", "lines", "covered", "short", "assurance", "can_start", "text"} <= set(told)
    assert (told["covered"], told["short"], told["can_start"]) == (1, 1, False)
    first = told["lines"][0]
    assert {"need", "position", "status", "by", "substitute", "entails", "reasons"} <= set(first)
    assert (first["position"], first["status"]) == ("V1", "covered")
    assert one.tag in first["by"]
    assert told["lines"][1]["status"] == "short"
    assert 0 < told["assurance"] < 1
    assert told["cautions"] == ["Marram RX: About 300 V inside."]
    assert "CAUTION Marram RX: About 300 V inside." in run("readiness", "0417")


def test_readiness_of_nothing():
    with pytest.raises(CommandError, match="No plan and no set") as refused:
        run("readiness", "nothing")
    assert refused.value.returncode == 2


def test_more_hours_make_less_sure(plan):
    TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    short, long = (asked("readiness", plan.name, "--hours", hours)["assurance"] for hours in ("100", "50000"))
    assert short > long


def test_allocate(plan):
    one = TubeFactory(type=TubeTypeFactory(name="6K7"))
    told = asked("allocate")
    assert list(told) == ["assigned", "short", "total_cost"]
    (row,) = told["assigned"]
    assert {"restoration", "position", "tag", "cost", "reasons"} <= set(row)
    assert (row["restoration"], row["position"], row["tag"]) == (plan.name, "V2", one.tag)
    assert [one["position"] for one in told["short"]] == ["V1"]
    assert one.tag in run("allocate")


def test_allocate_tells_what_a_swap_changes(plan, as_visitor):
    one = TubeFactory(type=TubeTypeFactory(name="6K7"))
    other = PlanFactory(name="Marram for the pier", sets=[ChassisFactory(model=plan.sets.get().model)], priority=1)
    told = asked("allocate", "--swap", plan.name.upper(), other.name)
    assert list(told) == ["assigned", "short", "total_cost", "swap"]
    assert told["swap"]["between"] == [plan.name, other.name]
    changes = {(row["restoration"], row["position"], row["now"], row["then"]) for row in told["swap"]["changes"]}
    assert changes == {(plan.name, "V2", "", one.tag), (other.name, "V2", one.tag, "")}
    assert set(told["swap"]["changes"][0]) == {"restoration", "set", "position", "need", "now", "then"}
    assert "2 lines would change" in run("allocate", "--swap", plan.name, other.name)
    assert as_visitor.get("/api/allocation", {"swap": [plan.name, other.name]}).json() == told
    assert "swap" not in as_visitor.get("/api/allocation").json()


@pytest.mark.parametrize("names", [("Marram in the shed", "no such"), ("Marram in the shed", "MARRAM IN THE SHED")])
def test_a_swap_of_what_is_no_two_open_plans(plan, as_visitor, names):
    with pytest.raises(CommandError, match="open plan") as refused:
        run("allocate", "--swap", *names)
    assert refused.value.returncode == 2
    assert as_visitor.get("/api/allocation", {"swap": names}).status_code == 400


def test_buying_order(plan, today):
    for kind, price in (("6SN7GT", 12), ("6K7", 30)):
        Want.objects.create(thing=kind, type=TubeTypeFactory(name=kind), top_price=price, currency="EUR", since=today)
    told = asked("buying_order", plan.name, "--budget", "80 EUR", "--hours", "20000")
    assert {"steps", "left"} <= set(told)
    assert {"buy", "price", "assurance_before", "assurance_after"} <= set(told["steps"][0])
    assert Decimal(told["left"]) == 80 - sum(Decimal(step["price"]) for step in told["steps"])
    afters = [step["assurance_after"] for step in told["steps"]]
    assert afters == sorted(afters) and told["steps"][0]["assurance_before"] < afters[0]
    none = asked("buying_order", plan.name, "--budget", "80 USD")
    assert none["steps"] == [] and none["no_price"] == ["6K7", "6SN7GT"]
    assert "is known of any spare, so none was weighed" in none["text"]


@pytest.mark.parametrize("budget", ["250", "EUR", "much EUR", "250 EURO", "-5 EUR", "nan EUR", "1e30 EUR"])
def test_a_budget_that_is_none(plan, budget):
    with pytest.raises(CommandError, match="budget") as refused:
        run("buying_order", plan.name, "--budget", budget)
    assert refused.value.returncode == 2


def test_what_ran_here_counts(plan, days_ago):
    """Two duds in 2 x 300 h: Jeffreys' mean for one tube over 600 h is 2.5 failures."""
    from tests.running.rows import RunFactory

    kind = TubeTypeFactory(name="6SN7GT")
    position = PositionFactory(type=kind)
    for number in (1, 2):
        fitting = FittingFactory(
            position=position, tube__type=kind, tube__state="dud", since=days_ago(90), until=days_ago(10)
        )
        RunFactory(chassis=fitting.chassis, on=days_ago(50), hours=300.0, note=str(number))
        fitting.tube.earlier_hours = None
    told = asked("readiness", plan.name, "--hours", "600")
    (line,) = [one for one in told["spares"] if one["type"] == "6SN7GT"]
    assert line["expected"] == pytest.approx(2.5)
    assert "2 failed in 600 unit-hours" in line["method"]


def test_spares_and_buying_order_have_addresses(plan, today, as_visitor, as_keeper):
    """The same documents as the commands give."""
    kind = TubeTypeFactory(name="6SN7GT")
    Want.objects.create(thing="6SN7GT", type=kind, top_price=12, currency="EUR", since=today)
    told = as_visitor.get("/api/spares", {"failures": 3, "unit_hours": 4500, "hours": 3000}).json()
    assert told == asked("spares", "--failures", "3", "--unit-hours", "4500", "--hours", "3000")
    lives = as_visitor.get("/api/spares", {"eta": 3000, "beta": 4, "hours": 900, "in_use": 2, "ages": "100, unknown"})
    assert lives.json() == asked(
        "spares", "--eta", "3000", "--beta", "4", "--hours", "900", "--in-use", "2", "--age", "100", "--age", "unknown"
    )
    told = as_visitor.get("/api/spares", {"type": "6SN7GT", "hours": 3000, "stock": 2}).json()
    assert told == asked("spares", "--type", "6SN7GT", "--hours", "3000", "--stock", "2")
    asking = {"name": plan.name, "budget": "80 EUR", "hours": 20000, "gaps_first": "yes"}
    told = as_keeper.get("/api/buying-order", asking).json()  # by top prices, which a visitor does not see
    assert told == asked("buying_order", plan.name, "--budget", "80 EUR", "--hours", "20000", "--gaps-first")


@pytest.mark.parametrize(
    ("address", "query", "field"),
    [
        ("spares", {"hours": "many"}, "hours"),
        ("spares", {"type": "6SN7GT"}, "hours"),
        ("spares", {"type": "no such type", "hours": 9}, "type"),
        ("spares", {"type": "6SN7GT", "hours": 9, "rate": "1e-5"}, "rate"),
        ("buying-order", {"name": "nothing", "budget": "80 EUR"}, "name"),
        ("buying-order", {"name": "Marram in the shed", "budget": "80"}, "budget"),
        ("buying-order", {"name": "Marram in the shed", "budget": "80 EUR", "hours": "many"}, "hours"),
    ],
)
def test_what_cannot_be_answered_names_the_field(plan, as_visitor, address, query, field):
    answer = as_visitor.get(f"/api/{address}", query)
    assert answer.status_code == 400 and list(answer.json()["errors"]) == [field]


@pytest.mark.parametrize("name", ["", "  "])
def test_an_empty_name_means_no_set(as_visitor, name):
    ChassisFactory(serial="")  # the only one without a number is not meant by saying nothing
    with pytest.raises(CommandError, match="Name a plan, or a set by its tag or serial"):
        run("readiness", name)
    assert as_visitor.get("/api/readiness", {"name": name}).status_code == 400


def test_the_answer_names_what_it_is_of_and_what_else_the_name_means(plan):
    chassis = plan.sets.get()
    assert run("readiness", plan.name).startswith(f"Plan {plan} (restore a set, planned): {chassis.tagged}.")
    assert run("readiness", chassis.tag).startswith(f"Set {chassis.tagged}, in the plan {plan}.")
    other = ChassisFactory(serial="0512")
    assert run("readiness", "0512").startswith(f"Set {other.tagged}, as if it were planned.")
    named = PlanFactory(name="0512", sets=[ChassisFactory()])
    assert f"The name means {other.tagged} as well: ask for that by its tag." in run("readiness", "0512")
    told = asked("readiness", "0512")
    assert (told["plan"], told["also"]) == (named.name, [other.tag])
    assert asked("readiness", other.tag)["also"] == []


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"hours": "abc"}, "hours", "'abc': expected a number"),
        ({"hours": "-5"}, "hours", "0 or more"),
        ({"assurance": "x"}, "assurance", "'x': expected a number"),
        ({"assurance": "2"}, "assurance", "below 1"),
        ({"enough": "6SN7GT"}, "enough", "such as 6SN7GT:3"),
        ({"enough": "ZZ9:1"}, "enough", "not in use here"),
        ({"name": "no such"}, "name", "No plan and no set"),
    ],
)
@pytest.mark.parametrize("address", ["/api/readiness", "/api/buying-order"])
def test_what_is_wrong_is_told_of_its_own_field(plan, as_visitor, address, more, field, words):
    answer = as_visitor.get(address, {"name": plan.name, "budget": "5 EUR"} | more)
    assert answer.status_code == 400
    (told,) = answer.json()["errors"].items()
    assert told[0] == field and words in told[1][0] and "could not convert" not in told[1][0]
