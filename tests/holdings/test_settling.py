"""Adding a type or a mark offers to settle the tubes that bear it and lie here without a type."""

import pytest
from django.urls import reverse

from inventory.holdings.models import Tube
from inventory.holdings.queries import unsettled_of
from tests.counting import cost
from tests.factories import TubeFactory
from tubes.models import TubeType

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("reference")]


@pytest.fixture
def lying():
    """Two tubes of a form that is in no table, and one of another number."""
    TubeType.objects.filter(name="6SN7GTY").delete()
    return [TubeFactory(type=None, marked=text) for text in ("6SN7GTY", "6sn7gty RCA", "6SN70GTY")]


def test_a_type_that_is_added_settles_what_is_marked_so(lying, as_keeper, keeper):
    answer = as_keeper.post(reverse("tubes:type-add"), {"name": "6SN7GTY"}, follow=True)
    words = " ".join(answer.content.decode().split())
    assert "2 tubes here are marked so and have no type" in words and ">settle them<" in words
    address = reverse("holdings:tubes-settle", args=["6SN7GTY"])
    assert lying[0].tag in as_keeper.get(address).content.decode()
    done = as_keeper.post(address, follow=True)
    assert done.context["stock"].good + done.context["stock"].untested == 2 and done.context["unsettled"] == 0
    first = Tube.objects.get(pk=lying[0].pk)
    assert first.type.name == "6SN7GTY" and first.marked == "6SN7GTY"
    change = first.history.first()
    assert change.history_user == keeper and change.history_change_reason == "its mark means 6SN7GTY by now"
    assert Tube.objects.get(pk=lying[2].pk).type is None
    assert as_keeper.post(address).status_code == 422  # nothing is left to settle


def test_only_a_keeper_settles(lying, as_helper):
    TubeType.objects.create(name="6SN7GTY")
    assert as_helper.post(reverse("holdings:tubes-settle", args=["6SN7GTY"])).status_code == 403


def test_more_marks_take_no_more_questions():
    TubeType.objects.filter(name="6SN7GTY").delete()
    TubeType.objects.create(name="6SN7GTY")
    counts = []
    for _ in range(2):
        for number in range(10):
            TubeFactory(type=None, marked=f"6SN7GTY {'RCA' if number % 2 else 'GE'}")
        assert unsettled_of("6SN7GTY")
        counts.append(cost(lambda: unsettled_of("6SN7GTY")))
    assert counts[0] == counts[1]
