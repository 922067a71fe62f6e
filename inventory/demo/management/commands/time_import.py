"""``manage.py time_import``: how long a long list takes to come in, beside a bare copy of its cells."""

import csv
import json
import os
import random
import sqlite3
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandParser

from inventory.house.command import AnswerCommand, BadInput

HEADING = ("Item #", "Tube", "Qty", "State", "Reading", "Box", "Paid", "Date code", "Remarks", "Serial")
MARKS = ("6SN7GT", "VT-231", "807", "JAN-CRC-6SL7GT", "EF80", "5U4G", "6V6GT", "1625", "6AC7/1852", "866A", "CV 138")
STATES = ("good", "untested", "", "weak", "o.k.", "taub")
REMARKS = ("", "", "metal base", "Karton passt nicht", "from the attic lot", "pins clean", "loose base")


class Command(AnswerCommand):
    help = (
        "Make a list of invented rows, take it in to a database of its own in a temporary folder, and give seconds, "
        "rows a second and peak memory; beside it the same file read by the csv module into one bare SQLite table. "
        "Your own database is not touched."
    )

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("--rows", type=int, default=100_000)

    def answer(self, **options: Any) -> Any:
        if not 1 <= options["rows"] <= 1_000_000:
            raise BadInput(f"{options['rows']} rows; give 1 to 1000000")
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "list.csv"
            write_list(path, options["rows"])
            taken = _import(Path(folder), path)
            bare = _bare(Path(folder), path)
        return {
            "rows": options["rows"],
            "import": taken | {"rows_per_second": round(options["rows"] / taken["seconds"])},
            "bare_table": bare | {"rows_per_second": round(options["rows"] / bare["seconds"])},
            "times_longer": round(taken["seconds"] / bare["seconds"], 1),
        }


def write_list(path: Path, rows: int, seed: int = 1) -> None:
    """A list of invented rows, most of one tube, some of several, one in fifty with something to remark."""
    draw = random.Random(seed)
    with path.open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(HEADING)
        for number in range(1, rows + 1):
            odd = draw.random() < 0.02
            quantity = draw.choice(("about 3", "2 (1 dud)", "a few")) if odd else draw.choice(("1", "1", "1", "2"))
            reading = f"{draw.randint(10, 40) * 50}/1500 umho" if draw.random() < 0.3 else ""
            out.writerow(
                (
                    number, draw.choice(MARKS), quantity, draw.choice(STATES), reading, f"Box {number % 400}",
                    f"{draw.randint(1, 40)}.50 EUR" if draw.random() < 0.3 else "", "", draw.choice(REMARKS),
                    f"S{number}",  # without it rows alike would be asked about
                )
            )  # fmt: skip


def _run(folder: Path, *arguments: str) -> tuple[float, int, str]:
    """(seconds, peak memory in kB, output) of a command on the database in the folder."""
    around = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    out = folder / "out.json"
    began = time.monotonic()
    with out.open("w") as file:
        child = subprocess.Popen(
            [sys.executable, str(settings.BASE_DIR / "manage.py"), *arguments],
            env={**around, "FILAMENTRY_DATA": str(folder / "data")}, stdout=file, stderr=subprocess.PIPE, text=True,
        )  # fmt: skip
        said = child.stderr.read() if child.stderr else ""
        _, status, used = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode:
        raise BadInput(f"{' '.join(arguments)} failed: {said.strip()[-400:]}")
    return time.monotonic() - began, used.ru_maxrss, out.read_text()


def _import(folder: Path, path: Path) -> dict[str, Any]:
    for command in ("make_tables", "load_reference"):
        _run(folder, command)
    start, idle, _ = _run(folder, "undo_import", "--help")
    seconds, peak, said = _run(folder, "import_list", str(path), "--json")
    counts = json.loads(said)
    records = sum(counts["records"].values())
    kept = {name: counts[name] for name in ("written", "remarked", "held", "refused", "not_items")}
    return {
        "seconds": round(seconds, 1), "of_which_start": round(start, 1), "peak_mb": round(peak / 1024),
        "peak_mb_before_any_row": round(idle / 1024), "things_made": records, **kept,
        "database_mb": round((folder / "data" / "filamentry.sqlite3").stat().st_size / 1e6),
    }  # fmt: skip


def _bare(folder: Path, path: Path) -> dict[str, Any]:
    began = time.monotonic()
    table = sqlite3.connect(folder / "bare.sqlite3")
    table.execute(f"CREATE TABLE list ({', '.join(f'c{n} TEXT' for n in range(len(HEADING)))})")
    with path.open(encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        table.executemany(f"INSERT INTO list VALUES ({', '.join('?' * len(HEADING))})", rows)
    table.commit()
    table.close()
    return {"seconds": max(0.001, round(time.monotonic() - began, 3))}
