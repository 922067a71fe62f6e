"""The database and the media store into one file, looked through after writing, and back.

A backup is for the same kind of database; to go from SQLite to PostgreSQL or back, take an archive
(``export_collection``). The secret key is not in it: after a restore on another machine people log in again.
"""

import os
import shutil
import sqlite3
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

from django.core.files import File
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from inventory.archive.actions.out import digest_in_store, media_member, media_store
from inventory.archive.actions.packed import Packer, Unpacked, in_pieces, opened, written_whole
from inventory.archive.queries.specs import holds_something
from inventory.archive.rules.members import name_fault

FORMAT, VERSION = "filamentry backup", 1
MEMBERS = {"sqlite": "database.sqlite3", "postgresql": "database.dump"}
MEDIA = "media/"
PAGES_AT_ONCE = 4096
CALLED_BEFORE = {"exchange": "lists"}
LONGEST_WAIT = 30  # seconds without a page copied


def backup(path: Path) -> dict[str, Any]:
    """Write a backup and look it through. Raises ValueError, and then no file of that name was touched."""
    engine = _engine()
    with written_whole(path) as file, tempfile.TemporaryDirectory(prefix="filamentry-") as folder:
        packer = Packer(file)
        dump = Path(folder) / MEMBERS[engine]
        _dump_sqlite(dump) if engine == "sqlite" else _dump_postgres(dump)
        _look_through(engine, dump)
        with open(dump, "rb") as source:
            packer.add(MEMBERS[engine], in_pieces(source), squeeze=engine == "sqlite")
        passed_over = _add_media(packer)
        about = {"format": FORMAT, "version": VERSION, "made_at": timezone.now().isoformat(timespec="seconds")}
        applied = sorted(f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations())
        packer.close(about | {"engine": engine, "migrations": applied})
        members = dict(packer.members)
        with opened(file, FORMAT, VERSION) as written:  # reads every byte again and compares the digests
            if written.members != members:
                raise ValueError(f"{path}: what was written is not what was read; is the disk sound?")
    return {
        "file": str(path),
        "engine": engine,
        "bytes": path.stat().st_size,
        "media_files": sum(name.startswith(MEDIA) for name in members),
        "passed_over": passed_over,
        "sha256": members[MEMBERS[engine]]["sha256"],
        "verified": True,
    }


def restore(path: Path, *, over: bool = False) -> dict[str, Any]:
    """Put a backup in the place of this database. Raises ValueError, and then the database is as it was.

    ``over``: also when this database holds something, which is then lost.
    """
    engine = _engine()
    with opened(path, FORMAT, VERSION) as packed, tempfile.TemporaryDirectory(prefix="filamentry-") as folder:
        _refuse_strangers(path, packed, engine)
        if not over and (there := _what_is_there()):
            raise ValueError(
                f"This database holds things already ({there}); nothing was touched. "
                "Back it up first, then say --over, and it is replaced."
            )
        dump = Path(folder) / MEMBERS[engine]
        with packed.zip.open(MEMBERS[engine]) as member, open(dump, "wb") as file:
            shutil.copyfileobj(member, file)
        _look_through(engine, dump)
        count = _put_media(packed)
        _load_sqlite(dump) if engine == "sqlite" else _load_postgres(dump, Path(folder))
    call_command("migrate", verbosity=0)
    return {"file": str(path), "engine": engine, "made_at": packed.manifest.get("made_at"), "media_files": count}


def _engine() -> str:
    if connection.vendor not in MEMBERS:
        raise ValueError(f"{connection.vendor}: no database that can be backed up here; SQLite and PostgreSQL can")
    return connection.vendor


def _what_is_there() -> str:
    """What would be lost: things, knowledge of the keeper's own, accounts. A database without tables holds nothing."""
    tables = set(connection.introspection.table_names())
    if not tables:
        return ""
    if "django_migrations" not in tables:
        return "tables of another program"
    recorder = MigrationRecorder(connection)
    if set(recorder.applied_migrations()) >= set(MigrationLoader(connection).disk_migrations):
        from django.contrib.auth import get_user_model  # only asked for when its table is there

        return holds_something() or ("accounts" if get_user_model().objects.exists() else "")
    return "rows of another version of this program"


def _refuse_strangers(path: Path, packed: Unpacked, engine: str) -> None:
    found = packed.manifest.get("engine")
    if found != engine or MEMBERS[engine] not in packed.members:
        raise ValueError(
            f"{path}: a backup of {found}, and this database is {engine}. Set DATABASE_URL to a {found} database, or "
            "take an archive there (export_collection) and import it here (import_collection)."
        )
    for name in packed.members:
        if name != MEMBERS[engine] and not name.startswith(MEDIA):
            raise ValueError(f"{path}: {name}: no member that this version knows")
    known = {f"{app}.{name}" for app, name in MigrationLoader(None).disk_migrations}
    applied = packed.manifest.get("migrations")
    if not isinstance(applied, list) or (later := [name for name in applied if _now_called(name) not in known]):
        what = ", ".join(map(str, later[:3])) if isinstance(applied, list) else "no list of migrations"
        raise ValueError(
            f"{path}: made by a later version of this program ({what}); bring the program up to date first"
        )


def _now_called(migration: object) -> str:
    """The name of a migration today; its area may have had another name when the backup was made."""
    area, _, name = str(migration).partition(".")
    return f"{CALLED_BEFORE.get(area, area)}.{name}"


# --- media ------------------------------------------------------------------------------------------------------------


def _names_in_store(folder: str = "") -> Iterator[str]:
    try:
        folders, files = media_store().listdir(folder)
    except FileNotFoundError:
        return
    for name in sorted(files):
        yield f"{folder}/{name}" if folder else name
    for name in sorted(folders):
        yield from _names_in_store(f"{folder}/{name}" if folder else name)


def _add_media(packer: Packer) -> list[str]:
    """Every file of the store. Returns the names that cannot stand in a packed file; papers never have such."""
    store, passed_over = media_store(), []
    for name in _names_in_store():
        if name_fault(name):
            passed_over.append(name)
            continue
        with store.open(name) as file:
            packer.add(media_member(name), in_pieces(file), squeeze=False)
    return passed_over


def _put_media(packed: Unpacked) -> int:
    """Put the files back under their names; one that is there and the same stays. Files of later days stay too."""
    store, count = media_store(), 0
    for member, about in packed.members.items():
        if not member.startswith(MEDIA):
            continue
        name = member.removeprefix(MEDIA)
        count += 1
        if store.exists(name):
            if digest_in_store(store, name) == about["sha256"]:
                continue
            store.delete(name)
        with packed.zip.open(member) as file:
            kept = store.save(name, File(file))
        if kept != name:
            raise ValueError(f"{name}: the media store keeps it as {kept}; the database was not touched")
    return count


# --- SQLite -----------------------------------------------------------------------------------------------------------


def _raw() -> sqlite3.Connection:
    connection.ensure_connection()
    return connection.connection  # type: ignore[return-value]


class _Patience:
    """SQLite waits without end for a lock; this ends a copy that has not come on for a while."""

    def __init__(self) -> None:
        self.left, self.since = -1, time.monotonic()

    def __call__(self, status: int, remaining: int, total: int) -> None:
        if remaining != self.left:
            self.left, self.since = remaining, time.monotonic()
        elif time.monotonic() - self.since > LONGEST_WAIT:
            raise sqlite3.OperationalError(f"locked by another program for {LONGEST_WAIT} s")


def _dump_sqlite(dump: Path) -> None:
    """The online backup of SQLite: others may go on reading and writing, the copy is of one moment."""
    try:
        with closing(sqlite3.connect(dump)) as copy:
            _raw().backup(copy, pages=PAGES_AT_ONCE, progress=_Patience())
            copy.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.Error as fault:
        raise ValueError(f"The database could not be copied: {fault}") from fault


def _load_sqlite(dump: Path) -> None:
    """The same the other way round: one transaction of SQLite, so a crash leaves the database as it was."""
    try:
        with closing(sqlite3.connect(dump)) as copy:
            copy.backup(_raw(), progress=_Patience())
    except sqlite3.Error as fault:
        raise ValueError(f"The database could not be replaced ({fault}); it is as it was. Is it in use?") from fault
    connection.close()


def _look_through(engine: str, dump: Path) -> None:
    if engine == "postgresql":
        _run(["pg_restore", "--list", str(dump)])
        return
    try:
        with closing(sqlite3.connect(dump)) as copy:
            said = [row[0] for row in copy.execute("PRAGMA integrity_check")]
            tables = {row[0] for row in copy.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    except sqlite3.DatabaseError as fault:
        raise ValueError(f"The copy of the database is damaged: {fault}") from fault
    if said != ["ok"]:
        raise ValueError(f"The copy of the database is damaged: {'; '.join(said[:3])}")
    if "django_migrations" not in tables:
        raise ValueError("The copy holds no tables of this program.")


# --- PostgreSQL -------------------------------------------------------------------------------------------------------


def _tool(name: str) -> str:
    """A program of PostgreSQL: on the path, or the newest of the usual folders."""
    if found := shutil.which(name):
        return found
    every = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), key=lambda file: file.parent.parent.name)
    if every:
        return str(every[-1])
    raise ValueError(f"{name} is needed and not here; install the client programs of PostgreSQL")


def _surroundings(told: dict[str, Any]) -> dict[str, str]:
    """Where the database is, in the variables that PostgreSQL's own programs read: no password on a command line."""
    names = {"PGHOST": "HOST", "PGPORT": "PORT", "PGUSER": "USER", "PGPASSWORD": "PASSWORD", "PGDATABASE": "NAME"}
    given = {name: str(told[key]) for name, key in names.items() if told.get(key)}
    options = {"PGSSLMODE": "sslmode", "PGSSLROOTCERT": "sslrootcert", "PGSSLCERT": "sslcert", "PGSSLKEY": "sslkey"}
    given |= {name: str(told["OPTIONS"][key]) for name, key in options.items() if key in told.get("OPTIONS", {})}
    return os.environ | given


def _run(words: list[str]) -> None:
    """Run a program of PostgreSQL. Raises ValueError with its last words."""
    done = subprocess.run(
        [_tool(words[0]), *words[1:]],
        env=_surroundings(connection.settings_dict),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        errors="replace",
        check=False,
    )
    if done.returncode:
        said = " ".join(done.stderr.split())[-400:]
        raise ValueError(f"{words[0]} ended with {done.returncode}: {said}")


def _dump_postgres(dump: Path) -> None:
    _run(["pg_dump", "--format=custom", "--no-owner", "--no-privileges", f"--file={dump}"])


def _load_postgres(dump: Path, folder: Path) -> None:
    """Drop the tables and load the dump, in one transaction: an error leaves the database as it was."""
    quote = connection.ops.quote_name
    before, script = folder / "before.sql", folder / "dump.sql"
    tables = connection.introspection.table_names()
    before.write_text("".join(f"DROP TABLE IF EXISTS {quote(name)} CASCADE;\n" for name in tables), encoding="utf-8")
    connection.close()
    _run(["pg_restore", "--no-owner", "--no-privileges", f"--file={script}", str(dump)])
    words = ["psql", "--no-psqlrc", "--quiet", "--set=ON_ERROR_STOP=1", "--single-transaction"]
    _run([*words, f"--file={before}", f"--file={script}"])
