"""What the areas declare, and what the house makes of it."""

import pytest
from django.apps import apps
from django.urls import reverse

from inventory.holdings.models import Item
from inventory.house.areas import areas, kinds, patterns_by_space, present_way, thing_columns, ways
from tests import factories as make

pytestmark = pytest.mark.django_db


def test_every_app_of_ours_declares_itself():
    """What is not declared has no roles, no addresses and no archive."""
    ours = {config.label for config in apps.get_app_configs() if config.name.split(".")[0] in ("tubes", "inventory")}
    assert set(areas()) == ours - {"house"}


def test_the_navigation_stands_in_its_order():
    known = ["Bench", "Tube types", "Tubes", "Places", "Sets", "Plug-in units", "Pairings", "Hours and tests"]
    assert [way.label for way in ways() if way.label in known] == known
    assert all(reverse(way.page) for way in ways())


@pytest.mark.parametrize(
    ("space", "name", "label"),
    [
        ("frontpage", "home", "Bench"),
        ("holdings", "tube-change", "Tubes"),
        ("holdings", "place-count", "Places"),
        ("holdings", "want-list", "Tubes"),
        ("sets", "chassis", "Sets"),
        ("sets", "unit-change", "Plug-in units"),
        ("running", "chassis", "Hours and tests"),
        ("", "login", None),
    ],
)
def test_a_page_lies_under_the_narrowest_entry(space, name, label):
    way = present_way(space, name)
    assert (way.label if way else None) == label


def test_the_present_entry_is_marked_once(as_visitor):
    page = as_visitor.get("/places/").content.decode()
    assert page.count("aria-current=") == 1
    assert 'href="/places/" aria-current="page"' in page
    assert 'href="/tubes/" aria-current="true"' in as_visitor.get("/wants/").content.decode()


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
