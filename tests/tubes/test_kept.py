"""What is built from tube knowledge is kept until a row changes, and a changed row is seen at once."""

from concurrent.futures import Future, ThreadPoolExecutor
from threading import Event
from time import sleep

import pytest
from django.conf import settings
from django.db import connection, transaction

from tests.counting import statements
from tests.factories import SourceFactory, TubeTypeFactory
from tubes.actions import load_reference, save_designation, save_limit, save_rating, save_type
from tubes.models import (
    Basing,
    Designation,
    JanMaker,
    Limit,
    Rating,
    RatingSource,
    Source,
    State,
    TubeType,
    knowledge_changed,
)
from tubes.queries import knowledge
from tubes.queries.judging import court
from tubes.rules.judge_parts import Conditions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


def verdict(wanted="6SN7GT", candidate="6SL7GT", **conditions):
    return court().judge(wanted, candidate, Conditions(**conditions)).verdict


def test_asking_again_builds_nothing():
    knowledge_changed()  # to a state of which no test before has kept a part
    knowledge(), court()
    first, second = court(), court()
    assert first is second and first.known is knowledge() and court(knowledge()) is first
    asked = statements(lambda: (court(), court()))
    assert len(asked) == 2 and all("tubes_state" in one for one in asked)


@pytest.mark.parametrize(
    "change",
    [
        lambda by: save_type(TubeType(name="ZZ1"), by=by),
        lambda by: save_designation(
            Designation(
                type=TubeType.objects.get(name="807"), scheme="maker", designation="ZZ1", source=SourceFactory()
            ),
            by=by,
        ),
        lambda by: save_rating(
            Rating(type=TubeType.objects.get(name="807"), heater_v=9), source=SourceFactory(), by=by
        ),
        lambda by: save_limit(Limit(key="judge.mu_low", value=0.6, source=SourceFactory()), by=by),
        lambda by: Designation.objects.get(designation="VT-231").delete(),
        lambda by: Designation.objects.filter(designation="VT-231").delete(),
        lambda by: Limit.objects.filter(key="judge.mu_low").update(value=0.7),
        lambda by: Rating.objects.filter(type__name="807").delete(),
        lambda by: RatingSource.objects.all().update(grade="stated"),
        lambda by: Basing.objects.all().delete(),
        lambda by: JanMaker.objects.bulk_create([JanMaker(code="CZZ", maker="Zed", source=SourceFactory())]),
        lambda by: Source.objects.bulk_update([Source(pk=Source.objects.first().pk, title="another")], ["title"]),
    ],
)
def test_a_changed_row_is_seen_at_once(keeper, change):
    before = knowledge(), court()
    change(keeper)
    assert knowledge() is not before[0] and court() is not before[1]


def test_what_is_seen_is_what_changed(keeper):
    """12AX7 and 5751: mu 100 and 70, with care; a limit of the keeper's own makes it fit, and is taken back."""
    assert court().judge("12AX7", "5751", Conditions()).of("mu").verdict == "with care"
    save_limit(Limit(key="judge.mu_low", value=0.6, source=SourceFactory()), by=keeper)
    assert court().judge("12AX7", "5751", Conditions()).of("mu").verdict == "fits"
    assert knowledge().read("ZZ77").readings == () or not any(r.type for r in knowledge().read("ZZ77").readings)
    TubeTypeFactory(name="ZZ77")
    assert "ZZ77" in knowledge().types


def test_a_load_of_the_tables_is_seen_at_once(tmp_path):
    for file in settings.REFERENCE_DIR.glob("*.csv"):
        (tmp_path / file.name).write_bytes(file.read_bytes())
    marks = tmp_path / "designations.csv"
    assert "ZZ4711" not in {mark.designation for mark in knowledge().marks}
    marks.write_text(marks.read_text(encoding="utf-8").rstrip("\n") + "\n807,maker,ZZ4711,same,,from memory\n", "utf-8")
    assert load_reference(tmp_path).faults == ()
    assert knowledge().read("ZZ4711").readings[0].type == "807"


def test_what_was_rolled_back_is_not_kept():
    before = knowledge()
    with pytest.raises(RuntimeError), transaction.atomic():
        TubeTypeFactory(name="ZZ88")
        assert "ZZ88" in knowledge().types
        raise RuntimeError
    assert knowledge() is before and "ZZ88" not in knowledge().types
    TubeTypeFactory(name="ZZ89")
    assert {"ZZ88", "ZZ89"} & knowledge().types == {"ZZ89"}


def test_rows_that_change_while_they_are_read_are_not_kept(monkeypatch):
    from tubes.queries import keeping

    tokens = iter(["a", "b", "c", "c"])
    monkeypatch.setattr(keeping, "_token", lambda: next(tokens))
    built = []
    made = [keeping.kept("something of this test", lambda: built.append(1) or len(built)) for _ in range(2)]
    assert made == [1, 2] and keeping._kept.pop("something of this test") == {"c": 2}


def test_two_threads_of_a_server_build_it_once(monkeypatch):
    """Both ask after a change: the second waits for what the first builds."""
    from tubes.queries import keeping

    monkeypatch.setattr(keeping, "_token", lambda: "one")
    name = "something of two threads"
    began, built = Event(), []

    def build():
        built.append(1)
        began.set()
        while not other.running() and not other.done():  # the second thread is there before this one has built it
            sleep(0.001)
        sleep(0.1)
        return object()

    with ThreadPoolExecutor(2) as threads:
        other = Future()
        first = threads.submit(keeping.kept, name, build)
        assert began.wait(10)
        other = threads.submit(keeping.kept, name, build)
        assert first.result(10) is other.result(10)
    assert built == [1] and keeping._kept.pop(name)


def test_without_a_state_nothing_is_kept():
    State.objects.all().delete()
    assert knowledge() is not knowledge()
    TubeTypeFactory(name="ZZ90")
    assert State.objects.count() == 1 and knowledge() is knowledge()


def test_the_token_is_the_databases_not_the_process(keeper):
    """Another process that writes the row changes the token that this one reads."""
    before = knowledge()
    with connection.cursor() as cursor:  # as another process would: no signal of this one tells
        cursor.execute("UPDATE tubes_state SET token = 'of another process'")
        cursor.execute("UPDATE tubes_tubetype SET own_mark = %s WHERE name = '807'", [True])
    assert knowledge() is not before
