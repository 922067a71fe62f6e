"""Rows that are held: what they ask, what can be answered, what their remarks say. Common practice, no source."""

import io
import json
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.urls import reverse

from inventory.holdings.models import Item, Tube
from inventory.holdings.queries import shelf_reading, types_begun
from inventory.lists.actions.answers import answer_count, answer_held
from inventory.lists.models import ImportRun
from inventory.lists.rules.rows import HELD, NOT_AN_ITEM, REFUSED
from inventory.pairing.models import Companion
from inventory.sets.models import SetModel
from tests import factories as make
from tests.counting import cost_once
from tests.lists.importing_lists import MIXED, take
from tests.lists.test_importing_files import NOISE, TWO_SHEETS
from tubes.queries import knowledge

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def choices(run, row=1):
    return {one["words"]: one["key"] for one in run.rows.get(row=row).question["choices"]}


# --- marks that are no full number -----------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "name"), [("6SN7", "6SN7GT"), ("12AX", "12AX7"), ("jan-6SN7", "6SN7GT")])
def test_what_begins_alike(text, name):
    assert name in dict(types_begun(text, knowledge()))


@pytest.mark.parametrize("text", ["", "6", "CV19", "QX-99881", "6SN7WGTA", "no number", "x" * 300])
def test_what_is_no_beginning(text):
    assert not types_begun(text, knowledge())


def test_a_beginning_is_held_and_answered(keeper, today):
    found, (row,) = take("Tube,Qty\n6SN7,2\n", by=keeper)
    assert row["outcome"] == HELD and "begin alike" in row["remarks"][-1]["reason"]
    offered = choices(found.run)
    assert "6SN7GT" in offered and any("without a type" in words for words in offered)
    tags = answer_held(found.run.rows.get(), offered["6SN7GT"], by=keeper, today=today)
    assert {(t.marked, t.type.name) for t in Tube.objects.filter(item__tag__in=tags)} == {("6SN7", "6SN7GT")}
    again, _ = take("Tube,Qty\n6SN7,3\n", by=keeper)
    assert len(answer_held(again.run.rows.get(), "as marked", by=keeper, today=today)) == 3
    assert Tube.objects.filter(type=None).count() == 3


@pytest.mark.parametrize("mark", ["807 or 1625", "807/1625", "6J5GT/6J5", "6J5/6J5GT"])
def test_a_mark_of_two_tubes_is_held_and_offers_both(mark, keeper, today):
    found, (row,) = take(f"Tube,Qty\n{mark},1\n", by=keeper)
    named = mark.replace(" or ", "/").split("/")
    offered = choices(found.run)
    keys = [next(key for words, key in offered.items() if words.split(",")[0] == name) for name in named]
    assert row["outcome"] == HELD and not any("full number" in one["reason"] for one in row["remarks"])
    (tag,) = answer_held(found.run.rows.get(), keys[1], by=keeper, today=today)
    assert Tube.objects.get(item__tag=tag).type.name == named[1]


@pytest.mark.parametrize("mark", ["6SN7GT/VT-231", "VT-231/6SN7GT", "6AC7/1852", "6J5GT/G"])
def test_two_marks_of_one_type_are_that_type(mark, keeper):
    _, (row,) = take(f"Tube,Qty\n{mark},1\n", by=keeper)
    assert row["outcome"] == "written" and Tube.objects.get().type.name in ("6SN7GT", "6AC7", "6J5GT")


@pytest.mark.parametrize("mark", ["6SN7GT, 6SL7GT", "6J5GT, 6J5", "6SN7GT/6SL7GT", "807 or 1619"])
def test_two_tubes_in_one_cell_are_still_refused(mark, keeper):
    _, (row,) = take(f'Tube,Qty\n"{mark}",2\n', by=keeper)
    assert row["outcome"] == REFUSED and "two types in one cell" in row["remarks"][-1]["reason"]


def test_a_form_that_is_no_type_is_made_one_or_counted_as_another(keeper, today):
    found, rows = take("Tube,Qty,State\n6SN7GTY,2,good\n6SN7GTY,1,good\n6SN7GTY,1,weak\n", by=keeper)
    assert [row["outcome"] for row in rows] == [HELD] * 3 and not Tube.objects.exists()
    assert [len(row["remarks"]) for row in rows] == [1] * 3 and "a form of one" in rows[0]["remarks"][0]["reason"]
    assert {"own:6SN7GTY", "type:6SN7GT", "as marked"} <= set(choices(found.run).values())
    for at, (key, many) in enumerate((("own:6SN7GTY", 2), ("type:6SN7GT", 1), ("own:6SN7GTY", 1)), start=1):
        assert len(answer_held(found.run.rows.get(row=at), key, by=keeper, today=today)) == many
    assert [tube.type.name for tube in Tube.objects.order_by("pk")] == ["6SN7GTY", "6SN7GTY", "6SN7GT", "6SN7GTY"]
    _, (again,) = take("Tube,Qty,State\n6SN7GTY,5,good\n", by=keeper)
    assert again["outcome"] == "written"  # once it is a type it is known


def test_a_number_that_is_asked_about_has_one_remark(keeper):
    _, (row,) = take("Tube,Qty\n6SN7,2\n", by=keeper, trial=True)
    assert [one["reason"] for one in row["remarks"]] == ["6SN7 is no full number; these begin alike"]


def test_a_count_glued_to_a_number_is_asked_about(keeper, today):
    found, rows = take("Tube,State\n2xEL84,good\n2X2,good\n", by=keeper)
    assert rows[0]["outcome"] == HELD and rows[0]["remarks"][-1]["reason"] == "2xEL84: 2 of EL84?"
    assert len(answer_held(found.run.rows.get(row=1), "count", by=keeper, today=today)) == 2
    assert {(tube.marked, tube.type.name) for tube in Tube.objects.filter(marked="EL84")} == {("EL84", "6BQ5")}
    assert rows[1]["outcome"] != HELD
    reading = shelf_reading("2xEL84")
    assert reading.counted == 2 and reading.begun == (("6BQ5", "EL84"),) and reading.says.startswith("2 of EL84?")


def test_one_unknown_half_is_never_the_other(keeper, today):
    found, (row,) = take("Tube,Qty\n5692/6SN7,2\n", by=keeper)
    assert row["outcome"] == HELD and not Tube.objects.exists()
    assert any("5692" in words for words in choices(found.run))


def test_a_choice_is_kept_until_the_count_is_known(keeper, today):
    found, _ = take("Tube,Qty\nVT-60,a few\n", by=keeper)
    key = next(key for words, key in choices(found.run).items() if ": 850" in words)
    assert answer_held(found.run.rows.get(), key, by=keeper, today=today) == []
    assert len(answer_count(found.run.rows.get(), 3, by=keeper, today=today)[0]) == 3
    assert {tube.type.name for tube in Tube.objects.all()} == {"850"}


# --- wants -----------------------------------------------------------------------------------------------------------


def test_a_want_is_no_thing_owned(keeper, today):
    text = "Tube,Have,Need,Notes\n12A6,0,2!,\n6V6GT,2!,,\n807,,,wanted\n5U4G,,3,\n6SN7GT,1,,wanted\n6SL7GT,4,2,\n"
    found, rows = take(text, by=keeper)
    assert [row["outcome"] for row in rows] == [NOT_AN_ITEM] * 4 + [HELD, "written"]
    assert all("not a thing owned" in row["remarks"][-1]["reason"] and not row["made"] for row in rows[:4])
    assert found.counts()["written"] == 1 and Tube.objects.count() == 4
    answer_held(found.run.rows.get(outcome=HELD), "here", by=keeper, today=today)
    assert Tube.objects.filter(marked="6SN7GT").count() == 1


@pytest.mark.parametrize("text", ["Tube,Qty\n807,0\n", "Tube,Qty\nknobs,0\n", "Model,Qty,Kind\nSkerry,0,chassis\n"])
def test_nothing_is_written_without_a_thing(text, keeper):
    _, (row,) = take(text, by=keeper)
    assert (row["outcome"], row["made"]) == (NOT_AN_ITEM, []) and "none there" in row["remarks"][0]["reason"]


def test_counts_beside_the_number(keeper):
    _, rows = take("Tube,Qty\n807 (x4),\nx4 807,\n807,3 good 2 bad\n807,1/2 dozen\n", by=keeper)
    assert [len(row["made"]) for row in rows] == [4, 4, 5, 6]
    assert set(Tube.objects.values_list("marked", flat=True)) == {"807"}
    assert (Tube.objects.filter(state="good").count(), Tube.objects.filter(state="dud").count()) == (3, 2)


# --- companions ------------------------------------------------------------------------------------------------------


def test_a_companion_of_a_model_not_here_yet(keeper, today, refused):
    found, _ = take("Model,Serial\ncalibration book,1190\ncalibration book,1191\n", by=keeper)
    first, second = found.run.rows.order_by("row")
    offered = choices(found.run)
    new = next(key for words, key in offered.items() if "not here yet" in words)
    for name in ("", " ", "x" * 81, "\0"):
        with refused("answer", "name of the model"):
            answer_held(first, new, by=keeper, today=today, name=name)
    answer_held(first, new, by=keeper, today=today, name="Petrel  Two")
    answer_held(second, offered["not known"], by=keeper, today=today)
    assert {one.serial: one.kind.set_model.name for one in Companion.objects.all()} == {
        "1190": "Petrel Two", "1191": "not known",
    }  # fmt: skip


def test_mates_of_twice_the_companions_are_asked_for_once(keeper):
    model = make.SetModelFactory(name="Petrel Two")
    for serial in range(100, 160):
        make.ChassisFactory(model=model, serial=f"a{serial}")

    def taken(rows, first):
        lines = "".join(f"calibration book,{number},A{number}\n" for number in range(first, first + rows))
        done = []
        sent = cost_once(lambda: done.append(take(f"Model,Serial,Goes with\n{lines}", by=keeper)))
        ((found, _),) = done
        assert found.counts()["records"]["companions"] == rows
        return sent

    taken(1, 100)
    assert taken(10, 110) == taken(20, 130)
    assert {one.kind.set_model.name for one in Companion.objects.all()} == {"Petrel Two"}


def test_the_page_asks_for_the_name(as_keeper, keeper):
    found, _ = take("Model,Serial\ncalibration book,1190\n", by=keeper)
    page = reverse("lists:list-in", args=[found.run.pk])
    assert 'name="name"' in as_keeper.get(page).content.decode()
    asked = reverse("lists:list-answer", args=[found.run.pk, 1])
    assert as_keeper.post(asked, {"answer": "new:"}).url.endswith("?show=held")
    assert as_keeper.post(asked, {"answer": "new:", "name": "Petrel Two"}).url == page
    assert SetModel.objects.get().name == "Petrel Two"


# --- remarks ---------------------------------------------------------------------------------------------------------


def test_remarks_carry_the_cell_as_it_stands(keeper):
    long = "about 20, " + "under the stairs behind the old wardrobe " * 3
    first = f'1625,"{long}","Bin 1,  Bin 2",contains mercury rectifiers'
    text = f"Tube,Qty,Box,Notes\n{first}\n\n2.00E+26,1,x,y\nTotal,20,,\n"
    _, rows = take(text, by=keeper)
    found = {one["column"]: one["found"] for one in rows[0]["remarks"]}
    assert found["Qty"] == long and found["Box"] == "Bin 1,  Bin 2" and found["Notes"] == "contains mercury rectifiers"
    assert rows[2]["outcome"] == REFUSED and rows[2]["remarks"][0]["found"] == "2.00E+26"
    assert rows[3]["remarks"][0]["found"] == "Total | 20"


def test_every_held_row_says_where_to_choose(keeper):
    make.ChassisFactory(model=make.SetModelFactory(name="Skerry 40 transmitter"), serial="01432")
    _, rows = take(MIXED + "6SN7,1,,,,,,\n807,4000,,,,,,\n", by=keeper)
    held = [row for row in rows if row["outcome"] == HELD]
    assert len(held) == 6
    for row in held:
        assert [one for one in row["remarks"] if one["action"] == "choose on the page of the list"], row


# --- the command -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "raw", "more", "words"),
    [
        ("list.xlsx", NOISE, (), "is no XLSX file"),
        ("list.xlsx", TWO_SHEETS, (), "Say which one"),
        ("list.xlsx", TWO_SHEETS, ("--sheet", "Nobody"), "no filled sheet 'Nobody'"),
    ],
)
def test_a_file_that_is_not_clear_is_refused(name, raw, more, words, tmp_path, snapshot):
    file = tmp_path / name
    file.write_bytes(raw)
    before = snapshot()
    with pytest.raises(CommandError, match=words) as refusal:
        call_command("import_list", str(file), *more, "--json", stdout=io.StringIO())
    assert refusal.value.returncode == 2 and "\n" not in str(refusal.value) and snapshot() == before


def test_a_sheet_is_chosen(tmp_path):
    file = tmp_path / "list.xlsx"
    file.write_bytes(TWO_SHEETS)
    out, err = io.StringIO(), io.StringIO()
    call_command("import_list", str(file), "--sheet", "Parts", "--json", stdout=out, stderr=err)
    assert json.loads(out.getvalue())["file"] == "list.xlsx"
    assert "Sheet 'Parts' was read; not read: Tubes." in err.getvalue()


def test_the_page_asks_for_the_sheet(as_keeper):
    def upload(**more):
        file = SimpleUploadedFile("list.xlsx", TWO_SHEETS)
        return as_keeper.post(reverse("lists:list-add"), {"file": file, **more})

    answer = upload()
    assert answer.status_code == 422 and "Say which one" in answer.context["form"].errors["sheet"][0]
    assert "no filled sheet" in upload(sheet="Nobody").context["form"].errors["sheet"][0]
    text = SimpleUploadedFile("list.csv", b"Tube\n807\n")
    answer = as_keeper.post(reverse("lists:list-add"), {"file": text, "sheet": "Tubes"})
    assert "is text, not a workbook" in answer.context["form"].errors["sheet"][0]
    assert not ImportRun.objects.exists()
    assert upload(sheet="tubes").status_code == 302
    run = ImportRun.objects.get()
    assert run.file_name == "list.xlsx, sheet Tubes"
    assert "not read: Parts" in as_keeper.get(reverse("lists:list-in", args=[run.pk])).content.decode()


def test_one_of_each_in_the_words_of_the_command(tmp_path, keeper):
    file = tmp_path / "list.csv"
    file.write_text("Model,Serial,Kind\nSkerry coil drawer A,7,unit\n")
    out = io.StringIO()
    call_command("import_list", str(file), stdout=out)
    assert "1 row: 1 written" in out.getvalue() and "1 plug-in unit." in out.getvalue()


def test_a_reader_that_goes_away_is_no_fault(house_for, tmp_path):
    """``--json | head -1``: the pipe is closed while the command writes."""
    env = house_for(tmp_path / "data")
    manage = [sys.executable, str(settings.BASE_DIR / "manage.py")]
    file = tmp_path / "list.csv"
    file.write_text("Tube,Qty,Note\n" + "".join(f"807,a few,no {at}\n" for at in range(3000)))
    told = [*manage, "import_list", str(file), "--trial", "--json"]
    child = subprocess.Popen(told, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    assert child.stdout.readline() == b"{\n"
    child.stdout.close()
    said = child.stderr.read()
    child.stderr.close()
    assert child.wait(timeout=120) == 0 and b"Traceback" not in said and b"BrokenPipe" not in said
    assert not Item.objects.exists()
