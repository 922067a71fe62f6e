"""Who may open each address, and what no page ever names. One world serves all of these tests."""

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from inventory.house.access import add_person
from tests.house.world import ADD, ADDRESSES, CHANGE, FILES, GET_ONLY, OPEN, POST_ONLY, VIEW

pytestmark = pytest.mark.django_db
PAGES = [name for name in ADDRESSES if name not in POST_ONLY]
TEXTS = [name for name in PAGES if "api-" not in name and name not in FILES]
ALLOWED = {"visitor": (VIEW,), "helper": (VIEW, ADD), "keeper": (VIEW, ADD, CHANGE)}


@pytest.fixture(scope="module")
def logged_in(one_world):
    """A client for each role, logged in once for the tests of the file."""
    made = {}
    for role in ALLOWED:
        made[role] = Client()
        made[role].force_login(add_person(role, role, None))
    return made


@pytest.fixture
def clients(logged_in, db):
    return logged_in


# --- who may ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ADDRESSES)
def test_nobody_sees_anything_before_logging_in(world, snapshot, name):
    before = snapshot()
    address = world.address(name)
    for answer in (Client().get(address), Client().post(address)):
        if ADDRESSES[name][0] == OPEN:
            assert answer.status_code == 200
        else:
            assert answer.status_code == 302
            assert answer.url.startswith(reverse("login"))
            assert answer.content == b""
    assert snapshot() == before


@pytest.mark.parametrize("name", PAGES)
def test_each_role_sees_what_it_may(world, clients, name):
    for role, client in clients.items():
        needed = ADDRESSES[name][0]
        expected = 200 if needed == OPEN or needed in ALLOWED[role] else 403
        assert client.get(world.address(name)).status_code == expected, role


@pytest.mark.parametrize("name", [name for name in ADDRESSES if ADDRESSES[name][0] in (ADD, CHANGE)])
def test_a_post_needs_the_same_role(world, clients, snapshot, name):
    before = snapshot()
    for role, client in clients.items():
        if ADDRESSES[name][0] not in ALLOWED[role]:
            assert client.post(world.address(name), {"name": "forced"}).status_code == 403, role
    assert snapshot() == before


@pytest.mark.parametrize("name", POST_ONLY)
def test_what_changes_without_a_form_answers_post_only(world, clients, snapshot, name):
    before = snapshot()
    assert clients["keeper"].get(world.address(name)).status_code == 405
    assert snapshot() == before


@pytest.mark.parametrize("name", GET_ONLY)
def test_the_api_answers_get_only(world, clients, name):
    assert clients["keeper"].post(world.address(name)).status_code == 405


@pytest.mark.parametrize("name", [n for n in ADDRESSES if ADDRESSES[n][0] in (ADD, CHANGE)] + ["login", "logout"])
def test_a_form_of_another_site_changes_nothing(world, keeper, snapshot, name):
    client = Client(enforce_csrf_checks=True)
    if name != "login":
        client.force_login(keeper)
    before = snapshot()
    answer = client.post(world.address(name), {"name": "forged", "username": "a-keeper"})
    assert answer.status_code == 403
    assert snapshot() == before


# --- what no page names ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [name for name in TEXTS if name != "frontpage:health"])
def test_no_page_names_another_host(world, clients, name):
    text = clients["keeper"].get(world.address(name)).content.decode()
    for start in ('src="http', 'src="//', 'href="http', 'href="//', "url(http", "@import"):
        assert start not in text
    assert settings.STATIC_URL in text
