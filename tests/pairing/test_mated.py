"""Mated sets, the page of companions, and what is said before one part of a pair or set goes alone."""

import pytest
from django.core.exceptions import ValidationError

from inventory.house.concerns import mates_of, mates_of_many
from inventory.pairing.actions import save_mated_part, save_mated_set
from inventory.pairing.queries import mated_sets, mated_to_settle
from inventory.sets.models import MatedPart, MatedSet
from tests.counting import asked, cost
from tests.factories import (
    BayFactory,
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    ItemFactory,
    NeutralizationFactory,
    PlaceFactory,
    PlugInUnitFactory,
    SeatingFactory,
    TubeFactory,
    UnitModelFactory,
)

pytestmark = pytest.mark.django_db


def crystal(place=None):
    return TubeFactory(place=place).item  # any thing of the register will do


@pytest.fixture
def net(db, keeper, today):
    """Four channels: one matched, one strange, one that cannot be read, one empty."""
    row = save_mated_set(MatedSet(name="Net Gull", kind="net", number="G-4"), by=keeper)
    drawer = PlaceFactory()
    parts = [
        ("channel A", 2716.0, crystal(drawer), "G-4", "read"),
        ("channel B", 3885.0, crystal(drawer), "K-2", "read"),
        ("channel C", 4230.0, crystal(drawer), "", "unreadable"),
        ("channel D", 5205.0, None, "", "read"),
    ]
    for name, kc, item, number, reading in parts:
        save_mated_part(
            MatedPart(mated_set=row, name=name, frequency_kc=kc, item=item, number=number, number_reading=reading),
            today=today,
            by=keeper,
        )
    return row


def part(name):
    return MatedPart.objects.get(name=name)


def test_each_channel_of_a_net_has_its_state(net, today):
    (mated,) = mated_sets(today)
    assert {row.part.name: row.state for row in mated.rows} == {
        "channel A": "matched",
        "channel B": "not matched",
        "channel C": "unknown",
        "channel D": "mate missing",
    }
    assert mated.state == "not matched"
    assert [row.part.name for _, row in mated_to_settle(today)] == ["channel B", "channel C", "channel D"]


def test_a_piece_that_left_is_missing_from_that_day(net, today, days_ago):
    item = part("channel A").item
    item.gone_on, item.gone_how = days_ago(3), "swapped"
    item.save()
    states = {on: mated_sets(on)[0].rows[0].state for on in (days_ago(4), days_ago(3), today)}
    assert list(states.values()) == ["matched", "mate missing", "mate missing"]
    assert "exchanged" in mated_sets(today)[0].rows[0].reasons[0].text


def test_a_meter_and_its_couple_lying_apart_are_told(keeper, today):
    row = save_mated_set(MatedSet(name="Antenna ammeter", kind="meter", number="3317"), by=keeper)
    for name, place in (("meter", PlaceFactory(code="Hall")), ("thermocouple", PlaceFactory(code="Bench"))):
        save_mated_part(MatedPart(mated_set=row, name=name, item=crystal(place), number="3317"), today=today, by=keeper)
    (mated,) = mated_sets(today)
    assert {one.state for one in mated.rows} == {"matched"}
    assert all("lies apart" in one.reasons[-1].text for one in mated.rows)


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        ({"item": True, "number": ""}, "number"),
        ({"item": True, "number": "G-4", "number_reading": "missing"}, "number_reading"),
        ({"number": "G-4"}, "item"),
        ({"verdict": "matched"}, "item"),
        ({"item": True, "number": "G-4", "verdict": "matched"}, "compared_on"),
        ({"item": True, "number": "G-4", "compared_on": "tomorrow", "verdict": "matched"}, "compared_on"),
        ({"item": True, "number": "G-4", "compared_on": "today"}, "verdict"),
    ],
)
def test_a_piece_that_makes_no_sense_is_refused(net, keeper, today, days_ago, cells, field):
    days = {"today": today, "tomorrow": days_ago(-1)}
    values = cells | ({"item": crystal()} if cells.get("item") else {})
    values["compared_on"] = days.get(cells.get("compared_on"))
    with pytest.raises(ValidationError) as refusal:
        save_mated_part(MatedPart(mated_set=net, name="channel X", **values), today=today, by=keeper)
    assert list(refusal.value.message_dict) == [field]


def test_one_piece_belongs_to_one_set(net, keeper, today):
    other = save_mated_set(MatedSet(name="Net Tern"), by=keeper)
    with pytest.raises(ValidationError, match="is the channel A of Net Gull already"):
        save_mated_part(
            MatedPart(mated_set=other, name="channel A", item=part("channel A").item, number="T"),
            today=today,
            by=keeper,
        )


def test_before_a_piece_goes_alone_the_others_are_named(net):
    a, b, c = (part(f"channel {letter}").item for letter in "ABC")
    assert mates_of(a) == [f"channel C of Net Gull ({c.tag})"]  # B was never of this net
    assert mates_of(b) == []
    assert mates_of_many([a, c]) == {}  # they go together
    assert set(mates_of_many([a, b])) == {a.pk}


def test_a_unit_with_a_setting_for_a_chassis_is_named_and_not_when_both_go(days_ago):
    """Set for 01432 later, the unit is to be reset on 0458; both are said before it goes."""
    first = ChassisFactory(serial="0458", model__neutralizing="unit")
    second = ChassisFactory(serial="01432", model=first.model)
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[first.model]))
    NeutralizationFactory(chassis=first, unit=unit, on=days_ago(50), setting="34.5")
    NeutralizationFactory(chassis=second, unit=unit, on=days_ago(40), setting="41")
    told = mates_of(unit.item)
    assert told == [f"{second} ({second.tag}), good with it", f"{first} ({first.tag}), reset and verify with it"]
    assert mates_of_many([unit.item, first.item, second.item]) == {}
    assert mates_of_many([unit.item, first.item])[unit.item.pk] == [told[0]]


def test_companions_that_go_with_their_set_are_not_missed():
    kind = CompanionKindFactory(name="calibration book")
    meter = ChassisFactory(model=kind.set_model, serial="4417")
    book = CompanionFactory(kind=kind, mate_serial="4417")
    assert set(mates_of_many([meter.item, TubeFactory().item])) == {meter.item.pk}
    assert mates_of_many([meter.item, book.item]) == {}
    assert mates_of_many([]) == {}


def test_many_things_cost_no_more_questions(keeper, today):
    def grown(count):
        things = []
        for _ in range(count):
            kind = CompanionKindFactory()
            things.append(ChassisFactory(model=kind.set_model, serial="4417").item)
            CompanionFactory(kind=kind, mate_serial="4417")
            row = save_mated_set(MatedSet(name=f"Net {kind.pk}", number="1"), by=keeper)
            for name in ("A", "B"):
                item = crystal()
                save_mated_part(MatedPart(mated_set=row, name=name, item=item, number="1"), today=today, by=keeper)
            things.append(item)
        assert len(mates_of_many(things)) == len(things)
        return cost(lambda: mates_of_many(things))

    assert grown(5) == grown(10)


def test_alone_only_with_a_reason_that_is_kept(net, as_keeper, today):
    a, drawer = part("channel A").item, PlaceFactory()
    cells = {"place": drawer.pk, "on": today}
    assert as_keeper.post(f"/things/{a.tag}/move/", cells).status_code == 422
    assert as_keeper.post(f"/things/{a.tag}/move/", cells | {"reason": "shown in the case"}).status_code == 302
    assert a.movements.latest("pk").reason == "shown in the case"
    cells = {"lent_to": "Margit Ostrey", "on": today}
    assert as_keeper.post(f"/things/{a.tag}/lend/", cells).status_code == 422
    assert as_keeper.post(f"/things/{a.tag}/lend/", cells | {"why": "she has the case"}).status_code == 302
    assert a.history.first().history_change_reason == "lent alone: she has the case"
    c = part("channel C").item
    cells = {"how": "given to a school", "on": today}
    assert as_keeper.post(f"/things/{c.tag}/part-with/", cells).status_code == 422
    too_long = {"how": "x" * 150, "why": "y" * 80}
    assert as_keeper.post(f"/things/{c.tag}/part-with/", cells | too_long).status_code == 422
    assert as_keeper.post(f"/things/{c.tag}/part-with/", cells | {"why": "cracked"}).status_code == 302
    c.refresh_from_db()
    assert c.gone_how == "given to a school; alone: cracked"


def test_what_goes_with_nothing_needs_no_reason(as_keeper, today):
    item = TubeFactory().item
    place = PlaceFactory()
    assert as_keeper.post(f"/things/{item.tag}/move/", {"place": place.pk, "on": today}).status_code == 302


def test_a_unit_out_of_the_chassis_it_is_tied_to(as_keeper, today, days_ago):
    seating = SeatingFactory(bay=BayFactory(set_model__neutralizing="unit"))
    NeutralizationFactory(chassis=seating.chassis, unit=seating.unit, on=days_ago(9))
    address = f"/seatings/{seating.pk}/out/"
    assert "good with it" in as_keeper.get(address).content.decode()
    cells = {"until": today, "place": PlaceFactory().pk, "why": "shown apart"}
    assert as_keeper.post(address, cells).status_code == 302
    assert seating.unit.item.movements.latest("pk").reason.endswith(": shown apart")


def test_the_page_of_companions_has_a_list_for_each_state(net, as_visitor, as_keeper):
    kind = CompanionKindFactory(name="coil set")
    CompanionFactory(kind=kind, mate_serial="61")
    lonely = ChassisFactory(model=kind.set_model, serial="77")
    page = as_visitor.get("/companions/")
    groups = {state: (len(rows), len(pieces)) for state, _, rows, pieces in page.context["groups"]}
    assert groups == {"not matched": (0, 1), "mate missing": (2, 1), "unknown": (0, 1), "matched": (0, 1)}
    text = page.content.decode()
    assert (
        "Its coil set is not here." in text and lonely.tag in text and "Its crystal for channel D is not here." in text
    )
    assert "Add a companion" not in text and "Add a companion" in as_keeper.get("/companions/").content.decode()


def test_the_page_of_companions_asks_no_more_for_more(as_visitor, keeper, today):
    def grown(count):
        for _ in range(count):
            row = save_mated_set(MatedSet(name=f"Net {MatedSet.objects.count()}", number="1"), by=keeper)
            for name in ("A", "B"):
                save_mated_part(MatedPart(mated_set=row, name=name, item=crystal(), number="1"), today=today, by=keeper)
            CompanionFactory(kind=CompanionKindFactory())
        return asked(as_visitor, "/companions/")

    assert grown(10) == grown(10)


def test_the_page_of_a_mated_set_and_of_its_piece(net, as_visitor):
    text = as_visitor.get(f"/mated-sets/{net.pk}/").content.decode()
    assert "channel D" in text and "not here" in text and "It bears K-2, the set is G-4." in text
    item = part("channel A").item
    assert "Net Gull" in as_visitor.get(f"/tubes/{item.tag}/").content.decode()


def test_an_item_of_the_register_is_needed(net, as_keeper):
    gone = ItemFactory(gone_on="2025-01-01")
    for tag in ("ZZ-1", gone.tag, "a\0b", "x" * 200):
        page = as_keeper.post(
            f"/mated-sets/{net.pk}/pieces/add/",
            {"name": "channel E", "item": tag, "number": "1", "number_reading": "read"},
        )
        assert page.status_code == 422 and page.context["form"].errors["item"]
