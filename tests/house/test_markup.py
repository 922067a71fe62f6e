"""What a keeper types never becomes markup. One world in which every text is nasty serves all of these tests."""

import json

import pytest
from django.db import transaction

from tests.house.world import ADDRESSES, FILES, OPEN, POST_ONLY, World

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("world")]
TEXTS = [name for name in ADDRESSES if name not in POST_ONLY and "api-" not in name and name not in FILES]
NASTY = '<script>"x"&\''  # twelve characters: the shortest field of the models holds them all


@pytest.fixture(scope="module")
def one_world(django_db_setup, django_db_blocker):
    with django_db_blocker.unblock(), transaction.atomic():
        yield World(NASTY)
        transaction.set_rollback(True)


# these name the thing by its tag
TAG_ONLY = (
    "frontpage:group",  # nothing on it was typed
    "holdings:fact-add",
    "holdings:hazard-add",
    "holdings:item-hazard-check",
    "holdings:paper-add",
    "holdings:item-move",
    "holdings:item-lend",
    "holdings:item-borrow",
    "holdings:item-part-with",
    "holdings:item-mistake",
    "holdings:item-left",
    "holdings:condition-add",
)


@pytest.mark.parametrize("name", [name for name in TEXTS if ADDRESSES[name][0] != OPEN])
def test_what_was_typed_never_becomes_markup(world, as_keeper, name):
    """Each page about a thing shows words that were typed, and always as text (OWASP: output encoding for HTML)."""
    text = as_keeper.get(world.address(name)).content.decode()
    assert NASTY not in text
    assert "<script>&" not in text and '<script>"' not in text
    if ADDRESSES[name][1:] and name not in TAG_ONLY:
        assert "&lt;script&gt;" in text


def test_what_was_asked_never_becomes_markup(as_visitor, reference):
    for address, query in (("/look-up/", "q"), ("/tubes/", "text"), ("/pairings/", "chassis"), ("/types/", "text")):
        text = as_visitor.get(address, {query: NASTY}).content.decode()
        assert NASTY not in text and '<script>"' not in text
    assert "&lt;script&gt;" in as_visitor.get("/look-up/", {"q": NASTY}).content.decode()


def test_json_is_no_page(as_visitor):
    for address in ("/api/tubes", "/api/pairings", "/api/bench"):
        answer = as_visitor.get(address)
        assert answer["Content-Type"] == "application/json"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert json.dumps(NASTY)[1:-1] in answer.content.decode()
