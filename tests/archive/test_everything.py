"""The archive of a collection that has something of everything: out, into an empty database, out again, the same.

The collection is made once for the tests of this file; each of them is rolled back to it.
"""

import hashlib
import json
import os
import re
import shutil
import time
import zipfile
from datetime import datetime, timedelta

import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction
from django.test.utils import override_settings

from inventory.archive.actions.out import PEOPLE, export_collection, media_store
from inventory.archive.actions.take_in import import_collection
from inventory.archive.queries.specs import SPECS
from inventory.holdings.models import Paper, Tube
from inventory.house.access import add_person, role_of
from tests.archive.packs import MANIFEST, members, run, same, there_and_back
from tests.archive.world import age, empty, fill
from tests.shared import settled
from tubes.actions import load_reference


@pytest.fixture(scope="module")
def filled_once(django_db_setup, django_db_blocker, tmp_path_factory):
    """The collection, and where its files lie."""
    folder = tmp_path_factory.mktemp("filled")
    with override_settings(MEDIA_ROOT=folder), django_db_blocker.unblock(), transaction.atomic():
        assert not load_reference(settings.REFERENCE_DIR).faults
        fill()
        age()
        yield settled(folder)
        transaction.set_rollback(True)


@pytest.fixture
def media(tmp_path, settings):
    settings.MEDIA_ROOT = tmp_path / "media"
    return settings.MEDIA_ROOT


@pytest.fixture
def filled(filled_once, media, db):
    """The collection with files of this test's own, which it may spoil."""
    shutil.copytree(filled_once, media)


def test_a_collection_of_everything(filled, tmp_path, media):
    before, after = there_and_back(tmp_path)
    for spec in SPECS:
        assert before[spec.file], f"nothing of {spec.member} in the test's own collection"
    same(before, after)
    assert sum(name.startswith("media/") for name in after) == 5
    assert all((media / name.removeprefix("media/")).read_bytes() == after[name] for name in after if "media/" in name)


def test_the_same_content_gives_the_same_bytes(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    export_collection(tmp_path / "b.zip")
    same(members(tmp_path / "a.zip"), members(tmp_path / "b.zip"))


def test_no_number_of_the_database_goes_out(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    for name, body in members(tmp_path / "a.zip").items():
        for line in body.splitlines() if name.startswith("data/") else ():
            row = json.loads(line)
            assert not {"id", "pk", "history_id"} & set(row), name
            assert not any(key.endswith("_id") for key in row), name


def test_histories_go_out_with_who_when_and_why(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    tubes = [json.loads(line) for line in members(tmp_path / "a.zip")["data/tubes.jsonl"].splitlines()]
    history = next(row["history"] for row in tubes if row.get("type") == "ZZ9")
    assert [(h["history_type"], h["state"]) for h in history] == [("+", "good"), ("~", "weak"), ("~", "dud")]
    assert history[1]["history_user"] == "helper-2" and history[1]["history_change_reason"] == "tested"
    lots = members(tmp_path / "a.zip")["data/part_lots.jsonl"].decode()
    assert '{"of": {"gone": 1}' in lots and '{"of": "X-STAYED"' in lots


def test_reference_rows_go_out_only_where_they_are_named(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    types = [json.loads(line) for line in members(tmp_path / "a.zip")["data/types.jsonl"].splitlines()]
    assert {row["name"] for row in types} == {"ZZ9", "807", "6SN7GT"}
    assert next(row for row in types if row["name"] == "807")["hazard"] == "large bulb"


def test_people_come_with_their_role_and_cannot_log_in(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    held = members(tmp_path / "a.zip")
    kept = get_user_model().objects.get(username="margit").password.encode()
    for secret in (kept, kept.rpartition(b"$")[2], b"pbkdf2", b"pass-Word"):
        assert secret and secret not in b"".join(held.values())
    empty()
    import_collection(tmp_path / "a.zip")
    person = get_user_model().objects.get(username="margit")
    assert role_of(person) == "keeper" and not person.has_usable_password()


def test_an_account_that_is_there_stays_as_it_is(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    empty()
    mine = add_person("margit", "visitor", "my-Own-word-1")
    import_collection(tmp_path / "a.zip")
    mine.refresh_from_db()
    assert mine.check_password("my-Own-word-1") and role_of(mine) == "visitor"


def test_the_pages_can_be_read_and_name_no_other_host(filled, tmp_path):
    export_collection(tmp_path / "a.zip")
    held = members(tmp_path / "a.zip")
    page = held["index.html"].decode()
    assert "<script" not in page and "&lt;script&gt;" in page and "side &lt;b&gt;" in page
    assert "<td class=s>=01432</td>" in page
    assert "High voltage" in page
    for start in ('src="http', 'src="/', 'href="http', 'href="/', "url(", "@import"):
        assert start not in page
    pictures = [part.split('"')[0] for part in page.split('<img src="')[1:]]
    assert len(pictures) == 2 and all(name in held for name in pictures)
    readme = held["README.txt"].decode()
    assert all(spec.file in readme for spec in SPECS) and PEOPLE in readme
    head = readme.partition("Serials, tags")[0]
    assert {spec.file for spec in SPECS if spec.numbered} == set(re.findall(r"^    (data/\S+)$", head, re.MULTILINE))
    assert all(f'{name} in "{column}"' in head for spec in SPECS for column, name, _ in spec.inside)


def test_a_file_that_is_not_there_is_told_and_comes_through(filled, tmp_path):
    lost = Paper.objects.order_by("pk").first().file.name
    media_store().delete(lost)
    answer = export_collection(tmp_path / "a.zip")
    assert answer["missing_files"] == [lost]
    empty()
    assert import_collection(tmp_path / "a.zip")["missing_files"] == [lost]
    export_collection(tmp_path / "b.zip")
    same(members(tmp_path / "a.zip"), members(tmp_path / "b.zip"))


def test_another_file_of_that_name_is_not_overwritten(filled, tmp_path, media):
    export_collection(tmp_path / "a.zip")
    empty()
    name = next(name for name in members(tmp_path / "a.zip") if name.endswith(".pdf")).removeprefix("media/")
    (media / name).write_bytes(b"somebody else's")
    import_collection(tmp_path / "a.zip")
    assert (media / name).read_bytes() == b"somebody else's"
    with Paper.objects.get(kind="paper").file.open() as file:
        assert file.read().startswith(b"%PDF")


def test_an_archive_goes_into_an_empty_database_only(filled, tmp_path, snapshot):
    export_collection(tmp_path / "a.zip")
    before = snapshot()
    with pytest.raises(ValueError, match="holds things already"):
        import_collection(tmp_path / "a.zip")
    assert snapshot() == before


def test_the_commands(filled, tmp_path):
    there = run("export_collection", tmp_path / "a.zip")
    again = run("export_collection", tmp_path / "b.zip")
    assert there["content_sha256"] == again["content_sha256"]
    manifest = members(tmp_path / "a.zip")[MANIFEST]
    assert hashlib.sha256(manifest).hexdigest() == there["content_sha256"] and b"made_at" not in manifest
    with zipfile.ZipFile(tmp_path / "a.zip") as packed:  # to two seconds, as packed files keep it
        when = datetime(*packed.getinfo(MANIFEST).date_time)
    assert abs(datetime.fromisoformat(there["made_at"]).replace(tzinfo=None) - when) <= timedelta(seconds=2)
    assert there["lines"]["data/tubes.jsonl"] == Tube.objects.count() and there["files"] == 5
    empty()
    back = run("import_collection", tmp_path / "a.zip")
    assert back["lines"] == there["lines"] and back["files"] in (0, 5)


def test_what_a_killed_writing_left_behind_goes_in_time(filled, tmp_path):
    for name, seconds in ((".a.zip.old.part", 7 * 3600), (".a.zip.new.part", 60), (".b.zip.old.part", 7 * 3600)):
        (tmp_path / name).write_text("half")
        os.utime(tmp_path / name, (time.time() - seconds,) * 2)
    export_collection(tmp_path / "a.zip")
    assert sorted(path.name for path in tmp_path.glob(".*.part")) == [".a.zip.new.part", ".b.zip.old.part"]


def test_an_export_that_fails_leaves_the_earlier_archive(filled, tmp_path, monkeypatch):
    export_collection(tmp_path / "a.zip")
    before = (tmp_path / "a.zip").read_bytes()
    monkeypatch.setattr("inventory.archive.actions.out.readme", lambda: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        export_collection(tmp_path / "a.zip")
    assert (tmp_path / "a.zip").read_bytes() == before
    assert not list(tmp_path.glob("*.part")) and not list(tmp_path.glob(".*"))
