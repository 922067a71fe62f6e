"""Columns that nothing is read from are named by the command, in its JSON and on the page. The lists are invented."""

import io
import json

import pytest
from django.core.management import call_command
from django.urls import reverse
from django.utils.html import strip_tags

from inventory.holdings.models import Fact
from inventory.lists.models import ImportRun
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]
LIST = "Tube,Qty,Whim,Photo\n807,1,red,a.jpg\n6V6GT,2,blue,\n"
GERMAN = (
    "Roehre\tPruefung XY-7\tEK €\tVK €\tEm. Pult mA\tInv.-Nr.\n"
    "807\t55\t3,50\t7\t40\tA-17\n6V6GT\t62\t4\t8,00\t38\tA-18\n"
)


@pytest.fixture
def path(tmp_path):
    (tmp_path / "list.csv").write_text(LIST)
    return str(tmp_path / "list.csv")


@pytest.mark.parametrize("more", [(), ("--trial",)])
def test_the_command_names_them(path, capsys, more):
    call_command("import_list", path, *more)
    out = capsys.readouterr().out
    assert "Kept as text, nothing read from it: 'Whim' (" in out and "'Photo' (the heading says 'Photo')" in out
    assert "--mapping" in out


@pytest.mark.parametrize("more", [(), ("--trial",)])
def test_its_json_names_them(path, capsys, more):
    call_command("import_list", path, "--json", *more)
    told = json.loads(capsys.readouterr().out)
    assert [one["column"] for one in told["kept_as_text"]] == ["Whim", "Photo"]
    assert all(one["reason"] for one in told["kept_as_text"])
    assert [(one["column"], one["field"], one["sure"]) for one in told["columns"]][:2] == [
        ("Tube", "mark", True), ("Qty", "quantity", True),
    ]  # fmt: skip
    assert told["rows"] == 2 and len(told["rows_report"]) == 2


def test_by_a_mapping_too(path, tmp_path, capsys):
    (tmp_path / "map.json").write_text(json.dumps({"Tube": "mark", "Qty": "quantity", "Photo": "other"}))
    call_command("import_list", path, "--json", "--trial", "--mapping", str(tmp_path / "map.json"))
    told = json.loads(capsys.readouterr().out)
    assert [(one["column"], one["reason"]) for one in told["kept_as_text"]] == [
        ("Whim", "the mapping does not name it"), ("Photo", "as the mapping says"),
    ]  # fmt: skip


def test_the_page_of_the_list_names_them(as_helper):
    upload = io.BytesIO(LIST.encode())
    upload.name = "list.csv"
    as_helper.post(reverse("lists:list-add"), {"file": upload})
    run = ImportRun.objects.get()
    answer = as_helper.get(reverse("lists:list-in", args=[run.pk]))
    assert "Nothing is read from Whim, Photo." in " ".join(strip_tags(page_text(answer)).split()).replace(" ,", ",")


def test_nothing_is_said_where_all_was_read(tmp_path, capsys):
    (tmp_path / "list.csv").write_text("Tube,Qty\n807,1\n")
    call_command("import_list", str(tmp_path / "list.csv"), "--trial")
    assert "Kept as text" not in capsys.readouterr().out


def test_money_instruments_and_numbers_of_a_german_list_are_read(tmp_path, capsys):
    (tmp_path / "liste.txt").write_text(GERMAN, encoding="utf-8")
    call_command("import_list", str(tmp_path / "liste.txt"), "--json")
    assert json.loads(capsys.readouterr().out)["kept_as_text"] == []
    facts = Fact.objects.filter(item__tube__marked="807")
    money = {(one.about, str(one.value.normalize()), one.currency) for one in facts.filter(about__in=("paid", "asked"))}
    assert money == {("paid", "3.5", "EUR"), ("asked", "7", "EUR")}
    assert {(one.figure, one.instrument) for one in facts.filter(about="reading")} == {("55", "XY-7"), ("40", "Pult")}
    assert [one.text for one in facts.filter(about="number")] == ["A-17"]
