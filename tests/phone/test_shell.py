"""What opens without a signal holds nothing of anybody; what logs out leaves nothing (Clear Site Data, W3C)."""

import json

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import clear_script_prefix, set_script_prefix

from inventory.phone.queries import account_mark
from inventory.phone.queries.kept_files import NAMES, kept_files
from tests.factories import TubeFactory

pytestmark = pytest.mark.django_db


def test_the_page_is_the_same_for_everybody(as_keeper):
    TubeFactory(marked="QX-99881")
    nobody, somebody = Client().get("/phone/"), as_keeper.get("/phone/")
    assert nobody.content == somebody.content and "sessionid" not in nobody.cookies
    assert "a-keeper" not in somebody.content.decode() and "csrf" not in somebody.content.decode()


def test_the_worker_keeps_that_page_and_its_files_alone():
    answer = Client().get("/worker.js")
    assert answer["Content-Type"] == "text/javascript" and answer["Cache-Control"] == "no-cache"
    text = answer.content.decode()
    told = json.loads(text[text.index("const KEPT = ") + 13 : text.index(";\nconst NAME")])
    assert told["shell"] == "/phone/" and told["files"] == kept_files()
    assert all(finders.find(f"filamentry/{name}") for name in NAMES)


def test_the_page_loads_only_what_the_worker_keeps():
    text = Client().get("/phone/").content.decode()
    loaded = {part.split('"')[0] for part in text.split('"/static/')[1:]}
    assert {f"/static/{name}" for name in loaded} <= set(kept_files())


def test_another_file_makes_another_worker(monkeypatch):
    from inventory.phone import views

    before = Client().get("/worker.js").content
    monkeypatch.setattr(views, "files_digest", lambda: "another")
    assert Client().get("/worker.js").content != before


def test_the_manifest_names_what_is_there():
    told = json.loads(Client().get("/filamentry.webmanifest").content)
    assert told["scope"] == "/" and told["start_url"] == "/phone/"
    assert all(finders.find(icon["src"].removeprefix("/static/")) for icon in told["icons"])


def test_pages_are_kept_by_no_browser_and_log_out_clears(as_keeper):
    assert "no-store" in as_keeper.get("/")["Cache-Control"]
    assert "no-store" in as_keeper.get("/tubes/")["Cache-Control"]
    left = as_keeper.post("/log-out/")
    assert (left["Clear-Site-Data"], left["Location"]) == ('"cache"', "/log-in/?left=1")


def test_every_page_says_whose_it_is(as_keeper, keeper):
    """By which a phone that another account had forgets that one's things, before anything of it is shown."""
    assert f'data-account="{account_mark(keeper)}"' in as_keeper.get("/tubes/").content.decode()
    assert "data-account" not in Client().get("/log-in/").content.decode()


def test_a_house_below_a_path_has_its_addresses_there(as_keeper):
    set_script_prefix("/bench/")
    try:
        text = as_keeper.get("/tubes/").content.decode()
        shell = as_keeper.get("/phone/").content.decode()
    finally:
        clear_script_prefix()
    assert 'data-to-send="/bench/phone/send/"' in text and 'data-to-along="/bench/api/phone"' in text
    assert 'data-leave="/bench/log-in/?left=1"' in text and 'data-to-worker="/bench/worker.js"' in shell


def test_a_photograph_is_asked_for_again_and_not_sent_again(as_keeper):
    """RFC 9110, 8.8.3: what a browser has kept it shows only where the house says that it may still."""
    from tests.house.world import World

    world = World()
    address = world.address("holdings:paper-file")
    first = as_keeper.get(address)
    assert first["Cache-Control"] == "private, no-cache"
    assert as_keeper.get(address, headers={"If-None-Match": first["ETag"]}).status_code == 304
    assert Client().get(address, headers={"If-None-Match": first["ETag"]}).status_code == 302
