"""The process killed during an import: the database holds all of the list or none of it, and opens clean.

SQLite's own check (PRAGMA integrity_check, sqlite.org) says whether the file is whole.
"""

import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time

import pytest
from django.conf import settings

ROWS = 20_000
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


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="no such signal here")
def test_killed_at_ten_moments(tmp_path):
    ready = tmp_path / "ready"
    for command in ("migrate", "load_reference"):
        assert manage(ready, command).wait() == 0
    lines = "".join(f"807,1,Box {n % 50}\n" if n % 40 else "VT-60,2,Box 1\n" for n in range(ROWS))  # VT-60: held
    (tmp_path / "list.csv").write_text(f"Tube,Qty,Box\n{lines}")
    none = (0,) * 9
    assert counts(ready / "filamentry.sqlite3") == ("ok", none)
    made = ROWS - ROWS // 40
    every = (1, ROWS, made, made, made, made, 50, made, made)

    def take_in(name, seconds):
        """(seconds it ran, what the database holds) of an import that is killed after some seconds."""
        data = tmp_path / name
        shutil.copytree(ready, data)
        began = time.monotonic()
        child = manage(data, "import_list", str(tmp_path / "list.csv"))
        try:
            child.wait(timeout=seconds)
        except subprocess.TimeoutExpired:
            os.kill(child.pid, signal.SIGKILL)
            child.wait()
        child.stderr.close()
        took = time.monotonic() - began
        found = counts(data / "filamentry.sqlite3")
        shutil.rmtree(data)
        return took, found

    whole, found = take_in("whole", None)
    assert found == ("ok", every)
    draw = random.Random()
    for number in range(TIMES):
        moment = draw.uniform(0.4 * whole * (number % 2), whole)  # every other one while it writes
        _, found = take_in(f"killed-{number}", moment)
        assert found in (("ok", none), ("ok", every)), (moment, whole)
