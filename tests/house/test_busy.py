"""A person whose turn does not come is told so, and nothing of theirs is half written.

The words are SQLite's own (sqlite.org/rescode.html: SQLITE_BUSY, SQLITE_LOCKED), the codes PostgreSQL's (Appendix A).
"""

import json
import subprocess
import sys
from io import StringIO

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError
from django.db import OperationalError
from django.test import RequestFactory

from inventory.house.busy import BUSY, STORE_AWAY, TellWhenBusy, is_busy, why_not_now
from inventory.house.command import AnswerCommand


def postgres(code):
    fault = OperationalError("canceling statement due to lock timeout")
    fault.__cause__ = type("OfTheDriver", (Exception,), {"sqlstate": code})()
    return fault


@pytest.mark.parametrize(
    ("fault", "busy"),
    [
        (OperationalError("database is locked"), True),
        (OperationalError("database table is locked"), True),
        (OperationalError("disk I/O error"), False),
        (OperationalError("no such table: lockers"), False),
        (ValueError("database is locked"), False),
        (postgres("55P03"), True),
        (postgres("40P01"), True),
        (postgres("57P01"), False),  # admin_shutdown
    ],
)
def test_what_counts_as_busy(fault, busy):
    assert is_busy(fault) is busy


@pytest.mark.parametrize(("way", "address"), [("post", "/tubes/add/"), ("get", "/tubes/"), ("get", "/api/bench")])
def test_what_is_said(way, address):
    request = getattr(RequestFactory(), way)(address)
    request.user, request.session = None, {}
    answer = TellWhenBusy(lambda request: None).process_exception(request, OperationalError("database is locked"))
    assert (answer.status_code, answer["Retry-After"]) == (503, "60")
    text = answer.content.decode()
    assert BUSY in text
    if address.startswith("/api/"):
        assert json.loads(text) == {"fault": BUSY}
    else:
        assert ("sent once more" in text) is (way == "post") and ('href="/tubes/"' in text) is (way == "get")
        assert "Go back" not in text  # no page is kept, so the form there is empty


def page_of(sent, **more):
    request = RequestFactory().post("/tubes/add/?next=1", sent, **more)
    request.user, request.session = None, {}
    return TellWhenBusy(lambda request: None).process_exception(request, OperationalError("database is locked"))


def test_the_page_holds_what_was_typed_and_sends_it_once_more():
    text = page_of({"marked": '8"<07', "note": "two\nlines", "kinds": ["a", "b"]}).content.decode()
    assert 'action="/tubes/add/?next=1"' in text and 'value="8&quot;&lt;07"' in text and "two\nlines" in text
    assert text.count('name="kinds"') == 2 and "Send it once more" in text


@pytest.mark.parametrize(
    ("sent", "more"),
    [
        ({"username": "margit", "password": "quite secret"}, {}),
        ({"marked": "807", "picture": SimpleUploadedFile("shelf.jpg", b"x")}, {}),
        ('{"key": "1"}', {"content_type": "application/json"}),
    ],
)
def test_what_a_page_cannot_or_must_not_hold_is_sent_again_by_the_browser(sent, more):
    text = page_of(sent, **more).content.decode()
    assert "quite secret" not in text and "<form" not in text and "Load this page again" in text


def test_a_store_that_does_not_answer():
    """The driver need not be installed to know its faults by the module they come from."""
    away = type("EndpointConnectionError", (Exception,), {"__module__": "botocore.exceptions"})
    assert why_not_now(away()) == why_not_now(type("Own", (away,), {"__module__": "storages"})()) == STORE_AWAY
    assert why_not_now(OSError("no space left")) == ""


def test_any_other_fault_stays_one():
    request = RequestFactory().get("/tubes/")
    assert TellWhenBusy(lambda request: None).process_exception(request, OperationalError("disk I/O error")) is None


def test_a_command_says_it_in_one_line():
    class Late(AnswerCommand):
        def answer(self, **options):
            raise OperationalError("database is locked")

    with pytest.raises(CommandError, match="Try again in a minute") as refusal:
        Late(stdout=StringIO()).handle(json=False)
    assert refusal.value.returncode == 1


SCRIPT = """
import sqlite3, sys, django
from django.conf import settings
settings.DATABASES["default"]["OPTIONS"]["timeout"] = 0.2  # seconds; the keeper's own wait is longer
django.setup()
from django.test import Client
from inventory.holdings.models import Tube
from inventory.house.access import add_person
client = Client(headers={"host": "localhost"})
client.force_login(add_person("margit", "keeper", None))
sent = {"marked": "807", "state": "good", "count": "1"}
other = sqlite3.connect(settings.DATABASES["default"]["NAME"])
other.execute("BEGIN IMMEDIATE")
told = client.post("/tubes/add/", sent)
print(told.status_code, "A long list is being written" in told.content.decode(), Tube.objects.count())
print(client.get("/tubes/").status_code)
other.rollback()
print(client.post("/tubes/add/", sent).status_code, Tube.objects.count())
"""


def test_a_locked_database_at_the_page(house_for, tmp_path):
    """The real thing: another connection holds the lock, readers read on, a writer is told after its wait."""
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=settings.BASE_DIR,
        env=house_for(tmp_path) | {"DJANGO_SETTINGS_MODULE": "inventory.settings"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.split("\n")[:3] == ["503 True 0", "200", "302 1"], done.stderr[-2000:]
