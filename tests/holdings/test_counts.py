"""Stock-takes, moves of a selection and of a whole box.

L10.2 and L10.3 restate the Collections Trust's Spectrum standard (Location and movement control; Inventory; Audit;
Loans: collectionstrust.org.uk/resource/spectrum-primary-procedures). The rest is common practice, no source.
"""

from copy import copy
from datetime import timedelta
from types import SimpleNamespace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.frontpage.queries.first import not_found
from inventory.holdings.actions import (
    REST_LEFT,
    REST_MISSING,
    begin_count,
    close_count,
    drop_count,
    lend,
    let_go,
    mark_seen,
    move,
    move_place,
    scan,
    tick,
)
from inventory.holdings.models import Item, Movement, Place, StockTake, Tube
from inventory.holdings.queries import (
    differing_lines,
    draw_sample,
    lent_lines,
    open_lines,
    tag_in,
    tags_meant,
    tally_of,
    things_named,
)
from inventory.pairing.actions import record_comparison, record_disturbance, record_neutralization, record_on_air
from inventory.pairing.models import CompanionCheck, Disturbance, Neutralization, OnAirRecord
from inventory.running.actions import record_run, record_test
from inventory.running.models import Run, TubeTest
from inventory.sets.actions import fit
from inventory.sets.models import Fitting, SetModel
from inventory.sets.queries import good_by_type, stock_of
from tests.counting import asked
from tests.factories import (
    ChassisFactory,
    CompanionFactory,
    CompanionKindFactory,
    FittingFactory,
    ItemFactory,
    PlaceFactory,
    PlugInUnitFactory,
    PositionFactory,
    SetModelFactory,
    TubeFactory,
    UnitModelFactory,
)
from tests.pages import page_text, seen_at
from tests.running.rows import InstrumentFactory

pytestmark = pytest.mark.django_db


class Room:
    """A room with two drawers: three tubes in one, one in the other, one lent, and one thing in another room."""

    def __init__(self):
        self.room = PlaceFactory(code="R1")
        self.left = PlaceFactory(code="L", parent=self.room)
        self.right = PlaceFactory(code="R", parent=self.room)
        self.other = PlaceFactory(code="R2")
        self.tubes = [TubeFactory(place=self.left) for _ in range(3)]
        self.fourth = TubeFactory(place=self.right)
        self.lent = TubeFactory(place=self.left, lent_to="R. Oddsworth")
        self.gone = TubeFactory(place=self.left, gone_on="2020-01-01")
        self.stranger = TubeFactory(place=self.other)


@pytest.fixture
def room(db):
    return Room()


@pytest.fixture
def take(room, keeper, today):
    return begin_count(place=room.room, percent=None, seed=0, on=today, by=keeper)


# --- tags ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        (" t-0001 ", "T-0001"),
        ("https://radio.example/tubes/T-0001/", "T-0001"),
        ("http://10.0.0.7:8000/sets/C-0001", "C-0001"),
        ("", ""),
        ("/", ""),
    ],
)
def test_the_tag_in_what_was_scanned(text, tag):
    assert tag_in(text) == tag


def test_things_by_lines_blanks_and_commas(db):
    one, two, three = ItemFactory(tag="T-1"), ItemFactory(tag="T-2"), ItemFactory(tag="DRAWER 9")
    items, unknown = things_named("t-1 T-2\ndrawer 9; T-1, T-7\n\nhttp://h/tubes/T-2/")
    assert [item.pk for item in items] == [one.pk, two.pk, three.pk]
    assert unknown == ["T-7"]


# --- the draw --------------------------------------------------------------------------------------------------------


@given(st.sets(st.text("ABCDT-0123456789", min_size=1, max_size=6)), st.integers(1, 100), st.integers(0, 2**31))
def test_a_draw_is_the_same_again_and_of_the_right_size(tags, percent, seed):
    drawn = draw_sample(tags, percent, seed)
    assert drawn == draw_sample(sorted(tags, reverse=True), percent, seed)
    assert len(drawn) == len(set(drawn)) == -(-len(tags) * percent // 100) and set(drawn) <= tags


def test_another_number_draws_others():
    tags = [f"T-{number:04d}" for number in range(1000)]
    draws = [frozenset(draw_sample(tags, 10, seed)) for seed in range(20)]
    assert len(set(draws)) == 20
    # Each of 1,000 things is drawn 2 times in 20 on average (binomial): that one is never drawn has p = 0.9^20 = 0.12.
    never = 1000 - len(frozenset.union(*draws))
    assert 60 < never < 190


# --- counting a place ------------------------------------------------------------------------------------------------


def test_what_is_expected(room, take, keeper):
    """Everything registered there and below; not what has left; a lent thing is listed (L10.3)."""
    expected = [*room.tubes, room.fourth, room.lent]
    assert {line.item_id for line in take.lines.all()} == {tube.pk for tube in expected}
    assert take.by == keeper
    assert {line.item_id for line in lent_lines(take)} == {room.lent.pk}
    assert open_lines(take).count() == 4


def test_a_lent_thing_is_listed_and_not_missing(room, take, keeper, today):
    """L10.3: an object on loan out is not counted missing at audit but is listed (Spectrum, Audit and Loans out)."""
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    take.refresh_from_db()
    tally = tally_of(take)
    assert (tally.missing, tally.lent, tally.differences) == (4, 1, 4)
    Item.objects.filter(pk=room.lent.pk).update(lent_to="")  # it comes back later: the report stays as it was
    assert tally_of(take).lent == 1 and lent_lines(take).get().found_path == "lent to R. Oddsworth"


def test_scanned_where_it_belongs_elsewhere_and_not_expected(room, take, today):
    first, second, third = room.tubes
    assert scan(take, first.tag, on=today, by=None).outcome == "found"
    assert scan(take, second.tag, on=today, by=None, at=room.room).outcome == "found"  # above it: no contradiction
    assert scan(take, third.tag.lower(), on=today, by=None, at=room.right).outcome == "elsewhere"
    line = scan(take, f"http://h/tubes/{room.stranger.tag}/", on=today, by=None, at=room.left)
    assert (line.outcome, line.expected_path, line.found_path) == ("unexpected", "R2", "R1 / L")
    tally = tally_of(take)
    assert (tally.expected, tally.found, tally.elsewhere, tally.unexpected, tally.open) == (5, 2, 1, 1, 1)
    assert {line.item_id for line in differing_lines(take)} == {third.pk, room.stranger.pk}
    assert scan(take, third.tag, on=today, by=None, at=room.left).outcome == "found"  # found after all


def test_what_is_no_tag_is_refused(take, today, refused):
    with refused("tag", "is no tag of the register"):
        scan(take, "VT-231", on=today, by=None)


@pytest.mark.parametrize("text", ["7", "t7", "T-7", "t 7", "0007", "t-0007", "http://h/tubes/T-0007/"])
def test_the_number_alone_will_do(text, db):
    """Common practice, no source: nobody types noughts at a shelf."""
    if text == "t 7":
        assert tags_meant(text) == []
        return
    for tag in ("T-0007", "T-0017", "T-0070", "DRAWER-A", "K-0071"):
        ItemFactory(tag=tag)
    assert tags_meant(text) == ["T-0007"]


def test_a_number_that_may_be_several(take, today, room, refused):
    for tag, gone_on in (("T-0407", None), ("C-0407", None), ("U-0407", today), ("407", None), ("T-10408", None)):
        ItemFactory(tag=tag, gone_on=gone_on)
    assert tags_meant("407") == ["407"]  # a tag that is written so
    assert tags_meant("0407") == ["C-0407", "T-0407"]  # what left is meant only where nothing else can be
    assert tags_meant("u407") == ["U-0407"]
    assert tags_meant("10408") == ["T-10408"] and tags_meant("408") == []
    assert tags_meant("1" * 40) == tags_meant("t-") == tags_meant("") == tags_meant("7\x00") == []
    with refused("tag", "0407 may be C-0407 or T-0407; type the letter too"):
        scan(take, "0407", on=today, by=None)


def test_a_line_names_who_ticked_it_and_the_take_who_closed_it(room, take, keeper, helper, today):
    scan(take, room.tubes[0].tag, on=today, by=helper)
    keys = list(open_lines(take).values_list("pk", flat=True))
    tick(take, keys[:2], "found", on=today, by=keeper)
    tick(take, keys[:1], "", on=today, by=helper)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    by = {line.item_id: (line.outcome, line.by) for line in take.lines.all()}
    assert by[room.tubes[0].pk] == ("found", helper)
    assert sorted((outcome, str(who)) for outcome, who in by.values()) == [
        ("", "None"), ("found", "a-helper"), ("found", "a-keeper"), ("missing", "a-keeper"), ("missing", "a-keeper"),
    ]  # fmt: skip
    take.refresh_from_db()
    assert take.closed_by == keeper


def test_ticks_and_taking_them_back(room, take, today, refused):
    keys = list(take.lines.values_list("pk", flat=True))
    assert tick(take, keys[:2], "found", on=today, by=None) == 2
    assert tick(take, keys[2:3], "missing", on=today, by=None) == 1
    assert tick(take, keys[3:4], "elsewhere", on=today, by=None, at=room.other) == 1
    assert (tally_of(take).found, tally_of(take).missing, tally_of(take).elsewhere) == (2, 1, 1)
    tick(take, keys, "", on=today, by=None)
    assert tally_of(take).differences == 0 and not take.lines.exclude(on=None, found_path="").exists()
    with refused("at", "at which place"):
        tick(take, keys, "elsewhere", on=today, by=None)
    with refused("outcome"):
        tick(take, keys, "unexpected", on=today, by=None)
    scan(take, room.stranger.tag, on=today, by=None)
    tick(take, [take.lines.get(item=room.stranger.item).pk], "", on=today, by=None)
    assert not take.lines.filter(item=room.stranger.item).exists()


def test_closing_sets_last_seen_of_what_was_found_only(room, take, keeper, today, days_ago):
    Item.objects.update(seen_on=days_ago(400))
    scan(take, room.tubes[0].tag, on=today, by=None)
    scan(take, room.tubes[1].tag, on=days_ago(1), by=None, at=room.right)
    scan(take, room.stranger.tag, on=today, by=None, at=room.left)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    seen = {item.pk: item.seen_on for item in Item.objects.all()}
    assert seen[room.tubes[0].pk] == today and seen[room.stranger.pk] == today
    assert seen[room.tubes[1].pk] == days_ago(1)
    assert seen[room.tubes[2].pk] == seen[room.lent.pk] == seen[room.gone.pk] == days_ago(400)
    record = Item.history.filter(id=room.tubes[0].pk).first()
    assert (record.history_user, record.history_change_reason) == (keeper, "stock-take of R1")
    assert room.tubes[1].item.movements.count() == 0  # nothing moves unless it is asked for


def test_an_older_day_never_overwrites_a_later_one(room, take, keeper, today, days_ago):
    Item.objects.update(seen_on=today)
    scan(take, room.tubes[0].tag, on=days_ago(3), by=None)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    assert Item.objects.get(pk=room.tubes[0].pk).seen_on == today


def test_what_was_found_elsewhere_moves_when_asked(room, take, keeper, today):
    scan(take, room.tubes[0].tag, on=today, by=None, at=room.right)
    scan(take, room.stranger.tag, on=today, by=None, at=room.left)
    scan(take, room.lent.tag, on=today, by=None, at=room.right)  # lent, by the register: settled on its page
    scan(take, room.gone.tag, on=today, by=None)
    close_count(take, on=today, by=keeper, rest=REST_MISSING, move_found=True)
    assert Item.objects.get(pk=room.tubes[0].pk).place == room.right
    assert Item.objects.get(pk=room.stranger.pk).place == room.left
    assert Item.objects.get(pk=room.lent.pk).place == room.left
    line = room.stranger.item.movements.get()
    assert (line.from_path, line.to_path, line.on, line.by) == ("R2", "R1 / L", today, keeper)
    assert "stock-take of R1" in line.reason


def test_closing_wants_a_word_about_the_rest(take, keeper, today, refused, days_ago):
    with refused("rest", "4 without a tick"):
        close_count(take, on=today, by=keeper)
    with refused("on", "cannot have been closed before"):
        close_count(take, on=days_ago(1), by=keeper, rest=REST_MISSING)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    for late in (
        lambda: close_count(take, on=today, by=keeper),
        lambda: scan(take, "T", on=today, by=None),
        lambda: tick(take, [], "found", on=today, by=None),
    ):
        with refused("tag", "was closed"):
            late()


# --- not found -------------------------------------------------------------------------------------------------------


@pytest.fixture
def missing(room, take, keeper, today):
    """The stock-take closed: one tube of the left drawer was found, two and the fourth were not."""
    scan(take, room.tubes[0].tag, on=today, by=keeper)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    return [*room.tubes[1:], room.fourth]


def missed(tube):
    return Item.objects.get(pk=tube.pk).missed_on


def test_what_was_not_found_is_no_spare(room, missing, today):
    assert [missed(tube) for tube in missing] == [today] * 3
    assert [missed(tube) for tube in (room.tubes[0], room.lent, room.gone, room.stranger)] == [None] * 4
    stock = stock_of({tube.type.name for tube in Tube.objects.all()})
    assert (stock.good, stock.missed, stock.lent) == (2, 3, 1)
    assert {path for path, *_ in stock.places} == {"R1 / L", "R2"}
    assert good_by_type({room.fourth.type.name}) == {room.fourth.type.name: 2}
    assert set(not_found()) == {tube.item for tube in missing}
    record = Item.history.filter(id=missing[0].pk).first()
    assert record.history_change_reason == "not found: stock-take of R1"


def test_it_turns_up_when_it_is_seen_moved_or_tested(room, missing, keeper, today, days_ago):
    first, second, third = missing
    mark_seen([first.item], on=days_ago(1), by=keeper)
    assert missed(first) == today  # seen before the stock-take: it says nothing against it
    mark_seen([first.item], on=today, by=keeper)
    move([second.item], room.other, on=today, by=keeper)
    again = Tube.objects.get(pk=third.pk)
    row = TubeTest(tube=again, instrument=InstrumentFactory(), on=today, reading_text="1900")
    record_test(row, today=today, by=keeper)
    assert [missed(tube) for tube in missing] == [None] * 3 and not not_found().exists()


def test_it_is_put_into_a_set_lent_and_back_or_let_go(room, missing, keeper, today):
    first, second, third = missing
    position = PositionFactory(type=first.type)
    fit(
        Fitting(tube=first, chassis=ChassisFactory(model=position.set_model), position=position, since=today),
        today=today,
        by=keeper,
    )
    lend(second.item, "a friend", on=today, by=keeper)
    let_go(third.item, "lost", on=today, by=keeper)
    assert [missed(tube) for tube in missing] == [None] * 3


def test_it_was_in_a_set_all_along(missing, keeper, today, days_ago):
    """The fitting is entered with its true day, before the stock-take."""
    position = PositionFactory(type=missing[0].type)
    chassis = ChassisFactory(model=position.set_model)
    fit(Fitting(tube=missing[0], chassis=chassis, position=position, since=days_ago(10)), today=today, by=keeper)
    assert missed(missing[0]) is None


def test_work_on_a_thing_is_seeing_it(keeper, today, days_ago):
    """Neutralized, disturbed, on the air, compared, run: each says that both ends were in hand."""
    chassis = ChassisFactory(model=SetModelFactory(neutralizing=SetModel.IN_UNIT))
    unit = PlugInUnitFactory(model=UnitModelFactory(fits=[chassis.model]))
    book = CompanionFactory(kind=CompanionKindFactory(set_model=chassis.model))
    things = (unit, chassis, book)
    works = (
        (record_neutralization, Neutralization(unit=unit, chassis=chassis, setting="40"), (unit, chassis)),
        (record_disturbance, Disturbance(unit=unit, chassis=chassis, cause="moved lead"), (unit, chassis)),
        (record_on_air, OnAirRecord(unit=unit, chassis=chassis, frequency_kc=3600), (unit, chassis)),
        (record_comparison, CompanionCheck(companion=book, chassis=chassis, outcome="matched"), (book, chassis)),
        (record_run, Run(chassis=chassis, hours=1), (chassis,)),
    )
    for record, row, seen in works:
        for days, found in ((3, False), (1, True)):
            Item.objects.update(missed_on=days_ago(2))
            again = copy(row)
            again.on = days_ago(days)
            for name in ("unit", "chassis", "companion"):
                if hasattr(again, f"{name}_id") and getattr(again, f"{name}_id"):
                    getattr(again, name).item.refresh_from_db()
            record(again, today=today, by=keeper)
            assert {thing.item.tag for thing in things if missed(thing) is None} == (
                {thing.item.tag for thing in seen} if found else set()
            ), record.__name__


@pytest.mark.parametrize("rest", [REST_MISSING, "ticked"])
def test_what_was_moved_fitted_or_let_go_meanwhile_is_not_missing(room, keeper, today, days_ago, rest):
    take = begin_count(place=room.room, percent=None, seed=0, on=days_ago(5), by=keeper)
    moved, fitted, left = room.tubes
    if rest == "ticked":
        tick(take, list(open_lines(take).values_list("pk", flat=True)), "missing", on=today, by=keeper)
    move([moved.item], room.right, on=days_ago(3), by=keeper)
    position = PositionFactory(type=fitted.type)
    fit(
        Fitting(tube=fitted, chassis=ChassisFactory(model=position.set_model), position=position, since=days_ago(2)),
        today=today,
        by=keeper,
    )
    let_go(left.item, "sold", on=days_ago(1), by=keeper)
    close_count(take, on=today, by=keeper, rest=REST_MISSING)
    assert [missed(tube) for tube in (moved, fitted, left)] == [None] * 3 and missed(room.fourth) == today
    assert list(not_found()) == [room.fourth.item]
    if rest == REST_MISSING:
        tally = tally_of(take)
        assert (tally.missing, tally.open) == (1, 3)


def test_what_nobody_looked_for_stays_as_it_was(room, take, keeper, today):
    scan(take, room.tubes[0].tag, on=today, by=keeper)
    tick(take, [take.lines.get(item=room.fourth.item).pk], "missing", on=today, by=keeper)
    close_count(take, on=today, by=keeper, rest=REST_LEFT)
    tally = tally_of(take)
    assert (tally.found, tally.missing, tally.open, tally.lent) == (1, 1, 2, 1)
    assert [missed(tube) for tube in room.tubes] == [None] * 3 and missed(room.fourth) == today


def test_a_later_stock_take_finds_it(room, missing, keeper, today):
    again = begin_count(place=room.room, percent=None, seed=0, on=today, by=keeper)
    for tube in missing:
        scan(again, tube.tag, on=today, by=keeper)
    close_count(again, on=today, by=keeper, rest=REST_LEFT)
    assert [missed(tube) for tube in missing] == [None] * 3


def test_an_open_stock_take_is_forgotten(room, take, keeper, today, refused):
    scan(take, room.tubes[0].tag, on=today, by=keeper)
    assert drop_count(take) == 5 and not StockTake.objects.exists()
    closed = begin_count(place=room.room, percent=None, seed=0, on=today, by=keeper)
    close_count(closed, on=today, by=keeper, rest=REST_LEFT)
    with refused("tag", "was closed"):
        drop_count(closed)


def test_pages_tell_what_was_not_found(room, missing, as_visitor, as_helper, today):
    tag = missing[0].tag
    told = "<strong>not found "
    assert "at the stock-take of" in as_visitor.get(f"/tubes/{tag}/").content.decode()
    assert told in as_visitor.get(f"/places/{room.left.pk}/").content.decode()
    assert told in as_visitor.get("/tubes/?fitted=missed").content.decode()
    assert "Not found at a stock-take" in as_visitor.get("/").content.decode()
    assert "3 not found" in as_visitor.get(f"/pocket/?q={missing[0].type.name}").content.decode()
    assert "not found at the stock-take" in as_visitor.get(f"/pocket/?q={tag}").content.decode()
    page = as_helper.get(f"/stock-takes/{StockTake.objects.get().pk}/").content.decode()
    assert f"/things/move/?pick={tag}" in page
    as_helper.post("/things/move/", {"tags": tag, "on": today, "seen": "1"})
    page = as_helper.get(f"/stock-takes/{StockTake.objects.get().pk}/").content.decode()
    assert f"/things/move/?pick={tag}" not in page and "seen again" in page


def test_scanned_twice_and_nothing_scanned(room, take, as_helper):
    here = f"/stock-takes/{take.pk}/scan/"
    tag = room.tubes[0].tag
    first, second, empty = (as_helper.post(here, {"tag": text}, follow=True) for text in (tag, tag, " "))
    assert "ticked before" not in first.content.decode()
    assert "ticked before: found on" in second.content.decode()
    assert "Nothing was typed or scanned" in empty.content.decode()


def test_the_label_of_a_drawer_says_where_one_stands(room, take, as_helper):
    here = f"/stock-takes/{take.pk}/"
    page = as_helper.post(f"{here}scan/", {"tag": f"http://h/places/{room.right.pk}/", "show": "open"}, follow=True)
    assert "You stand at R1 / R." in page.content.decode() and page.context["at"] == room.right.pk
    assert not take.lines.exclude(outcome="").exists()


def test_a_fitted_thing_not_found_is_told_in_its_set(room, keeper, today, as_visitor):
    position = PositionFactory(type=room.fourth.type, mark="V7")
    fit(
        Fitting(tube=room.fourth, chassis=ChassisFactory(model=position.set_model), position=position, since=today),
        today=today,
        by=keeper,
    )
    sample = begin_count(place=None, percent=100, seed=1, on=today, by=keeper)
    close_count(sample, on=today, by=keeper, rest=REST_MISSING)
    page = page_text(as_visitor.get("/"))
    assert "by the register in Brindlemoor" in page and " V7<" in page


def test_the_report_knows_what_was_moved_at_its_close(room, take, keeper, as_helper, today):
    scan(take, room.stranger.tag, on=today, by=None, at=room.left)
    scan(take, room.fourth.tag, on=today, by=None, at=room.left)
    close_count(take, on=today, by=keeper, rest=REST_LEFT, move_found=True)
    page = page_text(as_helper.get(f"/stock-takes/{take.pk}/"))
    assert page.count("by the register it is there now") == 2 and "Move it" not in page
    assert "it was expected in R2" in page and "in in" not in page


# --- a random sample -------------------------------------------------------------------------------------------------


def test_a_sample_is_drawn_again_by_its_number(room, keeper, today, refused):
    for _ in range(33):
        TubeFactory(place=room.other)
    takes = [begin_count(place=None, percent=10, seed=7, on=today, by=keeper) for _ in range(2)]
    tags = [sorted(line.item.tag for line in take.lines.all()) for take in takes]
    assert tags[0] == tags[1] and len(tags[0]) == 4  # 39 things here, one in ten, rounded up
    assert room.gone.tag not in tags[0]
    outside = next(tube for tube in [*room.tubes, room.fourth, room.stranger] if tube.tag not in tags[0])
    with refused("tag", "not drawn"):
        scan(takes[0], outside.tag, on=today, by=None)


def test_a_fitted_tube_is_expected_in_its_set(keeper, today):
    position = PositionFactory()
    chassis = ChassisFactory(model=position.set_model, serial="0458")
    tube = TubeFactory(place=PlaceFactory(), type=position.type)
    fit(Fitting(tube=tube, chassis=chassis, position=position, since=today), today=today, by=keeper)
    take = begin_count(place=None, percent=100, seed=1, on=today, by=keeper)
    assert "0458" in take.lines.get(item=tube.item).expected_path


def test_begin_wants_a_place_or_a_share(keeper, today, refused):
    place = PlaceFactory()
    for wish in ({"place": None, "percent": None}, {"place": place, "percent": 5}):
        with refused("place"):
            begin_count(seed=1, on=today, by=keeper, **wish)
    with refused("percent"):
        begin_count(place=None, percent=101, seed=1, on=today, by=keeper)
    with refused("place", "Nothing of the register"):
        begin_count(place=place, percent=None, seed=1, on=today, by=keeper)
    assert not StockTake.objects.exists()


# --- moves -----------------------------------------------------------------------------------------------------------


def test_a_whole_box_takes_everything_along(room, keeper, today):
    """L10.2: moving an object writes old place, new place, time and person (Spectrum, Location control)."""
    box = PlaceFactory(code="B", parent=room.left)
    inner = PlaceFactory(code="I", parent=box)
    near = PlaceFactory(code="B2", parent=room.left)  # a name that begins alike
    one, two, three = TubeFactory(place=box), TubeFactory(place=inner), TubeFactory(place=near)
    assert move_place(box, room.other, on=today, by=keeper, reason="new shelf") == 2
    assert Place.objects.get(pk=inner.pk).path == "R2 / B / I"
    moved = one.item.movements.get()
    assert (moved.from_path, moved.to_path, moved.on, moved.by, moved.reason) == (
        "R1 / L / B", "R2 / B", today, keeper, "new shelf",
    )  # fmt: skip
    assert two.item.movements.get().to_path == "R2 / B / I"
    assert not three.item.movements.exists() and Place.objects.get(pk=near.pk).path == "R1 / L / B2"
    assert not room.gone.item.movements.exists()
    assert Item.objects.get(pk=one.pk).seen_on is None  # nobody opened the box


def test_a_box_does_not_go_into_itself_or_onto_a_twin(room, keeper, today, refused):
    twin = PlaceFactory(code="L", parent=room.other)
    with refused("parent", "inside itself"):
        move_place(room.room, room.left, on=today, by=keeper)
    with refused("code", "already"):
        move_place(twin, room.room, on=today, by=keeper)
    with refused("into", "already"):
        move_place(room.left, room.room, on=today, by=keeper)
    with refused("on", "not come yet"):
        move_place(room.left, room.other, on=today + timedelta(days=1), by=keeper)
    assert not Movement.objects.exists()


def test_a_box_move_before_a_thing_came_into_it_is_refused(room, keeper, today, days_ago, refused):
    move([room.stranger.item], room.left, on=today, by=keeper)
    with refused("on", f"came here on {today}"):
        move_place(room.left, room.other, on=days_ago(3), by=keeper)


def test_the_change_form_moves_as_the_move_does(room, as_keeper, keeper, today):
    """One action for both, or half of a thing's way through the house would be missing."""
    box = PlaceFactory(code="B", parent=room.left)
    tube = TubeFactory(place=box)
    sent = {"parent": room.other.pk, "code": "B9", "name": "cigar box", "note": ""}
    address = f"/places/{box.pk}/change/"
    page = as_keeper.post(address, sent | seen_at(as_keeper, address), follow=True)
    assert "1 of the things in it moved with it" in str([str(m) for m in page.context["messages"]])
    (moved,) = tube.item.movements.all()
    assert (moved.from_path, moved.to_path, moved.on, moved.by) == ("R1 / L / B", "R2 / B9", today, keeper)
    as_keeper.post(address, sent | {"code": "B10"} | seen_at(as_keeper, address))  # a new name is no move
    assert tube.item.movements.count() == 1 and Place.objects.get(pk=box.pk).path == "R2 / B10"


@pytest.fixture
def pair(room, keeper, today):
    """A set in the left drawer whose calibration book lies in another room."""
    book = CompanionFactory(place=room.other, mate_serial="4417")
    meter = ChassisFactory(model=book.kind.set_model, serial="4417", place=room.left)
    return SimpleNamespace(book=book, meter=meter)


def test_what_belongs_with_several_is_named_before_they_move(room, pair, as_helper, today):
    tags = [pair.meter.tag, room.tubes[0].tag]
    page = as_helper.get("/things/move/", {"pick": tags})
    assert f"{pair.meter.tag} with calibration book 4417 ({pair.book.tag})" in page.content.decode()
    sent = {"tags": "\n".join(tags), "place": room.right.pk, "on": today}
    refusal = as_helper.post("/things/move/", sent)
    assert refusal.status_code == 422 and pair.book.tag in refusal.context["form"].errors["apart"][0]
    assert not Movement.objects.exists()
    assert as_helper.post("/things/move/", sent | {"apart": "on"}).status_code == 302
    assert Movement.objects.count() == 2
    together = {"tags": f"{pair.meter.tag} {pair.book.tag}", "place": room.other.pk, "on": today}
    assert as_helper.post("/things/move/", together).status_code == 302
    page = as_helper.get("/things/move/", {"pick": room.tubes[0].tag})
    assert "belong together" not in page.content.decode() and "apart" not in page.context["form"].fields


@pytest.mark.parametrize("picked", ["%00", "T-0001%00", "%00/", "7%00"])
def test_a_sign_that_no_database_keeps(room, as_helper, picked):
    assert "\0" not in tag_in(picked.replace("%00", "\0"))
    assert as_helper.get(f"/things/move/?pick={picked}&place={picked}").status_code == 200


def test_what_belongs_with_a_box_is_named_before_it_moves(room, pair, as_keeper, today):
    address = f"/places/{room.left.pk}/move/"
    assert f"({pair.book.tag})" in as_keeper.get(address).content.decode()
    sent = {"into": room.other.pk, "on": today, "reason": ""}
    refusal = as_keeper.post(address, sent)
    assert refusal.status_code == 422 and list(refusal.context["form"].errors) == ["reason"]
    assert Place.objects.get(pk=room.left.pk).path == "R1 / L"
    assert as_keeper.post(address, sent | {"reason": "the book is lent to the binder"}).status_code == 302
    assert {row.reason for row in pair.meter.item.movements.all()} == {"the book is lent to the binder"}
    Item.objects.filter(pk=pair.book.pk).update(place=room.left)
    assert "belong together" not in as_keeper.get(f"/places/{room.left.pk}/move/").content.decode()


def test_a_box_with_a_thing_that_sits_in_a_set_stays(room, keeper, today, refused):
    """By the register it lies in the box and in a set: one of the two is wrong, and a move would hide which."""
    FittingFactory(tube=room.tubes[0], position__type=room.tubes[0].type)
    with refused("into", room.tubes[0].tag):
        move_place(room.left, room.other, on=today, by=keeper)
    with refused("place", "cannot be moved: it is in"):
        move([tube.item for tube in room.tubes], room.other, on=today, by=keeper)
    assert not Movement.objects.exists() and Place.objects.get(pk=room.left.pk).path == "R1 / L"


def test_more_in_a_box_asks_no_more_before_it_moves(room, pair, as_keeper, as_helper):
    def both():
        tags = list(Item.objects.filter(gone_on=None, lent_to="").values_list("tag", flat=True))
        one = asked(as_keeper, f"/places/{room.left.pk}/move/")
        return one, asked(as_helper, "/things/move/", pick=tags)

    before = both()
    for number in range(10):
        TubeFactory(place=room.left)
        book = CompanionFactory(place=room.other, mate_serial=f"66{number}")
        ChassisFactory(model=book.kind.set_model, serial=f"66{number}", place=room.left)
    assert both() == before


def test_moves_of_a_selection(room, as_helper, helper, today):
    tags = [tube.tag for tube in room.tubes]
    page = as_helper.get("/things/move/", {"pick": tags})
    assert page.context["form"].initial["tags"] == "\n".join(tags)
    sent = {"tags": "\n".join(tags), "place": room.other.pk, "on": today, "reason": "sorted"}
    answer = as_helper.post("/things/move/", sent, follow=True)
    assert "3 things moved to R2" in str([str(m) for m in answer.context["messages"]])
    assert {Item.objects.get(tag=tag).place for tag in tags} == {room.other}
    assert {(m.from_path, m.to_path, m.by) for m in Movement.objects.all()} == {("R1 / L", "R2", helper)}


def test_seen_without_moving(room, as_helper, helper, today, days_ago, keeper, refused):
    tags = [tube.tag for tube in room.tubes]
    as_helper.post("/things/move/", {"tags": " ".join(tags), "place": "", "on": days_ago(2), "seen": "1"})
    assert {(i.seen_on, i.place) for i in Item.objects.filter(tag__in=tags)} == {(days_ago(2), room.left)}
    assert Item.history.filter(tag=tags[0]).first().history_user == helper
    assert mark_seen([room.tubes[0].item], on=days_ago(9), by=keeper) == 0
    with refused("tags", "left the collection"):
        mark_seen([room.gone.item], on=today, by=keeper)
    with refused("on", "not come yet"):
        mark_seen([room.tubes[0].item], on=today + timedelta(days=1), by=keeper)


@pytest.mark.parametrize("spoilt", [{"tags": "T-9999"}, {"tags": ""}, {"on": "soon"}, {"on": "2999-01-01"}])
def test_a_bad_selection_moves_nothing(room, as_helper, snapshot, today, spoilt):
    sent = {"tags": room.fourth.tag, "place": room.other.pk, "on": today} | spoilt
    before = snapshot()
    answer = as_helper.post("/things/move/", sent)
    assert answer.status_code == 422 and list(answer.context["form"].errors) == list(spoilt)
    assert snapshot() == before


def test_one_that_cannot_move_keeps_the_rest(room, as_helper, snapshot, today):
    before = snapshot()
    tags = f"{room.fourth.tag} {room.lent.tag}"
    answer = as_helper.post("/things/move/", {"tags": tags, "place": room.other.pk, "on": today})
    assert answer.status_code == 422 and room.lent.tag in answer.context["form"].errors.as_text()
    assert snapshot() == before


# --- pages -----------------------------------------------------------------------------------------------------------


def test_the_whole_way_on_pages(room, as_helper, as_keeper, today):
    begun = as_helper.post("/stock-takes/begin/", {"place": room.room.pk}, follow=True)
    take = StockTake.objects.get()
    assert "5 things to find" in str([str(m) for m in begun.context["messages"]])
    here = f"/stock-takes/{take.pk}/"
    page = as_helper.post(f"{here}scan/", {"tag": room.tubes[0].tag, "at": room.right.pk, "show": "open"}, follow=True)
    assert page.redirect_chain[-1][0] == f"{here}?at={room.right.pk}&show=open"
    assert "found elsewhere; by the register in R1 / L" in str([str(m) for m in page.context["messages"]])
    keys = [line.pk for line in open_lines(take)]
    as_helper.post(f"{here}tick/", {"line": keys[:2], "outcome": "found"})
    page = as_helper.get(here)
    assert page.context["tally"].open == 1 and "R. Oddsworth" in page.content.decode()
    assert as_helper.get(f"{here}close/").status_code == 403
    refusal = as_keeper.post(f"{here}close/", {})
    assert refusal.status_code == 422 and "1 without a tick" in refusal.context["form"].errors["rest"][0]
    report = as_keeper.post(f"{here}close/", {"rest": "missing", "move_found": "on"}, follow=True)
    text = report.content.decode()
    assert "Report of the stock-take" in text and "Not found" in text and "It is here" not in text
    assert Item.objects.get(pk=room.tubes[0].pk).place == room.right
    assert f'href="{here}"' in as_helper.get(f"/places/{room.left.pk}/").content.decode()
    assert f'href="{here}"' in as_helper.get("/stock-takes/").content.decode()


@pytest.mark.parametrize(
    ("sent", "field"),
    [
        ({}, "percent"),
        ({"percent": "101"}, "percent"),
        ({"percent": "5", "seed": "-1"}, "seed"),
        ({"place": "999999999"}, "place"),
    ],
)
def test_a_bad_beginning(room, as_helper, snapshot, sent, field):
    before = snapshot()
    answer = as_helper.post("/stock-takes/begin/", sent)
    assert answer.status_code == 422 and field in answer.context["form"].errors
    assert snapshot() == before


def test_every_kind_of_thing_stands_in_the_list(as_helper, keeper, today):
    place = PlaceFactory()
    for factory in (TubeFactory, ChassisFactory, PlugInUnitFactory, CompanionFactory):
        factory(place=place)
    from inventory.holdings.actions import add_parts
    from inventory.holdings.models import PartLot

    add_parts(PartLot(name="capacitor", value="0.01 mfd"), by=keeper, on=today, place=place)
    take = begin_count(place=place, percent=None, seed=0, on=today, by=keeper)
    text = as_helper.get(f"/stock-takes/{take.pk}/").content.decode()
    assert "0.01 mfd" in text and text.count('name="line"') == 5


def test_twice_the_lines_take_no_more_questions(room, as_helper, keeper, today):
    takes = []
    for count in (10, 20):
        for _ in range(count):
            TubeFactory(place=room.left)
        takes.append(begin_count(place=room.room, percent=None, seed=0, on=today, by=keeper))
    for show in ("open", "all", "differences"):
        few, many = (asked(as_helper, f"/stock-takes/{take.pk}/", show=show) for take in takes)
        assert few == many
    before = asked(as_helper, "/stock-takes/")
    begin_count(place=room.room, percent=None, seed=0, on=today, by=keeper)
    assert asked(as_helper, "/stock-takes/") == before


def test_many_things_lose_no_place_by_default(as_helper, today):
    tube = TubeFactory(place=PlaceFactory(code="B-1"))
    cells = {"tags": tube.tag, "on": today}
    answer = as_helper.post("/things/move/", cells)
    assert answer.status_code == 422 and "Choose a place" in answer.context["form"].errors["place"][0]
    assert as_helper.post("/things/move/", cells | {"nowhere": "on"}).status_code == 302
    tube.item.refresh_from_db()
    assert tube.item.place is None


def test_a_move_dated_back_says_what_stands(as_helper, today, days_ago):
    tube, first, second = TubeFactory(), PlaceFactory(code="B-1"), PlaceFactory(code="B-2")
    page = f"/things/{tube.tag}/move/"
    as_helper.post(page, {"place": first.pk, "on": today})
    told = as_helper.post(page, {"place": second.pk, "on": days_ago(9)}, follow=True).content.decode()
    assert "A later move stands" in told and first.path in told
    many = {"tags": tube.tag, "place": second.pk, "on": days_ago(5)}
    assert "A later move stands" in as_helper.post("/things/move/", many, follow=True).content.decode()
