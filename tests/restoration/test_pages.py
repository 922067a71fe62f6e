"""Pages of restorations, as a keeper and a visitor see them."""

import pytest

from inventory.holdings.models import PartLot
from inventory.restoration.models import Plan, Requirement, Reservation, WeakPart, Work
from tests.factories import ChassisFactory, ItemFactory, PositionFactory, SetModelFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text, seen_at
from tests.restoration.rows import PartTypeFactory, PlanFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def plan():
    model = SetModelFactory(name="Marram RX", neutralizing="none", caution="About 300 V inside.")
    for mark, kind in (("V1", "6SN7GT"), ("V2", "6K7")):
        PositionFactory(set_model=model, mark=mark, type=TubeTypeFactory(name=kind), heater_v=6.3)
    return PlanFactory(name="Marram in the shed", sets=[ChassisFactory(model=model, serial="0417")])


def shown(client, plan):
    """What the form of all that is proposed carries."""
    return {"seen": client.get(plan.get_absolute_url()).context["seen"]}


def test_the_page_answers_first_and_warns_on_top(as_visitor, plan):
    TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    text = page_text(as_visitor.get(plan.get_absolute_url()))
    assert "Not yet: 1 line is short, 1 of 2 covered." in text
    assert text.index("About 300 V inside.") < text.index("Not yet") < text.index("Look for or order")
    assert "Reserve what" not in text  # a visitor looks


def test_keep_back_and_let_go(as_keeper, plan):
    one = TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    address = plan.get_absolute_url()
    assert "Reserve what is proposed" in page_text(as_keeper.get(address))
    told = page_text(as_keeper.post(f"{address}reserve/", shown(as_keeper, plan), follow=True))
    assert "1 reserved for Marram in the shed." in told and "reserved" in told
    assert Reservation.objects.get().item == one.item
    row = Reservation.objects.get()
    told = page_text(as_keeper.post(f"/reservations/{row.pk}/release/", follow=True))
    assert f"{one.tag} released." in told and not Reservation.objects.exists()


def test_keep_one(as_keeper, plan):
    one = TubeFactory(type=TubeTypeFactory(name="6K7"))
    chassis = plan.sets.get()
    position = chassis.model.positions.get(mark="V2")
    address = f"{plan.get_absolute_url()}reserve/{chassis.tag}/{position.pk}/"
    seen = {"seen": f"{one.tag}, good"}
    assert f'name="seen" value="{seen["seen"]}"' in page_text(as_keeper.get(plan.get_absolute_url()))
    assert f"{one.tag} reserved for V2." in page_text(as_keeper.post(address, seen, follow=True))
    assert "Nothing is proposed for V2 any more." in page_text(as_keeper.post(address, seen, follow=True))


def test_a_set_in_no_plan_has_the_same_page(as_visitor, plan):
    other = ChassisFactory(model=plan.sets.get().model)
    text = page_text(as_visitor.get(f"/sets/{other.tag}/readiness/"))
    assert "as if it were planned" in text and "2 lines are short" in text


def test_own_lines_and_weak_parts_stand_in_the_way(as_keeper, plan, today):
    chassis = plan.sets.get()
    kind = PartTypeFactory(value=10_000.0, volts=600.0)
    WeakPart.objects.create(
        set_model=chassis.model, mark="C12", words="filter", type=kind, why="leaks", source="bench book"
    )
    Requirement.objects.create(plan=plan, kind="work", words="new line cord", before_power=True)
    text = page_text(as_keeper.get(plan.get_absolute_url()))
    assert "C12 filter" in text and "no lot of capacitor 0.01 mfd 600 V or better has them" in text
    assert "new line cord" in text and "1 to be done before power" in text
    better = PartTypeFactory(value=10_000.0, volts=1000.0)
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=better, least=3, most=3)
    assert f"1 of {lot.tag}" in page_text(as_keeper.get(plan.get_absolute_url()))


def test_work_uses_up_the_lot(as_keeper, plan, today):
    kind = PartTypeFactory()
    lot = PartLot.objects.create(item=ItemFactory(kind="parts"), name="capacitor", type=kind, least=3, most=4)
    address = f"{plan.get_absolute_url()}work/"
    sent = {
        "chassis": plan.sets.get().pk, "words": "filter renewed", "on": today, "put_in": lot.tag, "used": "2",
        "taken_out": "the old ones, in a bag with the set", "before": "2 Mohm",
        "after": "over 500 Mohm", "reversible": "yes",
    }  # fmt: skip
    text = page_text(as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True))
    assert "filter renewed" in text and "2 Mohm before, over 500 Mohm after" in text and "can be undone" in text
    lot.refresh_from_db()
    assert (lot.least, lot.most) == (1, 2)
    refused = as_keeper.post(address, sent | {"used": "5"} | seen_at(as_keeper, address))
    assert refused.status_code == 422 and "holds is 1" in page_text(refused)
    assert Work.objects.count() == 1


def test_the_budget_is_asked_on_the_page(as_keeper, plan):
    address = f"{plan.get_absolute_url()}spares/"
    assert "Why so, other hours, and what to buy first" in page_text(as_keeper.get(plan.get_absolute_url()))
    text = page_text(as_keeper.get(address, {"budget": "250"}))
    assert "expected an amount and an ISO 4217 code" in text
    text = page_text(as_keeper.get(address, {"budget": "250 EUR"}))
    assert "No price in EUR is known of these" in text and "?thing=6K7" in text and "?thing=6SN7GT" in text


def test_the_list_and_the_assignment(as_visitor, plan):
    one = TubeFactory(type=TubeTypeFactory(name="6SN7GT"))
    text = page_text(as_visitor.get("/restorations/"))
    assert "Marram in the shed" in text and "Not yet: 1 line is short, 1 of 2 covered." in text
    assert one.tag in page_text(as_visitor.get("/restorations/assignment/"))
    other = PlanFactory(sets=[ChassisFactory(model=plan.sets.get().model)], priority=1)
    text = page_text(as_visitor.get("/restorations/assignment/", {"one": plan.pk, "other": other.pk}))
    assert "2 lines would change. Lines served: 1 now, 1 then" in text
    for column in ("Has now", "Would have"):
        assert f'<td data-label="{column}">{one.tag}</td>' in text
    for asked in ({"one": plan.pk}, {"one": plan.pk, "other": plan.pk}, {"one": "x", "other": "9" * 30}):
        assert "Choose two open plans." in page_text(as_visitor.get("/restorations/assignment/", asked))


def test_an_empty_house_says_what_a_plan_is(as_visitor, db):
    assert not Plan.objects.exists()
    assert "A plan names a set" in page_text(as_visitor.get("/restorations/"))
