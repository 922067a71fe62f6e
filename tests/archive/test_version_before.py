"""What the version before wrote comes over: its database by migrating, its archive by taking it in.

``version_before/`` keeps one collection, a row of every model with histories and files, as that version left it: its
SQLite database and its archive. Nothing of a line may be lost or changed; lines may gain keys, and their histories
what migrating itself wrote. Tables that say other things now bring lines of their own, and of their rows that went.
"""

import json
import lzma
import os
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing
from io import StringIO

import pytest
from django.core.management import call_command

from tests.commands import ROOT
from tests.house.test_tables import as_here

KEPT = ROOT / "tests" / "archive" / "version_before"


def lines_of(file):
    """Every line of an archive, by member."""
    with zipfile.ZipFile(file) as packed:
        names = [name for name in packed.namelist() if name.startswith("data/")]
        return {name: [json.loads(line) for line in packed.read(name).splitlines()] for name in names}


def lost(before, now, where=""):
    """Where something of an older line is gone or another: paths of keys."""
    if isinstance(before, dict) and isinstance(now, dict):
        return [path for key in before for path in lost(before[key], now.get(key), f"{where}.{key}")]
    if isinstance(before, list) and isinstance(now, list) and where.endswith(".history"):
        now = now[: len(before)]
    if isinstance(before, list) and isinstance(now, list) and len(before) == len(now):
        return [path for one, other in zip(before, now, strict=True) for path in lost(one, other, f"{where}[]")]
    return [] if before == now else [f"{where}: {before!r} -> {now!r}"]


def told_differently(file):
    before, now = lines_of(KEPT / "collection.zip"), lines_of(file)
    assert before.keys() <= now.keys() and any(before.values())
    return {name: paths for name in before if (paths := lost(before[name], old_lines(before[name], now[name]), name))}


def old_lines(before, now):
    """The lines of now that stand for those of before, without those that newer tables brought."""
    if len(before) == len(now):
        return now
    kept = (next((line for line in now if not lost(one, line)), None) for one in before)
    return [line for line in kept if line is not None]


@pytest.mark.django_db
def test_an_archive_of_the_version_before_is_taken_in(tmp_path, settings, reference):
    settings.MEDIA_ROOT = tmp_path / "media"
    call_command("import_collection", str(KEPT / "collection.zip"), stdout=StringIO())
    call_command("export_collection", str(tmp_path / "again.zip"), stdout=StringIO())
    assert told_differently(tmp_path / "again.zip") == {}


@pytest.mark.own_file
@pytest.mark.django_db
def test_a_database_of_the_version_before_is_brought_up_to_date(tmp_path):
    """In a file and processes of its own, as a keeper does it; its tables are then as those of a new one."""
    file = tmp_path / "filamentry.sqlite3"
    file.write_bytes(lzma.decompress((KEPT / "database.sqlite3.xz").read_bytes()))
    with zipfile.ZipFile(KEPT / "collection.zip") as packed:
        packed.extractall(tmp_path, [name for name in packed.namelist() if name.startswith("media/")])
    around = {**os.environ, "FILAMENTRY_DATA": str(tmp_path), "DATABASE_URL": f"sqlite:///{file}"}
    for words in (("migrate", "-v0"), ("load_reference",), ("export_collection", str(tmp_path / "again.zip"))):
        run = [sys.executable, str(ROOT / "manage.py"), *words]
        done = subprocess.run(run, env=around, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr[-2000:]
    assert told_differently(tmp_path / "again.zip") == {}
    with closing(sqlite3.connect(file)) as made:
        as_here(lambda question: made.execute(question).fetchall())
