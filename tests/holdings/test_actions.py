"""Changes of the register: tags, moves, loans, places, and what history keeps.

The cases L10.1 to L10.3 restate the accountability rules of the Collections Trust's Spectrum standard (Acquisition and
accessioning; Location and movement control; Loans; Deaccessioning and disposal, collectionstrust.org.uk/resource/
spectrum-primary-procedures). The rest is common practice, no source.
"""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from inventory.holdings.actions import (
    add_tubes,
    change_tube,
    give_tags,
    lend,
    let_go,
    move,
    move_place,
    part_with,
    register,
    save_place,
    take_back,
)
from inventory.holdings.models import Item, Movement, Place, TagSeries, Tube
from inventory.holdings.queries import items_in, latest_move_day, movements_of, tube_by_tag, tubes_here
from inventory.sets.queries import stock_of
from tests.counting import cost_once
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    ItemFactory,
    PlaceFactory,
    TubeFactory,
    TubeTypeFactory,
)

pytestmark = pytest.mark.django_db


def one_tube(keeper, today, **wanted):
    (tube,) = add_tubes(Tube(marked="VT-231", type=TubeTypeFactory(), state="good"), by=keeper, on=today, **wanted)
    return tube


# --- tags ------------------------------------------------------------------------------------------------------------


def test_tags_follow_one_another_by_kind(keeper, today):
    tags = [register(kind, by=keeper, on=today).tag for kind in (Item.TUBE, Item.TUBE, Item.CHASSIS, Item.UNIT)]
    assert tags == ["T-0001", "T-0002", "C-0001", "U-0001"]
    assert register(Item.COMPANION, by=keeper, on=today).tag == "K-0001"


def test_a_tag_of_a_thing_that_left_is_not_given_again(keeper, today, refused):
    """L10.1: a number once used cannot be issued again after disposal (Spectrum, Deaccessioning and disposal)."""
    tube = one_tube(keeper, today)
    part_with(tube.item, "given to a school", on=today, today=today, by=keeper)
    assert one_tube(keeper, today).tag == "T-0002"
    for wish in ("T-0001", " t-0001 "):
        with refused("tag", f"T-0001 was given to a tube, which left on {today}"):
            one_tube(keeper, today, tag=wish)
    assert Item.objects.filter(tag__iexact="T-0001").count() == 1


def test_a_tag_chosen_by_hand_is_not_given_again(keeper, today, refused):
    """L10.1, with the number chosen by the keeper: the series goes on after it (Spectrum, Acquisition)."""
    chosen = one_tube(keeper, today, tag="T-0041")
    assert one_tube(keeper, today).tag == "T-0042"
    part_with(chosen.item, "scrapped", on=today, today=today, by=keeper)
    with refused("tag", "a tag is never used again"):
        one_tube(keeper, today, tag="T-0041")


def test_a_lower_number_chosen_by_hand_does_not_turn_the_series_back(keeper, today):
    one_tube(keeper, today, tag="T-0041")
    one_tube(keeper, today, tag="T-0007")
    assert TagSeries.objects.get(prefix="T").last == 41


def test_the_series_steps_over_a_tag_that_is_there(keeper, today):
    ItemFactory(tag="T-0001")
    ItemFactory(tag="T-0002")
    assert one_tube(keeper, today).tag == "T-0003"


def test_tags_of_the_keepers_own_form(keeper, today, refused):
    assert one_tube(keeper, today, tag="box-7.3").tag == "BOX-7.3"
    with refused("tag", "BOX-7.3 was given to a tube"):
        one_tube(keeper, today, tag="Box-7.3")


@pytest.mark.parametrize("tag", ["A/12", "A 12", "#1", "Ü1", "x" * 21])
def test_a_tag_stands_in_addresses_and_codes(keeper, today, refused, tag):
    with refused("tag", "is no tag"):
        one_tube(keeper, today, tag=tag)


def test_a_batch_of_tags_is_taken_at_once(db):
    assert give_tags("T", 3) == ["T-0001", "T-0002", "T-0003"]
    assert give_tags("T", 1) == ["T-0004"]


def test_the_database_itself_refuses_a_second_thing_of_one_tag(db):
    ItemFactory(tag="T-0001")
    with pytest.raises(IntegrityError), transaction.atomic():
        ItemFactory(tag="T-0001")


# --- tubes -----------------------------------------------------------------------------------------------------------


def test_many_alike_get_a_tag_each(keeper, today):
    place = PlaceFactory(code="D1")
    kind = TubeTypeFactory()
    made = add_tubes(Tube(marked="VT-231", type=kind, maker="CHS"), by=keeper, on=today, place=place, count=3)
    assert [tube.tag for tube in made] == ["T-0001", "T-0002", "T-0003"]
    assert set(Tube.objects.values_list("marked", "maker", "item__place")) == {("VT-231", "CHS", place.pk)}
    assert Movement.objects.filter(to_path="D1", reason="first entry").count() == 3


@pytest.mark.parametrize("count", [0, 501, -1])
def test_a_count_out_of_range_is_refused(keeper, today, refused, count):
    with refused("count", "1 to 500"):
        one_tube(keeper, today, count=count)
    assert not Item.objects.exists()


def test_one_tag_serves_one_tube(keeper, today, refused):
    with refused("tag", "cannot serve several"):
        one_tube(keeper, today, count=2, tag="T-0009")


def test_a_tube_with_an_unknown_state_is_refused_whole(keeper, today, refused):
    with refused("state"):
        add_tubes(Tube(marked="VT-231", state="splendid"), by=keeper, on=today)
    assert not Item.objects.exists() and not TagSeries.objects.exists()


def test_history_keeps_who_when_before_and_after(keeper, helper, today):
    tube = one_tube(helper, today)
    tube.state = Tube.WEAK
    change_tube(tube, by=keeper, reason="tested low")
    after, before = tube.history.order_by("-history_id")
    assert (before.history_type, before.history_user, before.state) == ("+", helper, "good")
    assert (after.history_type, after.history_user, after.state) == ("~", keeper, "weak")
    assert after.history_change_reason == "tested low"
    assert after.history_date >= before.history_date
    (change,) = after.diff_against(before).changes
    assert (change.field, change.old, change.new) == ("state", "good", "weak")


def test_a_tag_is_found_whatever_its_case(keeper, today):
    tube = one_tube(keeper, today)
    assert tube_by_tag(" t-0001 ") == tube


# --- moves -----------------------------------------------------------------------------------------------------------


def test_a_move_keeps_old_place_new_place_day_and_person(keeper, helper, days_ago):
    """L10.2: moving an object writes old place, new place, time and person (Spectrum, Location and movements)."""
    first, second = PlaceFactory(code="D1"), PlaceFactory(code="D2")
    tube = one_tube(keeper, days_ago(9), place=first)
    assert move([tube.item], second, on=days_ago(3), by=helper, reason="sorted") == 1
    last, entry = movements_of(tube.item)
    assert (last.from_path, last.to_path, last.on, last.by, last.reason) == ("D1", "D2", days_ago(3), helper, "sorted")
    assert last.entered_at is not None
    assert (entry.from_path, entry.to_path, entry.on, entry.by) == ("", "D1", days_ago(9), keeper)
    tube.item.refresh_from_db()
    assert (tube.item.place, tube.item.seen_on) == (second, days_ago(3))
    assert tube.item.history.first().history_user == helper
    assert latest_move_day(tube.item) == days_ago(3)


def test_a_back_dated_move_does_not_undo_a_later_one(keeper, days_ago):
    """L10.2 with an entry made late: the register still says where the thing was brought last."""
    first, second, between = (PlaceFactory(code=code) for code in ("D1", "D2", "D3"))
    tube = one_tube(keeper, days_ago(30), place=first)
    move([tube.item], second, on=days_ago(3), by=keeper)
    move([tube.item], between, on=days_ago(10), by=keeper)
    tube.item.refresh_from_db()
    assert (tube.item.place, tube.item.seen_on) == (second, days_ago(3))
    late = Movement.objects.get(to_path="D3")
    assert (late.from_path, late.on) == ("D1", days_ago(10))


def test_a_move_before_the_first_entry_does_not_invent_an_old_place(keeper, days_ago):
    """L10.2: the old place of that day is not known."""
    tube = one_tube(keeper, days_ago(3), place=PlaceFactory(code="D1"))
    move([tube.item], PlaceFactory(code="D2"), on=days_ago(10), by=keeper)
    assert Movement.objects.get(to_path="D2").from_path == ""


def test_after_a_late_entry_the_moves_still_follow_one_another(keeper, days_ago):
    """L10.2: each move starts where the one before it ended."""
    tube = one_tube(keeper, days_ago(30), place=PlaceFactory(code="D1"))
    move([tube.item], PlaceFactory(code="D2"), on=days_ago(3), by=keeper)
    move([tube.item], PlaceFactory(code="D3"), on=days_ago(10), by=keeper)
    assert Movement.objects.get(to_path="D2").from_path == "D3"


def test_a_move_to_no_place_is_filed(keeper, days_ago):
    tube = one_tube(keeper, days_ago(9), place=PlaceFactory(code="D1"))
    move([tube.item], None, on=days_ago(1), by=keeper)
    tube.item.refresh_from_db()
    assert tube.item.place is None
    assert movements_of(tube.item)[0].from_path == "D1" and movements_of(tube.item)[0].to_path == ""


def test_of_two_moves_on_one_day_the_later_entry_holds(keeper, today):
    tube = one_tube(keeper, today, place=PlaceFactory(code="D1"))
    last = PlaceFactory(code="D3")
    move([tube.item], PlaceFactory(code="D2"), on=today, by=keeper)
    move([tube.item], last, on=today, by=keeper)
    tube.item.refresh_from_db()
    assert tube.item.place == last
    assert [m.from_path for m in movements_of(tube.item)] == ["D2", "D1", ""]


def test_a_thing_that_left_does_not_move_and_nothing_else_does(keeper, today, refused):
    gone, here, place = one_tube(keeper, today), one_tube(keeper, today), PlaceFactory(code="D1")
    part_with(gone.item, "sold", on=today, today=today, by=keeper)
    with refused("place", "T-0001 left the collection"):
        move([here.item, gone.item], place, on=today, by=keeper)
    here.item.refresh_from_db()
    assert here.item.place is None and not Movement.objects.exists()


def test_a_move_in_the_future_is_refused(keeper, today):
    tube = one_tube(keeper, today, place=PlaceFactory(code="D1"))
    with pytest.raises(ValidationError):
        move([tube.item], PlaceFactory(code="D2"), on=today + timedelta(days=1), by=keeper)


# --- loans and leaving -----------------------------------------------------------------------------------------------


def test_a_lent_tube_is_no_spare_but_still_listed(keeper, today):
    """L10.3: an object on loan out is not counted missing at audit but is listed (Spectrum, Loans out)."""
    place = PlaceFactory(code="D1")
    lent, kept = one_tube(keeper, today, place=place), one_tube(keeper, today, place=place)
    lend(lent.item, "R. Oddsworth", on=today, by=keeper)
    stock = stock_of(["6SN7GT"])
    assert (stock.good, stock.lent, stock.fitted) == (1, 1, 0)
    assert stock.places == (("D1", 1, 0),)
    assert set(tubes_here()) == {lent, kept}
    assert set(items_in(place)) == {lent.item, kept.item}


def test_lending_twice_and_taking_back_what_is_here_are_refused(keeper, today, refused):
    tube = one_tube(keeper, today)
    with refused("lent_to", "is not lent"):
        take_back(tube.item, on=today, by=keeper)
    with refused("lent_to", "to whom"):
        lend(tube.item, "  ", on=today, by=keeper)
    lend(tube.item, "R. Oddsworth", on=today, by=keeper)
    with refused("lent_to", "take it back first"):
        lend(tube.item, "P. Quillan", on=today, by=keeper)
    take_back(tube.item, on=today, by=keeper)
    tube.item.refresh_from_db()
    assert (tube.item.lent_to, tube.item.lent_on, tube.item.seen_on) == ("", None, today)
    assert "back from R. Oddsworth" in tube.item.history.first().history_change_reason


def test_a_thing_that_left_is_not_lent(keeper, today, refused):
    tube = one_tube(keeper, today)
    part_with(tube.item, "sold", on=today, today=today, by=keeper)
    with refused("lent_to", "left the collection"):
        lend(tube.item, "R. Oddsworth", on=today, today=today, by=keeper)


def test_a_loan_in_the_future_is_refused(keeper, today, refused):
    tube = one_tube(keeper, today)
    with refused("on", "has not come yet"):
        lend(tube.item, "R. Oddsworth", on=today + timedelta(days=1), today=today, by=keeper)


def test_what_is_lent_and_then_sold_is_lent_no_more(keeper, today):
    tube = one_tube(keeper, today)
    lend(tube.item, "R. Oddsworth", on=today, by=keeper)
    part_with(tube.item, "sold to R. Oddsworth", on=today, today=today, by=keeper)
    tube.item.refresh_from_db()
    assert (tube.item.lent_to, tube.item.lent_on, tube.item.gone_on) == ("", None, today)


def test_a_thing_that_leaves_keeps_its_row_and_its_last_place(keeper, today, refused):
    tube = one_tube(keeper, today, place=PlaceFactory(code="D1"))
    let_go(tube.item, "sold to P. Quillan", on=today, by=keeper)
    tube.item.refresh_from_db()
    assert (tube.item.gone_on, tube.item.gone_how, tube.item.place) == (today, "sold to P. Quillan", None)
    last = movements_of(tube.item)[0]
    assert (last.from_path, last.to_path, last.by) == ("D1", "left the collection", keeper)
    assert tube not in tubes_here() and tube_by_tag(tube.tag) == tube
    with refused("gone_on", "already"):
        let_go(tube.item, "sold again", on=today, by=keeper)


# --- places ----------------------------------------------------------------------------------------------------------


def a_place(keeper, code, parent=None):
    return save_place(Place(code=code, parent=parent), by=keeper)


def test_a_new_code_goes_down_to_everything_below(keeper):
    room = a_place(keeper, "R1")
    cabinet = a_place(keeper, "C1", room)
    drawer = a_place(keeper, "D4", cabinet)
    assert drawer.path == "R1 / C1 / D4"
    room.code = "Attic"
    save_place(room, by=keeper)
    assert set(Place.objects.values_list("path", flat=True)) == {"Attic", "Attic / C1", "Attic / C1 / D4"}
    assert Place.objects.get(pk=drawer.pk).history.first().history_user == keeper


def test_a_cabinet_moves_with_its_drawers(keeper, today):
    first, second = a_place(keeper, "R1"), a_place(keeper, "R2")
    cabinet = a_place(keeper, "C1", first)
    drawer = a_place(keeper, "D4", cabinet)
    tube = one_tube(keeper, today, place=drawer)
    cabinet.parent = second
    save_place(cabinet, by=keeper)
    assert tube_by_tag(tube.tag).item.place.path == "R2 / C1 / D4"
    assert list(items_in(second)) == [tube.item] and not items_in(first).exists()


def test_a_place_inside_itself_is_refused(keeper, refused):
    room = a_place(keeper, "R1")
    cabinet = a_place(keeper, "C1", room)
    drawer = a_place(keeper, "D4", cabinet)
    room = Place.objects.get(pk=room.pk)
    for inside in (room, cabinet, drawer):
        room.parent = inside
        with refused("parent", "inside itself"):
            save_place(room, by=keeper)
    assert Place.objects.get(pk=room.pk).parent is None


@pytest.mark.parametrize("code", ["", "  ", "D4/5"])
def test_a_code_that_is_none_is_refused(keeper, refused, code):
    with refused("code", "no place code"):
        a_place(keeper, code)


def test_codes_are_unique_inside_the_place_above(keeper, refused):
    room, other = a_place(keeper, "R1"), a_place(keeper, "R2")
    a_place(keeper, "D4", room)
    assert a_place(keeper, "D4", other).path == "R2 / D4"
    with refused("code", "There is a place R1 / D4 already"):
        a_place(keeper, "d4", room)


def test_a_path_that_grows_too_long_below_changes_nothing(keeper):
    room = a_place(keeper, "R1")
    deep = room
    for number in range(9):
        deep = a_place(keeper, f"{'D' * 18}{number}", deep)
    before = list(Place.objects.values_list("path", flat=True))
    room.code = "R" * 20
    with pytest.raises(ValidationError):
        save_place(room, by=keeper)
    assert list(Place.objects.values_list("path", flat=True)) == before


def test_a_place_below_another_is_no_neighbour_of_like_name(keeper, today):
    room, longer = a_place(keeper, "R1"), a_place(keeper, "R10")
    tube = TubeFactory(place=a_place(keeper, "D1", longer))
    assert list(items_in(longer)) == [tube.item] and not items_in(room).exists()


# --- many alike ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("placed", [True, False])
def test_a_hundred_alike_ask_no_more_than_ten(keeper, today, placed):
    place = PlaceFactory() if placed else None
    tube = Tube(marked="VT-231", type=TubeTypeFactory(), state="good")

    def asked(count):
        made = []
        sent = cost_once(lambda: made.extend(add_tubes(tube, by=keeper, on=today, place=place, count=count)))
        assert len({one.tag for one in made}) == count
        return sent, made

    asked(2)  # the first tag of a series is counted from there, which asks more
    few, _ = asked(10)
    many, made = asked(100)
    assert many <= few + 3 and many < 30  # SQLite takes so many values at once, and splits what is more
    for one in (made[0], made[-1]):
        for row in (one, one.item):
            (kept,) = row.history.all()
            assert (kept.history_type, kept.history_user, kept.history_change_reason) == ("+", keeper, None)
        assert [move.reason for move in one.item.movements.all()] == (["first entry"] if placed else [])
        assert Tube.objects.get(pk=one.pk).marked == "VT-231"


def test_what_is_wrong_with_one_of_many_is_refused_for_all(keeper, today, refused):
    with refused("marked"):
        add_tubes(Tube(marked="", state="good"), by=keeper, on=today, count=20)
    assert not Item.objects.exists()


# --- what belongs together -------------------------------------------------------------------------------------------


@pytest.fixture
def pair(today):
    """A frequency meter and the calibration book that bears its number."""
    meter = ChassisFactory(serial="4417", place=PlaceFactory())
    kind = CompanionKindFactory(set_model=meter.model)
    book = CompanionFactory(kind=kind, mate_serial="4417", place=meter.item.place)
    return meter.item, book.item


def test_what_belongs_together_is_asked_about_whoever_moves_it(pair, keeper, today, refused):
    meter, book = pair
    other = PlaceFactory()
    with refused("apart", book.tag):
        move([meter], other, on=today, by=keeper)
    with refused("why", book.tag):
        lend(meter, "R. Oddsworth", on=today, by=keeper)
    with refused("why", book.tag):
        part_with(meter, "sold", on=today, by=keeper)
    with refused("into", book.tag):
        inner = PlaceFactory(parent=meter.place)
        Item.objects.filter(pk=meter.pk).update(place=inner)
        move_place(inner, other, on=today, by=keeper)
    assert Movement.objects.count() == 0 and not Item.objects.exclude(lent_to="", gone_on=None).exists()


def test_together_or_with_a_reason_it_goes(pair, keeper, today):
    meter, book = pair
    assert move([meter, book], PlaceFactory(), on=today, by=keeper) == 2
    assert move([meter], PlaceFactory(), on=today, by=keeper, apart="on show") == 1
    lend(meter, "R. Oddsworth", on=today, by=keeper, why="the book is copied")
    take_back(meter, on=today, by=keeper)
    part_with(meter, "sold", on=today, by=keeper, why="the book stays as a proof")
    assert Item.objects.get(pk=meter.pk).gone_how == "sold; alone: the book stays as a proof"
