"""Commands that only reckon, as scripts use them: exact keys, one document, one line and 2 when refused."""

import json
import os
import subprocess
import sys

import pytest

from tests.commands import ROOT, answer_of, refused, told

NIST = (
    "hours,failed\n" + "".join(f"{t},1\n" for t in (54, 187, 216, 240, 244, 335, 361, 373, 375, 386)) + "500,0\n" * 10
)


def test_meter_delta():
    answer, beside = answer_of("meter_delta", "9998.7", "0003.2", "--digits", "4", "--decimals", "1")  # L4.1
    assert list(answer) == ["hours", "rolled_over", "remarks"]
    assert (answer["hours"], answer["rolled_over"], beside) == (4.5, True, "")
    assert answer_of("meter_delta", "00100.0", "00105.5")[0] == {"hours": 5.5, "rolled_over": False, "remarks": []}
    assert told("meter_delta", "9998.7", "0003.2", "--digits", "4").startswith("4.5 h\n")


def test_meter_delta_refuses_what_no_meter_shows():
    assert "beyond the wheels" in refused("meter_delta", "00100.0", "100000.0")
    assert "after the point" in refused("meter_delta", "00100.0", "00100.05")
    assert "no meter reading" in refused("meter_delta", "ten", "00100.0")
    assert "digits" in refused("meter_delta", "1", "2", "--digits", "0")
    assert "decimals" in refused("meter_delta", "1", "2", "--decimals", "9")


def test_survival(table):
    answer, beside = answer_of("survival", table(NIST))  # L4.6
    assert list(answer) == ["km", "median", "weibull", "events", "censored"]
    assert list(answer["km"][0]) == ["t", "s", "se"]
    assert list(answer["weibull"]) == ["eta", "beta", "loglik", "b10"]
    assert answer["weibull"]["eta"] == pytest.approx(606.5280, rel=1e-4)
    assert (answer["events"], answer["censored"], beside) == (10, 10, "")


def test_survival_says_beside_the_answer_what_is_rough(table):
    answer, beside = answer_of("survival", table("hours,failed\n100,1\n300,1\n500,0\n"))
    assert answer["weibull"] is None and "2 failures only" in beside


def test_survival_for_people_shows_intervals(table):
    text = told("survival", table(NIST))
    assert "10 failed, 10 still working" in text and text.count("95 %") == 15
    assert "not reached" in told("survival", table("hours,failed\n100,1\n300,0\n500,0\n"))


def test_survival_names_the_line(table):
    assert refused("survival", table("hours,failed\n1,1\nx,1\n")).startswith("table.csv:3: hours is 'x'")
    assert "no failure" in refused("survival", table("hours,failed\n1,0\n"))
    assert refused("survival", table(b"hours,failed\n1,1\n\xff,1\n")).startswith("table.csv:3: not UTF-8")
    assert "cannot be read" in refused("survival", "not-there.csv")
    assert "cannot be read" in refused("survival", "a\x00b")
    table("hours,failed\n" + "1,1\n" * 1_300_000)
    assert "larger than 5 MB" in refused("survival", "table.csv")


def test_exit_codes_of_the_program(tmp_path):
    def program(*arguments):
        command = [sys.executable, str(ROOT / "manage.py"), *arguments]
        environment = os.environ | {"FILAMENTRY_DATA": str(tmp_path)}
        return subprocess.run(command, capture_output=True, text=True, timeout=60, cwd=ROOT, env=environment)

    good = program("meter_delta", "1", "2", "--json")
    assert (good.returncode, json.loads(good.stdout)["hours"], good.stderr) == (0, 1.0, "")
    bad = program("meter_delta", "1", "x", "--json")
    assert (bad.returncode, bad.stdout, bad.stderr.count("\n")) == (2, "", 1)


def test_survival_with_nobody_under_watch_for_a_while(table):
    gap = "hours,failed,entry\n10,1,0\n500,1,400\n700,0,450\n"  # the first failed before the others came in
    assert "no tube was under watch" in refused("survival", table(gap))
