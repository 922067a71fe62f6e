"""Null finder, bridge and RF current as scripts use them: exact keys, one document, one line and 2 when refused."""

import json
import os
import subprocess
import sys

import pytest

from tests.commands import ROOT, answer_of, refused, told

KEYS = "setting standard_error floor depth_db slope points inside warnings next_setting".split()


def run(name, *arguments):
    answer, beside = answer_of(name, *arguments)
    assert beside == ""
    return answer


L1_11 = (
    "setting,reading\n20,41\n25,28\n30,16\n35,6\n40,12\n45,24\n50,37\n"  # case L1.11, worked out apart from the code
)


def test_find_null(table):
    found = run("find_null", table(L1_11))
    assert list(found) == KEYS
    assert found["setting"] == pytest.approx(35.7895872285, abs=1e-6)
    assert found["standard_error"] == pytest.approx(0.0309040951, abs=1e-6)
    assert (found["points"], found["inside"], found["warnings"]) == (7, True, [])


def test_find_null_of_a_table_from_a_spreadsheet(table):
    text = "\ufeff" + L1_11.replace(",", ";").replace("\n", "\r\n") + "\r\n;\r\n"
    assert run("find_null", table(text)) == run("find_null", table(L1_11.replace("20,41", '"20,0","41"')))


def test_find_null_scales(table):
    square = table("setting,reading\n30,169\n40,25\n50,169\n")  # L1.9 as a square-law meter shows it
    found = run("find_null", square, "--scale", "square-law")
    assert (found["setting"], found["slope"], found["floor"]) == pytest.approx((40, 1.2, 5))
    assert found["standard_error"] is None and found["warnings"]
    level = table("setting;reading\n30;22,278867\n40;13,979400\n50;22,278867\n")  # 20 lg of 13, 5, 13
    assert run("find_null", level, "--scale", "db")["floor"] == pytest.approx(5, abs=1e-5)


def test_find_null_heeds_the_dial(table):
    found = run("find_null", table("setting,reading\n70,30\n80,20\n90,11\n"), "--dial", "0", "100")
    assert not found["inside"] and found["next_setting"] <= 100
    assert any("one side" in warning for warning in found["warnings"])
    assert "--dial" in refused("find_null", table(L1_11), "--dial", "low", "100")
    assert "dial" in refused("find_null", table(L1_11), "--dial", "100", "0")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("setting,reading\n1,2\n2,3\n", "2 different settings"),
        ("setting,reading\n1,2\n2,3\n3,2\n", "no minimum"),
        ("setting,reading\n1,2\n2,x\n", "table.csv:3: reading is 'x'"),
        ("setting,reading\n1,2\n2,-3\n3,2\n", "table.csv:3: reading -3 is negative"),
        ("setting,level\n1,2\n", "table.csv:1"),
        ("", "table.csv is empty"),
        (b"setting,reading\n1,2\n\xff,3\n", "table.csv:3: not UTF-8"),
        ("setting,reading\n1,2\n".encode("utf-16"), "table.csv:1: not UTF-8"),
        ("setting,reading\n" + "1,2\n" * 10_001, "table.csv:10002: more than 10000 rows"),
        (b" " * 2_000_001, "larger than 2 MB"),
    ],
)
def test_find_null_refuses_in_one_line(table, content, words):
    assert words in refused("find_null", table(content))


def test_find_null_of_what_is_no_file(table):
    assert "No such file" in refused("find_null", "nowhere.csv")
    assert "directory" in refused("find_null", ".")
    assert "scale 'log'" in refused("find_null", table(L1_11), "--scale", "log")


def test_find_null_for_people_comes_with_the_cautions(table):
    text = told("find_null", table(L1_11))
    assert "Null at 35.7896 +- 0.031" in text and "proved dead" in text and "says nothing of another" in text
    assert "Warning: Three readings" in told("find_null", table("setting,reading\n30,13\n40,5\n50,13\n"))


def test_find_null_says_what_it_left_out_and_what_it_does_not_know(table):
    head = "setting,reading\n"
    dead = told("find_null", table(head + "10,80\n20,55\n30,28\n34,12\n38,0\n40,0\n42,0\n46,9\n50,22\n60,50\n"))
    assert "Floor not known; slope" in dead and "passes through them" not in dead
    assert "Decided by the readings beside the dead stretch" in dead
    slip = table(head + "30,49\n34,37\n38,23\n40,16\n42,8\n43,5\n44,6\n46,12\n50,260\n54,41\n")
    assert "from 10 readings, 1 of them left out" in told("find_null", slip)
    found = run("find_null", slip)
    assert list(found)[: len(KEYS)] == KEYS and found["left_out"] == [[50, 260]]


def test_find_null_beyond_the_readings_reads_on_past_it(table):
    found = run("find_null", table("setting;reading\n10;90\n20;70\n30;50,5\n40;28\n50;8,5\n"))
    assert 50 < found["setting"] < found["next_setting"] < 65 and found["standard_error"] > 1


# Cases L1.1, L1.4, L1.5, L1.6 (two currents that cancel, by hand; the grid bridge is common practice, no source)
@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ("--circuit plate-tap --cgp 14.5 --np 10 --nn 10", 14.5),
        ("--circuit split-stator --cgp 14.5 --ca 100 --cb 100 --cpk 5.5", 13.744075829383886),
        ("--circuit grid-tap --cgp 14.5 --ng 20 --nx 10", 29),
        ("--circuit grid-bridge --cgp 0.24 --cb 680 --cgf 13", 12.553846153846154),
        ("--circuit cross --cgp 5.5", 5.5),
    ],
)
def test_bridge(arguments, expected):
    assert run("bridge", *arguments.split()) == {"cn_pf": pytest.approx(expected, abs=1e-9)}


def test_bridge_takes_units_too():
    assert run("bridge", "--circuit", "cross", "--cgp", "5.5 mmf") == {"cn_pf": pytest.approx(5.5)}
    assert "Neutralizing capacitor: 5.5 pF" in told("bridge", "--circuit", "cross", "--cgp", "5.5")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--circuit", "plate-tap", "--cgp", "14.5", "--np", "10"], "--nn is missing"),
        (["--circuit", "plate-tap", "--np", "10", "--nn", "10"], "--cgp is missing"),
        (["--circuit", "plate-tap", "--cgp", "0", "--np", "10", "--nn", "10"], "--cgp is 0"),
        (["--circuit", "plate-tap", "--cgp", "14.5", "--np", "-10", "--nn", "10"], "--np is -10"),
        (["--circuit", "plate-tap", "--cgp", "14.5", "--np", "ten", "--nn", "10"], "--np: 'ten'"),
        (["--circuit", "cross", "--cgp", "5.5 V"], "--cgp: '5.5 V'"),
        (["--circuit", "cross", "--cgp", "nan"], "--cgp is nan"),
        (["--circuit", "cross", "--cgp", "5.5", "--ca", "1"], "--ca has no place in cross"),
        (["--circuit", "tapped", "--cgp", "5.5"], "--circuit 'tapped'"),
    ],
)
def test_bridge_names_the_option(arguments, words):
    assert words in refused("bridge", *arguments)


def test_rf_current():
    """sqrt(80/50) A; not readable below a third of full scale: 47 CFR 73.1215."""
    found = run("rf_current", "--power", "80 W", "--load", "50 ohm", "--full-scale", "8 A")
    assert found == {
        "current_a": pytest.approx(1.264911064),
        "fraction_of_scale": pytest.approx(0.158113883),
        "readable": False,
    }
    found = run("rf_current", "--power", "0.08 kW", "--load", "50 ohm", "--full-scale", "3 A")
    assert found["readable"] is True
    found = run("rf_current", "--power", "80 W", "--load", "50 ohm")
    assert (found["fraction_of_scale"], found["readable"]) == (None, None)


def test_rf_current_for_people():
    ask = ("rf_current", "--power", "80 W", "--load", "50 ohm")
    assert told(*ask).splitlines()[0] == "1.26 A"
    assert "not readable below one third" in told(*ask, "--full-scale", "8 A")
    assert "beyond the scale" in told(*ask, "--full-scale", "1 A")


@pytest.mark.parametrize(
    ("power", "load", "full", "words"),
    [
        ("80", "50 ohm", "8 A", "--power: '80'"),
        ("0 W", "50 ohm", "8 A", "--power: '0 W'"),
        ("80 W", "-50 ohm", "8 A", "--load: '-50 ohm'"),
        ("80 W", "50 W", "8 A", "--load: '50 W'"),
        ("80 W", "50 ohm", "8 V", "--full-scale: '8 V'"),
    ],
)
def test_rf_current_names_the_option(power, load, full, words):
    assert words in refused("rf_current", f"--power={power}", f"--load={load}", f"--full-scale={full}")


@pytest.mark.own_file
def test_as_typed_in_a_shell(tmp_path):
    """Nothing but the document on standard output; refused: nothing there, one line on the other, 2."""
    own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    own["FILAMENTRY_DATA"] = str(tmp_path)
    file = tmp_path / "readings.csv"

    def shell(content):
        file.write_text(content, encoding="utf-8")
        command = [sys.executable, "manage.py", "find_null", str(file), "--json"]
        return subprocess.run(command, cwd=ROOT, env=own, capture_output=True, text=True)

    good = shell(L1_11)
    assert (good.returncode, good.stderr) == (0, "") and list(json.loads(good.stdout)) == KEYS
    bad = shell("setting,reading\n1,2\n")
    assert (bad.returncode, bad.stdout, bad.stderr.count("\n")) == (2, "", 1)
