"""What the last tests say against a tube: its verdict as one, advice on its like, matching; every figure is invented.

A tube of two sections is as good as the weaker of them, and a reject is matched with nothing (common practice, no
source). Gas: up to 3 divisions passes (TM 11-6625-316-12).
"""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.holdings.models import Item
from inventory.house.concerns import doubt_of, doubts_of_many
from inventory.running.models import TubeTest
from inventory.running.queries import doubts_of, match_tubes, tube_story, verdicts_of
from tests.factories import ChassisFactory, FittingFactory, PositionFactory, TubeFactory, TubeTypeFactory
from tests.pages import page_text
from tests.running.rows import InstrumentFactory, TubeTestFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def double(reference):
    """Tubes of a double type, a place for one of them in a set here, and a short way to test them."""

    class Double:
        def __init__(self):
            self.kind = TubeTypeFactory(name="6SN7GT")
            self.position = PositionFactory(type=self.kind)
            self.chassis = ChassisFactory(model=self.position.set_model)
            self.instrument = InstrumentFactory()

        def tube(self, *readings, **cells):
            tube = TubeFactory(type=self.kind, state="good")
            for section, reading in enumerate(readings, start=1):
                more = cells if section == len(readings) else {}
                TubeTestFactory(
                    tube=tube, instrument=self.instrument, section=str(section), reading=reading, minimum=1800, **more
                )
            return tube

    return Double()


def test_a_doubted_tube_is_no_better_spare(double, today):
    gassy, reject = double.tube(2550, 2550, gas="6"), double.tube(2600, 1700)
    one, two = double.tube(2500, 2400), double.tube(2480, 2420)
    advice = {tube: tube_story(tube, today).advice for tube in (gassy, reject, one, two)}
    assert [advice[tube].advice for tube in (gassy, reject)] == ["test again", "test again"]
    assert advice[two].advice == "keep as spare" and "Good, number 1 of 2" in advice[two].reasons[0]
    assert advice[one].advice == "use" and "number 2 of 2: better ones" in advice[one].reasons[0]


def test_a_tube_in_a_set_is_no_better_spare(double, today):
    """Spares are what lies on the shelf; a tube at work, lent or not found is none (common practice, no source)."""
    at_work, shelf = double.tube(2400, 2350), double.tube(2380, 2300)
    FittingFactory(chassis=double.chassis, position=double.position, tube=at_work)
    advice = {tube: tube_story(tube, today).advice for tube in (at_work, shelf)}
    assert (advice[at_work].advice, advice[at_work].reasons[0]) == ("use", "Good where it is.")
    assert advice[shelf].advice == "keep as spare"
    assert advice[shelf].reasons[0].startswith("Good, the only good one of its type that is in no set: ")
    lesser, lent = double.tube(2300, 2200), double.tube(2700, 2700)
    Item.objects.filter(pk=lent.pk).update(lent_to="Ebb Street radio club")
    advice = {tube: tube_story(tube, today).advice for tube in (shelf, lesser)}
    assert advice[shelf].advice == "keep as spare"
    assert advice[shelf].reasons[0].startswith("Good, number 1 of 2 that are in no set: the best are put by")
    assert advice[lesser].advice == "use"
    assert advice[lesser].reasons[0] == "Good, number 2 of 2 that are in no set: better ones are put by as spares."


def test_a_double_tube_with_one_section_read_is_not_called_good(double, today):
    tube = double.tube(2500)
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.proposed, story.advice.advice) == ("not comparable", "", "test again")
    assert "Section 2 not read in the last test." in story.verdict.reasons
    assert story.advice.reasons[0].startswith("Section 2 not read: ")
    TubeTestFactory(tube=tube, instrument=double.instrument, section="2", reading=2450, minimum=1800)
    story = tube_story(tube, today)
    assert (story.verdict.verdict, story.advice.advice) == ("good", "keep as spare")


def test_a_tube_read_as_one_lacks_no_section(double, today):
    tube = TubeFactory(type=double.kind)
    TubeTestFactory(tube=tube, instrument=double.instrument, reading=2500, minimum=1800)
    assert tube_story(tube, today).verdict.verdict == "good"
    single = TubeTestFactory(tube__type=TubeTypeFactory(name="6SK7"), section="1", minimum=1200.0)
    assert tube_story(single.tube, today).verdict.verdict == "good"


def test_sections_that_are_not_numbered_come_in_twos(double, today):
    tube = TubeFactory(type=double.kind)
    TubeTestFactory(tube=tube, instrument=double.instrument, section="left", reading=2500, minimum=1800)
    assert tube_story(tube, today).verdict.unread == ("of the other half",)


def test_a_reject_is_matched_with_nothing(double, today):
    reject, *_ = double.tube(2500, 1700), double.tube(2500, 2400), double.tube(2510, 2410)
    found = match_tubes(double.kind, double.instrument, today, tolerance=10)
    assert all(reject.tag not in line.found.tags for line in found.lines) and len(found.lines) == 1
    assert f"1 tube is left out for a reading below the limit: {reject.tag}." in found.notes
    assert dict(found.left_out)[reject.tag].startswith("reject on ")
    assert "1700 is below 1800" in dict(found.left_out)[reject.tag]
    asked = match_tubes(double.kind, double.instrument, today, tolerance=10, with_doubted=True)
    assert any(reject.tag in line.found.tags for line in asked.lines)


@pytest.mark.parametrize(
    ("cells", "word"),
    [
        ({"reading": 1700.0}, "reject"),
        ({"shorts": TubeTest.FOUND, "reading": None}, "shorted"),
        ({"gas": "6"}, "gas"),
        ({"gas": "some"}, "gas that cannot be judged"),
        ({"shorts_words": "h-k 2 megohm"}, "shorts or leakage"),
        ({"reading": 1700.0, "gas": "6"}, "reject, gas"),
        ({"reading": 1810.0}, ""),  # near its limit is nothing against it
        ({}, ""),
    ],
)
def test_what_the_last_tests_say_against_a_tube_in_a_word(reference, cells, word, days_ago):
    said = {"reading": 2500.0, "minimum": 1800.0, "shorts": ""}
    test = TubeTestFactory(on=days_ago(4), **said | cells)
    told = doubt_of(test.tube.item)
    assert (told.word if told else "") == word
    if word:
        assert told.text == f"last test {word} ({days_ago(4)})"


def test_doubts_and_verdicts_of_many_take_no_more_questions(double):
    def count():
        keys = [tube.pk for tube in double.kind.tubes.all()]
        with CaptureQueriesContext(connection) as caught:
            assert len(doubts_of(keys)) == len(keys)
            assert len(doubts_of_many(keys)) == len(keys)
            assert set(verdicts_of(double.kind.tubes.all()).values()) == {"reject"}
        return len(caught)

    for _ in range(10):
        double.tube(2500, 1700, gas="6")
    count()
    before = count()
    for _ in range(10):
        double.tube(2500, 1700, gas="6")
    assert count() == before


def test_the_words_that_set_a_state_say_what_they_do(as_keeper, double):
    tube = double.tube(2500, 2400)
    text = page_text(as_keeper.get(f"/tubes/{tube.tag}/"))
    assert 'value="weak">It is weak</button>' in text and 'value="dud">It is dud</button>' in text
