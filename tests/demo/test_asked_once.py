"""No page of those that are opened all day sends the database the same question twice."""

import pytest
from django.urls import reverse

from inventory.pairing.models import Neutralization, OnAirRecord
from inventory.running.models import MeterReading, TubeTest
from inventory.sets.models import Fitting
from tests.counting import again, answered, twice

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_rows")]

#: Whether tube knowledge changed is asked whenever it is used: a change within the request is seen by what follows it.
#: Minimums are asked by the tests of a tube and by its worth, which goes by the last of them.
MAY_BE_ASKED_AGAIN = ('"tubes_state"."token"', '"running_typeminimum"')


def a_pair():
    null = Neutralization.objects.filter(struck="").latest("on")
    return [null.chassis.tag, null.unit.tag]


def a_set():
    return [Fitting.objects.filter(until=None, position__neutralized=True).first().chassis.tag]


PAGES = {
    "first page": lambda: reverse("frontpage:home"),
    "pairings": lambda: reverse("pairing:table"),
    "pairings, none that fits": lambda: f"{reverse('pairing:table')}?chassis=no-such-set",
    "pairings at a frequency": lambda: f"{reverse('pairing:table')}?frequency=3600+kc",
    "station view": lambda: reverse("pairing:station"),
    "a pair": lambda: reverse("pairing:pair", args=a_pair()),
    "a set": lambda: reverse("sets:chassis", args=a_set()),
    "a unit": lambda: reverse("sets:unit", args=a_pair()[1:]),
    "a tube that was tested": lambda: reverse("holdings:tube", args=[TubeTest.objects.first().tube.tag]),
    "test session": lambda: f"{reverse('running:session')}?tube={TubeTest.objects.first().tube.tag}",
    "tests": lambda: reverse("running:test-list"),
    "a test": lambda: reverse("running:test-correct", args=[TubeTest.objects.first().pk]),
    "on the air": lambda: reverse("pairing:on-air", args=[OnAirRecord.objects.first().chassis.tag]),
    "hours": lambda: reverse("running:hours-list"),
    "hours of a set": lambda: reverse("running:chassis", args=[MeterReading.objects.first().meter.chassis.tag]),
    "what falls due": lambda: reverse("running:schedules"),
}


@pytest.mark.parametrize("page", PAGES)
def test_nothing_is_asked_twice(as_keeper, page):
    address = PAGES[page]()
    sent = again(lambda: as_keeper.get(address))
    answered(as_keeper, address)
    assert len(sent) > 3
    assert [one for one in twice(sent) if not any(known in one for known in MAY_BE_ASKED_AGAIN)] == []
