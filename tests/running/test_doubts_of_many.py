"""What the last tests say against more tubes than one question names: only their own tests are read, in parts."""

import pytest

from inventory.holdings.models import Item, Tube
from inventory.house.concerns import doubts_of_many
from inventory.house.keys import AT_ONCE
from inventory.running.models import TubeTest
from inventory.running.queries import doubts_of, latest_readings, tube_story, verdicts_of
from inventory.sets.models import Fitting, Position
from inventory.sets.queries.doubts import in_doubt_in_sets
from tests.counting import cost
from tests.factories import ChassisFactory, PositionFactory, TubeTypeFactory, days_ago
from tests.running.rows import InstrumentFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def crowd(reference):
    """``crowd(n)``: so many more good tubes of one type, each read twice and below its limit at last, in a set."""
    position = PositionFactory(type=TubeTypeFactory(name="801A"))
    chassis, instrument = ChassisFactory(model=position.set_model), InstrumentFactory()

    def more(number, fitted=True):
        many = Item.objects.count() + 1000
        items = [Item(kind="tube", tag=f"T-{many + n}") for n in range(number)]
        tubes = [Tube(item=item, type=position.type, state="good") for item in Item.objects.bulk_create(items)]
        Tube.objects.bulk_create(tubes)
        TubeTest.objects.bulk_create(
            TubeTest(tube=tube, instrument=instrument, on=days_ago(30 - part), reading=reading, minimum=1800, shorts="")
            for tube in tubes
            for part, reading in enumerate((2400, 1700))
        )
        if fitted:
            places = [Position(set_model=chassis.model, mark=f"S{tube.pk}", type=position.type) for tube in tubes]
            fits = zip(tubes, Position.objects.bulk_create(places), strict=True)
            Fitting.objects.bulk_create(
                Fitting(tube=tube, chassis=chassis, position=place, since=days_ago(60)) for tube, place in fits
            )
        return tubes

    return more


@pytest.fixture
def tests_read(monkeypatch):
    """The tubes whose tests were read from the database."""
    seen, read = set(), TubeTest.from_db.__func__

    def from_db(cls, *row):
        found = read(cls, *row)
        seen.add(found.tube_id)
        return found

    monkeypatch.setattr(TubeTest, "from_db", classmethod(from_db))
    return seen


def test_no_other_tube_is_asked_about(crowd, tests_read):
    fitted, shelf = crowd(AT_ONCE + 10), crowd(3, fitted=False)
    shown, count = in_doubt_in_sets(5)
    assert (len(shown), count) == (5, len(fitted)) and all(row.tube.doubt.word == "reject" for row in shown)
    assert [row.position.mark for row in shown] == [f"S{tube.pk}" for tube in fitted[:5]]
    every, all_told = in_doubt_in_sets()
    assert [row.tube_id for row in every] == [tube.pk for tube in fitted] and all_told == len(fitted)
    assert tests_read == {tube.pk for tube in fitted} and tests_read.isdisjoint(tube.pk for tube in shelf)


def test_questions_grow_by_parts_and_not_by_tubes(crowd, monkeypatch):
    most = 20
    monkeypatch.setattr("inventory.house.keys.AT_ONCE", most)

    def questions(keys):
        return [
            cost(lambda: doubts_of_many(keys)),
            cost(lambda: latest_readings(tube.item for tube in tubes)),
            cost(lambda: in_doubt_in_sets(5)),
        ]

    tubes = crowd(most + 1)
    first = questions([tube.pk for tube in tubes])
    tubes += crowd(most - 1)
    keys = [tube.pk for tube in tubes]
    assert len(doubts_of(keys)) == len(keys) == 2 * most and set(verdicts_of(tubes).values()) == {"reject"}
    assert questions(keys) == first


def test_the_like_of_a_tube_are_asked_about_where_it_was_tested(crowd, tests_read, today):
    others = crowd(4, fitted=False)
    Item.objects.filter(pk=others[0].pk).update(lent_to="Ebb Street radio club")
    new = crowd(1, fitted=False)[0]
    TubeTest.objects.filter(tube=new).update(struck="another tube")
    assert tube_story(new, today).advice.advice == "test again"
    assert tests_read == {new.pk}
    TubeTest.objects.filter(tube=new).update(struck="")
    tube_story(new, today)
    assert tests_read == {tube.pk for tube in (new, *others[1:])}
