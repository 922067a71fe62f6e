"""Entries that were made without a signal come in: each once by its key, refused in words, conflicts shown."""

import json
import uuid
from datetime import UTC, datetime, timedelta

import pytest
from django.db import connection
from django.test import Client
from django.utils import timezone

from inventory.holdings.actions import begin_count, move, part_with
from inventory.holdings.models import Item, Movement, StockTakeLine, Tube
from inventory.phone.actions import take_entry
from inventory.phone.models import SentEntry
from inventory.phone.queries import account_mark
from inventory.phone.rules.entries import read_entry
from inventory.running.actions import set_state
from inventory.running.models import Run, TubeTest
from tests.counting import again
from tests.factories import ChassisFactory, PlaceFactory, TubeFactory
from tests.running.rows import InstrumentFactory
from tests.same_moment import at_once

pytestmark = pytest.mark.django_db
SEND = "/phone/send/"


def entry(kind, seen=None, at=None, key=None, **cells):
    written = at or timezone.now()
    return {
        "key": key or str(uuid.uuid4()), "kind": kind, "at": written.isoformat(),
        "cells": {name: str(text) for name, text in cells.items()}, "seen": seen or {},
    }  # fmt: skip


def sent(client, person, one):
    answer = client.post(SEND, json.dumps(one | {"account": account_mark(person)}), content_type="application/json")
    return answer.status_code, answer.json()


def why(answer):
    return " ".join(text for _, text in answer["because"])


# --- each kind does what its page does -------------------------------------------------------------------------------


def test_a_tube_by_its_stamp(reference, as_helper, helper, today):
    """TM 11-487: VT-231 is 6SN7GT."""
    place = PlaceFactory(code="D7")
    status, answer = sent(as_helper, helper, entry("tube", marked="VT-231", place="d7", count=2, state="good"))
    assert status == 200 and answer["told"] == "T-0001 to T-0002 added. Read as 6SN7GT."
    tubes = Tube.objects.select_related("item")
    assert {(t.type.name, t.state, t.item.place_id, t.item.seen_on) for t in tubes} == {
        ("6SN7GT", "good", place.pk, today)
    }
    assert Movement.objects.filter(by=helper).count() == 2


def test_a_beginning_of_a_number_asks_for_its_choice(reference, as_helper, helper):
    one = entry("tube", marked="6SN7")
    status, answer = sent(as_helper, helper, one)
    assert status == 422 and "choose what it begins" in why(answer) and not SentEntry.objects.exists()
    one["cells"]["choice"] = "6SN7GT"
    assert sent(as_helper, helper, one)[1]["told"] == "T-0001 added. Taken for 6SN7GT."


def test_a_move_a_state_and_a_note(as_keeper, keeper, today):
    tube, place = TubeFactory(state="untested"), PlaceFactory(code="D7")
    assert sent(as_keeper, keeper, entry("move", tag=tube.tag.lower(), place="D7"))[0] == 200
    assert sent(as_keeper, keeper, entry("state", tag=tube.tag, state="weak"))[0] == 200
    assert sent(as_keeper, keeper, entry("note", tag=tube.tag, text="base loose"))[0] == 200
    assert sent(as_keeper, keeper, entry("note", tag=tube.tag, text="glued"))[0] == 200
    tube.refresh_from_db()
    assert Item.objects.get(pk=tube.pk).place == place
    assert (tube.state, tube.note) == ("weak", f"{today}: base loose\n{today}: glued")


def test_a_test_hours_and_a_thing_of_a_stock_take(as_helper, helper, keeper, today):
    place = PlaceFactory()
    tube, chassis, tester = TubeFactory(place=place), ChassisFactory(), InstrumentFactory()
    take = begin_count(place=place, percent=None, seed=0, on=today, by=keeper)
    reading = {"instrument": tester.pk, "shorts": "none", "reading_text": "62"}
    assert sent(as_helper, helper, entry("test", tag=tube.tag, **reading))[0] == 200
    assert sent(as_helper, helper, entry("run", tag=chassis.tag, hours="2:30"))[0] == 200
    assert sent(as_helper, helper, entry("count", tag=tube.tag, take=take.pk))[0] == 200
    test = TubeTest.objects.get()
    assert (test.tube, test.reading, test.on, test.by_whom) == (tube, 62.0, today, "a-helper")
    assert (Run.objects.get().chassis, Run.objects.get().hours) == (chassis, 2.5)
    assert StockTakeLine.objects.get().outcome == "found"


def test_it_counts_for_the_day_on_which_it_was_written(as_helper, helper, days_ago):
    tube, _ = TubeFactory(), PlaceFactory(code="D7")
    at = timezone.now() - timedelta(days=2)
    assert sent(as_helper, helper, entry("move", at=at, tag=tube.tag, place="D7"))[0] == 200
    assert Movement.objects.get().on == days_ago(2)
    ahead = entry("move", at=timezone.now() + timedelta(days=2), tag=tube.tag, place="")
    status, answer = sent(as_helper, helper, ahead)
    assert status == 422 and "clock of the phone" in why(answer) and answer["clock"]


@pytest.mark.parametrize("kind", ["tube", "move", "state", "note", "count", "test", "run"])
def test_a_clock_that_is_ahead_is_told_whatever_is_entered(as_keeper, keeper, snapshot, kind):
    tube = TubeFactory()
    before = snapshot()
    ahead = entry(kind, at=timezone.now() + timedelta(days=400), tag=tube.tag, marked="VT-231", state="good", text="x")
    status, answer = sent(as_keeper, keeper, ahead)
    assert status == 422 and "clock of the phone" in why(answer) and snapshot() == before
    back = entry(kind, at=datetime(1970, 1, 1, tzinfo=UTC), tag=tube.tag, marked="VT-231", state="good", text="x")
    assert sent(as_keeper, keeper, back)[1]["clock"] and snapshot() == before
    assert abs(datetime.fromisoformat(answer["clock"]) - timezone.now()) < timedelta(minutes=5)


def test_what_a_wrong_clock_wrote_is_sent_as_of_now(as_keeper, keeper, today):
    tube = TubeFactory()
    one = entry("note", at=timezone.now() + timedelta(days=400), tag=tube.tag, text="base loose")
    one["at"] = sent(as_keeper, keeper, one)[1]["clock"]
    assert sent(as_keeper, keeper, one)[0] == 200
    assert Tube.objects.get(pk=tube.pk).note == f"{today}: base loose"


def test_a_move_said_over_a_later_one_stands(as_keeper, keeper, days_ago):
    old, yours, here = (PlaceFactory(code=code) for code in ("A", "B", "C"))
    tube = TubeFactory(place=old)
    one = entry("move", at=timezone.now() - timedelta(days=2), seen={"place": "A"}, tag=tube.tag, place="B")
    move([tube.item], here, on=days_ago(1), by=keeper)
    assert sent(as_keeper, keeper, one)[1]["clashes"][0]["here"] == "C"
    one["seen"] = {"place": "C"}
    assert sent(as_keeper, keeper, one)[0] == 200
    assert Item.objects.get(pk=tube.pk).place == yours


# --- each key once ---------------------------------------------------------------------------------------------------


def test_the_same_key_answers_the_same_and_makes_no_second_thing(reference, as_helper, helper, snapshot):
    one = entry("tube", marked="VT-231")
    first = sent(as_helper, helper, one)[1]
    before = snapshot()
    again_ = sent(as_helper, helper, one)[1]
    assert (again_["told"], again_["address"], again_["taken"]) == (first["told"], first["address"], True)
    assert (first["again"], again_["again"], again_["otherwise"]) == (False, True, False)
    assert snapshot() == before


def test_what_was_mended_after_it_was_taken_is_told(reference, as_helper, helper):
    one = entry("tube", marked="VT-231")
    sent(as_helper, helper, one)
    one["cells"]["marked"] = "807"
    assert sent(as_helper, helper, one)[1]["otherwise"] and Tube.objects.count() == 1


def test_keys_of_two_accounts_are_two(reference, helper, keeper):
    one = read_entry(entry("tube", marked="VT-231"), timezone.get_current_timezone())
    assert take_entry(one, by=helper).taken and not take_entry(one, by=keeper).again
    assert Tube.objects.count() == 2


@pytest.mark.django_db(transaction=True)
@pytest.mark.skipif(connection.vendor == "sqlite", reason="SQLite lets one change in at a time")
def test_two_at_the_same_moment_make_one(live_reference, helper):
    one = read_entry(entry("tube", marked="VT-231"), timezone.get_current_timezone())
    answers = []
    assert at_once(
        lambda: answers.append(take_entry(one, by=helper)), lambda: answers.append(take_entry(one, by=helper))
    ) == (None, None)
    assert [answer.taken for answer in answers] == [True, True]
    assert sorted(answer.again for answer in answers) == [False, True] and Tube.objects.count() == 1


# --- whose it is, and who may ----------------------------------------------------------------------------------------


def test_an_entry_is_never_taken_under_another_account(as_helper, keeper, snapshot):
    tube, before = TubeFactory(), None
    before = snapshot()
    status, answer = sent(as_helper, keeper, entry("move", tag=tube.tag, place=""))
    assert status == 409 and "another account" in why(answer) and snapshot() == before


@pytest.mark.parametrize(
    ("kind", "role"), [("tube", "visitor"), ("move", "visitor"), ("state", "helper"), ("note", "helper")]
)
def test_a_role_that_may_not_is_told(request, snapshot, kind, role):
    tube = TubeFactory()
    person, client = request.getfixturevalue(role), request.getfixturevalue(f"as_{role}")
    before = snapshot()
    status, answer = sent(client, person, entry(kind, tag=tube.tag, marked="VT-231", state="dud", text="x"))
    assert status == 422 and f"Your role ({role}) may not" in why(answer) and snapshot() == before


def test_without_a_login_nothing_is_taken(helper):
    assert Client().post(SEND, "{}", content_type="application/json").status_code == 302
    barred = Client(enforce_csrf_checks=True)
    barred.force_login(helper)
    assert barred.post(SEND, "{}", content_type="application/json").status_code == 403


@pytest.mark.parametrize("body", ["", "[]", "{", '{"key": 1}', "[" * 100_000, "\xff", '{"key":"' + "1" * 200_000])
def test_what_is_no_entry_is_refused(as_helper, body):
    answer = as_helper.post(SEND, body, content_type="application/json")
    assert answer.status_code == 400 and answer.json()["because"]


# --- what the house refuses, and what was changed meanwhile ----------------------------------------------------------


def test_what_is_refused_leaves_nothing_and_can_be_mended(as_helper, helper, keeper, snapshot, today):
    tube, gone = TubeFactory(), TubeFactory()
    part_with(gone.item, "sold", on=today, today=today, by=keeper)
    before = snapshot()
    for one, words in (
        (entry("move", tag=tube.tag, place="nowhere at all"), "There is no place"),
        (entry("move", tag="T-9999", place=""), "Nothing here has the tag T-9999"),
        (entry("move", tag=gone.tag, place=""), "left the collection"),
        (entry("tube", marked="x", state="fine"), "fine"),
        (entry("test", tag=tube.tag), "required"),
        (entry("run", tag=tube.tag, hours="1"), "No set here"),
        (entry("count", tag=tube.tag, take="77"), "stock-take is not there"),
        (entry("dance"), "no kind of entry"),
    ):
        status, answer = sent(as_helper, helper, one)
        assert status == 422 and not answer["taken"] and words in why(answer)
    assert snapshot() == before


def test_a_move_that_others_made_meanwhile_is_shown(as_keeper, keeper, today):
    old, yours, here = (PlaceFactory(code=code) for code in ("A", "B", "C"))
    tube = TubeFactory(place=old)
    one = entry("move", seen={"place": "A"}, tag=tube.tag, place="B")
    move([tube.item], here, on=today, by=keeper)
    status, answer = sent(as_keeper, keeper, one)
    assert status == 422
    assert answer["clashes"] == [{"field": "place", "old": "A", "yours": "B", "here": "C"}]
    one["seen"] = {"place": "C"}  # mine all the same
    assert sent(as_keeper, keeper, one)[0] == 200
    assert Item.objects.get(pk=tube.pk).place == yours


def test_a_place_that_was_seen_may_be_named_by_its_code(as_keeper, keeper):
    """An entry before it was sent with what was typed at the shelf; the house has its path."""
    box, shelf = PlaceFactory(code="B4", name="Box 4"), PlaceFactory(code="S2")
    tube = TubeFactory(place=box)
    for text in ("b4", "Box 4", f"http://museum.example/places/{box.pk}/"):
        one = entry("move", seen={"place": text}, tag=tube.tag, place="S2")
        assert sent(as_keeper, keeper, one)[0] == 200
        assert Item.objects.get(pk=tube.pk).place == shelf
        move([Item.objects.get(pk=tube.pk)], box, on=timezone.localdate(), by=keeper)
    gone = sent(as_keeper, keeper, entry("move", seen={"place": "gone"}, tag=tube.tag, place="S2"))[1]
    assert gone["clashes"][0]["old"] == "gone"


def test_a_line_and_a_count_that_say_two_things_are_refused(reference, as_helper, helper):
    status, answer = sent(as_helper, helper, entry("tube", marked="VT-231 x3", count=5))
    assert status == 422 and "leave one out" in why(answer) and not Tube.objects.exists()
    assert sent(as_helper, helper, entry("tube", marked="VT-231 x3", count=1))[0] == 200
    assert Tube.objects.count() == 3


def test_what_it_did_not_see_is_known_by_when_it_was_written(as_keeper, keeper, today):
    tube = TubeFactory(state="untested", place=PlaceFactory(code="A"))
    at = timezone.now()
    set_state(tube, "weak", by=keeper, reason="tested")
    move([tube.item], PlaceFactory(code="C"), on=today, by=keeper)
    PlaceFactory(code="B")
    state = sent(as_keeper, keeper, entry("state", at=at, tag=tube.tag, state="good"))[1]
    assert state["clashes"] == [{"field": "state", "old": "untested", "yours": "good", "here": "weak"}]
    place = sent(as_keeper, keeper, entry("move", at=at, tag=tube.tag, place="B"))[1]
    assert place["clashes"] == [{"field": "place", "old": "A", "yours": "B", "here": "C"}]
    assert sent(as_keeper, keeper, entry("state", tag=tube.tag, state="good"))[0] == 200


def test_what_stands_there_already_is_no_conflict(as_keeper, keeper, today):
    tube, there = TubeFactory(place=PlaceFactory(code="A")), PlaceFactory(code="B")
    move([tube.item], there, on=today, by=keeper)
    status, answer = sent(as_keeper, keeper, entry("move", seen={"place": "A"}, tag=tube.tag, place="B"))
    assert status == 200 and "stands there already" in answer["told"]
    assert Movement.objects.filter(item=tube.item).count() == 1


# --- what is taken along ---------------------------------------------------------------------------------------------


def test_what_is_taken_along_and_who_is_there(as_helper, helper, as_visitor):
    tube = TubeFactory(marked="VT-231", state="weak", place=PlaceFactory(code="A"))
    TubeFactory()
    told = as_helper.get("/api/phone", {"place": "A"}).json()
    assert told["things"] == [{"tag": tube.tag, "words": "VT-231", "place": "A", "state": "weak"}]
    assert (told["name"], told["role"], told["account"]) == ("a-helper", "helper", account_mark(helper))
    assert told["kinds"] == ["tube", "move", "count", "test", "run"]
    other = as_visitor.get("/api/phone?who=1").json()
    assert other["kinds"] == [] and "things" not in other
    assert other["account"] != told["account"] and other["seal"] != told["seal"]
    assert as_helper.get("/api/phone")["Cache-Control"] == "no-store"
    assert Client().get("/api/phone").status_code == 302


@pytest.mark.growth
def test_more_things_take_no_more_questions(as_helper):
    def some():
        for _ in range(10):
            TubeFactory(place=PlaceFactory())
            ChassisFactory(place=PlaceFactory())

    some()
    few = len(again(lambda: as_helper.get("/api/phone")))
    some()
    assert len(again(lambda: as_helper.get("/api/phone"))) == few
