"""Backup and restore on whichever database the tests run, and as typed in a shell on SQLite.

Common practice, no source: a backup that was never read again is none.
"""

import json
import os
import shutil
import sqlite3
import subprocess
import sys
import zipfile
from io import StringIO

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.archive.actions import backup as module
from inventory.archive.actions.backup import FORMAT, MEMBERS, backup, restore
from inventory.archive.actions.out import media_store
from inventory.holdings.models import Item, Tube
from inventory.house.access import add_person
from tests import factories as make
from tests.archive.test_archive import repacked

pytestmark = pytest.mark.django_db(transaction=True)  # a database is replaced outside any transaction


@pytest.fixture(autouse=True)
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


@pytest.fixture
def filled(transactional_db):
    add_person("margit", "keeper", "pass-Word-of-a-test")
    make.FittingFactory()
    make.NeutralizationFactory(readings=[[1, 2.5]])
    media_store().save("papers/2026/11/a.jpg", ContentFile(b"\xff\xd8 a picture"))
    media_store().save("loose.pdf", ContentFile(b"%PDF"))


@pytest.fixture
def file(filled, tmp_path):
    backup(tmp_path / "b.zip")
    return tmp_path / "b.zip"


def test_there_and_back(file, snapshot, media):
    before = snapshot()
    Tube.objects.update(marked="changed")
    make.TubeFactory()
    (media / "papers/2026/11/a.jpg").write_bytes(b"spoiled")
    (media / "loose.pdf").unlink()
    answer = restore(file, over=True)
    assert snapshot() == before
    assert answer["media_files"] == 2 and answer["engine"] == connection.vendor
    assert (media / "papers/2026/11/a.jpg").read_bytes() == b"\xff\xd8 a picture"
    assert (media / "loose.pdf").read_bytes() == b"%PDF"


def test_the_database_goes_on_after_a_restore(file):
    restore(file, over=True)
    last = Item.objects.order_by("-pk").first().pk
    assert make.TubeFactory().item.pk > last  # the counters of the numbers came along
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            assert cursor.execute("PRAGMA integrity_check").fetchone() == ("ok",)


def test_what_is_there_is_not_replaced_unless_told(file, snapshot):
    before = snapshot()
    with pytest.raises(ValueError, match=r"holds things already .* say --over"):
        restore(file)
    assert snapshot() == before


def test_an_account_is_something(file, transactional_db):
    call_command("flush", interactive=False, verbosity=0)
    add_person("somebody", "visitor", None)
    with pytest.raises(ValueError, match="accounts"):
        restore(file)


def test_an_empty_database_takes_a_backup(file, snapshot):
    before = snapshot()
    call_command("flush", interactive=False, verbosity=0)
    restore(file)
    assert snapshot() == before


def test_a_backup_says_what_it_found(filled, tmp_path):
    answer = backup(tmp_path / "b.zip")
    assert answer["verified"] and answer["media_files"] == 2 and answer["passed_over"] == []
    assert answer["bytes"] == (tmp_path / "b.zip").stat().st_size
    assert (tmp_path / "b.zip").stat().st_mode & 0o077 == 0  # scrambled passwords are in it
    with zipfile.ZipFile(tmp_path / "b.zip") as packed:
        told = json.loads(packed.read("manifest.json"))
        assert packed.testzip() is None
    assert told["format"] == FORMAT and told["engine"] == connection.vendor
    assert "holdings.0001_initial" in told["migrations"]


def test_a_backup_that_is_not_good_takes_nobody_s_place(file, monkeypatch):
    before = file.read_bytes()

    def no_good(*words):
        raise ValueError("the copy of the database is damaged")

    monkeypatch.setattr(module, "_look_through", no_good)
    with pytest.raises(ValueError, match="damaged"):
        backup(file)
    assert file.read_bytes() == before
    assert not list(file.parent.glob(".*"))


def test_a_backup_of_another_kind_of_database(file, tmp_path):
    other = "postgresql" if connection.vendor == "sqlite" else "sqlite"
    forged = repacked(file, tmp_path / "f.zip", told={"engine": other})
    with pytest.raises(ValueError, match=f"a backup of {other}.*export_collection"):
        restore(forged, over=True)


@pytest.mark.parametrize(
    ("told", "says"),
    [
        ({"migrations": ["holdings.9999_from_the_future"]}, "later version of this program .*9999"),
        ({"migrations": None}, "no list of migrations"),
        ({"version": 9}, "version: 9, expected 1"),
        ({"format": "filamentry collection"}, "expected 'filamentry backup'"),
    ],
)
def test_a_backup_of_another_version(file, tmp_path, snapshot, told, says):
    before = snapshot()
    with pytest.raises(ValueError, match=says):
        restore(repacked(file, tmp_path / "f.zip", told=told), over=True)
    assert snapshot() == before


def test_a_damaged_database_in_a_backup_replaces_nothing(file, tmp_path, snapshot):
    before = snapshot()
    forged = repacked(file, tmp_path / "f.zip", add={MEMBERS[connection.vendor]: b"no database at all" * 100})
    with pytest.raises(ValueError):
        restore(forged, over=True)
    assert snapshot() == before


@pytest.mark.parametrize("cut", [0, 50, -200])
def test_a_backup_cut_short(file, tmp_path, snapshot, cut):
    before = snapshot()
    (tmp_path / "f.zip").write_bytes(file.read_bytes()[:cut])
    with pytest.raises(ValueError, match=r"f\.zip: "):
        restore(tmp_path / "f.zip", over=True)
    assert snapshot() == before


def test_an_archive_of_strangers_writes_nowhere_else(file, tmp_path):
    forged = repacked(file, tmp_path / "f.zip", add={"media/../../evil": b"x"})
    with pytest.raises(ValueError, match="leads downwards only"):
        restore(forged, over=True)
    assert not (tmp_path / "evil").exists() and not (tmp_path.parent / "evil").exists()


def test_the_commands(filled, tmp_path):
    out = StringIO()
    call_command("backup", str(tmp_path / "b.zip"), "--json", stdout=out)
    assert json.loads(out.getvalue())["verified"] is True
    with pytest.raises(CommandError) as refusal:
        call_command("restore", str(tmp_path / "b.zip"), stdout=out)
    assert refusal.value.returncode == 2
    out = StringIO()
    call_command("restore", str(tmp_path / "b.zip"), "--over", "--json", stdout=out)
    assert json.loads(out.getvalue())["media_files"] == 2


def test_a_program_of_postgresql_that_fails_is_told(monkeypatch):
    monkeypatch.setattr(module, "_tool", lambda name: sys.executable)
    with pytest.raises(ValueError, match="pg_dump ended with 3: no such luck"):
        module._run(["pg_dump", "-c", "import sys; sys.stderr.write('no such luck'); sys.exit(3)"])


def test_the_password_stands_on_no_command_line():
    told = {"HOST": "h", "PORT": 5, "USER": "u", "PASSWORD": "secret", "NAME": "n", "OPTIONS": {"sslmode": "require"}}
    given = module._surroundings(told)
    names = ("PGHOST", "PGPORT", "PGUSER", "PGPASSWORD", "PGDATABASE", "PGSSLMODE")
    assert [given[name] for name in names] == ["h", "5", "u", "secret", "n", "require"]


# --- from a shell, on SQLite ------------------------------------------------------------------------------------------


def shell(folder, *words):
    surroundings = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return subprocess.run(
        [sys.executable, "manage.py", *map(str, words)],
        cwd=settings.BASE_DIR,
        env=surroundings | {"FILAMENTRY_DATA": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )


def good(done):
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def demo(house_for, tmp_path_factory):
    """A keeper's own file with the demo in it."""
    folder = tmp_path_factory.mktemp("demo")
    house_for(folder)
    (folder / "filamentry.sqlite3").rename(folder / "demo.sqlite3")
    good(shell(folder, "demo", "--no-serve"))
    shutil.move(folder / "demo.sqlite3", folder / "filamentry.sqlite3")
    return folder


@pytest.mark.own_file
def test_from_a_shell_to_another_machine(demo, tmp_path):
    said = json.loads(good(shell(demo, "backup", tmp_path / "b.zip", "--json")))
    assert said["engine"] == "sqlite" and said["verified"]
    good(shell(tmp_path / "other", "restore", tmp_path / "b.zip"))  # there is not even a table yet
    bench = [json.loads(good(shell(folder, "bench", "--json"))) for folder in (demo, tmp_path / "other")]
    assert bench[0] == bench[1]
    again = shell(tmp_path / "other", "restore", tmp_path / "b.zip")
    assert again.returncode == 2 and "say --over" in again.stderr
    good(shell(tmp_path / "other", "restore", tmp_path / "b.zip", "--over"))


@pytest.mark.own_file
def test_a_copy_is_of_one_moment_while_others_write(demo, tmp_path):
    writer = sqlite3.connect(demo / "filamentry.sqlite3", timeout=20)
    writer.execute("UPDATE holdings_tube SET note = 'not yet said'")
    good(shell(demo, "backup", tmp_path / "b.zip"))
    writer.rollback()
    writer.close()
    with zipfile.ZipFile(tmp_path / "b.zip") as packed:
        packed.extract(MEMBERS["sqlite"], tmp_path)
    copy = sqlite3.connect(tmp_path / MEMBERS["sqlite"])
    assert copy.execute("SELECT count(*) FROM holdings_tube WHERE note = 'not yet said'").fetchone() == (0,)
    copy.close()


def test_a_lock_is_not_waited_for_without_end(monkeypatch):
    monkeypatch.setattr(module, "LONGEST_WAIT", 0)
    patience = module._Patience()
    patience(sqlite3.SQLITE_BUSY, 7, 7)
    with pytest.raises(sqlite3.OperationalError, match="locked"):
        patience(sqlite3.SQLITE_BUSY, 7, 7)
