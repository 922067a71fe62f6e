"""What may stand in for parts of a set model: words of the keeper's own, what is generally known, what sits where.

Names are invented; the tube types are real.
"""

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from inventory.sets.actions import correct_stay, fit
from inventory.sets.actions.stand_ins import save_fitted, save_stand_in, strike_stand_in
from inventory.sets.models import Fitting, StandIn, StandInFitted
from inventory.sets.queries.needs import STOOD_IN, needs_of
from inventory.sets.queries.stand_ins import stand_ins_asked, stand_ins_of
from tests.commands import answer_of, told
from tests.commands import refused as turned_down
from tests.counting import cost
from tests.factories import ChassisFactory, FittingFactory, PositionFactory, SetModelFactory, TubeFactory
from tests.pages import page_text
from tests.sets.rows import StandInFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def model():
    model = SetModelFactory(name="Marram RX")
    for mark, name in (("V7", "5U4G"), ("V8", "866A"), ("V1", "6SJ7"), ("V9", "0D3")):
        PositionFactory(set_model=model, mark=mark, type=TubeType.objects.get(name=name))
    return model


def test_general_rows_go_by_kind_and_filling_of_its_tubes(model):
    found = {one.row.key: one.marks for one in stand_ins_of(model).general}
    assert found == {
        "rectifier-tube-silicon": ("V7",), "mercury-xenon": ("V8",), "mercury-silicon": ("V8",),
        "regulator-tube-zener": ("V9",),
    }  # fmt: skip


def test_own_words_that_differ_both_stand(model, today, keeper):
    position = model.positions.get(mark="V7")
    for verdict, source in ((StandIn.SERVES, "bench book, leaf 7"), (StandIn.FAILS, "letter of a friend")):
        save_stand_in(
            StandIn(
                set_model=model, position=position, instead="silicon pair", general="rectifier-tube-silicon",
                verdict=verdict, source=source, on=today,
            ),
            today=today, by=keeper,
        )  # fmt: skip
    found = stand_ins_of(model)
    assert [one.differs for one in found.own] == [True, True]
    assert all(one.general and one.general.other_view for one in found.own)
    assert "rectifier-tube-silicon" not in {one.row.key for one in found.general_tubes}


def test_what_is_refused(model, today, keeper, days_ago, refused):
    def word(**more):
        return StandIn(
            **{"set_model": model, "instead": "supply", "source": "bench", "on": today, "part": "DM1"} | more
        )

    with refused("part", "Say which part"):
        save_stand_in(word(part=" "), today=today, by=keeper)
    with refused("position", "is no position of Marram RX"):
        save_stand_in(word(position=PositionFactory()), today=today, by=keeper)
    with refused("general", "no general entry"):
        save_stand_in(word(general="perpetual-motion"), today=today, by=keeper)
    with refused("on", "has not come yet"):
        save_stand_in(word(on=days_ago(-2)), today=today, by=keeper)
    row = save_stand_in(word(), today=today, by=keeper)
    with refused("stand_in", "of another set model"):
        save_fitted(StandInFitted(stand_in=row, chassis=ChassisFactory(), since=today), today=today, by=keeper)
    chassis = ChassisFactory(model=model)
    save_fitted(StandInFitted(stand_in=row, chassis=chassis, since=today), today=today, by=keeper)
    with refused("stand_in", "sits there already"):
        save_fitted(StandInFitted(stand_in=row, chassis=chassis, since=today), today=today, by=keeper)
    with pytest.raises(IntegrityError), transaction.atomic():
        StandInFitted.objects.create(stand_in=row, chassis=chassis, since=today)
    StandIn.objects.filter(pk=row.pk).update(struck="misread")
    with refused("stand_in", "struck out: misread"):
        save_fitted(
            StandInFitted(stand_in=row, chassis=ChassisFactory(model=model), since=today), today=today, by=keeper
        )
    assert stand_ins_of(model).own == ()


def test_a_set_says_what_sits_in_it_and_what_its_position_holds(model, today, as_helper):
    chassis = ChassisFactory(model=model)
    fitting = FittingFactory(chassis=chassis, position=model.positions.get(mark="V7"))
    supply = StandInFactory(set_model=model, part="DM1 dynamotor", instead="supply in its case")
    StandInFactory(set_model=model, position=fitting.position, part="")
    StandInFitted.objects.create(stand_in=supply, chassis=chassis, since=today)
    found = {one.row.replaced: one for one in stand_ins_of(model, chassis).own}
    assert found["DM1 dynamotor"].here and found["V7"].holds == fitting
    page = page_text(as_helper.get(chassis.get_absolute_url()))
    assert "sits here" in page and "V7 holds <a" in page and "It sits here" in page


def test_a_word_is_not_struck_out_while_what_it_names_sits_in_a_set(model, today, days_ago, keeper, as_keeper, refused):
    chassis = ChassisFactory(model=model)
    row = StandInFactory(set_model=model, part="DM1 dynamotor", instead="supply in its case")
    stay = StandInFitted.objects.create(stand_in=row, chassis=chassis, since=days_ago(3))
    with refused("why", f"It sits in {chassis}"):
        strike_stand_in(row, "misread", by=keeper)
    page = as_keeper.post(reverse("sets:stand-in-strike", args=[row.pk]), {"why": "misread"})
    assert not StandIn.objects.get(pk=row.pk).struck and page.status_code == 422
    StandIn.objects.filter(pk=row.pk).update(struck="of before")  # as an older collection may hold it
    (told,) = stand_ins_of(model, chassis).own
    assert told.here == stay and told.as_dict()["struck"] == "of before"
    assert "that word is struck out: of before" in page_text(as_keeper.get(chassis.get_absolute_url()))
    StandIn.objects.filter(pk=row.pk).update(struck="")
    stay.until = today
    stay.save()
    strike_stand_in(StandIn.objects.get(pk=row.pk), "misread", by=keeper)
    assert stand_ins_of(model).own == ()


def test_words_on_one_part_are_told_apart_where_one_is_picked(model, as_helper):
    for verdict, source in ((StandIn.SERVES, "bench book"), (StandIn.FAILS, "letter of a friend")):
        StandInFactory(set_model=model, part="DM1", instead="supply", verdict=verdict, source=source)
    page = page_text(as_helper.get(reverse("sets:stand-in-fitted", args=[ChassisFactory(model=model).tag])))
    assert "supply for DM1: it serves here (bench book" in page
    assert "supply for DM1: it does not serve here (letter of a friend" in page


def test_stays_of_one_word_share_no_time_and_need_the_set_here(model, today, days_ago, keeper, refused):
    chassis, row = ChassisFactory(model=model), StandInFactory(set_model=model)

    def put(since, until=None):
        stay = StandInFitted(stand_in=row, chassis=chassis, since=since, until=until)
        return save_fitted(stay, today=today, by=keeper)

    put(days_ago(9), days_ago(5))
    with refused("since", "It sat there from"):
        put(days_ago(7), days_ago(2))
    put(days_ago(5), days_ago(4))
    stay = put(days_ago(3))
    assert [one.row for one in stand_ins_of(model).own if one.sits] == [row]
    chassis.item.gone_on = days_ago(1)
    chassis.item.save()
    assert not any(one.sits for one in stand_ins_of(model).own)  # it left with the set
    stay.until = days_ago(2)
    save_fitted(stay, today=today, by=keeper)
    with refused("since", "left the collection"):
        put(days_ago(2))


def test_words_stand_in_one_order_on_every_database(model):
    position = model.positions.get(mark="V7")
    first = StandInFactory(set_model=model, position=position, part="b")
    for part in ("z", "a"):
        StandInFactory(set_model=model, part=part)
    assert [one.row.part for one in stand_ins_of(model).own] == ["a", "z", "b"]
    assert list(StandIn.objects.values_list("pk", flat=True))[-1] == first.pk


def test_of_two_models_that_differ_by_letters_alone_none_is_chosen(model):
    SetModelFactory(name="MARRAM RX")
    assert stand_ins_asked("Marram RX").model == model
    with pytest.raises(ValueError, match="can be 'MARRAM RX', 'Marram RX'"):
        stand_ins_asked("marram rx")


def test_the_page_of_a_model(model, as_visitor, as_keeper):
    StandInFactory(set_model=model, part="DM1 dynamotor", instead="supply in its case", caution="600 V")
    page = page_text(as_visitor.get(model.get_absolute_url()))
    assert "<strong>DM1 dynamotor</strong>: supply in its case" in page and "it serves here" in page
    assert "Caution: 600 V" in page
    assert "V8: the xenon rectifier" in page and "Strike out" not in page
    assert "Strike out" in page_text(as_keeper.get(model.get_absolute_url()))


def test_command_and_api_answer_alike(model, as_visitor, today):
    row = StandInFactory(set_model=model, part="DM1 dynamotor", instead="supply in its case")
    chassis = ChassisFactory(model=model)
    StandInFitted.objects.create(stand_in=row, chassis=chassis, since=today)
    answer, _ = answer_of("stand_ins", "marram rx")
    assert answer["own"][0]["sits_in"] == [chassis.tag] and answer["own"][0]["word"] == "serves"
    assert answer == as_visitor.get("/api/stand-ins", {"name": "Marram RX"}).json()
    assert answer_of("stand_ins", chassis.tag)[0]["set"] == chassis.tag
    assert len(answer_of("stand_ins")[0]["general"]) >= 19 and answer_of("stand_ins")[0]["own"] == []
    said = told("stand_ins", "Marram RX")
    assert "DM1 dynamotor: supply in its case, serves" in said and f"sits in {chassis.tag}" in said
    assert "another view" in said
    assert "set models: Marram RX" in turned_down("stand_ins", "Skua")
    assert as_visitor.get("/api/stand-ins", {"name": "Skua"}).status_code == 400
    assert stand_ins_asked("").model is None


def test_twice_the_words_take_no_more_questions(model, today):
    chassis = ChassisFactory(model=model)

    def some():
        for number in range(5):
            row = StandInFactory(set_model=model, part=f"part {number}")
            StandInFitted.objects.create(stand_in=row, chassis=ChassisFactory(model=model), since=today)
            StandInFitted.objects.create(stand_in=row, chassis=chassis, since=today)

    some()
    before = cost(lambda: stand_ins_of(model, chassis).as_dict())
    some()
    assert cost(lambda: stand_ins_of(model, chassis).as_dict()) == before


def test_two_things_do_not_stand_in_one_socket(model, today, days_ago, keeper, as_keeper, refused):
    chassis, position = ChassisFactory(model=model), model.positions.get(mark="V8")
    plug, other = (
        StandInFactory(set_model=model, position=position, part="", instead=name, changes="more volts")
        for name in ("silicon plug", "xenon rectifier")
    )
    stay = StandInFitted(stand_in=plug, chassis=chassis, since=days_ago(5))
    save_fitted(stay, today=today, by=keeper)
    tube = TubeFactory(type=position.type, state="good")

    def put(**span):
        return fit(Fitting(tube=tube, chassis=chassis, position=position, **span), today=today, by=keeper)

    with refused("position", f"V8 holds silicon plug (a stand-in), since {days_ago(5)}. Two things cannot"):
        put(since=today)
    with refused("position", "take it out there first"):
        put(since=days_ago(7), until=days_ago(2))
    with refused("since", "V8 holds silicon plug"):
        save_fitted(StandInFitted(stand_in=other, chassis=chassis, since=today), today=today, by=keeper)
    page = page_text(as_keeper.get(reverse("sets:tube-fit", args=[chassis.tag, position.pk])))
    assert "holds silicon plug (a stand-in)" in page and "with silicon plug here: more volts" in page
    assert "stand-in</span> silicon plug, since" in page_text(as_keeper.get(chassis.get_absolute_url()))
    assert [one.state for one in needs_of(["866A"])["866A"]] == [STOOD_IN]

    stay.until = days_ago(3)
    save_fitted(stay, today=today, by=keeper)
    fitting = put(since=days_ago(3))
    with refused("since", f"V8 holds {fitting.tube.tag}, since"):
        save_fitted(StandInFitted(stand_in=other, chassis=chassis, since=today), today=today, by=keeper)
    fitting.since = days_ago(4)
    with refused("position", "V8 held silicon plug"):
        correct_stay(fitting, today=today, by=keeper)


def test_an_overlap_of_an_older_collection_can_be_ended(model, today, days_ago, keeper, refused):
    fitting = FittingFactory(chassis=ChassisFactory(model=model), position=model.positions.get(mark="V8"))
    word = StandInFactory(set_model=model, position=fitting.position, part="")
    stay = StandInFitted.objects.create(stand_in=word, chassis=fitting.chassis, since=fitting.since)
    stay.until = today
    save_fitted(stay, today=today, by=keeper)
    free = StandInFactory(set_model=model, part="DM1")
    StandInFitted.objects.create(stand_in=free, chassis=fitting.chassis, since=today)
    free.position = fitting.position
    with refused("position", f"{fitting.chassis.tag}: V8 holds {fitting.tube.tag}"):
        save_stand_in(free, today=today, by=keeper)
