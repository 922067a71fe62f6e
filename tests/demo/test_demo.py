"""The demo: faults name their place, and only an empty database or a demo is ever used."""

import json
import os
import shutil
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth import authenticate, get_user_model
from django.core.management import CommandError, call_command
from django.db import transaction

from inventory.demo.actions.scenario import DEMO, EMPTY, OTHER, load_demo, what_is_here
from inventory.demo.management.commands import demo as command
from inventory.holdings.models import Place, TagSeries, Tube
from inventory.house.access import add_person, role_of
from tubes.actions import load_reference

pytestmark = pytest.mark.django_db


@pytest.fixture
def tables(db):
    assert not load_reference(settings.REFERENCE_DIR).faults


@pytest.fixture
def keeper(db):
    return add_person("somebody", "keeper", None)


def run(*arguments):
    out = StringIO()
    call_command("demo", "--no-serve", *arguments, stdout=out)
    return out.getvalue()


def test_a_type_stated_in_the_row_wins_over_the_mark(tables, keeper, tmp_path):
    folder = damaged(tmp_path, "tubes", "T-0001,VT-25,,", "T-0001,VT-25,801A,")
    load_demo(folder, keeper)
    assert Tube.objects.get(item__tag="T-0001").type.name == "801A"


LONG = {"tubes": ("fittings",), "fittings": (), "seatings": (), "facts": (), "wants": (), "runs": ()}


def damaged(folder: Path, name: str, old: str, new: str) -> Path:
    """The demo with one change; of its long tables only the headings, save of those that the changed one names."""
    copy = folder / "demo"
    shutil.copytree(settings.DEMO_DIR, copy)
    for long, named_by in LONG.items():
        if name != long and name not in named_by:
            heading = (copy / f"{long}.csv").read_text(encoding="utf-8").partition("\n")[0]
            (copy / f"{long}.csv").write_text(heading + "\n", encoding="utf-8")
    file = copy / f"{name}.csv"
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return copy


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("tubes", "T-0001,VT-25,", "T-0001,VT-25,no such type", "tubes.csv:2: type: there is no tube type"),
        ("tubes", "2024-09-07", "07.09.2024", "tubes.csv:2: acquired_on: '07.09.2024', expected a date"),
        ("tubes", ",good,", ",splendid,", "tubes.csv:2: state: "),
        ("tubes", "T-0002", "T-0001", "tubes.csv:3: tag: T-0001 was given"),
        ("chassis", "01432,read", "01432,missing", "chassis.csv:2: serial_reading: "),
        ("units", ",01432,read,", ",,read,", "units.csv:2: serial: "),
        ("positions", "V102,807", "V101,807", "positions.csv:3: row: "),
        ("fittings", "V101", "V999", "fittings.csv:2: position: there is no position 'V999'"),
        ("neutralizations", "C-0003", "C-0099", "neutralizations.csv:2: chassis: there is no chassis 'C-0099'"),
        ("neutralizations", "3600", "fast", "neutralizations.csv:2: frequency_kc: 'fast', expected a number"),
        ("neutralizations", "2024-09-28", "", "neutralizations.csv:2: on: empty"),
        ("disturbances", "15:10", "ten past", "disturbances.csv:4: at: 'ten past', expected a time"),
        ("heaters", "V103 V104", "V103 V999", "heaters.csv:2: marks: there is no position 'V999'"),
        ("circuits", "np=12 nn=18", "np:12", "circuits.csv:2: figures: 'np:12', expected such as np=12 nn=18"),
        ("circuits", ",24,\n", ",24 V,\n", "circuits.csv:2: filament_supply_v: '24 V', expected a number"),
        ("operating", ",400,8,", ",0,8,", "operating.csv:2: plate_v: 0 is no working value"),
        ("operating", ",400,8,", ",high,8,", "operating.csv:2: plate_v: 'high', expected a number"),
        ("approvals", "V102,1625", "V102,807", "approvals.csv:2: type: V102 wants a 807"),
        ("approvals", "V102,1625", "V102,", "approvals.csv:2: type: empty"),
        ("approvals", "V102", "V999", "approvals.csv:2: mark: there is no position 'V999'"),
        ("on_air", "U-0002", "U-0008", "on_air.csv:3: unit: "),
        ("mated_parts", "P-0004,K-2", "P-0001,K-2", "mated_parts.csv:5: item: "),
        ("units", "tag,model", "tag,type", "units.csv:1: heading: "),
        ("bays", "drawer bay", "drawer,bay", "bays.csv:2: mark: the line has 3 cells, expected 2"),
    ],
)
def test_a_fault_names_file_line_and_column(tables, keeper, tmp_path, name, old, new, says):
    with pytest.raises(ValueError) as fault:
        load_demo(damaged(tmp_path, name, old, new), keeper)
    assert str(fault.value).startswith(says)
    assert not Place.objects.exists()  # nothing half-written


def test_a_missing_table_is_named(tables, keeper, tmp_path):
    shutil.copytree(settings.DEMO_DIR, tmp_path / "demo")
    (tmp_path / "demo" / "loans.csv").unlink()
    with pytest.raises(ValueError, match=r"loans\.csv:1: heading: there is no such file"):
        load_demo(tmp_path / "demo", keeper)


@pytest.fixture(scope="class")
def first(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        assert what_is_here() == EMPTY
        yield json.loads(run("--json", "--port", "8123"))
        transaction.set_rollback(True)


class TestOpened:
    """An empty database, in which the demo has been opened once; each test is rolled back to that."""

    def test_it_is_a_demo_now(self, first, db):
        assert what_is_here() == DEMO

    def test_as_json_and_again_with_new_passwords(self, first, db):
        second = json.loads(run("--json"))
        assert set(first) == {"people", "bench", "url"}
        assert first["url"] == "http://127.0.0.1:8123/"
        assert [person["role"] for person in first["people"]] == ["visitor", "helper", "keeper"]
        assert not {p["password"] for p in first["people"]} & {p["password"] for p in second["people"]}
        assert authenticate(username="keeper", password=first["people"][2]["password"]) is None
        assert get_user_model().objects.count() == 3
        assert first["bench"] == second["bench"]

    def test_the_command_prints_the_report_and_a_log_in_for_each_role(self, first, db):
        text = run()
        assert "Bench report" in text and "Skerry 40" in text
        for role in ("visitor", "helper", "keeper"):
            (line,) = [line for line in text.splitlines() if line.startswith(f"  {role} ")]
            person = authenticate(username=role, password=line.split()[1])
            assert person is not None and role_of(person) == role

    def test_serving_names_the_address(self, first, db, monkeypatch):
        calls = []
        monkeypatch.setattr(command, "serve_pages", lambda address, port: calls.append((address, port)))
        out = StringIO()
        call_command("demo", "--address", "::1", "--port", "8001", stdout=out)
        assert "http://[::1]:8001/" in out.getvalue()
        assert calls == [("::1", 8001)]


@pytest.mark.django_db(transaction=True)  # PostgreSQL empties no table inside a transaction that has written to it
def test_fresh_rebuilds_a_demo():
    run()
    Tube.objects.filter(marked="VT-105").update(marked="changed")
    run()
    assert Tube.objects.filter(marked="changed").exists()
    run("--fresh")
    assert not Tube.objects.filter(marked="changed").exists()
    assert get_user_model().objects.count() == 3


@pytest.mark.parametrize("arguments", [(), ("--fresh",)])
@pytest.mark.parametrize("thing", ["place", "person", "look-alike tag"])
def test_anything_else_is_refused_and_left_alone(db, arguments, thing):
    if thing == "person":
        add_person("owner", "keeper", None)
    else:
        Place.objects.create(code="Shelf", path="Shelf")
    if thing == "look-alike tag":
        TagSeries.objects.create(prefix="DEMO", last=12)  # as a keeper's own tag DEMO-12 leaves it
    with pytest.raises(CommandError) as refusal:
        run(*arguments)
    assert refusal.value.returncode == 2
    assert what_is_here() == OTHER
    assert not Tube.objects.exists()


def test_states_of_a_database(tables, keeper):
    assert what_is_here() == OTHER  # a person has an account
    keeper.delete()
    assert what_is_here() == EMPTY


def test_a_port_that_is_none(db):
    with pytest.raises(CommandError, match="no port"):
        run("--port", "0")


def shell(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """The command as typed in a shell, without DATABASE_URL."""
    surroundings = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return subprocess.run(
        [sys.executable, "manage.py", "demo", "--no-serve", *arguments],
        cwd=settings.BASE_DIR,
        env=surroundings | {"FILAMENTRY_DATA": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def test_from_a_shell_it_uses_a_file_of_its_own(tmp_path):
    folder = tmp_path / "a b+c%20 é"
    folder.mkdir()
    (folder / "demo.sqlite3").write_bytes(b"broken")
    done = shell(folder, "--fresh", "--json")
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["people"]) == 3
    assert (folder / "demo.sqlite3").exists() and not (folder / "filamentry.sqlite3").exists()
