"""Every address is laid out; accounts, what is not there, and signs that no address holds."""

import pytest
from django.test import Client
from django.urls import reverse

from inventory.house.access import ROLES, add_person, role_of
from inventory.house.areas import areas as declared
from tests.house.world import ADDRESSES, World, named_addresses

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("world")]


def test_every_address_is_in_the_table():
    named = list(named_addresses())
    assert sorted(named) == sorted(ADDRESSES)
    assert len(named) == len(set(named))


# --- accounts --------------------------------------------------------------------------------------------------------


def test_an_account_without_a_role_sees_nothing(world, django_user_model):
    client = Client()
    client.force_login(django_user_model.objects.create_user("nobody"))
    answer = client.get("/")
    assert answer.status_code == 403
    assert world.tube.tag not in answer.content.decode()


def test_a_superuser_is_a_keeper(world, django_user_model):
    person = django_user_model.objects.create_superuser("chief")
    client = Client()
    client.force_login(person)
    assert role_of(person) == "keeper"
    assert client.get(world.address("holdings:tube-change")).status_code == 200


def test_logging_in_and_out(keeper):
    keeper.set_password("pass-Word-of-a-test")
    keeper.save()
    client = Client(enforce_csrf_checks=True)
    token = client.get("/log-in/").cookies["csrftoken"].value
    wrong = {"username": "a-keeper", "password": "wrong", "csrfmiddlewaretoken": token}
    assert client.post("/log-in/", wrong).status_code == 200
    assert client.get("/").status_code == 302
    answer = client.post("/log-in/", wrong | {"password": "pass-Word-of-a-test"})
    assert (answer.status_code, answer.url) == (302, "/")
    page = client.get("/")
    assert page.status_code == 200
    assert client.post("/log-out/", {"csrfmiddlewaretoken": page.context["csrf_token"]}).status_code == 302
    assert client.get("/").status_code == 302


def test_roles_are_laid_out_from_the_models_own_permissions(visitor, helper, keeper):
    verbs = {role: set() for role in ROLES}
    for person in (visitor, helper, keeper):
        verbs[role_of(person)] = {name.split(".")[1].split("_")[0] for name in person.get_all_permissions()}
        areas = {name.split(".")[0] for name in person.get_all_permissions()}
        assert {"tubes", "holdings", "sets", "pairing"} <= areas <= set(declared())  # never accounts or sessions
    assert verbs["visitor"] == {"view"} and verbs["helper"] == {"view", "add"}
    assert verbs["keeper"] == {"view", "add", "change", "delete"}


def test_the_highest_role_counts(helper):
    from django.contrib.auth.models import Group

    helper.groups.add(Group.objects.get(name="keeper"))
    assert role_of(helper) == "keeper"
    with pytest.raises(ValueError, match="'owner' is no role"):
        add_person("x", "owner", None)


def test_health_says_nothing_of_the_collection():
    answer = Client().get("/health/")
    assert (answer.status_code, answer.content) == (200, b"ok")


# --- what is not there -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "address",
    [
        "/tubes/T-9999/",
        "/sets/C-9999/",
        "/units/U-9999/",
        "/companions/K-9999/",
        "/places/999999/",
        "/set-models/99999999999999999999/",
        "/types/no such type/",
        "/things/T-9999/move/",
        "/fittings/999999/out/",
        "/nowhere/",
    ],
)
def test_what_is_not_there_is_said_so(as_keeper, address):
    answer = as_keeper.get(address)
    assert answer.status_code == 404
    assert "Nothing here" in answer.content.decode()


def test_a_position_of_another_set_is_not_there(world, as_keeper):
    other = World("other")
    assert as_keeper.get(reverse("sets:tube-fit", args=[world.chassis.tag, other.position.pk])).status_code == 404
    assert as_keeper.get(reverse("sets:seat", args=[world.chassis.tag, other.bay.pk])).status_code == 404


@pytest.mark.usefixtures("reference")
def test_a_type_with_a_stroke_in_its_name_has_its_pages(as_keeper):
    """5B/254M and QE06/50 are written so in fixtures/reference/designations.csv."""
    for name in ("tubes:type", "tubes:type-change", "tubes:designation-add", "tubes:rating-write"):
        answer = as_keeper.get(reverse(name, args=["5B/254M"]))
        assert answer.status_code == 200 and "5B/254M" in answer.content.decode()


@pytest.mark.parametrize("name", ["holdings:tube-list", "tubes:type-list", "sets:chassis-list", "sets:unit-list"])
@pytest.mark.parametrize("page", ["0", "99999", "last", ""])
def test_a_sheet_out_of_range_is_the_nearest(world, as_visitor, name, page):
    assert as_visitor.get(world.address(name), {"page": page}).status_code == 200


NAMED = sorted(
    {name for name, (_, *inside) in ADDRESSES.items() if any(part.endswith((".tag", ".name")) for part in inside)}
)


@pytest.mark.parametrize("name", NAMED)
def test_a_nul_in_an_address_is_not_there(as_keeper, world, name):
    """PostgreSQL holds no NUL in a text and refuses to be asked for one: its manual, 8.3 Character Types."""
    tag = world.address(name).replace(world.tube.tag, "T%00").replace(world.chassis.tag, "C%00")
    address = tag if "%00" in tag else f"{tag.rstrip('/')}%00/"
    assert as_keeper.get(address).status_code == 404


@pytest.mark.parametrize(
    "address", ["/tubes/", "/parts/", "/wants/", "/tests/", "/pairings/", "/matching/", "/labels/"]
)
def test_a_nul_in_a_question_is_left_out(as_visitor, address):
    for name in ("text", "type", "q", "chassis", "tags", "state", "place"):
        assert as_visitor.get(f"{address}?{name}=6SN%00").status_code in (200, 422)
    assert as_visitor.get("/tubes/?text=6S%00N7").context["filter"].data["text"] == "6SN7"
