"""Commands that only reckon, as scripts use them: exact keys, one document, one line and 2 when refused."""

import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

ROOT = Path(__file__).resolve().parents[2]
NIST = (
    "hours,failed\n" + "".join(f"{t},1\n" for t in (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)) + "500,0\n" * 10
)


def run(name, *arguments):
    """The answer and what was said beside it."""
    out, err = StringIO(), StringIO()
    call_command(name, "--json", *arguments, stdout=out, stderr=err)
    return json.loads(out.getvalue(), parse_constant=lambda text: pytest.fail(f"{text} is no JSON")), err.getvalue()


def told(name, *arguments):
    out = StringIO()
    call_command(name, *arguments, stdout=out, stderr=StringIO())
    return out.getvalue()


def refused(name, *arguments):
    with pytest.raises(CommandError) as refusal:
        call_command(name, "--json", *arguments, stdout=StringIO())
    assert refusal.value.returncode == 2
    text = str(refusal.value)
    assert "\n" not in text
    return text


@pytest.fixture
def table(tmp_path, monkeypatch):
    """``table("hours,failed\\n...")`` is the name of a file that holds it."""
    monkeypatch.chdir(tmp_path)

    def write(content):
        Path("lives.csv").write_bytes(content if isinstance(content, bytes) else content.encode())
        return "lives.csv"

    return write


def test_meter_delta():
    answer, beside = run("meter_delta", "9998.7", "0003.2", "--digits", "4", "--decimals", "1")  # L4.1
    assert list(answer) == ["hours", "rolled_over", "remarks"]
    assert (answer["hours"], answer["rolled_over"], beside) == (4.5, True, "")
    assert run("meter_delta", "00100.0", "00105.5")[0] == {"hours": 5.5, "rolled_over": False, "remarks": []}
    assert told("meter_delta", "9998.7", "0003.2", "--digits", "4").startswith("4.5 h\n")


def test_meter_delta_refuses_what_no_meter_shows():
    assert "beyond the wheels" in refused("meter_delta", "00100.0", "100000.0")
    assert "after the point" in refused("meter_delta", "00100.0", "00100.05")
    assert "no meter reading" in refused("meter_delta", "ten", "00100.0")
    assert "digits" in refused("meter_delta", "1", "2", "--digits", "0")
    assert "decimals" in refused("meter_delta", "1", "2", "--decimals", "9")


def test_survival(table):
    answer, beside = run("survival", table(NIST))  # L4.6
    assert list(answer) == ["km", "median", "weibull", "events", "censored"]
    assert list(answer["km"][0]) == ["t", "s", "se"]
    assert list(answer["weibull"]) == ["eta", "beta", "loglik", "b10"]
    assert answer["weibull"]["eta"] == pytest.approx(606.5280, rel=1e-4)
    assert (answer["events"], answer["censored"], beside) == (10, 10, "")


def test_survival_says_beside_the_answer_what_is_rough(table):
    answer, beside = run("survival", table("hours,failed\n100,1\n300,1\n500,0\n"))
    assert answer["weibull"] is None and "2 failures only" in beside


def test_survival_for_people_shows_intervals(table):
    text = told("survival", table(NIST))
    assert "10 failed, 10 still working" in text and text.count("95 %") == 15
    assert "not reached" in told("survival", table("hours,failed\n100,1\n300,0\n500,0\n"))


def test_survival_names_the_line(table):
    assert refused("survival", table("hours,failed\n1,1\nx,1\n")).startswith("lives.csv:3: hours is 'x'")
    assert "no failure" in refused("survival", table("hours,failed\n1,0\n"))
    assert refused("survival", table(b"hours,failed\n1,1\n\xff,1\n")).startswith("lives.csv:3: not UTF-8")
    assert "cannot be read" in refused("survival", "not-there.csv")
    assert "cannot be read" in refused("survival", "a\x00b")
    table("hours,failed\n" + "1,1\n" * 1_300_000)
    assert "larger than 5 MB" in refused("survival", "lives.csv")


def test_time_hours():
    answer, _ = run("time_hours", "--runs", "2000", "--fittings", "300", "--chassis", "7")
    assert answer["same_answers"] is True and answer["tube_hours"] > 0
    assert "expected each from 1" in refused("time_hours", "--runs", "0")


def test_exit_codes_of_the_program(tmp_path):
    def program(*arguments):
        command = [sys.executable, str(ROOT / "manage.py"), *arguments]
        environment = os.environ | {"FILAMENTRY_DATA": str(tmp_path)}
        return subprocess.run(command, capture_output=True, text=True, timeout=60, cwd=ROOT, env=environment)

    good = program("meter_delta", "1", "2", "--json")
    assert (good.returncode, json.loads(good.stdout)["hours"], good.stderr) == (0, 1.0, "")
    bad = program("meter_delta", "1", "x", "--json")
    assert (bad.returncode, bad.stdout, bad.stderr.count("\n")) == (2, "", 1)
