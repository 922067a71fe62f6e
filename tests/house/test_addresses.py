"""The same questions to every address: who may, does it answer, does it escape, does it grow."""

import json

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.house.access import ROLES, add_person, role_of
from inventory.house.areas import areas as declared
from tests.house.world import ADD, ADDRESSES, CHANGE, FILES, OPEN, POST_ONLY, VIEW, World, named_addresses

pytestmark = pytest.mark.django_db
PAGES = [name for name in ADDRESSES if name not in POST_ONLY]
TEXTS = [name for name in PAGES if "api-" not in name and name not in FILES]
ALLOWED = {"visitor": (VIEW,), "helper": (VIEW, ADD), "keeper": (VIEW, ADD, CHANGE)}


@pytest.fixture
def world(db):
    return World()


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


# --- what a keeper types ---------------------------------------------------------------------------------------------

NASTY = '<script>"x"&\''  # twelve characters: the shortest field of the models holds them all


# these name the thing by its tag
TAG_ONLY = (
    "holdings:fact-add",
    "holdings:hazard-add",
    "holdings:paper-add",
    "holdings:item-move",
    "holdings:item-lend",
    "holdings:item-part-with",
)


@pytest.mark.parametrize("name", [name for name in TEXTS if ADDRESSES[name][0] != OPEN])
def test_what_was_typed_never_becomes_markup(as_keeper, name):
    """Each page about a thing shows words that were typed, and always as text (OWASP: output encoding for HTML)."""
    world = World(NASTY)
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
    World(NASTY)
    for address in ("/api/tubes", "/api/pairings", "/api/bench"):
        answer = as_visitor.get(address)
        assert answer["Content-Type"] == "application/json"
        assert answer["X-Content-Type-Options"] == "nosniff"
        assert json.dumps(NASTY)[1:-1] in answer.content.decode()


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


# --- growth ----------------------------------------------------------------------------------------------------------


def populate(count, start):
    """``count`` more of everything that a list shows, all hanging on the one world."""
    from tests import factories as make
    from tests.running import rows as running

    world = start
    for number in range(count):
        place = make.PlaceFactory(parent=world.place)
        make.TubeFactory(type=world.type, place=place, state="untested")
        make.TubeFactory(type=world.type, place=world.place)
        make.TubeFactory(type=world.type)  # without a place
        kind = make.TubeTypeFactory(name=f"ZY{world.count}-{number}")
        make.DesignationFactory(type=kind)
        make.DesignationFactory(type=world.type)
        model = make.SetModelFactory()
        position = make.PositionFactory(set_model=world.model, type=kind, neutralized=True)
        make.BayFactory(set_model=world.model)
        chassis = make.ChassisFactory(model=world.model)
        make.ChassisFactory(model=model, place=place)
        unit_model = make.UnitModelFactory(fits=[world.model, model])
        unit = make.PlugInUnitFactory(model=unit_model)
        make.FittingFactory(position=position, chassis=world.chassis, tube__state="weak")
        make.FittingFactory(position=world.position, chassis=chassis, tube__state="weak")
        make.FittingFactory(
            position=world.position, chassis=chassis, tube=world.tube, until=make.days_ago(100), note=str(number)
        )
        make.SeatingFactory(bay=world.free_bay, chassis=chassis, unit=unit)
        make.NeutralizationFactory(chassis=world.chassis, unit=unit)
        make.NeutralizationFactory(chassis=chassis, unit=world.unit)
        make.DisturbanceFactory(chassis=world.chassis)
        make.DisturbanceFactory(chassis=None, unit=world.unit)
        companion_kind = make.CompanionKindFactory(set_model=world.model, name=f"coil {world.count}-{number}")
        make.CompanionKindFactory(set_model=model, name="book")
        make.CompanionFactory(kind=companion_kind, kept_with=chassis, place=world.place)
        make.CompanionFactory(kind=world.kind, mate_serial=f"{number}", kept_with=world.chassis)
        make.CompanionCheckFactory(companion=world.companion, chassis=world.chassis)
        running.grow(world, number)
        world.tube.note = f"{world.count}-{number}"
        world.tube.save()
        world.tube.item.movements.create(from_path="D1", to_path="D1", on=world.today)
    world.count += 1


@pytest.fixture
def growing(world):
    world.count = 0
    populate(10, world)
    return world


def queries(client, address):
    with CaptureQueriesContext(
        connection,
    ) as caught:
        answer = client.get(address)
    assert answer.status_code == 200
    return [query["sql"] for query in caught.captured_queries]


@pytest.mark.parametrize("name", [name for name in PAGES if ADDRESSES[name][0] != OPEN])
def test_twice_the_rows_take_no_more_questions(growing, as_keeper, name):
    address = growing.address(name)
    page = as_keeper.get(address)  # and what is asked for once only is out of the way
    if name == "frontpage:look-up":
        assert len(page.context["found"].matches) == 1 and len(page.context["pieces"]) > 20
    before = queries(as_keeper, address)
    populate(10, growing)
    after = queries(as_keeper, address)
    assert len(after) == len(before), "\n".join(sorted({q for q in after if after.count(q) > 1})[:5])
