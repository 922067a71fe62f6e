"""Fixtures of the whole suite. Nothing of Django is imported here: the rule tests run without it."""

import gc
import json
import os
from collections import Counter
from collections.abc import Mapping
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path

import pytest
from hypothesis import HealthCheck
from hypothesis import settings as property_settings

# No test is timed: a busy machine makes no fault.
property_settings.register_profile("untimed", deadline=None, suppress_health_check=[HealthCheck.too_slow])
property_settings.load_profile("untimed")


# Files that take longest begin first, so that several workers end together; the number of tests says little of it.
LONGEST = """
    house/test_growth archive/test_archive_changes archive/test_archive sets/test_substitutes demo/test_demo
    pairing/rules/test_null holdings/test_labels house/test_access tubes/rules/test_stamp house/test_forms
    pairing/rules/test_fold lists/test_importing_crash frontpage/test_commands archive/test_backup
    browser/test_browser house/test_tables lists/test_importing pairing/rules/test_null_near
    house/test_without_history archive/test_version_before house/test_corrections tubes/rules/test_judge
    lists/test_taking_over tubes/rules/test_judge_search demo/test_benchmarks
""".split()


def pytest_configure(config):
    if hasattr(config.option, "loadscopereorder"):  # of xdist: files by their number of tests
        config.option.loadscopereorder = False


def pytest_collection_modifyitems(config, items):
    if os.environ.get("DATABASE_URL", "").startswith("postgres"):
        _leave_out(config, items, [item for item in items if not _asks_the_database(item)])
    if not hasattr(config, "workerinput"):
        return
    here, many = Path(__file__).parent, Counter(item.path for item in items)
    place = {here / f"{name}.py": number for number, name in enumerate(LONGEST)}
    items.sort(key=lambda item: (place.get(item.path, len(place)), -many[item.path]))


def _asks_the_database(item):
    return item.get_closest_marker("django_db") or "django_db_setup" in getattr(item, "fixturenames", ())


def _leave_out(config, items, left):
    """What asks no database is the same on PostgreSQL as on SQLite."""
    if left:
        config.hook.pytest_deselected(items=left)
        gone = set(left)
        items[:] = [item for item in items if item not in gone]


def pytest_collection_finish(session):
    """What has been collected stays to the end: Python need not look through it for cycles after every few objects."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 20, 20)


@pytest.fixture(scope="session", autouse=True)
def compiled_once(tmp_path_factory):
    """Where Python is told to write no compiled code, programs that tests start share that of the run all the same."""
    if os.environ.pop("PYTHONDONTWRITEBYTECODE", ""):
        base = tmp_path_factory.getbasetemp()
        os.environ["PYTHONPYCACHEPREFIX"] = str((base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "code")


@pytest.fixture(scope="session", autouse=True)
def style_sheets_found_once():
    """Every client of a test makes the middleware anew, which then looks at every file of style and script again."""
    try:
        from whitenoise.middleware import WhiteNoiseMiddleware
    except ImportError:  # the rules' tests run without the rest
        return
    find, found = WhiteNoiseMiddleware.add_files_from_finders, {}

    def find_once(served):
        if not found:
            find(served)
            found.update(served.files)
        served.files.update(found)

    WhiteNoiseMiddleware.add_files_from_finders = find_once


@pytest.fixture(scope="session", autouse=True)
def same_token_on_every_form():
    """Pages hold random letters against forgery, in which a test that looks for "nan" or "D7" finds it now and then."""
    try:
        from django.middleware import csrf
    except ImportError:  # the rules' tests run without Django
        return
    csrf._get_new_csrf_string = lambda: "q" * csrf.CSRF_SECRET_LENGTH


@pytest.fixture(scope="session")
def migration_modules():
    """Where the migrations lie, before pytest-django hides them."""
    from django.conf import settings

    return settings.MIGRATION_MODULES


@pytest.fixture(scope="session")
def django_db_use_migrations(migration_modules):
    """The tables are made as the models say, as ``start`` makes them, which is twenty times as quick as migrating.

    That migrating makes the same ones: tests/house/test_tables.py.
    """
    return False


@pytest.fixture(scope="session")
def django_db_setup(migration_modules, django_db_setup, django_db_blocker, tmp_path_factory):
    """The test database, with the reference tables loaded once a session (each test is rolled back to that)."""
    from django.conf import settings
    from django.contrib.auth.hashers import reset_hashers
    from django.test.signals import clear_cache_handlers

    from tubes.actions import load_reference

    settings.MIGRATION_MODULES = migration_modules  # from here on the program migrates as it always does
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # a slow hash is slow on purpose
    settings.MEDIA_ROOT = tmp_path_factory.mktemp("media")  # no test writes into the keeper's store
    settings.CACHES["progress"]["LOCATION"] = tmp_path_factory.mktemp("progress")  # nor into another run's notes
    # A third of what a small page costs is asking who it is for: in memory, for no test is about where that is kept.
    settings.CACHES["people"] = settings.CACHES["default"] | {"LOCATION": "people", "OPTIONS": {"MAX_ENTRIES": 100_000}}
    settings.SESSION_ENGINE, settings.SESSION_CACHE_ALIAS = "django.contrib.sessions.backends.cache", "people"
    clear_cache_handlers(setting="CACHES")
    reset_hashers(setting="PASSWORD_HASHERS")
    with django_db_blocker.unblock():
        _call_migrated()
        assert load_reference(settings.REFERENCE_DIR).faults == ()
        _remember_at_rest()
        _remember_tables()
        return _kept_in_a_file(tmp_path_factory.mktemp("ready"))


TABLES = {}  # the rows of the reference tables as they were loaded: (columns, rows) by the name of the table


def _remember_tables():
    from django.apps import apps
    from django.db import connection

    with connection.cursor() as cursor:
        for model in apps.get_app_config("tubes").get_models(include_auto_created=True):
            name = connection.ops.quote_name(model._meta.db_table)
            cursor.execute(f"SELECT * FROM {name}")
            columns = ", ".join(connection.ops.quote_name(column[0]) for column in cursor.description)
            told = [tuple(json.dumps(one) if isinstance(one, (dict, list)) else one for one in row) for row in cursor]
            if told:
                TABLES[name] = columns, told


def _tables_put_back():
    """Where the database was emptied, the reference tables stand again as they were loaded, row by row: to load them
    takes thirty times as long.
    """
    from django.apps import apps
    from django.core.management.color import no_style
    from django.db import connection, transaction

    from tubes.models import Designation, State

    if Designation.objects.filter(origin="table").exists():
        return
    with transaction.atomic(), connection.cursor() as cursor:
        State.objects.all().delete()
        for name, (columns, rows) in TABLES.items():
            cursor.executemany(f"INSERT INTO {name} ({columns}) VALUES ({', '.join(['%s'] * len(rows[0]))})", rows)
        for statement in connection.ops.sequence_reset_sql(no_style(), list(apps.get_app_config("tubes").get_models())):
            cursor.execute(statement)


def _kept_in_a_file(folder):
    """The database as it stands, in a SQLite file; None where it is not in SQLite."""
    import sqlite3
    from contextlib import closing

    from django.db import connection

    if connection.vendor != "sqlite":
        return None
    with closing(sqlite3.connect(folder / "filamentry.sqlite3")) as file:
        connection.connection.backup(file)
    return folder / "filamentry.sqlite3"


@pytest.fixture(scope="session")
def house_for(django_db_setup, tmp_path_factory):
    """``house_for(folder)``: the environment of a program whose data lie there, migrated and with the tables loaded."""
    import shutil
    import subprocess
    import sys

    from django.conf import settings

    def at(folder):
        around = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
        return around | {"FILAMENTRY_DATA": str(folder)}

    ready = django_db_setup
    if ready is None:
        ready = tmp_path_factory.mktemp("ready") / "filamentry.sqlite3"
        for command in ("make_tables", "load_reference"):
            program = [sys.executable, str(settings.BASE_DIR / "manage.py"), command]
            subprocess.run(program, env=at(ready.parent), stdout=subprocess.DEVNULL, check=True)

    def furnish(folder):
        folder.mkdir(parents=True, exist_ok=True)
        shutil.copy(ready, folder / ready.name)
        return at(folder)

    return furnish


def _call_migrated():
    """Tables that were made as the models say stand as migrated."""
    from django.db import connection
    from django.db.migrations.loader import MigrationLoader
    from django.db.migrations.recorder import MigrationRecorder

    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    done = recorder.applied_migrations()
    rows = [name for name in MigrationLoader(connection).disk_migrations if name not in done]
    recorder.migration_qs.bulk_create(recorder.Migration(app=app, name=name) for app, name in rows)


EMPTIED = pytest.StashKey[bool]()  # whether a test that empties the database has run since the tables were loaded


@pytest.hookimpl(trylast=True)
def pytest_runtest_teardown(item):
    marker = item.get_closest_marker("django_db")
    if (marker and marker.kwargs.get("transaction")) or "transactional_db" in getattr(item, "fixturenames", ()):
        item.config.stash[EMPTIED] = True


@pytest.fixture(scope="module", autouse=True)
def tables_again(request):
    """The reference tables are there for every file, also where one went before that empties the database."""
    if AT_REST:
        _sweep(request.getfixturevalue("django_db_blocker"))
    if not request.config.stash.get(EMPTIED, False):
        return
    with request.getfixturevalue("django_db_blocker").unblock():
        _tables_put_back()
    request.config.stash[EMPTIED] = False


def _sweep(django_db_blocker):
    """Take away from PostgreSQL what the tests before left of rows that were rolled back.

    .ci/run has told it not to do so itself: between tests it counts no row in tables of many pages, takes every join
    for one of no rows, and answers a page of a filled house in seconds.
    """
    from django.db import connection

    with django_db_blocker.unblock(), connection.cursor() as cursor:
        cursor.execute("SELECT relname FROM pg_stat_user_tables WHERE n_dead_tup > 1000")
        for (name,) in cursor.fetchall():
            cursor.execute(f"VACUUM {connection.ops.quote_name(name)}")


@pytest.fixture
def reference(db):
    """The reference tables, in a file that empties the database, too."""
    _tables_put_back()


@pytest.fixture(scope="module")
def demo_rows(django_db_setup, django_db_blocker):
    """The demo, loaded once for the tests of a file, none of which may empty the database; its rows by table."""
    from django.conf import settings
    from django.db import transaction

    from inventory.demo.actions.scenario import load_demo
    from inventory.house.access import add_person
    from tests.shared import settled
    from tubes.actions import load_reference

    with django_db_blocker.unblock(), transaction.atomic():
        assert load_reference(settings.REFERENCE_DIR).faults == ()
        yield settled(load_demo(settings.DEMO_DIR, add_person("somebody", "keeper", None)))
        transaction.set_rollback(True)


@pytest.fixture(scope="session")
def live_server(django_db_setup, live_server):
    """The server of the browser tests, begun after the test database and its settings stand, whoever asks first.

    One that began before keeps its sessions elsewhere than the tests do, and takes nobody who has logged in.
    """
    return live_server


@pytest.fixture
def live_reference(transactional_db):
    """As ``reference``, for tests that a server in another thread answers."""
    _tables_put_back()


@pytest.fixture
def today(db):
    from django.utils import timezone

    return timezone.localdate()


@pytest.fixture
def days_ago(today):
    """``days_ago(3)`` is a day in the past, so that no test depends on the date of the machine."""

    def day(number: int) -> date:
        return today - timedelta(days=number)

    return day


def _person(role):
    from inventory.house.access import add_person

    return add_person(f"a-{role}", role, None)  # hashing a password takes longer than most tests


@pytest.fixture
def visitor(db):
    return _person("visitor")


@pytest.fixture
def helper(db):
    return _person("helper")


@pytest.fixture
def keeper(db):
    return _person("keeper")


@pytest.fixture
def as_keeper(keeper):
    from django.test import Client

    client = Client()
    client.force_login(keeper)
    return client


@pytest.fixture
def as_helper(helper):
    from django.test import Client

    client = Client()
    client.force_login(helper)
    return client


@pytest.fixture
def as_visitor(visitor):
    from django.test import Client

    client = Client()
    client.force_login(visitor)
    return client


@pytest.fixture
def refused():
    """``with refused("tag", "never used again"):`` the change is refused, at that field, in those words."""
    from contextlib import contextmanager

    from django.core.exceptions import ValidationError

    @contextmanager
    def check(field, words=""):
        with pytest.raises(ValidationError) as refusal:
            yield
        assert field in refusal.value.message_dict, refusal.value.message_dict
        assert words in " ".join(refusal.value.message_dict[field])

    return check


def _our_models():
    from django.apps import apps

    from inventory.house.areas import areas

    return [m for area in areas() for m in apps.get_app_config(area).get_models(include_auto_created=True)]


def _digests_of(connection, models):
    """A digest of all rows of each table of PostgreSQL, by model, in one question."""
    quote = connection.ops.quote_name

    def asked(model):
        lines = f"md5(string_agg(t::text, chr(10) ORDER BY t.{quote(model._meta.pk.column)}))"
        return f"SELECT '{model.__name__}', concat(count(*), ' ', {lines}) FROM {quote(model._meta.db_table)} t"

    if not models:
        return {}
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(map(asked, models)))
        return dict(cursor.fetchall())


AT_REST = {}  # what each table of PostgreSQL holds before any test: the reference tables, and nothing


def _remember_at_rest():
    from django.db import connection

    if connection.vendor != "sqlite":
        AT_REST.update(_digests_of(connection, _our_models()))


def _moment(connection):
    """What SQLite has counted of changes, and the steps that are open: taking one back counts nothing."""
    return connection.connection.total_changes, tuple(connection.savepoint_ids)


class _Rows(Mapping):
    """The rows of each model at one moment, to be compared with those of another.

    Hundreds of tests ask this of a hundred tables, and few find a change. So SQLite's pages are copied and only read
    where it has counted a change since, even one that was rolled back; and in plain SQL, for making the queries takes
    longer than answering them. PostgreSQL answers with a digest of each table that this transaction has written to
    (postgresql.org, "pg_stat_xact_user_tables"): the others are as they are at rest. With the rows themselves only
    where a test asks for them (``rows``).
    """

    def __init__(self, connection, models, rows=False):
        self._models, self._vendor, self._quote = models, connection.vendor, connection.ops.quote_name
        if self._vendor == "sqlite":
            self._moment, self._pages = _moment(connection), connection.connection.serialize()
            return
        asked = models
        with connection.cursor() as cursor:
            if connection.in_atomic_block:  # else what has been written is past, and forgotten
                cursor.execute(
                    "SELECT relname FROM pg_stat_xact_user_tables WHERE n_tup_ins + n_tup_upd + n_tup_del > 0"
                )
                written = {name for (name,) in cursor.fetchall()}
                asked = [model for model in models if model._meta.db_table in written]
            if rows:
                self._rows = self._read(cursor)
        self._digests = AT_REST | _digests_of(connection, asked)

    def stands(self, connection):
        """Whether SQLite has counted no change since."""
        return self._vendor == "sqlite" and self._moment == _moment(connection)

    @cached_property
    def _rows(self):
        import sqlite3
        from contextlib import closing

        with closing(sqlite3.connect(":memory:")) as copy:
            copy.deserialize(self._pages)
            return self._read(copy.cursor())

    def _read(self, cursor):
        found = {}
        for model in self._models:
            meta = model._meta
            cursor.execute(f"SELECT * FROM {self._quote(meta.db_table)} ORDER BY {self._quote(meta.pk.column)}")
            found[model.__name__] = cursor.fetchall()
        return found

    def __eq__(self, other):
        if self._vendor == "sqlite" and (self._moment == other._moment or self._pages == other._pages):
            return True
        if self._vendor != "sqlite":
            return self._digests == other._digests
        return self._rows == other._rows

    def __getitem__(self, name):
        return self._rows[name]

    def __iter__(self):
        return (model.__name__ for model in self._models)

    def __len__(self):
        return len(self._models)


@pytest.fixture
def snapshot(db):
    """``snapshot()``: every row of our own areas, histories included, to compare before and after.

    But for the one that notes how the tables were last loaded: a load that changes nothing writes just that.
    ``snapshot(rows=True)`` where a test looks into the rows.
    """
    from django.db import connection

    models = [model for model in _our_models() if model._meta.label != "tubes.State"]
    last = []

    def take(rows=False):
        if not (last and last[0].stands(connection)):
            last[:] = [_Rows(connection, models, rows)]
        return last[0]

    return take


@pytest.fixture
def table(tmp_path, monkeypatch):
    """``table("a,b\\n...")`` is the name of a file that holds it."""
    monkeypatch.chdir(tmp_path)

    def write(content):
        Path("table.csv").write_bytes(content if isinstance(content, bytes) else content.encode())
        return "table.csv"

    return write
