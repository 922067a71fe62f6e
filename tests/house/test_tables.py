"""A database laid out at once is as one that was migrated: as ``start`` makes it, and as these tests run on it."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from django.conf import settings
from django.db import connection

SAME_COUNTS = ("auth_group", "auth_permission", "django_migrations", "django_content_type")


def manage(around, *words):
    program = [sys.executable, str(settings.BASE_DIR / "manage.py"), *words]
    return subprocess.run(program, env=around, capture_output=True, text=True, check=True).stdout


def on_its_own(folder, **more):
    around = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    return around | {"FILAMENTRY_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "inventory.settings"} | more


def sqlite_tables(asked):
    """Columns, keys and indexes of every table. Sorted: a column that came later stands last where it was added.

    ``asked`` runs one question; its pragmas: sqlite.org, "PRAGMA Statements".
    """
    found = {}
    for (table,) in asked("SELECT name FROM sqlite_master WHERE type = 'table'"):
        indexes = [
            (unique, origin, partial, asked(f"SELECT name FROM pragma_index_info('{name}') ORDER BY seqno"))
            for _, name, unique, origin, partial in asked(f"SELECT * FROM pragma_index_list('{table}')")
        ]
        found[table] = {
            "columns": sorted(row[1:] for row in asked(f"SELECT * FROM pragma_table_info('{table}')")),
            "keys": sorted(row[2:] for row in asked(f"SELECT * FROM pragma_foreign_key_list('{table}')")),
            "indexes": sorted(indexes),
        }
    return found


def postgres_tables(asked):
    """As ``sqlite_tables``; postgresql.org, "The Information Schema" and "System Catalog Information Functions".

    Without the row numbers of Django's own "auth": migrating gives its tables of pairs the width that is our default.
    """
    columns = asked(
        "SELECT table_name, column_name, data_type, character_maximum_length, numeric_precision, numeric_scale,"
        " is_nullable, is_identity, column_default FROM information_schema.columns WHERE table_schema = 'public'"
        " AND NOT (table_name LIKE 'auth_%' AND column_name = 'id')"
    )
    rules = asked(
        "SELECT conrelid::regclass::text, contype, pg_get_constraintdef(oid) FROM pg_constraint"
        " WHERE connamespace = 'public'::regnamespace"
    )
    indexes = asked(
        "SELECT tablename, regexp_replace(indexdef, 'INDEX .* ON ', 'INDEX ON ') FROM pg_indexes"
        " WHERE schemaname = 'public'"
    )
    return {"columns": sorted(map(str, columns)), "rules": sorted(rules), "indexes": sorted(indexes)}


def here(question):
    with connection.cursor() as cursor:
        cursor.execute(question)
        return cursor.fetchall()


def count(asked, table):
    ((number,),) = asked(f"SELECT count(*) FROM {table}")
    return number


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL has its own below")
@pytest.mark.django_db
def test_tables_of_sqlite(tmp_path):
    """As ``start`` makes them; as migrating makes them: tests/archive/test_version_before.py."""
    around = on_its_own(tmp_path)
    manage(around, "make_tables")
    manage(around, "migrate", "--check")  # ends with 1 where a migration is open
    with closing(sqlite3.connect(tmp_path / "filamentry.sqlite3")) as made:

        def there(question):
            return made.execute(question).fetchall()

        as_here(there)


def as_here(there):
    """The tables of a SQLite database are those of the tests, and hold as much of what Django keeps there itself."""
    if connection.vendor == "sqlite":
        assert sqlite_tables(there) == sqlite_tables(here)
        assert [count(there, table) for table in SAME_COUNTS] == [count(here, table) for table in SAME_COUNTS]


@pytest.fixture
def another():
    """The address of a new, empty database beside that of the tests, and how to ask it."""
    import psycopg
    from psycopg import sql

    one = connection.settings_dict
    name = f"{one['NAME']}_migrated"
    server = {"host": one["HOST"], "port": one["PORT"], "user": one["USER"], "password": one["PASSWORD"] or None}
    with closing(psycopg.connect(**server, dbname="postgres", autocommit=True)) as own:
        own.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))
        own.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        try:
            with closing(psycopg.connect(**server, dbname=name, autocommit=True)) as made:
                address = f"postgres://{one['USER']}:{one['PASSWORD']}@{one['HOST']}:{one['PORT']}/{name}"
                yield address, lambda question: made.execute(question).fetchall()
        finally:
            own.execute(sql.SQL("DROP DATABASE {}").format(sql.Identifier(name)))


@pytest.mark.skipif(connection.vendor != "postgresql", reason="SQLite has its own above")
@pytest.mark.parametrize("command", ["migrate", "make_tables"])
@pytest.mark.django_db
def test_tables_of_postgresql(command, tmp_path, another):
    address, there = another
    around = on_its_own(tmp_path, DATABASE_URL=address)
    manage(around, command)
    manage(around, "migrate", "--check")
    made, ours = postgres_tables(there), postgres_tables(here)
    for what in made:
        assert made[what] == ours[what], what
    assert [count(there, table) for table in SAME_COUNTS] == [count(here, table) for table in SAME_COUNTS]


BREAKS_OFF = """
import django
django.setup()
from django.db.models import QuerySet
from inventory.house.tables import bring_up_to_date
def breaks_off(*_, **__):
    raise SystemExit(3)
QuerySet.bulk_create = breaks_off
bring_up_to_date()
"""


@pytest.mark.own_file
def test_a_start_broken_off_is_made_good_by_the_next(tmp_path):
    """Broken off where the migrations are recorded: the next start finds an empty database, or a whole one."""
    around = on_its_own(tmp_path)

    def ended(*words):
        return subprocess.run([sys.executable, *words], env=around, cwd=settings.BASE_DIR, capture_output=True)

    assert ended("-c", BREAKS_OFF).returncode == 3
    again = ended("manage.py", "make_tables", "--json")
    assert again.returncode == 0, again.stderr.decode()
    assert ended("manage.py", "migrate", "--check").returncode == 0
