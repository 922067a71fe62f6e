"""What to buy first on the page of a plan's spares: the curve, the gaps, on to the want list and off it again.

The order itself beside exact enumeration: ``rules/test_buying.py``.
"""

import json
from decimal import Decimal
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command

from inventory.holdings.actions import save_want
from inventory.holdings.models import Fact, Want
from inventory.restoration.actions.wanting import put_on_list, take_off_again
from inventory.restoration.queries.buying import Bought, parse_budget
from tests.factories import (
    ChassisFactory,
    FittingFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)
from tests.pages import page_text
from tests.restoration.rows import PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def kind():
    return TubeTypeFactory(name="6SN7GT")


@pytest.fixture
def plan(kind):
    """A receiver with three 6SN7GT in it."""
    model = SetModelFactory(name="Marram RX", neutralizing="none", kind="receiver")
    chassis = ChassisFactory(model=model, serial="0417")
    for number in range(3):
        position = PositionFactory(set_model=model, mark=f"V{number}", type=kind, heater_v=6.3)
        FittingFactory(tube=TubeFactory(type=kind), chassis=chassis, position=position)
    return PlanFactory(name="Marram in the shed", sets=[chassis], hours=200)


def asked(*arguments):
    out = StringIO()
    call_command(*arguments, "--json", stdout=out, stderr=StringIO())
    return json.loads(out.getvalue())


def wanted(kind, today, price=12, quantity=1):
    row = Want(thing=kind.name, type=kind, quantity=quantity, top_price=price, currency="EUR", since=today)
    return save_want(row, today=today, by=None)


def test_the_curve_and_the_gaps(as_keeper, plan, kind, today):
    PositionFactory(set_model=plan.sets.get().model, mark="V9", type=kind, heater_v=6.3)
    wanted(kind, today)
    asked_for = {"hours": "20000", "budget": "50 EUR", "gaps_first": "on"}
    response = as_keeper.get(f"{plan.get_absolute_url()}spares/", asked_for)
    order = response.context["order"]
    assert [name for name, _ in order.closing.steps] == ["6SN7GT"] and order.order.left == 2
    assert [money for money, _ in order.order.curve] == [0, 12, 24, 36]
    assert response.context["chart"].label.endswith("for 48.00 EUR, in 4 steps, 1 of them into empty positions.")
    page = response.content.decode()  # the first steps bring most: a phone shows them first, and says there is more
    assert "trace-box--from-start" in page and "It goes on to the right" in page
    assert [(row.gap, row.spent, row.left) for row in order.rows] == [
        (True, 12, 38), (False, 24, 26), (False, 36, 14), (False, 48, 2),
    ]  # fmt: skip
    assert order.rows[0].before == order.rows[0].after == order.rows[1].before  # a gap that is closed makes no spare
    text = page_text(response)
    assert "Empty positions, then spares" in text and "Paid from the budget, the cheapest first." in text
    assert "Positions that nothing covers" in text and "4 × 6SN7GT, 12.00 EUR each" in text
    told = asked("buying_order", plan.name, "--budget", "50 EUR", "--hours", "20000", "--gaps-first")
    assert len(told["steps"]) == 3 and len(told["gaps"]) == 1 and told["open_gaps"] == 0
    beside = asked("buying_order", plan.name, "--budget", "50 EUR", "--hours", "20000")
    assert Decimal(beside["left"]) == 50 - sum(Decimal(step["price"]) for step in beside["steps"])
    assert (beside["gaps_price"], beside["gaps_on_top"], told["gaps_on_top"]) == ("12.00", True, False)
    assert "comes on top: 12.00 EUR that this budget does not pay" in beside["text"]
    assert told["text"].startswith("1 for empty positions (12.00 EUR), then 3 spares: 48.00 EUR spent, 2.00 EUR left")
    out = StringIO()
    call_command("buying_order", plan.name, "--budget", "50 EUR", "--hours", "20000", stdout=out)
    assert beside["text"] in out.getvalue()


def test_one_click_puts_the_steps_on_the_list_and_one_takes_them_off(as_keeper, plan, kind, today):
    row = wanted(kind, today)
    sent = {"plan": plan.pk, "name": plan.name, "currency": "EUR", "buy": ["6SN7GT|3|12.00", "6K7|1|8.50"]}
    text = page_text(as_keeper.post("/spares/want/", sent, follow=True))
    assert (
        "6SN7GT is on the list already (EUR 12.00 each): raised from 1 to 3, now for spares: Marram in the shed."
        in text
    )
    row.refresh_from_db()
    new = Want.objects.get(type__name="6K7")
    assert (row.quantity, new.quantity, new.top_price, new.currency) == (3, 1, Decimal("8.50"), "EUR")
    assert new.purpose == row.purpose == f"spares: {plan.name}"
    assert "Take back what was just put on the want list (2 lines)" in text
    text = page_text(as_keeper.post("/spares/take-back/", {"plan": plan.pk}, follow=True))
    assert "2 taken back." in text
    row.refresh_from_db()
    new.refresh_from_db()
    assert (row.quantity, row.purpose) == (1, "") and new.settled.startswith("taken back")
    again = page_text(as_keeper.post("/spares/take-back/", {"plan": plan.pk}, follow=True))
    assert "There was nothing to take back." in again


def test_enough_on_the_list_is_left_alone(plan, kind, today):
    wanted(kind, today, quantity=5)
    found = put_on_list([Bought("6SN7GT", 3, Decimal(9))], "EUR", purpose="", today=today, by=None)
    assert found.made == () and "on the list already (5, EUR 12 each)" in found.told[0].replace(".00", "")
    more = put_on_list([Bought("6SN7GT", 3, Decimal(9))], "EUR", purpose="", today=today, by=None, add=True)
    assert len(more.made) == 1 and Want.objects.count() == 2


def test_what_was_changed_since_is_not_taken_back(plan, kind, today):
    found = put_on_list([Bought("6SN7GT", 3, Decimal(9))], "EUR", purpose="", today=today, by=None)
    row = Want.objects.get()
    row.quantity = 4
    save_want(row, today=today, by=None)
    with pytest.raises(ValidationError, match="was changed since"):
        take_off_again(found.made, by=None)
    row.refresh_from_db()
    assert row.quantity == 4 and not row.settled


@pytest.mark.parametrize("buy", ["", "6SN7GT|x|9", "6SN7GT|0|9", "6SN7GT|2|-1", "6SN7GT|2|NaN", "no such|1|9", "a|b"])
def test_steps_that_are_none(as_keeper, plan, kind, buy):
    sent = {"plan": plan.pk, "currency": "EUR", "buy": [buy] if buy else []}
    as_keeper.post("/spares/want/", sent, follow=True)
    assert not Want.objects.exists()


def test_the_page_keeps_what_was_asked(as_keeper, plan, kind, today):
    wanted(kind, today)
    asked_for = {"hours": "20000", "budget": "50 EUR", "gaps_first": "on"}
    text = page_text(as_keeper.get(f"{plan.get_absolute_url()}spares/", asked_for))
    assert 'name="asked_hours" value="20000"' in text and 'name="asked_budget" value="50 EUR"' in text
    sent = {"plan": plan.pk, "currency": "EUR", "buy": ["6SN7GT|3|12.00"]}
    sent |= {f"asked_{name}": value for name, value in asked_for.items()} | {"asked_other": "x"}
    answer = as_keeper.post("/spares/want/", sent, follow=True)
    assert answer.redirect_chain[0][0].endswith("spares/?hours=20000&budget=50+EUR&gaps_first=on")
    assert answer.context["order"].currency == "EUR" and answer.context["found"].assured.hours == 20000


def test_as_many_besides_what_is_on_the_list(as_keeper, plan, kind, today):
    row = wanted(kind, today, quantity=3)
    sent = {"plan": plan.pk, "name": plan.name, "currency": "EUR", "buy": ["6SN7GT|3|12.00"]}
    assert "the number is left as it is, now for spares: " in page_text(
        as_keeper.post("/spares/want/", sent, follow=True)
    )
    as_keeper.post("/spares/want/", sent | {"besides": "on"}, follow=True)
    row.refresh_from_db()
    assert row.quantity == 3 and list(Want.objects.order_by("pk").values_list("quantity", flat=True)) == [3, 3]


def test_a_purpose_too_long_to_be_joined_is_told(plan, kind, today):
    row = wanted(kind, today)
    Want.objects.filter(pk=row.pk).update(purpose="x" * 118)
    found = put_on_list([Bought("6SN7GT", 3, Decimal(9))], "EUR", purpose="spares: A", today=today, by=None)
    assert "no room is left on it" in found.told[0] and Want.objects.get().purpose == "x" * 118


@pytest.mark.parametrize("budget", ["250 ABC", "250 XXX", "250 eu", "250 \u00c9UR"])
def test_a_budget_in_no_currency(budget):
    """Codes of ISO 4217; XXX stands for no currency."""
    with pytest.raises(ValueError, match="is no currency"):
        parse_budget(budget)


def test_a_budget_in_a_currency_of_today_or_former_days():
    assert parse_budget("250 eur") == (250, "EUR") and parse_budget("DEM 40.50") == (Decimal("40.50"), "DEM")


@pytest.mark.parametrize(("text", "amount"), [("250,50 EUR", "250.50"), ("EUR 0,5", "0.5")])
def test_a_budget_with_a_decimal_comma(text, amount):
    assert parse_budget(text) == (Decimal(amount), "EUR")


def test_a_comma_that_may_part_thousands_is_asked_about():
    with pytest.raises(ValueError, match="is no amount"):
        parse_budget("1,500 EUR")


def test_each_plan_takes_back_what_was_written_from_its_own_page(as_keeper, plan, kind):
    other = PlanFactory(sets=[ChassisFactory()])
    TubeTypeFactory(name="6K7")
    for one, buy in ((plan, "6SN7GT|3|12.00"), (other, "6K7|2|8.50")):
        as_keeper.post("/spares/want/", {"plan": one.pk, "currency": "EUR", "buy": [buy]})
    told = "Take back what was just put on the want list (1 line)"
    assert told in page_text(as_keeper.get(f"{plan.get_absolute_url()}spares/"))
    as_keeper.post("/spares/take-back/", {"plan": plan.pk, "asked_hours": "900"})
    assert list(Want.objects.filter(settled="").values_list("type__name", flat=True)) == ["6K7"]
    assert told not in page_text(as_keeper.get(f"{plan.get_absolute_url()}spares/"))
    assert told in page_text(as_keeper.get(f"{other.get_absolute_url()}spares/"))
    as_keeper.post("/spares/take-back/", {"plan": other.pk})
    assert not Want.objects.filter(settled="").exists()


@pytest.mark.parametrize(
    ("typed", "told"),
    [("1e5 EUR", "100000"), ("-0 EUR", "0"), ("0e9 EUR", "0"), ("12.509 EUR", "12.50"), ("EUR 7.5", "7.5")],
)
def test_a_budget_is_told_as_an_amount_of_money(typed, told):
    assert str(parse_budget(typed)[0]) == told


def test_a_price_below_a_hundredth_stops_no_order(plan, kind):
    dud = TubeFactory(type=kind, state="dud")
    Fact.objects.create(item=dud.item, about="paid", text="0.004", value="0.004", currency="EUR", per="each")
    steps = asked("buying_order", plan.name, "--budget", "1 EUR")["steps"]
    assert steps and {step["price"] for step in steps} == {"0.01"}


def test_what_brings_next_to_nothing_is_told_and_not_ticked(as_keeper, plan, kind, today):
    """A tube more after the asked chance is held for long brings under a thousandth: the money stays in the purse."""
    wanted(kind, today, price=1)
    asked_for = {"hours": "20000", "budget": "40 EUR"}
    response = as_keeper.get(f"{plan.get_absolute_url()}spares/", asked_for)
    order = response.context["order"]
    worth, steps = order.order.worth, order.order.steps
    assert 0 < worth < len(steps)
    assert all(step.after - step.before < 0.001 for step in steps[worth:])
    assert steps[worth - 1].after - steps[worth - 1].before >= 0.001 * steps[worth - 1].before
    reached = order.order.reached(0.95)
    assert steps[reached - 1].after >= 0.95 > steps[reached - 1].before
    text = page_text(response)
    assert f"The 95 % asked are reached with spare {reached}, {reached}.00 EUR on spares." in text
    assert f"From spare {worth + 1} on each raises the chance by less than a thousandth of it" in text
    assert f'value="6SN7GT|{worth}|1.00" checked' in text
    more = len(steps) - worth
    assert f'value="6SN7GT|{more}|1.00">' in text and f"{more} more × 6SN7GT" in text
    told = asked("buying_order", plan.name, "--budget", "40 EUR", "--hours", "20000")
    assert (told["worth"], told["reached_with"], told["asked"]) == (worth, reached, 0.95)
    sent = {"plan": plan.pk, "currency": "EUR", "buy": [f"6SN7GT|{worth}|1.00", f"6SN7GT|{more}|1.00"]}
    as_keeper.post("/spares/want/", sent)
    assert Want.objects.get().quantity == len(steps)


def test_a_budget_that_does_not_reach_what_was_asked(plan, kind, today):
    wanted(kind, today)
    told = asked("buying_order", plan.name, "--budget", "12 EUR", "--hours", "200000")
    assert told["reached_with"] is None and "The 95 % asked are not reached" in told["text"]
    sure = asked("buying_order", plan.name, "--budget", "12 EUR", "--hours", "0.001")
    assert sure["reached_with"] == 0 and "are there without any spare more" in sure["text"]
