"""What a choice of a waiting row means stays what the keeper read, whatever became of the tables and models since."""

import pytest
from django.apps import apps

from inventory.holdings.models import Item, Tube
from inventory.lists.actions.answers import answer_count, answer_held
from inventory.lists.actions.choices import name_choices
from inventory.lists.models import ImportRow, ImportRun
from inventory.pairing.models import Companion
from tests import factories as make
from tests.lists.importing_lists import take
from tests.lists.test_frozen_steps import step
from tubes.actions import save_designation
from tubes.models import Designation, TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def keys(row):
    return {one["words"].split(": ")[-1]: one["key"] for one in row.question["choices"]}


def held(text, keeper):
    found, rows = take(text, by=keeper)
    assert {row["outcome"] for row in rows} == {"held"}
    return found.run.rows.order_by("row").first()


def refute(name, keeper):
    row = Designation.objects.get(type__name=name, designation__in=("VT-75", "VT75"))
    row.relation, row.note = "refuted", "seen on another tube"
    save_designation(row, by=keeper)


def types():
    return set(Tube.objects.values_list("type__name", flat=True))


def test_a_meaning_that_was_read_is_the_one_written(keeper, today):
    """The one before it is refuted meanwhile: 75 and KT66 are two meanings of VT-75, and a keeper knows a third."""
    source = Designation.objects.get(designation="VT-75").source
    known = Designation(type=TubeType.objects.get(name="6SC7"), scheme="uk-services", designation="VT75", source=source)
    known.relation = "same"
    save_designation(known, by=keeper)
    row = held("Tube,Qty\nVT-75,2\n", keeper)
    assert [*keys(row)][:3] == ["75", "6SC7", "KT66"] or [*keys(row)][:3] == ["75", "KT66", "6SC7"]
    chosen = [*keys(row)][1]
    refute("75", keeper)
    assert len(answer_held(row, keys(row)[chosen], by=keeper, today=today)) == 2 and types() == {chosen}


def test_a_meaning_that_is_none_any_more_is_not_taken_for_another(keeper, today):
    row = held("Tube,Qty\nVT-75,2\nVT-75,1\n", keeper)
    refute("75", keeper)
    chosen, other = keys(row)["75"], keys(row)["KT66"]
    assert answer_held(row, chosen, by=keeper, today=today) == [] and not Tube.objects.exists()
    row.refresh_from_db()
    assert row.outcome == "held" and "has not the meaning any more" in row.question["text"]
    assert [one["key"] for one in row.question["choices"]] == [other, "named", "as marked", "leave out"]
    answer_held(row, "as marked", by=keeper, today=today)
    assert types() == {None}
    answer_held(row.run.rows.get(row=2), other, by=keeper, today=today)
    assert types() == {None, "KT66"}


def test_a_model_that_is_called_otherwise_by_now_is_asked_for_anew(keeper, today):
    model = make.SetModelFactory(name="Petrel Two")
    row = held("Model,Serial\ncalibration book,1190\n", keeper)
    model.name = "Petrel Three"
    model.save()
    make.SetModelFactory(name="Petrel")
    assert answer_held(row, "model:Petrel Two", by=keeper, today=today) == [] and not Companion.objects.exists()
    row.refresh_from_db()
    assert {"model:Petrel", "model:Petrel Three"} < {one["key"] for one in row.question["choices"]}
    answer_held(row, "model:Petrel Three", by=keeper, today=today)
    assert Companion.objects.get().kind.set_model == model


# --- rows of before -------------------------------------------------------------------------------------------------


def by_numbers(row):
    """As lists were kept then."""
    for at, one in enumerate(row.question["choices"]):
        one["key"] = str(90 + at) if one["key"].startswith("model:") else one["key"]
        one["key"] = str(at) if one["key"].startswith("reads:") else one["key"]
    row.save()


def by_its_step():
    step("0008_named_choices")(apps, None)


@pytest.mark.parametrize("name", [by_its_step, name_choices])
def test_rows_that_waited_before_are_answered_by_what_was_read(name, keeper, today):
    for model in ("Petrel Two", "Plumbline A"):
        make.SetModelFactory(name=model)
    found, _ = take("Model,Serial,Tube,Qty\ncalibration book,1190,,\n,,VT-75,2\n,,VT-75,a few\n", by=keeper)
    book, tubes, few = found.run.rows.order_by("row")
    answer_held(few, keys(few)["KT66"], by=keeper, today=today)
    few.refresh_from_db()
    assert (few.question["about"], few.question["type"]) == ("count", "KT66")
    few.question["answers"] = {**few.question["answers"], "mark": "1"}
    few.save()
    by_numbers(book)
    by_numbers(tubes)
    for _ in range(2):  # again changes nothing
        name()
    book, tubes, few = ImportRow.objects.order_by("row")
    answer_held(book, keys(book)["Petrel Two"], by=keeper, today=today)
    assert Companion.objects.get().kind.set_model.name == "Petrel Two"
    answer_held(tubes, keys(tubes)["75"], by=keeper, today=today)
    assert types() == {"75"} and Tube.objects.count() == 2
    answer_count(few, 3, by=keeper, today=today)
    assert types() == {"75", "KT66"} and Tube.objects.count() == 5


@pytest.mark.parametrize("name", [by_its_step, name_choices])
def test_an_answer_by_number_with_more_asked_behind_it_is_asked_for_again(name, keeper, today):
    make.SetModelFactory(name="Petrel Two")
    row = held("Model,Serial,Qty\ncalibration book,1190,2\n", keeper)
    answer_held(row, "model:Petrel Two", by=keeper, today=today)
    row.refresh_from_db()
    assert row.question["about"] == "serial"
    row.question["answers"] = {"set": "7"}
    row.save()
    name()
    row.refresh_from_db()
    assert row.question["answers"] == {}
    assert answer_held(row, "one", by=keeper, today=today) == []
    row.refresh_from_db()
    assert row.question["about"] == "set" and row.question["answers"] == {"serial": "one"}
    assert len(answer_held(row, "model:Petrel Two", by=keeper, today=today)) == 1


def test_reasons_of_before_are_those_of_the_history(keeper):
    take("Tube,Qty\n807,2\n", by=keeper)
    Item.history.update(history_change_reason="taken in with list 41")
    ImportRun.objects.update(reason="")
    step("0007_reasons")(apps, None)
    assert ImportRun.objects.get().reason == "taken in with list 41"
