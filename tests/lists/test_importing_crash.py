"""The process killed during an import: the database holds all of the list or none of it, and opens clean.

SQLite's own check (PRAGMA integrity_check, sqlite.org) says whether the file is whole.
"""

import contextlib
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys

import pytest
from django.conf import settings

pytestmark = pytest.mark.django_db  # of which the houses below are copies
ROWS = 4_000
TIMES = 10


def manage(folder, *arguments):
    around = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return subprocess.Popen(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), *arguments],
        env={**around, "FILAMENTRY_DATA": str(folder)}, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    )  # fmt: skip


def counts(file):
    """Rows of every table that a list writes to, and what the check of the file says."""
    table = sqlite3.connect(file)
    try:
        (said,) = table.execute("PRAGMA integrity_check").fetchone()
        assert table.execute("PRAGMA foreign_key_check").fetchall() == []
        names = (
            "lists_importrun", "lists_importrow", "lists_importmade", "holdings_item", "holdings_tube",
            "holdings_movement", "holdings_place", "holdings_historicalitem", "holdings_historicaltube",
        )  # fmt: skip
        return said, tuple(table.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names)
    finally:
        table.close()


@pytest.mark.own_file
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_killed_at_ten_moments(house_for, tmp_path):
    """A program that is stopped leaves on disk what killing it there would leave: copies of that, and one kill."""
    lines = "".join(f"{'807,1' if n % 40 else 'VT-60,1'},Box {n % 50},S{n}\n" for n in range(ROWS))  # VT-60: held
    (tmp_path / "list.csv").write_text(f"Tube,Qty,Box,Serial\n{lines}")
    none = (0,) * 9
    house_for(tmp_path / "ready")
    assert counts(tmp_path / "ready" / "filamentry.sqlite3") == ("ok", none)
    made = ROWS - ROWS // 40
    every = (1, ROWS, made, made, made, made, 50, made, made)
    draw = random.Random()

    def begin(name):
        house_for(tmp_path / name)
        return manage(tmp_path / name, "import_list", str(tmp_path / "list.csv"))

    def ends_within(child, seconds):
        with contextlib.suppress(subprocess.TimeoutExpired):
            child.wait(timeout=seconds)
        return child.returncode is not None

    child, ran, moments = begin("whole"), 0.0, []
    while not ends_within(child, wait := draw.uniform(0.2, 0.8)):  # between it stands still
        ran += wait
        child.send_signal(signal.SIGSTOP)
        os.waitpid(child.pid, os.WUNTRACED)
        shutil.copytree(tmp_path / "whole", tmp_path / f"stopped-{len(moments)}")
        child.send_signal(signal.SIGCONT)
        moments.append(ran)
    assert child.returncode == 0
    assert counts(tmp_path / "whole" / "filamentry.sqlite3") == ("ok", every)
    assert len(moments) + 1 >= TIMES, moments

    child = begin("killed")
    assert not ends_within(child, moment := draw.uniform(0.1, 0.4) * ran)
    child.kill()
    child.wait()
    for name in ("killed", *(f"stopped-{number}" for number in range(len(moments)))):
        found = counts(tmp_path / name / "filamentry.sqlite3")
        assert found in (("ok", none), ("ok", every)), (name, moments, moment)
