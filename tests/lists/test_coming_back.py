"""A list that was taken out, edited and brought back: exactly what was edited changes, nothing else."""

import csv
import io
import json

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.urls import reverse
from django.utils import timezone

from inventory.holdings.actions import add_parts, change_tube, let_go, move
from inventory.holdings.models import Item, PartLot, Place, Tube
from inventory.lists.actions.bring_back import update_list
from inventory.lists.actions.undo import undo
from inventory.lists.models import ImportRun
from inventory.lists.rules.stamps import STAMP
from tests import factories as make
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def taken_out(client, name="tubes", shape="csv", **query):
    answer = client.get(reverse("lists:list-out", args=[name]), {"as": shape, **query})
    raw = b"".join(answer.streaming_content)
    if shape == "xlsx":
        rows = openpyxl.load_workbook(io.BytesIO(raw)).active.iter_rows(values_only=True)
        return [["" if cell is None else cell for cell in row] for row in rows]
    return list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))


def as_file(rows, shape="csv"):
    if shape == "xlsx":
        book = openpyxl.Workbook()
        for row in rows:
            book.active.append(row)
        file = io.BytesIO()
        book.save(file)
        return io.BytesIO(file.getvalue())
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return io.BytesIO(text.getvalue().encode())


def brought_back(rows, shape="csv", *, trial=False, by=None, **more):
    file = as_file(rows, shape)
    return update_list(file, name=f"list.{shape}", by=by, today=timezone.localdate(), trial=trial, **more)


def edit(rows, tag, **cells):
    """The rows with some cells of a thing edited; ``Date_code`` stands for the heading ``Date code``."""
    head = rows[0]
    edited = [list(row) for row in rows]
    for row in edited[1:]:
        if row[head.index("Tag")] == tag:
            for name, cell in cells.items():
                row[head.index(name.replace("_", " "))] = cell
    return edited


def cells_told(cells):
    return [(one.tag, one.column, one.old, one.new) for one in cells]


@pytest.fixture
def shelf(keeper):
    hall = make.PlaceFactory(code="Hall")
    make.PlaceFactory(code="Bin 4", parent=hall)
    bin3 = make.PlaceFactory(code="Bin 3", parent=hall)
    tubes = [
        make.TubeFactory(marked="VT-231", type__name="6SN7GT", state="good", place=bin3, date_code="0143", note="=1+1"),
        make.TubeFactory(marked="2E26", type__name="2E26", state="weak", acquired_on="2026-04-05", date_code="4-44"),
        make.TubeFactory(marked="QX-99", type=None, state="untested", note="two\nlines", maker="Свет"),
    ]
    return [tube.item.tag for tube in tubes]


@pytest.mark.parametrize("shape", ["csv", "xlsx"])
def test_what_was_not_edited_changes_nothing(shelf, as_keeper, shape):
    found = brought_back(taken_out(as_keeper, shape=shape), shape)
    told = found.as_dict()
    assert [told[name] for name in ("changed", "conflicts", "new", "untouched")] == [[], [], 0, 3]
    assert not found.held and not found.read_only and not found.rewritten and found.run is None


@pytest.mark.parametrize("shape", ["csv", "xlsx"])
def test_edited_cells_are_written_and_nothing_else(shelf, as_keeper, shape):
    rows = taken_out(as_keeper, shape=shape)
    edited = edit(rows, shelf[0], State="weak", Place="Hall / Bin 4", Maker="Acme of Hull")
    found = brought_back(edited, shape, trial=True)
    expected = [
        (shelf[0], "Maker", "", "Acme of Hull"), (shelf[0], "State", "good", "weak"),
        (shelf[0], "Place", "Hall / Bin 3", "Hall / Bin 4"),
    ]  # fmt: skip
    assert cells_told(found.changed) == expected and found.untouched == 2
    assert Tube.objects.get(item__tag=shelf[0]).state == "good"  # a trial writes nothing
    found = brought_back(edited, shape)
    assert cells_told(found.changed) == expected
    tube = Tube.objects.get(item__tag=shelf[0])
    assert (tube.state, tube.maker, tube.item.place.path) == ("weak", "Acme of Hull", "Hall / Bin 4")
    assert tube.item.movements.first().to_path == "Hall / Bin 4"
    assert not brought_back(edited, shape).changed  # a second time there is nothing to change


def test_contract(shelf, as_keeper, tmp_path, capsys):
    rows = edit(taken_out(as_keeper), shelf[1], State="dud")
    file = tmp_path / "tubes.csv"
    file.write_bytes(as_file(rows).getvalue())
    call_command("update_list", str(file), "--trial", "--json")
    told = json.loads(capsys.readouterr().out)
    assert told["changed"] == [{"tag": shelf[1], "column": "State", "old": "weak", "new": "dud"}]
    assert (told["conflicts"], told["new"], told["untouched"]) == ([], 0, 2)
    call_command("update_list", str(file))
    assert f"{shelf[1]}, State: weak -> dud" in capsys.readouterr().out


def test_what_changed_here_meanwhile_is_held(shelf, as_keeper):
    rows = taken_out(as_keeper)
    Tube.objects.filter(item__tag=shelf[0]).update(maker="Brown", note="seen")
    found = brought_back(edit(rows, shelf[0], Maker="Acme", State="weak"))
    assert cells_told(found.conflicts) == [(shelf[0], "Maker", "Brown", "Acme")]
    assert cells_told(found.changed) == [(shelf[0], "State", "good", "weak")]
    tube = Tube.objects.get(item__tag=shelf[0])
    assert (tube.maker, tube.note, tube.state) == ("Brown", "seen", "weak")  # the note was left alone in the list
    assert "changed here" in found.conflicts[0].reason


def test_a_change_made_on_both_sides_alike_is_none(shelf, as_keeper):
    rows = taken_out(as_keeper)
    Tube.objects.filter(item__tag=shelf[0]).update(maker="Acme")
    found = brought_back(edit(rows, shelf[0], Maker="Acme"))
    assert not found.changed and not found.conflicts and found.untouched == 3


def test_a_missing_row_is_no_deletion(shelf, as_keeper):
    rows = taken_out(as_keeper)
    found = brought_back(edit(rows[:2], shelf[0], State="dud"))
    assert len(found.changed) == 1 and Item.objects.filter(gone_on=None).count() == 3


def test_columns_that_are_worked_out_are_told_and_not_written(shelf, as_keeper):
    found = brought_back(edit(taken_out(as_keeper), shelf[0], Lent_to="the club", In_doubt="no", Tag="T-0900"))
    assert [(one.tag, one.column) for one in found.read_only] == [
        (shelf[0], "Tag"), (shelf[0], "In doubt"), (shelf[0], "Lent to"),
    ]  # fmt: skip
    assert not found.changed and found.untouched == 2 and found.new == 0
    assert Item.objects.get(tag=shelf[0]).lent_to == ""


@pytest.mark.parametrize(
    ("cells", "reason"),
    [
        ({"State": "excellent"}, "expected good, untested, weak, dud"),
        ({"Place": "Attic"}, "there is no place Attic"),
        ({"Type": "no such type"}, "no such type"),
        ({"Marked": ""}, "required"),
        ({"Acquired_on": "05/04/2024"}, "2024-04-05 or 2024-05-04"),
        ({"Acquired_on": "soon"}, "no date"),
        ({"Maker": "x" * 81}, "80"),
    ],
)
def test_wrong_values_are_held_and_the_rest_of_the_row_is_written(shelf, as_keeper, cells, reason):
    found = brought_back(edit(taken_out(as_keeper), shelf[0], Condition="dusty", **cells))
    (held,) = found.held
    assert reason in held.reason and held.tag == shelf[0]
    assert cells_told(found.changed) == [(shelf[0], "Condition", "", "dusty")]


def test_rows_without_a_tag_are_new(shelf, as_keeper):
    rows = taken_out(as_keeper)
    head = rows[0]
    new = [""] * len(head)
    for name, cell in {"Marked": "6V6GT", "State": "good", "Place": "Hall / Bin 4", "Note": "from a fair"}.items():
        new[head.index(name)] = cell
    copied = list(rows[1])
    copied[0] = ""
    trial = brought_back([*rows, new, copied], trial=True)
    assert (trial.new, trial.untouched, Tube.objects.count()) == (2, 3, 3)
    found = brought_back([*rows, new, copied])
    assert (found.new, Tube.objects.count()) == (2, 5)
    tube = Tube.objects.get(marked="6V6GT")
    assert (tube.type.name, tube.state, tube.item.place.path, tube.note) == (
        "6V6GT", "good", "Hall / Bin 4", "from a fair",
    )  # fmt: skip
    again = brought_back([*rows, new, copied])
    assert Tube.objects.count() == 5 and len(again.held) == 2  # the same rows once more are asked about


def test_rows_that_were_mixed_up_are_held(shelf, as_keeper):
    rows = taken_out(as_keeper)
    tags = [row[0] for row in rows[1:]]
    apart = [rows[0], *([tag, *row[1:]] for tag, row in zip(reversed(tags), rows[1:], strict=True))]
    found = brought_back(apart)
    assert len(found.held) == 2 and "sorted" in found.held[0].reason and not found.changed
    twice = brought_back([*rows, edit(rows, shelf[0], State="dud")[1]])
    assert "stands on row 2 too" in twice.held[0].reason and not twice.changed
    spoilt = [list(row) for row in rows]
    spoilt[1][rows[0].index(STAMP)] += "x"
    assert "take the list out again" in brought_back(spoilt).held[0].reason


def test_one_step_back(shelf, as_keeper, keeper):
    before = [row[:-1] for row in taken_out(as_keeper)]
    rows = taken_out(as_keeper)
    edited = edit(edit(rows, shelf[0], State="dud", Place="Hall / Bin 4", Type="6SL7GT"), shelf[1], Note="loose base")
    new = [""] * len(rows[0])
    new[rows[0].index("Marked")] = "6V6GT"
    run = brought_back([*edited, new], by=keeper, why="tested at the bench").run
    history = Tube.history.filter(item__tag=shelf[0]).first()
    assert history.history_change_reason == f"came back with list {run.pk}: tested at the bench"
    assert history.history_user == keeper
    answer = undo(run, by=keeper)
    assert [row[:-1] for row in taken_out(as_keeper)] == before
    assert (answer["cells"], answer["stays"], answer["undone"]["tube"]) == (4, [], 1)


def test_what_changed_since_stays_when_a_list_is_taken_back(shelf, as_keeper, keeper):
    rows = taken_out(as_keeper)
    edited = edit(edit(rows, shelf[0], State="dud", Place="Hall / Bin 4"), shelf[1], Note="loose base", Maker="Acme")
    run = brought_back(edited, by=keeper).run
    tube = Tube.objects.get(item__tag=shelf[1])
    tube.maker = "Brown"
    change_tube(tube, by=keeper)
    move([Item.objects.get(tag=shelf[0])], Place.objects.get(path="Hall"), on=timezone.localdate(), by=keeper)
    answer = undo(run, by=keeper)
    assert answer["stays"] == [f"{shelf[0]}: place, last seen changed since", f"{shelf[1]}: maker changed since"]
    told = {row[0]: row for row in taken_out(as_keeper)}
    head = rows[0]
    one, other = told[shelf[0]], told[shelf[1]]
    assert (one[head.index("State")], one[head.index("Place")]) == ("good", "Hall")
    assert (other[head.index("Maker")], other[head.index("Note")]) == ("Brown", "")


def upload(client, rows, **more):
    raw = as_file(rows).getvalue()
    return client.post(reverse("lists:came-back-add"), {"file": SimpleUploadedFile("tubes.csv", raw), **more})


def test_from_upload_over_trial_to_writing_and_back(shelf, as_keeper):
    edited = edit(edit(taken_out(as_keeper), shelf[0], State="dud"), shelf[1], State="none such")
    new = [""] * len(edited[0])
    new[edited[0].index("Marked")] = "6V6GT"
    answer = upload(as_keeper, [*edited, new], why="bench evening")
    run = ImportRun.objects.get()
    assert answer.url == reverse("lists:list-in", args=[run.pk])
    page = page_text(as_keeper.get(answer.url))
    assert "to be changed" in page and "expected good, untested, weak, dud" in page and "6V6GT" in page
    assert Tube.objects.get(item__tag=shelf[0]).state == "good" and Tube.objects.count() == 3
    assert as_keeper.get(reverse("lists:list-columns", args=[run.pk])).status_code == 302
    write = reverse("lists:came-back-write", args=[run.pk])
    as_keeper.post(write, {"try": "yes"})
    assert Tube.objects.count() == 3
    answer = as_keeper.post(write, {"why": "bench evening"}, follow=True)
    assert "1 cell changed, 1 row new" in page_text(answer)
    assert Tube.objects.get(item__tag=shelf[0]).state == "dud" and Tube.objects.count() == 4
    assert "mark mark--good" in answer.content.decode()
    assert "written already" in page_text(as_keeper.post(write, {}, follow=True))
    assert "Take its labels" not in page_text(as_keeper.get(reverse("lists:list-undo", args=[run.pk])))
    answer = as_keeper.post(reverse("lists:list-undo", args=[run.pk]), follow=True)
    assert "1 change is taken back" in page_text(answer)
    assert Tube.objects.get(item__tag=shelf[0]).state == "good" and Tube.objects.count() == 3


def test_a_list_that_never_went_out_is_refused(as_keeper, db):
    answer = upload(as_keeper, [["Tube", "Qty"], ["807", "2"]])
    assert answer.status_code == 422 and "no list that was taken out here" in page_text(answer)
    answer = upload(as_keeper, [["Tag", "Qty"], ["807", "2"]])
    assert "Which list it is cannot be told" in page_text(answer)
    assert not ImportRun.objects.exists()


def test_who_may_bring_a_list_back(shelf, as_helper):
    assert upload(as_helper, [["Tag"]]).status_code == 403


@pytest.fixture
def lot(keeper):
    lot = PartLot(name="capacitor", value="", least=3, most=3)
    return add_parts(lot, by=keeper, on=timezone.localdate()).tag


def test_a_kind_of_part_comes_back_by_its_figures(lot, as_keeper):
    rows = taken_out(as_keeper, "parts")
    cells = {"Kind of part": "capacitor", "Value in its unit": "10000", "Rated, V": "400", "Construction": "paper"}
    found = brought_back(edit(rows, lot, At_least="2", At_most="5", **cells))
    assert len(found.changed) == 6 and not found.held
    kept = PartLot.objects.get()
    assert (kept.least, kept.most, kept.type.value, kept.type.volts) == (2, 5, 10000, 400)
    rows = taken_out(as_keeper, "parts")
    found = brought_back(edit(rows, lot, **{"Kind of part": "capacitator", "Duds": "2,5", "Note": "old"}))
    assert [one.column for one in found.changed] == ["Note"]
    assert {one.column: one.reason for one in found.held}.keys() == {"Kind of part", "Duds"}
    found = brought_back(edit(taken_out(as_keeper, "parts"), lot, At_least="9"))
    assert "turn the two round" in found.held[0].reason and not found.changed


def test_sets_units_and_companions_come_back(as_keeper, db):
    fitting, unit, book = make.FittingFactory(), make.PlugInUnitFactory(), make.CompanionFactory()
    other, attic = make.SetModelFactory(), make.PlaceFactory(code="Attic")
    tag = fitting.chassis.tag
    found = brought_back(edit(taken_out(as_keeper, "chassis"), tag, Serial="0777", Set_model=other.name))
    assert [one.column for one in found.changed] == ["Serial"]
    assert [(one.column, "the model stays" in one.reason) for one in found.held] == [("Set model", True)]
    edited = edit(taken_out(as_keeper, "units"), unit.tag, Note="dial cord new", Place=attic.code, Plate="no such")
    found = brought_back(edited)
    assert [one.column for one in found.changed] == ["Place", "Note"] and [one.column for one in found.held] == [
        "Plate"
    ]
    found = brought_back(edit(taken_out(as_keeper, "companions"), book.tag, Note="torn", What="coil set"))
    assert [one.column for one in found.changed] == ["Note"]
    assert [one.column for one in found.read_only] == ["What"]


def test_a_fitted_tube_is_not_moved_from_a_list(as_keeper, db):
    make.PlaceFactory(code="Attic")
    fitting = make.FittingFactory()
    found = brought_back(edit(taken_out(as_keeper), fitting.tube.tag, Place="Attic"))
    assert "cannot be moved" in found.held[0].reason and not found.changed


def test_what_left_is_not_changed_from_a_list(as_keeper, shelf, keeper):
    rows = taken_out(as_keeper)
    let_go(Item.objects.get(tag=shelf[0]), "sold", on=timezone.localdate(), by=keeper)
    found = brought_back(edit(rows, shelf[0], Maker="Acme"))
    assert "left the collection" in found.held[0].reason and not found.changed


def test_a_list_without_stamps_says_so(as_keeper, shelf):
    rows = [["Tag", "Maker"], [shelf[0], "Acme"], [shelf[1], ""]]
    found = brought_back(rows)
    assert cells_told(found.changed) == [(shelf[0], "Maker", "", "Acme")] and found.untouched == 1
    assert "do not say what they were" in found.notes[0]


def test_a_list_of_chosen_columns_comes_back(as_keeper, shelf):
    rows = taken_out(as_keeper, columns="maker,state")
    assert rows[0] == ["Tag", "Maker", "State", STAMP]
    Tube.objects.filter(item__tag=shelf[0]).update(maker="Brown")
    found = brought_back(edit(rows, shelf[0], Maker="Acme", State="dud"))
    assert cells_told(found.changed) == [(shelf[0], "State", "good", "dud")]
    assert cells_told(found.conflicts) == [(shelf[0], "Maker", "Brown", "Acme")]
