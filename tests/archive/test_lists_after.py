"""A list in the house that its collection moved to: rows that wait mean what they meant, and it can be undone there.

Numbers of rows are others there; what a keeper read and what was made are the same.
"""

from io import StringIO

import pytest
from django.core.management import call_command

from inventory.archive.actions.out import export_collection
from inventory.archive.actions.take_in import import_collection
from inventory.holdings.actions import move
from inventory.holdings.models import Item, Tube
from inventory.lists.actions.answers import answer_count, answer_held
from inventory.lists.actions.undo import changed_since, undo
from inventory.lists.models import ImportRow, ImportRun
from inventory.pairing.models import Companion
from tests import factories as make
from tests.archive.world import empty
from tests.lists.importing_lists import take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture(autouse=True)
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"


def moved(tmp_path):
    """The collection taken to a house where nothing is: its rows get other numbers there."""
    file = tmp_path / "a.zip"
    export_collection(file)
    empty()
    call_command("load_reference", stdout=StringIO())
    import_collection(file)


def keys(row):
    return {one["words"]: one["key"] for one in row.question["choices"]}


def two_models():
    for name in ("Petrel Two", "Plumbline A"):
        make.SetModelFactory(name=name)


def test_a_choice_of_a_model_is_that_model_in_another_house(tmp_path, keeper, today):
    two_models()
    take("Model,Serial\ncalibration book,1190\n", by=keeper)
    assert keys(ImportRow.objects.get())["Petrel Two"] == "model:Petrel Two"
    moved(tmp_path)
    row = ImportRow.objects.get()
    answer_held(row, keys(row)["Petrel Two"], by=None, today=today)
    assert Companion.objects.get().kind.set_model.name == "Petrel Two"


def test_choices_of_an_archive_of_before_are_named_by_their_words(tmp_path, keeper, today):
    """As the version before wrote them: models by their numbers there, meanings of a mark by their positions."""
    two_models()
    take("Model,Serial,Tube,Qty\ncalibration book,1190,,\n,,VT-60,2\n,,VT-60,a few\n", by=keeper)
    for row in ImportRow.objects.order_by("row"):
        named = {"Petrel Two": "41", "Plumbline A": "17"}
        for at, one in enumerate(row.question["choices"]):
            one["key"] = named.get(one["words"], str(at) if one["key"].startswith("reads:") else one["key"])
        row.save()
    assert {"41", "17"} < set(keys(ImportRow.objects.get(row=1)).values())
    assert "0" in keys(ImportRow.objects.get(row=2)).values()
    moved(tmp_path)
    book, tubes, _ = ImportRow.objects.order_by("row")
    answer_held(book, keys(book)["Petrel Two"], by=None, today=today)
    assert Companion.objects.get().kind.set_model.name == "Petrel Two"
    key = next(key for words, key in keys(tubes).items() if words.endswith(": 850"))
    assert len(answer_held(tubes, key, by=None, today=today)) == 2
    assert {tube.type.name for tube in Tube.objects.all()} == {"850"}


def test_a_list_is_undone_in_another_house(tmp_path, keeper):
    found, _ = take("Tube,Qty,Box\n807,2,Cellar\n", by=keeper)
    assert changed_since(found.run) == []
    moved(tmp_path)
    run = ImportRun.objects.get()
    assert run.pk != found.run.pk  # as it is where lists were dropped before it
    assert changed_since(run) == []
    assert undo(run, by=None)["undone"]["tube"] == 2 and not Item.objects.exists()


def test_what_happened_there_still_hinders_it(tmp_path, keeper, today):
    take("Tube,Qty,Box\n807,2,Cellar\n", by=keeper)
    moved(tmp_path)
    move([Item.objects.first()], make.PlaceFactory(code="Attic"), on=today, by=None, reason="tidied")
    run = ImportRun.objects.get()
    answer = undo(run, by=None)
    assert answer["undone"]["tube"] == 1 and "was moved" in answer["stays"][0]


def test_a_list_of_an_archive_of_before_is_undone_too(tmp_path, keeper, today):
    """Then the list did not say its reason, and the history named the number that it had there."""
    take("Tube,Qty,Box\n807,2,Cellar\n5U4G,a few,\nVT-60,1,\n", by=keeper)
    ImportRun.objects.update(reason="")
    moved(tmp_path)
    run = ImportRun.objects.get()
    held = run.rows.get(row=3)
    assert changed_since(run) == []
    assert len(answer_count(run.rows.get(row=2), 3, by=None, today=today)[0]) == 3
    assert len(answer_held(held, "as marked", by=None, today=today)) == 1
    assert undo(ImportRun.objects.get(), by=None)["undone"]["tube"] == 6 and not Item.objects.exists()


def test_a_later_list_never_gets_the_reason_of_another(tmp_path, keeper):
    """The list that moved in says the number of the next one here."""
    found, _ = take("Tube,Qty\n807,2\n", by=keeper)
    ImportRun.objects.update(reason="")
    here = f"taken in with list {found.run.pk + 1}"
    Item.history.update(history_change_reason=here)
    Tube.history.update(history_change_reason=here)
    second, _ = take("Tube,Qty\n5U4G,1\n", by=keeper)
    assert second.run.pk == found.run.pk + 1
    assert ImportRun.objects.get(pk=second.run.pk).reason == f"{here} (2)"
    assert changed_since(ImportRun.objects.get(pk=found.run.pk)) == []
    assert changed_since(second.run) == []


def test_rows_that_were_answered_are_undone_with_their_list(tmp_path, keeper, today):
    take("Tube,Qty\nVT-60,2\n", by=keeper)
    moved(tmp_path)
    row = ImportRow.objects.get()
    answer_held(row, "as marked", by=None, today=today)
    assert changed_since(ImportRun.objects.get()) == []
