"""The demo: every state occurs, faults name their place, and only an empty database or a demo is ever used.

Expected states are worked out by hand from the tables' own story (common practice, no source).
"""

import json
import os
import shutil
import subprocess
import sys
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.auth import authenticate, get_user_model
from django.core.management import CommandError, call_command

from inventory.frontpage.actions.demo import DEMO, EMPTY, OTHER, TABLES, load_demo, what_is_here
from inventory.frontpage.management.commands import demo as command
from inventory.frontpage.queries import bench_report
from inventory.holdings.models import Item, Movement, Place, TagSeries, Tube
from inventory.house.access import add_person, role_of
from inventory.pairing.queries import ALL_STATES, mated_sets, pairing_table
from inventory.sets.models import Approval, Chassis, Fitting, PlugInUnit, Position, SetModel
from tubes.actions import load_reference

ON = date(2026, 11, 25)
pytestmark = pytest.mark.django_db


@pytest.fixture
def tables(db):
    assert not load_reference(settings.REFERENCE_DIR).faults


@pytest.fixture
def keeper(db):
    return add_person("somebody", "keeper", None)


@pytest.fixture
def loaded(tables, keeper):
    return load_demo(settings.DEMO_DIR, keeper)


def run(*arguments):
    out = StringIO()
    call_command("demo", "--no-serve", *arguments, stdout=out)
    return out.getvalue()


def pairs():
    """Rows with a unit or companion of the register, by the tags of both ends."""
    return {(row.chassis.tag, row.unit.tag): row for row in pairing_table(ON)}


def test_size(loaded):
    assert set(loaded) == {name for name, _, _ in TABLES}
    assert 140 <= Tube.objects.count() <= 165
    assert Chassis.objects.filter(model__kind="transmitter").count() >= 5
    assert 12 <= PlugInUnit.objects.count() <= 16
    assert {m.neutralizing for m in SetModel.objects.filter(kind="transmitter")} == {"unit", "chassis", "none"}
    assert all(SetModel.objects.values_list("caution", flat=True))


def test_every_state_occurs_then_and_later(loaded):
    for on in (ON, date(2030, 1, 1)):
        rows = pairing_table(on)
        assert {row.state for row in rows} == set(ALL_STATES)
        assert all(row.reasons for row in rows)


@pytest.mark.parametrize(
    ("chassis", "unit", "state", "setting", "says"),
    [
        ("C-0001", "U-0001", "presumed", None, "both bear 01432"),
        ("C-0001", "U-0002", "good", "47", "2025-05-10"),
        ("C-0001", "U-0003", "due", None, "plate says 1432, chassis is 01432"),
        ("C-0002", "U-0006", "due", None, "plate cannot be read"),
        ("C-0002", "U-0002", "reset and verify", "52", "Unit set for chassis 01432"),
        ("C-0002", "U-0005", "due", "56", "link lead bent aside"),
        ("C-0003", "U-0002", "due", None, "was not written down"),
        ("C-0003", "U-0006", "reset and verify", "29", "Unit set for chassis 01432"),
        ("C-0004", "U-0009", "reset and verify", "28", "Chassis set for unit Lantern tank 1 L-208"),
        ("C-0004", "U-0011", "due", None, "was not written down"),
        ("C-0005", "U-0010", "due", "35", "replaced by"),
        ("C-0005", "U-0011", "good", "34", "2026-05-23"),
        ("C-0002", "U-0007", "reset and verify", "61", "Unit set for chassis C-0003"),
        ("C-0006", "U-0012", "not needed", None, "no neutralized position"),
        ("C-0010", "K-0001", "matched", None, "Its number 1190"),
        ("C-0008", "K-0004", "matched", None, "Compared with set P-0417"),
        ("C-0009", "K-0005", "not matched", None, "belongs to 61 but is kept with set P-0388"),
        ("", "K-0002", "mate missing", None, "belongs to 1733"),
        ("C-0011", "", "mate missing", None, "calibration book is not here"),
        ("", "K-0006", "unknown", None, "cannot be read"),
    ],
)
def test_states_of_the_story(loaded, chassis, unit, state, setting, says):
    row = pairs()[chassis, unit]
    assert (row.state, row.setting) == (state, setting)
    assert any(says in reason.text for reason in row.reasons)


def test_every_page_about_going_on_the_air_shows_something(loaded, as_visitor):
    """The known chain on 24 V draws 7.75 A and a practitioner read 7.9 A (common practice, no source)."""
    page = as_visitor.get("/on-air/C-0001/?frequency=3.6+Mc")
    words = page.content.decode()
    assert "7.9 A read, 7.75 A expected" in words and "Over time" in words and "Filament supply, V" in words
    assert "a 8 A scale is not read below 2.67 A" in words
    assert [unit.row.unit.tag for unit in page.context["found"].units] == ["U-0002", "U-0004"]
    assert "Filament dead at V103 or V104" in as_visitor.get("/on-air/C-0002/").content.decode()
    for name, state in (("Skerry 40", "in range"), ("Lantern Mk 2", "in range")):
        model = SetModel.objects.get(name=name)
        assert state in as_visitor.get(f"/set-models/{model.pk}/bridge/").content.decode()


def test_a_string_that_is_far_off_is_told(loaded, as_visitor):
    """6SL7GT (6.3 V 0.3 A) where 6SN7GT (6.3 V 0.6 A) is wired for: half the current, so more of the voltage (Ohm)."""
    words = as_visitor.get("/sets/C-0011/filaments/").content.decode()
    assert "Not to be switched on so" in words and "too much for its heater" in words
    assert "Not to be switched on so" not in as_visitor.get("/sets/C-0010/filaments/").content.decode()
    (row,) = bench_report(ON).as_dict()["fitted_other_type"]
    assert (row["position"], row["tag"], row["verdict"]) == ("V2", "T-0069", "unsuitable")


def test_words_on_substitutes_and_working_values(loaded):
    assert Approval.objects.filter(verdict="approved").count() == 1
    assert Approval.objects.filter(verdict="refused").count() == 2
    assert all(Position.objects.exclude(plate_v=None).values_list("values_from", flat=True))


def test_a_net_and_two_meters(loaded):
    states = {(str(mated.mated_set), row.part.name): row.state for mated in mated_sets(ON) for row in mated.rows}
    net, large, small = "Net Gull, channel crystals", "Antenna ammeter 0 to 8 A", "Antenna ammeter 0 to 3 A"
    assert states == {
        (net, "channel A"): "matched",
        (net, "channel B"): "matched",
        (net, "channel C"): "unknown",
        (net, "channel D"): "not matched",
        (net, "channel E"): "mate missing",
        (large, "meter"): "matched",
        (large, "thermocouple"): "matched",
        (small, "meter"): "matched",
        (small, "thermocouple"): "mate missing",
    }
    assert len(bench_report(ON).as_dict()["companions_not_matched"]) == 8


def test_a_handful_is_due_not_everything(loaded):
    units = [row for row in pairing_table(ON) if row.kind == "unit"]
    assert 4 <= sum(row.state == "due" for row in units) <= len(units) / 3


@pytest.mark.parametrize(
    ("marked", "name"),
    [
        ("VT-231", "6SN7GT"),
        ("6Н8С", "6SN7GT"),
        ("VT-4-C", "211"),
        ("6SN7GTB", None),  # a suffix that makes another tube is never joined
        ("VT-105", None),  # U.S. 6SC7 or British ML6
        ("10E/11743", None),
    ],
)
def test_types_come_from_the_marks(loaded, marked, name):
    found = {tube.type.name if tube.type else None for tube in Tube.objects.filter(marked=marked)}
    assert found == {name}


def test_a_type_stated_in_the_row_wins_over_the_mark(tables, keeper, tmp_path):
    folder = damaged(tmp_path, "tubes", "T-0001,VT-25,,", "T-0001,VT-25,801A,")
    load_demo(folder, keeper)
    assert Tube.objects.get(item__tag="T-0001").type.name == "801A"


def test_what_happened_to_things(loaded, keeper):
    assert Item.objects.filter(kind=Item.TUBE).exclude(lent_to="").exists()
    assert Item.objects.filter(gone_on__isnull=False).exists()
    assert Fitting.objects.filter(until__isnull=True, tube__state__in=["weak", "untested"]).exists()
    assert Movement.objects.exclude(reason="first entry").exists()
    assert Tube.objects.first().history.first().history_user == keeper
    back = Fitting.objects.filter(chassis__item__tag="C-0001", position__mark="V104").order_by("since", "since_at")
    first, _, last = back.values_list("tube", flat=True)
    assert first == last


def test_the_tag_series_go_on_after_the_demo(loaded):
    for prefix, kind in (("T", Item.TUBE), ("C", Item.CHASSIS), ("U", Item.UNIT), ("K", Item.COMPANION)):
        assert TagSeries.objects.get(prefix=prefix).last == Item.objects.filter(kind=kind).count()


def test_loading_twice_is_refused(loaded, keeper):
    with pytest.raises(ValueError, match="holds things already"):
        load_demo(settings.DEMO_DIR, keeper)


def damaged(folder: Path, name: str, old: str, new: str) -> Path:
    copy = folder / "demo"
    shutil.copytree(settings.DEMO_DIR, copy)
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
        ("circuits", ",24\n", ",24 V\n", "circuits.csv:2: filament_supply_v: '24 V', expected a number"),
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


def test_the_command_prints_the_report_and_a_log_in_for_each_role(db):
    text = run()
    assert "Bench report" in text and "Skerry 40" in text
    for role in ("visitor", "helper", "keeper"):
        (line,) = [line for line in text.splitlines() if line.startswith(f"  {role} ")]
        person = authenticate(username=role, password=line.split()[1])
        assert person is not None and role_of(person) == role


def test_as_json_and_again_with_new_passwords(db):
    first, second = json.loads(run("--json", "--port", "8123")), json.loads(run("--json"))
    assert set(first) == {"people", "bench", "url"}
    assert first["url"] == "http://127.0.0.1:8123/"
    assert [person["role"] for person in first["people"]] == ["visitor", "helper", "keeper"]
    assert not {p["password"] for p in first["people"]} & {p["password"] for p in second["people"]}
    assert authenticate(username="keeper", password=first["people"][2]["password"]) is None
    assert get_user_model().objects.count() == 3
    assert first["bench"] == second["bench"]


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
    run()
    assert what_is_here() == DEMO


def test_a_port_that_is_none(db):
    with pytest.raises(CommandError, match="no port"):
        run("--port", "0")


def test_serving_names_the_address(db, monkeypatch):
    calls = []
    monkeypatch.setattr(command, "serve_pages", lambda address, port: calls.append((address, port)))
    out = StringIO()
    call_command("demo", "--address", "::1", "--port", "8001", stdout=out)
    assert "http://[::1]:8001/" in out.getvalue()
    assert calls == [("::1", 8001)]


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
    done = shell(folder, "--json")
    assert done.returncode == 0, done.stderr
    assert len(json.loads(done.stdout)["people"]) == 3
    assert (folder / "demo.sqlite3").exists() and not (folder / "filamentry.sqlite3").exists()
    (folder / "demo.sqlite3").write_bytes(b"broken")
    again = shell(folder, "--fresh")
    assert again.returncode == 0, again.stderr
