"""What the areas declare, and what the house makes of it."""

import re

import pytest
from django.apps import apps
from django.urls import reverse

from inventory.holdings.models import Item
from inventory.house.areas import GROUPS, areas, kinds, patterns_by_space, present_way, thing_columns, ways, ways_of
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_every_app_of_ours_declares_itself():
    """What is not declared has no roles, no addresses and no archive."""
    ours = {config.label for config in apps.get_app_configs() if config.name.split(".")[0] in ("tubes", "inventory")}
    assert set(areas()) == ours - {"house"}


def test_the_navigation_is_seven_groups_each_with_a_page(as_visitor):
    assert 6 <= len(GROUPS) <= 7
    assert {way.group for way in ways()} == set(GROUPS)
    for group in GROUPS:
        page = as_visitor.get(group.address)
        assert page.status_code == 200, group.key
    assert len({way.label for way in ways()}) == len(ways()), "two pages of one name"


@pytest.mark.parametrize("account", ["as_visitor", "as_helper", "as_keeper"])
def test_a_group_shows_what_its_reader_may_open_and_nothing_else(account, request):
    """Every page of the navigation lies two clicks from the first page: its group, then itself."""
    client, role = request.getfixturevalue(account), account.removeprefix("as_")
    faults = []
    for group in GROUPS:
        shown = client.get(reverse("frontpage:group", args=[group.key])).content.decode()
        for way in ways():
            address = reverse(way.page)
            offered = f'<li><a href="{address}"><strong>' in shown
            own = way.page == group.page  # the first page, of its own group
            if offered != (way.group is group and way in ways_of(group, role) and not own):
                faults.append(f"{way.label} on {group.label}: offered {offered}")
    for way in ways():
        opens = client.get(reverse(way.page), follow=True).status_code == 200
        if opens != (way in ways_of(way.group, role)):
            faults.append(f"{way.label} as {role}: opens {opens}")
    assert not faults


@pytest.mark.parametrize(
    ("space", "name", "label"),
    [
        ("frontpage", "home", "Today"),
        ("holdings", "tube-change", "Tubes"),
        ("holdings", "place-count", "Stock-takes"),
        ("holdings", "place-merge", "Places"),
        ("holdings", "want-change", "Want list"),
        ("sets", "chassis", "Sets"),
        ("sets", "unit-change", "Plug-in units"),
        ("running", "chassis", "Hours of sets"),
        ("running", "test-correct", "Tests"),
        ("lists", "list-in", "Lists taken in"),
        ("lists", "list-out", "Lists in and out"),
        ("pairing", "on-air", "Pairings"),
        ("tubes", "type", "Tube types"),
        ("", "login", None),
    ],
)
def test_a_page_lies_under_the_narrowest_entry(space, name, label):
    way = present_way(space, name)
    assert (way.label if way else None) == label


def test_the_present_group_is_marked_once(as_visitor):
    page = as_visitor.get("/group/places/").content.decode()
    assert '<a href="/group/places/" aria-current="page"' in page and page.count("aria-current=") == 1
    page = as_visitor.get("/wants/").content.decode()
    assert '<a href="/group/tubes/" aria-current="true"' in page
    assert '<a href="/" aria-current="page"' in as_visitor.get("/").content.decode()


def _trail(page):
    found = re.search(r'<nav class="trail".*?</nav>', page, re.S)
    return re.findall(r">\s*([^<>\s][^<>]*?)\s*<", found.group(0)) if found else []


def test_a_trail_leads_from_the_group_to_the_page(as_keeper):
    tube, chassis = make.TubeFactory(), make.ChassisFactory()
    trail = lambda address: _trail(as_keeper.get(address).content.decode())  # noqa: E731
    assert trail("/wants/") == ["Tubes and parts", "Want list"]
    assert trail(f"/tubes/{tube.tag}/") == ["Tubes and parts", "Tubes", tube.tag]
    assert trail(f"/things/{tube.tag}/lend/") == ["Tubes and parts", "Tubes", tube.tag]
    assert trail(f"/things/{chassis.tag}/lend/") == ["Sets and units", "Sets", chassis.tag]
    assert trail("/") == trail("/group/places/") == []


def test_a_trail_names_no_page_that_its_reader_may_not_open(as_visitor):
    assert _trail(as_visitor.get("/value/papers/catalogue/").content.decode())[0] == "Desk"
    assert "What the collection is worth" not in _trail(as_visitor.get("/value/papers/catalogue/").content.decode())


def test_each_kind_of_thing_has_a_page_a_row_and_letters_of_its_own():
    letters = [kind.letters for kind in kinds().values()]
    assert {"T", "P", "C", "U", "K"} <= set(letters) and len(letters) == len(set(letters))
    assert set(Item._meta.get_field("kind").flatchoices) == {(kind.key, kind.words) for kind in kinds().values()}
    things = [
        make.TubeFactory(), make.ChassisFactory(), make.PlugInUnitFactory(), make.CompanionFactory(),
    ]  # fmt: skip
    for thing in things:
        assert thing.item.row == thing
        assert (
            thing.get_absolute_url()
            == thing.item.get_absolute_url()
            == reverse(kinds()[thing.item.kind].page, args=[thing.tag])
        )


def test_things_of_every_kind_are_named_without_another_question(django_assert_num_queries):
    for factory in (make.TubeFactory, make.ChassisFactory, make.PlugInUnitFactory, make.CompanionFactory):
        factory()
    with django_assert_num_queries(1):
        words = [item.words for item in Item.objects.select_related(*thing_columns())]
    assert len(words) == len(set(words)) == Item.objects.count()


def test_a_page_belongs_to_the_name_space_of_its_subject():
    spaces = patterns_by_space()
    assert {"tube", "tube-list", "tube-add"} <= {pattern.name for pattern in spaces["holdings"]}
    assert {pattern.name for pattern in spaces[""]} == {"api-stamps"}
