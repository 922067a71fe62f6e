"""A database laid out at once is as one that was migrated (that both have the same tables: tests/frontpage)."""

import json
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
