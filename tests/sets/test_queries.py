"""Lists of tubes, chassis and units: page and API narrow alike, and only what is here is shown."""

import pytest

from inventory.sets.queries import bays_of, chassis_here, doubtful_fittings, set_models, sockets_of, units_here
from tests.factories import (
    BayFactory,
    ChassisFactory,
    FittingFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SeatingFactory,
    SetModelFactory,
    TubeFactory,
    TubeTypeFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def tubes(today):
    """Tubes by a name: on the shelf, in a set, lent, gone, without a type."""
    room = PlaceFactory(code="R1")
    drawer = PlaceFactory(code="D1", parent=room)
    sn7, beam = TubeTypeFactory(name="6SN7GT"), TubeTypeFactory(name="807")
    made = {
        "shelf": TubeFactory(type=sn7, place=drawer, marked="VT-231", note="white print"),
        "set": TubeFactory(type=sn7, state="weak"),
        "lent": TubeFactory(type=beam, lent_to="R. Oddsworth", place=room),
        "untyped": TubeFactory(type=None, marked="VT-60", state="untested", maker="white label"),
        "gone": TubeFactory(type=sn7, gone_on=today, place=drawer),
    }
    FittingFactory(tube=made["set"], position=PositionFactory(type=sn7))
    made["room"], made["drawer"] = room, drawer
    return made


@pytest.mark.usefixtures("reference")
@pytest.mark.parametrize(
    ("query", "names"),
    [
        ({}, {"shelf", "set", "lent", "untyped"}),
        ({"type": "VT-231"}, {"shelf", "set"}),
        ({"type": "CV1988"}, {"shelf", "set"}),
        ({"type": "VT-60"}, {"untyped", "lent"}),  # by the British list the 807, which both recalls confirm
        ({"state": "weak"}, {"set"}),
        ({"fitted": "yes"}, {"set"}),
        ({"fitted": "no"}, {"shelf", "untyped"}),
        ({"fitted": "lent"}, {"lent"}),
        ({"text": "white"}, {"shelf", "untyped"}),
        ({"text": "white vt-231"}, {"shelf"}),
        ({"type": "6SN7GT", "state": "good"}, {"shelf"}),
        ({"place": "room"}, {"shelf", "lent"}),
        ({"place": "drawer"}, {"shelf"}),
        ({"type": "QQQ99"}, set()),
    ],
)
def test_page_and_api_narrow_alike(tubes, as_visitor, query, names):
    if "place" in query:
        query = query | {"place": tubes[query["place"]].pk}
    expected = {tubes[name].tag for name in names}
    page = as_visitor.get("/tubes/", query)
    assert {tube.tag for tube in page.context["page"].object_list} == expected
    answer = as_visitor.get("/api/tubes", query).json()
    assert {row["tag"] for row in answer["tubes"]} == expected
    assert answer["count"] == len(expected)


@pytest.mark.parametrize("query", [{"state": "splendid"}, {"place": "nowhere"}, {"fitted": "perhaps"}])
def test_a_question_that_cannot_be_read(tubes, as_visitor, query):
    answer = as_visitor.get("/api/tubes", query)
    assert answer.status_code == 400 and list(answer.json()["errors"]) == list(query)
    page = as_visitor.get("/tubes/", query)
    assert list(page.context["filter"].form.errors) == list(query)
    assert "aria-invalid" in page.content.decode()


def test_a_tube_as_json(tubes, as_visitor):
    rows = {row["tag"]: row for row in as_visitor.get("/api/tubes").json()["tubes"]}
    assert rows[tubes["shelf"].tag] == {
        "tag": tubes["shelf"].tag,
        "type": "6SN7GT",
        "marked": "VT-231",
        "state": "good",
        "place": "R1 / D1",
        "fitted": False,
        "lent_to": None,
        "own_number": None,
    }
    assert rows[tubes["set"].tag]["fitted"] is True
    assert rows[tubes["lent"].tag]["lent_to"] == "R. Oddsworth"
    assert (rows[tubes["untyped"].tag]["type"], rows[tubes["untyped"].tag]["place"]) == (None, None)


def test_sheets_of_fifty(as_visitor):
    kind = TubeTypeFactory()
    made = {TubeFactory(type=kind).tag for _ in range(51)}
    first, second = (as_visitor.get("/api/tubes", {"page": page}).json() for page in (1, 2))
    assert (first["count"], first["page"], first["pages"], second["page"]) == (51, 1, 2, 2)
    assert [len(answer["tubes"]) for answer in (first, second)] == [50, 1]
    assert {row["tag"] for answer in (first, second) for row in answer["tubes"]} == made
    page = as_visitor.get("/tubes/", {"state": "good", "page": 2})
    assert "51 to 51 of 51" in page.content.decode() and "?state=good&amp;page=1" in page.content.decode()


def test_chassis_and_units_are_found_by_serial_tag_or_words(as_visitor):
    model = SetModelFactory(name="Tarnhollow RX 2")
    wanted = ChassisFactory(model=model, serial="01432")
    other = ChassisFactory(serial="777")
    for query, expected in (
        ({"text": "1432"}, [wanted]),
        ({"text": wanted.tag.lower()}, [wanted]),
        ({"text": "tarnhollow 01432"}, [wanted]),
        ({"text": "tarnhollow 777"}, []),
        ({"model": model.pk}, [wanted]),
        ({"model": other.model.pk}, [other]),
    ):
        assert list(as_visitor.get("/sets/", query).context["page"].object_list) == expected, query
    unit = PlugInUnitFactory(serial="70188")  # no number that the factories count up to
    PlugInUnitFactory(serial="70199")
    assert list(as_visitor.get("/units/", {"text": "70188"}).context["page"].object_list) == [unit]
    assert list(as_visitor.get("/units/", {"model": unit.model.pk}).context["page"].object_list) == [unit]


def test_what_left_is_not_shown_but_has_its_page(as_visitor, today):
    here, gone = ChassisFactory(), ChassisFactory(serial="404")
    gone.item.gone_on = today
    gone.item.save()
    unit = PlugInUnitFactory()
    unit.item.gone_on = today
    unit.item.save()
    assert list(chassis_here()) == [here] and not units_here().exists()
    assert as_visitor.get(f"/sets/{gone.tag}/").status_code == 200
    assert as_visitor.get(f"/units/{unit.tag}/").status_code == 200


def test_sockets_and_bays_with_what_they_hold(today):
    model = SetModelFactory()
    first, second = (PositionFactory(set_model=model, mark=mark) for mark in ("V2", "V1"))
    bay = BayFactory(set_model=model)
    chassis = ChassisFactory(model=model)
    fitting = FittingFactory(position=second, chassis=chassis)
    FittingFactory(position=first, chassis=chassis, until=today)
    assert [(row.position, row.fitting) for row in sockets_of(chassis)] == [(first, None), (second, fitting)]
    assert [(row.bay, row.seating) for row in bays_of(chassis)] == [(bay, None)]
    seating = SeatingFactory(bay=bay, chassis=chassis)
    assert [(row.bay, row.seating) for row in bays_of(chassis)] == [(bay, seating)]


def test_counts_of_a_set_model(today):
    model = SetModelFactory()
    PositionFactory.create_batch(3, set_model=model)
    ChassisFactory.create_batch(2, model=model)
    gone = ChassisFactory(model=model)
    gone.item.gone_on = today
    gone.item.save()
    row = set_models().get(pk=model.pk)
    assert (row.sockets, row.chassis_here) == (3, 2)


def test_doubtful_tubes_of_a_set_that_left_are_no_worry(today):
    fitting = FittingFactory(tube=TubeFactory(state="weak"))
    assert list(doubtful_fittings()) == [fitting]
    fitting.chassis.item.gone_on = today
    fitting.chassis.item.save()
    assert not doubtful_fittings().exists()
