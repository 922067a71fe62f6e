"""A database laid out at once is as one that was migrated (that both have the same tables: tests/frontpage)."""

import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest
from django.conf import settings
from django.db import connection

from tests.frontpage.test_commands import laid_out


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL's tables are migrated")
@pytest.mark.django_db
def test_laid_out_at_once_is_as_migrated(house_for, tmp_path):
    around = house_for(tmp_path)
    (tmp_path / "filamentry.sqlite3").unlink()

    def manage(*words):
        program = [sys.executable, str(settings.BASE_DIR / "manage.py"), *words]
        return subprocess.run(program, env=around, capture_output=True, text=True, check=True).stdout

    assert json.loads(manage("make_tables", "--json")) == {"ready": True}
    manage("migrate", "--check")  # ends with 1 where a migration is open
    with closing(sqlite3.connect(tmp_path / "filamentry.sqlite3")) as made, connection.cursor() as cursor:
        assert laid_out(lambda asked: made.execute(asked).fetchall()) == laid_out(
            lambda asked: cursor.execute(asked).fetchall()
        )
        for table in ("auth_group", "auth_permission", "django_migrations"):
            there, here = (one.execute(f"SELECT count(*) FROM {table}").fetchone() for one in (made, cursor))
            assert there == here and there[0]


BREAKS_OFF = """
import django
django.setup()
from django.db.models import QuerySet
from inventory.demo.actions.laying_out import bring_up_to_date
def breaks_off(*_, **__):
    raise SystemExit(3)
QuerySet.bulk_create = breaks_off
bring_up_to_date()
"""


@pytest.mark.skipif(connection.vendor != "sqlite", reason="PostgreSQL's tables are migrated")
def test_a_start_broken_off_is_made_good_by_the_next(tmp_path):
    """Broken off where the migrations are recorded: the next start finds an empty database, or a whole one."""
    around = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    around |= {"FILAMENTRY_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "inventory.settings"}

    def ended(*words):
        return subprocess.run([sys.executable, *words], env=around, cwd=settings.BASE_DIR, capture_output=True)

    assert ended("-c", BREAKS_OFF).returncode == 3
    again = ended("manage.py", "make_tables", "--json")
    assert again.returncode == 0, again.stderr.decode()
    assert ended("manage.py", "migrate", "--check").returncode == 0
