"""Commands as scripts use them: exact keys, one JSON document on standard output, words on stderr, 0 or 2."""

import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.conf import settings
from django.contrib.auth import authenticate, get_user_model
from django.core.management import CommandError, call_command

from inventory.house.access import role_of
from tests.factories import TubeFactory

pytestmark = pytest.mark.django_db


def run(name, *arguments):
    out, err = StringIO(), StringIO()
    call_command(name, "--json", *arguments, stdout=out, stderr=err)
    assert err.getvalue() == ""
    return json.loads(out.getvalue())


# --- as typed in a shell, on a database of their own -----------------------------------------------------------------


@pytest.fixture(scope="session")
def shell(tmp_path_factory):
    """``shell("lookup", "VT-231")`` in a house of its own, ready made by ``start --no-serve``."""
    own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    folder = tmp_path_factory.mktemp("house")
    own["FILAMENTRY_DATA"] = str(folder)

    def command(*arguments):
        return subprocess.run(
            [sys.executable, "manage.py", *arguments], cwd=settings.BASE_DIR, env=own, capture_output=True, text=True
        )

    command.folder = folder
    command.first = command("start", "--no-serve", "--json")
    return command


@pytest.mark.own_file
def test_the_first_start_makes_one_keeper_and_the_second_none(shell):
    assert (shell.first.returncode, shell.first.stderr) == (0, "")
    keeper = json.loads(shell.first.stdout)["keeper"]
    assert keeper["name"] == "keeper" and len(keeper["password"]) >= 12
    again = shell("start", "--no-serve", "--json")
    assert again.returncode == 0 and json.loads(again.stdout)["keeper"] is None
    assert "password" not in shell("start", "--no-serve").stdout


@pytest.mark.own_file
def test_an_answer_in_a_shell(shell):
    found = shell("lookup", "VT-231", "--json")
    assert (found.returncode, found.stderr) == (0, "")
    (match,) = json.loads(found.stdout)["matches"]
    assert match["type"] == "6SN7GT"


@pytest.mark.own_file
def test_bad_input_in_a_shell_ends_with_2_and_one_line_on_stderr(shell):
    refused = shell("lookup", "2.00E+26", "--json")
    assert (refused.returncode, refused.stdout) == (2, "")
    assert "spreadsheet" in refused.stderr and "Traceback" not in refused.stderr
    day = shell("pairings", "--on", "soon", "--json")
    assert (day.returncode, day.stdout) == (2, "") and "'soon' is no date" in day.stderr


@pytest.mark.own_file
def test_a_bad_table_in_a_shell(shell, tmp_path):
    for name in ("sources", "ratings_sources", "jan_makers", "designations", "relations", "ratings"):
        text = (settings.REFERENCE_DIR / f"{name}.csv").read_text(encoding="utf-8")
        (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
    makers = tmp_path / "jan_makers.csv"
    makers.write_text(makers.read_text(encoding="utf-8") + "CZZ,,from memory\n", encoding="utf-8")
    line = makers.read_text(encoding="utf-8").count("\n")
    answer = shell("load_reference", "--dir", str(tmp_path))
    assert answer.returncode == 2
    assert answer.stderr.splitlines()[0] == f"jan_makers.csv:{line}: maker: empty, expected a value"
    counts = json.loads(shell("load_reference", "--json").stdout)["loaded"]["maker codes"]
    assert (counts["new"], counts["gone"]) == (0, 0)  # the bad table left nothing behind


# --- read_stamp and lookup -------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("reference")
def test_read_stamp_has_the_promised_shape():
    one, two = run("read_stamp", "JAN-CHS-6SN7GT", "VT-60")
    assert list(one) == ["stamp", "readings", "leftover", "ambiguous", "refused"]
    (reading,) = one["readings"]
    assert list(reading) == ["scheme", "designation", "maker_code", "maker", "type", "relation", "note"]
    # CHS: Sylvania (formerly Hygrade Sylvania) in fixtures/reference/jan_makers.csv
    assert (reading["maker_code"], reading["type"], reading["relation"]) == ("CHS", "6SN7GT", "same")
    assert "Sylvania" in reading["maker"]
    assert (one["stamp"], one["ambiguous"], one["refused"]) == ("JAN-CHS-6SN7GT", False, None)
    assert two["ambiguous"] is True and len(two["readings"]) == 2


@pytest.mark.usefixtures("reference")
def test_read_stamp_gives_what_it_cannot_read_back(as_visitor):
    stamps = ["2.00E+26", "QQQ99"]
    spoilt, unknown = run("read_stamp", *stamps)
    assert spoilt["readings"] == [] and "spreadsheet" in spoilt["refused"]
    assert unknown == {"stamp": "QQQ99", "readings": [], "leftover": "QQQ99", "ambiguous": False, "refused": None}
    assert as_visitor.get("/api/stamps", {"text": stamps}).json() == [spoilt, unknown]


@pytest.mark.usefixtures("reference")
def test_read_stamp_in_words(capsys):
    call_command("read_stamp", "VT-60")
    out, err = capsys.readouterr()
    assert "850" in out and "807" in out and "More than one meaning" in out and err == ""


@pytest.mark.usefixtures("reference")
def test_lookup_in_json_and_words(capsys):
    TubeFactory()
    found = run("lookup", "VT-231")
    assert list(found) == ["query", "matches"]
    (match,) = found["matches"]
    assert list(match) == ["type", "designations", "relatives", "owned", "places", "positions", "figures"]
    assert match["owned"] == {"good": 1, "untested": 0, "weak": 0, "dud": 0, "fitted": 0}
    assert match["places"] == [{"place": "without a place", "good": 1, "untested": 0}]
    call_command("lookup", "VT-231")
    assert "6SN7GT: 1 good, 0 untested" in capsys.readouterr().out


@pytest.mark.usefixtures("reference")
def test_lookup_of_nothing_known_is_an_answer_and_of_nothing_readable_is_not(capsys):
    assert run("lookup", "QQQ99") == {"query": "QQQ99", "matches": []}
    call_command("lookup", "QQQ99")
    assert "not in the tables" in capsys.readouterr().out
    for text in ("2.00E+26", "", "  "):
        with pytest.raises(CommandError) as refusal:
            call_command("lookup", text)
        assert refusal.value.returncode == 2


# --- load_reference --------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("reference")
def test_load_reference_counts():
    answer = run("load_reference")
    assert list(answer) == ["loaded", "faults"] and answer["faults"] == []
    tables = {"sources", "types", "maker codes", "designations", "relations", "ratings", "figures", "limits", "basings"}
    assert set(answer["loaded"]) == tables | {"handbook", "doubts"}
    assert {counts["new"] for counts in answer["loaded"].values()} == {0}
    rows = (settings.REFERENCE_DIR / "jan_makers.csv").read_text(encoding="utf-8").strip().count("\n")
    assert answer["loaded"]["maker codes"]["in tables"] == rows


# --- people ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("role", ["visitor", "helper", "keeper"])
def test_add_person(role):
    answer = run("add_person", "p.quillan", "--role", role)
    assert list(answer) == ["name", "role", "password"] and (answer["name"], answer["role"]) == ("p.quillan", role)
    person = authenticate(username="p.quillan", password=answer["password"])
    assert person is not None and role_of(person) == role
    assert not person.is_superuser and not person.is_staff


def test_a_name_is_given_once():
    run("add_person", "p.quillan", "--role", "helper")
    with pytest.raises(CommandError, match=r"'p\.quillan' has an account already") as refusal:
        call_command("add_person", "p.quillan", "--role", "keeper")
    assert refusal.value.returncode == 2
    assert role_of(get_user_model().objects.get()) == "helper"


def test_a_role_that_is_none_makes_no_account():
    with pytest.raises(CommandError, match="role"):
        call_command("add_person", "p.quillan", "--role", "owner")
    assert not get_user_model().objects.exists()


def test_a_person_without_a_name_is_refused():
    with pytest.raises(CommandError) as refusal:
        call_command("add_person", "", "--role", "helper")
    assert refusal.value.returncode == 2


@pytest.mark.parametrize("name", ["  ", "a\nb"])
def test_a_name_that_nobody_could_type_makes_no_account(name):
    try:
        call_command("add_person", name, "--role", "helper", stdout=StringIO())
    except CommandError as refusal:
        assert refusal.returncode == 2
        return
    pytest.fail(f"an account named {name!r} was made")
