"""Places that become one, that go, and what lies in them and below.

Where an object was stays on record when its place gets another name (L10.2, Spectrum: Location and movement control).
"""

from datetime import timedelta

import pytest
from django.urls import reverse

from inventory.holdings.actions import (
    add_tubes,
    begin_count,
    close_count,
    merge_places,
    move,
    remove_place,
    save_place,
)
from inventory.holdings.models import Item, Movement, Place, Tube
from inventory.holdings.queries import former_names, place_now, place_scanned, places_with_counts
from inventory.lists.actions.places import Places
from inventory.lists.queries.out import LISTS
from tests.counting import cost
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def place(keeper):
    def make(code, parent=None, **more):
        return save_place(Place(code=code, parent=parent, **more), by=keeper)

    return make


@pytest.fixture
def tube(keeper, today):
    def make(where, on=today):
        (row,) = add_tubes(Tube(marked="VT-231"), by=keeper, on=on, place=where)
        return row.item

    return make


def test_two_names_of_one_place_become_one(place, tube, keeper, today):
    hall = place("Hall")
    old, new = place("box4", hall, note="by the window"), place("Box 4", hall, note="dry")
    one, other = tube(old), tube(new)
    inner, twin = place("A", old), place("A", new)
    deep = tube(inner)
    lone = tube(place("B", old))
    assert merge_places(old, new, on=today, by=keeper) == 3
    paths = dict(Item.objects.values_list("tag", "place__path"))
    assert paths[one.tag] == paths[other.tag] == "Hall / Box 4"
    assert paths[deep.tag] == "Hall / Box 4 / A" and paths[lone.tag] == "Hall / Box 4 / B"
    assert not Place.objects.filter(pk__in=(old.pk, inner.pk)).exists() and Place.objects.filter(pk=twin.pk).exists()
    assert Place.objects.get(pk=new.pk).note == "dry; by the window"
    moved = Movement.objects.filter(item=deep).first()
    assert (moved.from_path, moved.to_path, moved.by) == ("Hall / box4 / A", "Hall / Box 4 / A", keeper)
    assert moved.reason == "merged: Hall / box4 is Hall / Box 4"
    gone = Place.history.filter(id=old.pk, history_type="-").get()
    assert (gone.history_change_reason, gone.history_user) == ("merged into Hall / Box 4", keeper)
    assert Item.history.filter(id=one.pk).first().history_change_reason == "merged into Hall / Box 4"


def test_a_merge_is_refused_into_itself_and_into_what_lies_inside(place, tube, keeper, today, refused):
    hall = place("Hall")
    inside = place("A", hall)
    for into in (hall, inside):
        with refused("into", "that place" if into == hall else "lies inside"):
            merge_places(hall, into, on=today, by=keeper)
    tube(inside)
    with refused("on", "came here on"):
        merge_places(inside, place("B"), on=today - timedelta(days=9), by=keeper)
    with refused("into", "does not fit"):
        merge_places(place("C", note="x" * 200), place("D", note="y" * 200), on=today, by=keeper)
    assert Place.objects.count() == 5


def test_a_box_of_the_same_name_inside_is_not_lost_when_the_outer_goes_up(place, tube, keeper, today, refused):
    shelf = place("A")
    outer = place("Box", shelf)
    inner = place("Box", outer)
    thing = tube(inner)
    with refused("into", "A / Box / Box bears the name"):
        merge_places(outer, shelf, on=today, by=keeper)
    inner.code = "Tray"
    save_place(inner, by=keeper)
    merge_places(Place.objects.get(pk=outer.pk), shelf, on=today, by=keeper)
    assert Item.objects.get(pk=thing.pk).place.path == "A / Tray"


@pytest.mark.parametrize("way", ["merged", "renamed"])
def test_an_open_stock_take_follows_a_place_and_a_closed_one_stays(place, tube, keeper, today, way):
    """What is not found is not found, whatever the place is called by the end of the count."""
    hall = place("Hall")
    box = place("box4", hall)
    item = tube(box)
    closed = begin_count(place=box, percent=None, seed=0, on=today, by=keeper)
    close_count(closed, rest="missing", on=today, by=keeper)
    Item.objects.update(missed_on=None)
    take = begin_count(place=hall, percent=None, seed=0, on=today, by=keeper)
    if way == "merged":
        merge_places(Place.objects.get(pk=box.pk), place("Box 4", hall), on=today, by=keeper)
    else:
        box.code = "Box 4"
        save_place(box, by=keeper)
    close_count(take, rest="missing", on=today, by=keeper)
    assert Item.objects.get(pk=item.pk).missed_on == today
    assert take.lines.get().expected_path == "Hall / Box 4"
    closed.refresh_from_db()
    assert closed.lines.get().expected_path == "Hall / box4"
    assert closed.note == ("counted as Hall / box4" if way == "merged" else "")


def deep(place, last, first=""):
    """A place with a path of about a hundred letters."""
    above = place(first) if first else None
    for letter in "JKLM":
        above = place(letter * 20, above)
    return place(last, above)


def test_a_long_name_leads_to_the_place_and_not_into_a_box_of_it(place, keeper, today):
    long = deep(place, "N" * 20)
    old = place("old")
    place("inside", long)
    merge_places(old, long, on=today, by=keeper)
    assert place_now(old.pk) == long


def test_of_two_long_names_that_end_alike_none_is_taken(place, keeper, today):
    one, two, old = deep(place, "N", "A"), deep(place, "N", "B"), place("old")
    merge_places(old, one, on=today, by=keeper)
    assert place_now(old.pk) is None and two.path[1:] == one.path[1:]


def test_what_a_place_is_called_today_goes_before_what_another_was_called(place, keeper, today):
    crate = place("Box 4")
    crate.code = "Crate"
    save_place(crate, by=keeper)
    assert Places.load().find("Box 4")[0].path == "Crate"
    place("Box 4", place("Attic"))
    assert Places.load().find("Box 4")[0].path == "Attic / Box 4"


def test_what_names_the_place_names_the_other_then(place, tube, keeper, today):
    old, new = place("A"), place("B")
    tube(old)
    take = begin_count(place=old, percent=None, seed=0, on=today, by=keeper)
    merge_places(old, new, on=today, by=keeper)
    take.refresh_from_db()
    assert take.place == new


def test_the_old_name_and_the_old_label_lead_to_the_place_over_several_steps(place, keeper, today):
    first, second, third = place("Kiste 1"), place("Kiste 2"), place("Kiste 3")
    merge_places(first, second, on=today, by=keeper)
    merge_places(second, third, on=today, by=keeper)
    third = Place.objects.get(pk=third.pk)
    third.code = "Kiste drei"
    save_place(third, by=keeper)
    assert place_now(first.pk) == third
    assert place_scanned(f"http://house.example/places/{first.pk}/") == third
    found = {(one.code, one.now) for one in former_names()}
    assert found == {("Kiste 1", third.pk), ("Kiste 2", third.pk), ("Kiste 3", third.pk)}
    spot, why, told = Places.load().find("Kiste 1")
    assert spot is not None and (spot.pk, why, told) == (
        third.pk,
        "",
        "Kiste 1 taken as Kiste drei, as it is called now",
    )


def test_a_name_that_is_taken_again_is_the_new_one(place, keeper, today):
    old, new = place("A1"), place("B1")
    merge_places(old, new, on=today, by=keeper)
    again = place("A1")
    spot, _, told = Places.load().find("A1")
    assert spot is not None and (spot.pk, told) == (again.pk, "")


def test_a_deleted_name_leads_nowhere(place, keeper):
    gone = place("A1")
    remove_place(gone, by=keeper)
    assert place_now(gone.pk) is None and former_names() == []
    spot, _, told = Places.load().find("A1")
    assert spot is not None and spot.pk is None and "is new" in told


def test_only_an_empty_place_is_deleted_and_the_reason_says_why(place, tube, keeper, today, refused):
    hall = place("Hall")
    drawer = place("A", hall)
    item = tube(drawer)
    for one in (hall, drawer):
        with refused("__all__", f"Here or below lie {item.tag}: move them first"):
            remove_place(one, by=keeper)
    begin_count(place=drawer, percent=None, seed=0, on=today, by=keeper)
    move([item], None, on=today, by=keeper)
    with refused("__all__", "Inside are Hall / A"):
        remove_place(hall, by=keeper)
    with refused("__all__", "named by a stock take"):
        remove_place(drawer, by=keeper)
    assert remove_place(place("B", hall), by=keeper, reason="pulled down") == "Hall / B"
    assert Place.history.filter(history_type="-").get().history_change_reason == "pulled down"


def test_a_place_counts_what_lies_below_it(place, tube):
    hall = place("Hall")
    drawer = place("A", hall)
    box = place("Box", drawer)
    for where in (hall, box, box):
        tube(where)
    place("Hall 2")
    told = {one.place.path: (one.depth, one.here, one.within) for one in places_with_counts()}
    assert told == {
        "Hall": (0, 1, 3), "Hall / A": (1, 0, 2), "Hall / A / Box": (2, 2, 2), "Hall 2": (0, 0, 0)
    }  # fmt: skip


def test_the_pages_and_the_list_say_so(place, tube, as_visitor, keeper):
    hall = place("Hall")
    drawer = place("A", hall)
    tube(drawer)
    text = page_text(as_visitor.get(reverse("holdings:place-list")))
    assert "1 thing, 0 of them directly in it" in text
    assert "1 thing" in page_text(as_visitor.get(reverse("holdings:place", args=[hall.pk])))
    rows = [[row[0], *row[3:5]] for row in LISTS["places"].all_rows()]
    assert rows == [["Hall", 0, 1], ["Hall / A", 1, 1]]


def test_the_pages_are_for_keepers_and_do_it(place, tube, as_helper, as_keeper, today):
    old, new = place("A1"), place("B1")
    tube(old)
    for name in ("place-merge", "place-delete"):
        assert as_helper.get(reverse(f"holdings:{name}", args=[old.pk])).status_code == 403
    delete = reverse("holdings:place-delete", args=[old.pk])
    answer = as_keeper.post(delete, {"reason": "not here"})
    assert answer.status_code == 422 and "move them first" in page_text(answer)
    merge = reverse("holdings:place-merge", args=[old.pk])
    assert as_keeper.get(merge).status_code == 200
    assert as_keeper.post(merge, {"into": new.pk, "on": today.isoformat()}).status_code == 302
    old_page = as_keeper.get(reverse("holdings:place", args=[old.pk]))
    assert old_page.status_code == 302 and old_page["Location"] == reverse("holdings:place", args=[new.pk])
    empty = place("C1")
    assert "Delete" in page_text(as_keeper.get(reverse("holdings:place", args=[empty.pk])))
    assert as_keeper.post(reverse("holdings:place-delete", args=[empty.pk]), {"reason": "not here"}).status_code == 302
    assert as_keeper.get(reverse("holdings:place", args=[empty.pk])).status_code == 404


def test_the_tree_and_the_former_names_ask_as_much_for_many(place, keeper, today):
    def grow(start):
        hall = place(f"Hall {start}")
        for at in range(5):
            merge_places(place(f"{start}-{at}", hall), place(f"{start}-{at} b", hall), on=today, by=keeper)

    grow(1)
    few = cost(places_with_counts), cost(former_names), cost(Places.load)
    grow(2)
    assert few == (cost(places_with_counts), cost(former_names), cost(Places.load))
